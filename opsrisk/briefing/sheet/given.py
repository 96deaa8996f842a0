"""What a sheet is made from: the signed record and who signed it. Nothing is computed again here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from opsrisk.assessment.language import as_written
from opsrisk.assessment.words import CAUTION_ORDER, UNKNOWN, Clock, choice_word, in_order, one_line, quantity

Json = Mapping[str, Any]


@dataclass(frozen=True)
class Given:
    """One record with what surrounds it. `names` maps person ids to printed names."""

    record: Json
    digest: str
    signatures: Sequence[Json] = ()
    names: Mapping[str, str] | None = None
    agency: str = ""
    state: str = ""
    address: str = ""
    void: Json | None = None  # at, by (name), reason of a record declared void
    briefing: Json | None = None  # who has said what back, as `read_back.briefing` gives it

    @property
    def decision(self) -> Json:
        found: Json = self.record["decision"]
        return found

    @property
    def plan(self) -> Json:
        """The plan as it was signed; empty where the record has none."""
        found: Json = _table(_table(self.record.get("plan")).get("answer"))
        return found

    @property
    def situation(self) -> Json:
        found: Json = self.record["situation"]
        return found

    @property
    def brief(self) -> Json:
        return _table(self.record.get("brief"))

    @property
    def chosen(self) -> str:
        """The decision in force: the supervisor's where one was made, otherwise the computed one."""
        return str(_table(self.record.get("chosen")).get("decision") or self.decision["decision"])

    @property
    def overridden(self) -> bool:
        return self.chosen != self.decision["decision"]

    @property
    def less_careful(self) -> bool:
        """Whether the supervisor chose less caution than was computed."""
        order = CAUTION_ORDER
        known = self.chosen in order and self.decision["decision"] in order
        return known and order.index(self.chosen) < order.index(str(self.decision["decision"]))

    @property
    def divers_enter(self) -> bool:
        """Whether the decision in force lets a diver into the water, at once or after the vehicle."""
        return self.chosen not in ("vehicle_only", "hold")

    @cached_property
    def clock(self) -> Clock:
        return Clock.of(self.situation.get("assessed_at") or self.record.get("made_at"))

    @property
    def people(self) -> list[Json]:
        """Everybody recorded at the site."""
        found = self.situation.get("people")
        return [entry for entry in found if isinstance(entry, Mapping)] if isinstance(found, list | tuple) else []

    def part(self, name: str) -> Json:
        """A group of the situation; empty where the supervisor recorded none."""
        return _table(self.situation.get(name))

    def entries(self, name: str) -> list[tuple[str, Any]]:
        """The entries of a group in the order of the questions."""
        return in_order(name, self.part(name))

    def items(self, name: str) -> Sequence[Json]:
        """A list of the decision document."""
        found = self.decision.get(name)
        return [item for item in found if isinstance(item, Mapping)] if isinstance(found, Sequence) else ()

    def person(self, who: Any) -> str:
        """The printed name of a person, or the id where no name is known; marked as what is said in no language."""
        if not who or who == UNKNOWN:
            return ""
        for entry in self.people:
            if entry.get("id") == who and entry.get("name"):
                return as_written(one_line(entry["name"]))
        signed = {str(item.get("person")): one_line(item.get("name")) for item in self.signatures}
        return as_written((self.names or {}).get(str(who)) or signed.get(str(who)) or one_line(who))

    def words(self, name: str) -> str:
        """What the supervisor wrote for the briefing under `name`, in one line, marked as that."""
        return as_written(one_line(self.brief.get(name)))

    def answer(self, path: str) -> str:
        """What was answered to the question `path` ('hazards.lightning'), in words."""
        group, _, name = path.partition(".")
        value = self.part(group).get(name)
        return quantity(value) if isinstance(value, Mapping) else choice_word(path, value)


def _table(value: Any) -> Json:
    return value if isinstance(value, Mapping) else {}
