"""Says the program's English in another language, where words meet eyes.

Records, decisions and digests stay as they are: this reads what is about to be shown. A catalogue maps English to the
other language. An entry may have holes, and what fills each is checked: `{n}` a number, `{k}` a code, clock time or
date, `{t}` a text that is itself in the catalogue, `{v}` words that are marked as a person's, `{w}` any words, which
are left as they are. `opsrisk/tablet/static/tablet/language.js` reads the same catalogue with the same answers. Words
that nobody may translate stand between two marks (Unicode's isolates), put there by `as_written` and taken out here.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

OPENS, CLOSES = "\u2068", "\u2069"
HOLES = {
    "n": r"(-?[0-9]+(?:\.[0-9]+)?)",
    "k": r"((?=[^ ]*[0-9])[0-9A-Za-z+-](?:[0-9A-Za-z:.+_/-]*[0-9A-Za-z])?)",
    "t": r"(.+?)",
    "w": r"(.+?)",
    "v": rf"({OPENS}[^{OPENS}{CLOSES}]*{CLOSES})",
}
HOLE = re.compile(r"\{([nktvw])[0-9]?\}")
LETTER = re.compile("[A-Za-z\u00c0-\u024f]")
MARKED = re.compile(f"{OPENS}[^{OPENS}{CLOSES}]*{CLOSES}")
# Not part of a version, an article or a code.
DECIMAL = re.compile(r"(?<![\w.])([0-9]+)\.([0-9]+)(?![\w]|\.[0-9])")
# Beside a decimal comma a comma between thousands would be read as one.
THOUSANDS = re.compile(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))")
JOINTS = (". ", "; ", " \u00b7 ", ": ", ", ", " + ", " / ", " | ")
ENDS = (".", ":", ",", "?", ")")
LONGEST = 1500  # letters; what is longer than any text of ours is not taken apart
SPOKEN = re.compile(r"^(\s*)(.*?)(\s*)$", re.DOTALL)

Found = str | None


def as_written(text: str) -> str:
    """Marks `text` as words of a person, a name or a code: shown as it is in every language."""
    return f"{OPENS}{text.replace(OPENS, '').replace(CLOSES, '')}{CLOSES}" if text else ""


@dataclass(frozen=True)
class Pattern:
    """An entry with holes: how many letters it fixes, what fits it, and what it becomes."""

    fixed: int
    lazy: re.Pattern[str]
    greedy: re.Pattern[str]
    names: tuple[str, ...]
    says: str


def _pattern(key: str, says: str) -> Pattern:
    names = tuple(match.group()[1:-1] for match in HOLE.finditer(key))
    parts = [re.escape(part) for part in re.split(r"\{[nktvw][0-9]?\}", key)]
    holes = [HOLES[name[0]] for name in names]
    lazy = "".join(part + hole for part, hole in zip(parts, [*holes, ""], strict=True))
    greedy = lazy.replace("(.+?)", "(.+)")
    fixed = sum(len(part) for part in re.split(r"\{[nktvw][0-9]?\}", key))
    return Pattern(fixed, re.compile(lazy, re.DOTALL), re.compile(greedy, re.DOTALL), names, says)


class Language:
    """Reads one catalogue. `missed` hears what it does not hold; that is shown in English."""

    def __init__(
        self,
        texts: Mapping[str, str] | None = None,
        *,
        tag: str = "en",
        decimal: str = ".",
        missed: Callable[[str], Any] | None = None,
    ) -> None:
        self.tag, self.decimal = tag, decimal
        self._texts, self._missed = texts, missed
        self._known: dict[str, Found] = {}
        self._patterns = [_pattern(key, says) for key, says in (texts or {}).items() if HOLE.search(key)]
        self._patterns.sort(key=lambda one: -one.fixed)

    def say(self, text: str) -> str:
        """`text` as it is shown."""
        found = self.find(text)
        if found is None and self._missed:
            self._missed(text)
        return self.finished(text if found is None else found)

    def find(self, text: str) -> Found:
        """`text` in this language, marks still in it; None where the catalogue does not hold it."""
        if self._texts is None or not LETTER.search(MARKED.sub("", text)):
            return text
        before, words, after = SPOKEN.findall(text)[0]
        found = self._find(words)
        return None if found is None else f"{before}{found}{after}"

    def finished(self, text: str) -> str:
        """`text` without marks and with this agency's decimal sign outside them."""
        parts, last = [], 0
        for match in MARKED.finditer(text):
            parts += [self.number(text[last : match.start()]), match.group()[1:-1]]
            last = match.end()
        return "".join([*parts, self.number(text[last:])])

    def number(self, text: str) -> str:
        """`text` with this agency's decimal sign in every number."""
        if self.decimal == ".":
            return text
        return DECIMAL.sub(rf"\g<1>{self.decimal}\2", THOUSANDS.sub("\u00a0", text))

    def _find(self, text: str) -> Found:
        if not LETTER.search(MARKED.sub("", text)):
            return text
        if text not in self._known:
            self._known[text] = None  # what leads back to itself is not found
            self._known[text] = self._made(text)
        return self._known[text]

    def _made(self, text: str) -> Found:
        for found in (self._exact(text), self._filled(text)):
            if found is not None:
                return found
        if len(text) > LONGEST:
            return None
        if text.endswith(ENDS) and (found := self._find(text[:-1])) is not None:
            return found + text[-1]
        return next(self._joined(text), None)

    def _exact(self, text: str) -> Found:
        texts: Mapping[str, str] = self._texts or {}
        if text in texts:
            return texts[text]
        first = text[0]
        other = first.lower() if first.isupper() else first.upper()
        found = texts.get(other + text[1:])
        if found is None or HOLE.search(other + text[1:]):
            return None
        return (found[0].upper() if first.isupper() else found[0].lower()) + found[1:]

    def _filled(self, text: str) -> Found:
        for pattern in self._patterns:
            match = pattern.lazy.fullmatch(text)
            if not match:
                continue
            for found in (match, pattern.greedy.fullmatch(text)):
                filled = self._holes(pattern, found) if found else None
                if filled is not None:
                    return filled
        return None

    def _holes(self, pattern: Pattern, match: re.Match[str]) -> Found:
        said: dict[str, str] = {}
        for name, given in zip(pattern.names, match.groups(), strict=True):
            found = self._find(given) if name[0] == "t" else as_written(given) if name[0] in "kw" else given
            if found is None:
                return None
            said[name] = found
        return re.sub(r"\{([nktvw][0-9]?)\}", lambda hole: said[hole.group(1)], pattern.says)

    def _joined(self, text: str) -> Iterator[str]:
        """Both sides of a joint, where both are known."""
        marked = [match.span() for match in MARKED.finditer(text)]
        for joint in JOINTS:
            place = text.find(joint)
            while place > 0:
                inside = any(start <= place < end for start, end in marked)
                left = None if inside else self._find(text[:place])
                right = None if left is None else self._find(text[place + len(joint) :])
                if left is not None and right is not None:
                    yield f"{left}{joint}{right}"
                place = text.find(joint, place + 1)
