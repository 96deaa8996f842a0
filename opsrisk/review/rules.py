"""Where the limits were tight: how often each rule fired, decided, and was set aside, under each protocol version."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

MOST_RECORDS = 1000  # read whole, newest first; the page says when there are more
COLUMNS = ("protocol__protocol_id", "protocol__version", "decision", "chosen_decision", "record")  # what `rules` reads
FEW = 10  # below this a share says little
KINDS = (("stops", "Stop"), ("triggers", "Trigger"))


@dataclass(frozen=True)
class Fired:
    """One rule under one version."""

    version: str
    kind: str
    text: str
    fired: int
    decided: int
    set_aside: int  # another decision was chosen although it fired
    of: int  # assessments under that version

    @property
    def doubtful(self) -> bool:
        """Set aside in more than half of at least FEW cases: the rule or the training is wrong."""
        return self.fired >= FEW and self.set_aside * 2 > self.fired


def rules(records: Iterable[tuple[str, str, str, str]]) -> tuple[Fired, ...]:
    """The rules that fired in `records` (version, decision, chosen decision, record), the most frequent first."""
    counts: dict[tuple[str, str, str], list[int]] = {}
    texts: dict[tuple[str, str, str], str] = {}
    totals: dict[str, int] = {}
    for version, decision, chosen, record in records:
        answer = json.loads(record)["decision"]
        totals[version] = totals.get(version, 0) + 1
        because = set((answer.get("rule") or {}).get("because") or ())
        for name, kind in KINDS:
            for item in answer.get(name) or ():
                key = (version, kind, item["id"])
                texts[key] = item["text"]
                found = counts.setdefault(key, [0, 0, 0])
                for place, holds in enumerate((True, item["id"] in because, chosen != decision)):
                    found[place] += holds
    table = [
        Fired(version, kind, texts[version, kind, name], fired, decided, set_aside, totals[version])
        for (version, kind, name), (fired, decided, set_aside) in counts.items()
    ]
    return tuple(sorted(table, key=lambda row: (row.version, -row.fired, row.text)))
