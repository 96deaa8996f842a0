"""What is measured on a printed sheet, gate by gate: the number found, the limit, and whether it holds.

Numbers of the gates (B1 to B17) are those of the requirements for printed checklists. `docs/measurements/sheet_gates.py`
prints them; test_gates.py asserts every one. What needs people (reading speed, read-backs) is not here.
"""

import io
import itertools
import re
from dataclasses import dataclass

import pikepdf

from opsrisk.briefing.sheet.standing import END
from tests.briefing import printed

CAP_HEIGHT = 0.668  # of Atkinson Hyperlegible, as a share of its size
MM = 72 / 25.4
OWN_FONTS = {"Sheet", "Sheet-Bold", "Sheet-Extended", "Sheet-Extended-Bold", "Sheet-Symbols"}
KEYS = ("why", "abort", "people", "signals", "emergency", "controls", "sum", "signatures", "cautions", "recheck")
SKELETON = {  # of a briefing, and the blocks that carry it
    "situation": ("why",),
    "task": ("task",),
    "people": ("people",),
    "communications": ("signals",),
    "emergency": ("emergency",),
    "risk: hazards and controls": ("controls",),
    "risk: when to decide again": ("recheck", "abort"),
    "questions and brief-back": ("brief-back",),
}


@dataclass(frozen=True)
class Gate:
    number: str
    what: str
    found: float
    limit: str
    holds: bool
    unit: str = ""


def least(number, what, found, limit, unit=""):
    return Gate(number, what, found, f"at least {limit}", found >= limit - 1e-6, unit)


def most(number, what, found, limit, unit=""):
    return Gate(number, what, found, f"at most {limit}", found <= limit + 1e-6, unit)


def gates(kind, paper):
    """Every gate of one sheet."""
    found = [
        *fonts(kind, paper),
        *sizes(kind, paper),
        *lines_and_emphasis(kind, paper),
        contrast(kind, paper),
        gap(kind, paper),
    ]
    together = sum(not gate.holds for gate in found)
    return [
        *found,
        most("B6", "gates B1 to B5 that do not hold, all at once", together, 0),
        *pages(kind, paper),
        page_one(kind, paper),
        *content(kind, paper),
    ]


def chars(kind, paper):
    """What is printed; sizes rounded to the tenth, since a file's matrices lose the last digits."""
    found = [char for page in printed.pages(kind, paper) for char in page["all"] if char["text"].strip()]
    return [char | {"size": round(char["size"], 1)} for char in found]


def squeezed(text):
    return re.sub(r"[\s‐-]", "", text)


def fonts(kind, paper):
    with pikepdf.open(io.BytesIO(printed.pdf(kind, paper))) as pdf:
        described = [
            one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor"
        ]
        outside = sum("/FontFile2" not in one and "/FontFile3" not in one for one in described)
        strange = {str(one.FontName).split("+")[-1] for one in described} - OWN_FONTS
    return [
        most("B1", "fonts that are not in the file", outside, 0),
        most("B1", "fonts other than the committed sans serif, whose 0, O, 1, l, I differ", len(strange), 0),
    ]


def sizes(kind, paper):
    all_sizes = [c["size"] for c in chars(kind, paper)]
    page, sheet = printed.pages(kind, paper)[0], printed.sheet(kind, paper)
    tongue = printed.tongue(kind)
    labels = [f"{tongue.say(label)}:" for label in ("Recall", "Clock")]
    critical = [squeezed(words) for words in (sheet.verdict.word, sheet.verdict.until, *labels)]
    critical += [squeezed(row.value).removesuffix("…") for block in sheet.front for row in block.rows if row.critical]
    large = squeezed("".join(c["text"] for c in page["chars"] if round(c["size"], 1) >= 14))
    return [
        least("B2", "smallest character", min(all_sizes), 9, "pt"),
        least("B2", "share of characters of 11 pt or more", sum(s >= 11 for s in all_sizes) / len(all_sizes), 0.5),
        least("B2", "capitals at the size of critical values", 14 * CAP_HEIGHT / MM, 2.8, "mm"),
        most("B2", "critical values on page one smaller than 14 pt", sum(w not in large for w in critical), 0),
    ]


def lines_and_emphasis(kind, paper):
    page = printed.pages(kind, paper)[0]
    body = [c for c in page["chars"] if round(c["size"]) == 11]
    middle, ratios = page["size"][0] / 2, []
    for side in ([c for c in body if c["x1"] < middle], [c for c in body if c["x0"] > middle]):
        rows = sorted({round(c["bottom"], 1) for c in side})
        ratios += [(below - above) / 11 for above, below in itertools.pairwise(rows) if below - above > 2]
    text = " ".join(one["text"] for one in printed.pages(kind, paper)).replace(printed.sheet(kind, paper).head.code, "")
    runs = re.findall(r"\b[A-Z]{4,}(?: [A-Z]{4,})+\b", text)
    slanted = [c for c in chars(kind, paper) if "Italic" in c["fontname"] or "Oblique" in c["fontname"]]
    return [
        least("B3", "from line to line, as a share of the size (rounded to 0.1 pt)", min(ratios) + 0.1 / 11, 1.25),
        most("B3", "characters in italics", len(slanted), 0),
        most("B3", "runs of words in capitals", len(runs), 0),
    ]


def contrast(kind, paper):
    """Black text everywhere; the darkest ground under it is the decision map's."""
    darkest_text = max(max(_parts(c["non_stroking_color"])) for c in chars(kind, paper))
    ground = _light(0xDE / 255)
    return least("B4", "contrast, on the darkest ground", (ground + 0.05) / (_light(darkest_text) + 0.05), 15, ": 1")


def _parts(colour):
    return [float(part) for part in (colour if isinstance(colour, tuple | list) else (colour or 0,))]


def _light(grey):
    return grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4


def gap(kind, paper):
    page, gaps = printed.pages(kind, paper)[0], [0.0]
    for label, value in itertools.pairwise(page["words"]):
        same_line = abs(label["bottom"] - value["bottom"]) < 3
        same_column = (label["x1"] < page["size"][0] / 2) == (value["x0"] < page["size"][0] / 2)
        if label["text"].endswith(":") and same_line and same_column:
            gaps.append((value["x0"] - label["x1"]) / MM)
    return most("B5", "from the end of a label to its value", max(gaps), 25, "mm")


def pages(kind, paper):
    sheet, found = printed.sheet(kind, paper), printed.pages(kind, paper)
    words = "Página {} de {}" if kind in printed.SPANISH else "Page {} of {}"
    counted = sum(words.format(n, len(found)) in page["text"] for n, page in enumerate(found, 1))
    ends = [n for n, page in enumerate(found, 1) if sheet.end in printed.flat(page["text"])]
    wide, high = printed.SIZES_PT[paper]
    edges = [
        edge for page in found for c in page["all"] for edge in (c["x0"] / MM, (wide - c["x1"]) / MM, c["top"] / MM)
    ]
    bottom = min((high - c["bottom"]) / MM for page in found for c in page["all"])
    return [
        most("B7", "pages without their number and count", len(found) - counted, 0),
        most("B7", "blocks split over pages", split_blocks(sheet, found), 0),
        most("B7", "pages between the line that ends the sheet and the last page", len(found) - max([0, *ends]), 0),
        least("B7", "margin at sides and top", min(edges), 6.3, "mm"),
        least("B7", "margin at the foot", bottom, 4.2, "mm"),
    ]


def split_blocks(sheet, found):
    texts = [squeezed("".join(c["text"] for c in page["all"])) for page in found]
    split = 0
    for block in sheet.back:
        here = [i for i, text in enumerate(texts) if squeezed(f"{block.number} {block.title}") in text]
        last = (block.rows[-1].cells or (block.rows[-1].value,))[-1]
        split += not any(squeezed(last) in texts[i] for i in here)
    return split


def page_one(kind, paper):
    text = squeezed("".join(c["text"] for c in printed.pages(kind, paper)[0]["all"]))
    sheet = printed.sheet(kind, paper)
    blocks = {block.key: block for block in sheet.front}
    missing = [k for k in KEYS if k not in blocks or squeezed(f"{blocks[k].number} {blocks[k].title}") not in text]
    return most(
        "B8", "of ten keys, those not on page one", len(missing) + (squeezed(sheet.verdict.word) not in text), 0
    )


def content(kind, paper):
    sheet = printed.sheet(kind, paper)
    record = printed.MAKE[kind]()[0]
    text = squeezed("".join(c["text"] for page in printed.pages(kind, paper) for c in page["all"]))
    given = [one for one in record["situation"].get("readings", {}).values() if one["value"] != "unknown"]
    shown = [printed.tongue(kind).number(one["value"]) for one in given]
    silent = [value for value in shown if squeezed(value) not in text]
    front = [block.key for block in sheet.front]
    first = [key for key in ("why", "abort") if front.index(key) > front.index("controls")]
    keys = {re.sub(r"-[0-9]+$", "", block.key) for block in (*sheet.front, *sheet.back)}  # in parts or not
    lacking = [name for name, blocks in SKELETON.items() if not keys & set(blocks)]
    return [
        most("B10", "readings without the value that was observed", len(silent), 0),
        most("B11", "of reasons and abort, those behind the controls", len(first), 0),
        most("B12", "items in a block", max(len(b.rows) for b in (*sheet.front, *sheet.back)), 9),
        most("B13", "closing calls missing at the end", int(sheet.end != printed.tongue(kind).say(END)), 0),
        most("B17", "parts of the briefing's skeleton missing", len(lacking), 0),
        least("B17", "trigger points for deciding again", len(blocks_rows(sheet, "recheck", "abort")), 1),
    ]


def blocks_rows(sheet, *keys):
    return [row for block in sheet.front if block.key in keys for row in block.rows]
