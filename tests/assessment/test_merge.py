"""Two tablets revised one assessment apart: nothing vanishes, and what both changed stands at its worse until a person chooses."""

import copy
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.assessment.assess import assess
from opsrisk.assessment.merge import NotMergeable, merge
from opsrisk.assessment.record import canonical
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.inputs import DECISIONS, INPUTS, Category
from opsrisk.protocols.shipped import FIXTURES, baseline

BASE = read_situation((FIXTURES / "situations" / "example.json").read_text()).document
CURRENT, VISIBILITY = "readings.current", "readings.visibility"


def changed(**fields):
    made = copy.deepcopy(BASE)
    for path, value in fields.items():
        section, name = path.split("__")
        made.setdefault(section, {})
        made[section] = (made[section] if isinstance(made[section], dict) else {}) | {name: value}
    return made


def knots(value, **more):
    return {"value": value, "unit": "kn", "how": "measured"} | more


def test_nothing_changed_is_the_same():
    """Three equal ones give the same again."""
    found = merge(BASE, BASE, BASE)
    assert canonical(found["situation"]) == canonical(BASE)
    assert found["taken"] == found["conflicts"] == []


def test_each_side_keeps_what_only_it_changed():
    """A reading here, a hazard there: both are in."""
    mine, theirs = changed(readings__current=knots("0.4")), changed(hazards__contamination="low")
    found = merge(BASE, mine, theirs)
    assert found["situation"]["readings"]["current"]["value"] == "0.4"
    assert found["situation"]["hazards"]["contamination"] == "low"
    assert [one["field"] for one in found["taken"]] == ["hazards.contamination"]
    assert found["conflicts"] == []


@pytest.mark.parametrize(
    ("field", "mine", "theirs", "stands"),
    [
        ("readings__current", knots("0.4"), knots("1.9"), knots("1.9")),
        ("readings__current", knots("1"), {"value": "1", "unit": "ft/s", "how": "measured"}, knots("1")),
        ("readings__current", knots("1", low="0.5", high="2.5"), knots("2"), knots("1", low="0.5", high="2.5")),
        (
            "readings__visibility",
            {"value": "2", "unit": "ft"},
            {"value": "1", "unit": "m"},
            {"value": "2", "unit": "ft"},
        ),
        ("hazards__entanglement", "severe", "light", "severe"),
        ("dive__voice", "yes", "unknown", "unknown"),
        ("dive__breathing", "scuba", "surface_supplied", "unknown"),
        ("readings__current", "unknown", knots("0.1"), "unknown"),
    ],
)
def test_the_worse_stands_whichever_side_it_is_on(field, mine, theirs, stands):
    """In the exact unit, at the worst end of its bounds; not known is the worst; without an order, not known."""
    base = changed(
        **{field: knots("9") if "current" in field else {"value": "9", "unit": "m"} if "visib" in field else "x"}
    )
    section, name = field.split("__")
    for one, other in ((mine, theirs), (theirs, mine)):
        found = merge(base, changed(**{field: one}), changed(**{field: other}))
        assert found["situation"][section][name] == stands
        assert [(each["field"], each["chosen"]) for each in found["conflicts"]] == [(f"{section}.{name}", "")]


def test_a_person_chooses():
    """Then the chosen side stands, and the conflict says so with all three values."""
    mine, theirs = changed(readings__current=knots("0.4")), changed(readings__current=knots("1.9"))
    found = merge(BASE, mine, theirs, {CURRENT: "mine"})
    assert found["situation"]["readings"]["current"]["value"] == "0.4"
    (one,) = found["conflicts"]
    assert (one["base"], one["mine"]["value"], one["theirs"]["value"]) == (BASE["readings"]["current"], "0.4", "1.9")


@pytest.mark.parametrize("chosen", [{CURRENT: "both"}, {VISIBILITY: "mine"}])
def test_a_choice_that_is_none_is_refused(chosen):
    """Neither side, or a field on which the two agree."""
    mine, theirs = changed(readings__current=knots("0.4")), changed(readings__current=knots("1.9"))
    with pytest.raises(NotMergeable, match="accepted"):
        merge(BASE, mine, theirs, chosen)


def test_a_position_takes_the_worse_of_each_part():
    """Two people named for one post: nobody is, and the post counts as ready only if both say so."""
    mine = changed(positions__diver={"filled": "yes", "qualified": "yes", "ready": "no", "person": "a"})
    theirs = changed(positions__diver={"filled": "yes", "qualified": "unknown", "ready": "yes", "person": "b"})
    stands = merge(changed(positions__diver="unknown"), mine, theirs)["situation"]["positions"]["diver"]
    assert stands == {"filled": "yes", "qualified": "unknown", "ready": "no"}


def test_somebody_of_the_crew_takes_the_worse_of_each_part():
    """Less fit, longer awake, and only the papers that both know of."""
    people = [
        [{"id": "a", "name": "A", "fit": fit, "hours_awake": hours, "qualifications": papers}]
        for fit, hours, papers in (("yes", "4", ["x"]), ("yes", "12", ["x", "y"]), ("no", "9", ["y"]))
    ]
    found = merge(*({**BASE, "people": each} for each in people))
    (person,) = found["situation"]["people"]
    assert (person["fit"], person["hours_awake"], person["qualifications"]) == ("no", "12", ["y"])


def test_somebody_taken_off_by_one_side_and_changed_by_the_other_stays():
    """A list of people can only make the answer more cautious; the conflict is there to be chosen."""
    people = [{"id": name, "name": name, "hours_awake": "4"} for name in "ab"]
    tired = [people[0] | {"hours_awake": "18"}, people[1]]
    base, off, tired = ({**BASE, "people": each} for each in (people, people[1:], tired))
    for sides in ((off, tired), (tired, off)):
        found = merge(base, *sides)
        assert {one["id"]: one["hours_awake"] for one in found["situation"]["people"]} == {"a": "18", "b": "4"}
        assert [one["field"] for one in found["conflicts"]] == ["people.a"]


def leaves(document, path=()):
    for name, inner in document.items():
        if name not in ("format", "assessed_at"):
            yield (*path, name)
            if isinstance(inner, dict) and "unit" not in inner:
                yield from leaves(inner, (*path, name))


def altered(document, path, how):
    """A copy with one part taken out, said not to be known, or (people) changed."""
    made = copy.deepcopy(document)
    at = made
    for name in path[:-1]:
        at = at.get(name) if isinstance(at, dict) else None
    if not isinstance(at, dict) or path[-1] not in at:
        return made
    if how == "left out":
        del at[path[-1]]
    elif how == "not known":
        at[path[-1]] = "unknown"
    elif isinstance(at[path[-1]], list):
        at[path[-1]] = [one | {"hours_awake": "18"} for one in at[path[-1]]][1:]
    return made


@settings(max_examples=100)
@given(st.data())
def test_whatever_two_tablets_leave_out_what_is_put_together_can_be_read(data):
    """Sections, fields and people taken out or called not known on either side: never a document that is refused."""
    crew = [{"id": name, "name": name, "fit": "yes", "hours_awake": "4", "dives_24h": "0"} for name in "abc"]
    base = read_situation(json.dumps({**BASE, "people": crew})).document
    paths = list(leaves(base))
    sides = []
    for _ in range(2):
        side = base
        for _ in range(data.draw(st.integers(1, 3))):
            how = data.draw(st.sampled_from(["left out", "not known", "changed"]))
            path = ("people",) if how == "changed" else data.draw(st.sampled_from(paths))
            side = altered(side, path, how)
        sides.append(read_situation(json.dumps(side)).document)
    found = merge(data.draw(st.sampled_from([base, None])), *sides)
    read_situation(json.dumps(found["situation"]))


CATEGORIES = [name for name, item in INPUTS.items() if isinstance(item, Category) and name.split(".")[0] == "hazards"]


@settings(max_examples=25)
@given(st.data())
def test_what_both_changed_decides_no_less_cautiously_than_either(data):
    """Whatever the two say about the same hazards and current, unchosen the decision is the more cautious one's."""
    fields = data.draw(st.lists(st.sampled_from(CATEGORIES), min_size=1, max_size=4, unique=True))
    sides = []
    for _ in range(2):
        values = {one.replace(".", "__"): data.draw(st.sampled_from(INPUTS[one].values)) for one in fields}
        sides.append(changed(readings__current=knots(data.draw(st.sampled_from(["0.1", "0.9", "2.5"]))), **values))
    found = merge(None, *sides)["situation"]
    decided = [
        DECISIONS.index(assess(read_situation(json.dumps(one)), baseline())["decision"]) for one in (found, *sides)
    ]
    assert decided[0] >= max(decided[1:])
    assert canonical(merge(None, *reversed(sides))["situation"]) == canonical(found)
