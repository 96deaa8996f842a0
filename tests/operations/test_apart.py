"""The desk shows revisions signed apart side by side, and the conditions log with who heard a recall and when."""

from opsrisk.operations.void_actions import state, void_record
from tests.operations.sending import RECEIVED, received, situation
from tests.operations.test_log import CONTENT, add, line


def reading(value):
    return {"value": value, "unit": "kn", "how": "measured"}


def test_both_values_stand_beside_each_other_and_what_stands(crew, as_person):
    """Base, one, other and the worse, by name of who decided."""
    first = received(crew)
    for number, value in ((2, "0.4"), (3, "1.9")):
        of = situation(readings__current=reading(value))
        received(crew, of, number=number, revision=2, previous=first.digest)
    page = as_person(crew.chief).get(f"/operations/{first.operation_id}/apart/").content.decode()
    assert page.index("0 kn") < page.index("0.4 kn") < page.index("1.9 kn")
    assert "<b>1.9 kn, measured</b>" in page
    assert "Side by side" in as_person(crew.chief).get(f"/operations/{first.operation_id}/").content.decode()


def test_what_each_changed_alone_is_told_of_both(crew, as_person):
    """Not only what the second took over from the first."""
    first = received(crew)
    for number, change in ((2, {"hazards__contamination": "low"}), (3, {"hazards__vessel_traffic": "controlled"})):
        received(crew, situation(**change), number=number, revision=2, previous=first.digest)
    page = as_person(crew.chief).get(f"/operations/{first.operation_id}/apart/").content.decode()
    assert "Contamination: none, now <b>low</b>" in page
    assert "Vessel traffic: none, now <b>controlled</b>" in page


def test_one_revision_needs_no_putting_together(crew, as_person):
    """And the page says so."""
    first = received(crew)
    assert (
        "One revision stands" in as_person(crew.chief).get(f"/operations/{first.operation_id}/apart/").content.decode()
    )


def test_a_void_revision_is_not_put_beside_the_one_that_stands(crew, as_person):
    """It stands no more; nobody is asked to put it together with anything."""
    first = received(crew)
    two = [received(crew, number=number, revision=2, previous=first.digest) for number in (2, 3)]
    address = f"/operations/{first.operation_id}/apart/"
    assert "One revision stands" not in as_person(crew.chief).get(address).content.decode()
    reason = "The depth was read off the wrong gauge"
    void_record(assessment=two[0], shown=state(two[0]), reason=reason, by=crew.chief, at=RECEIVED)
    assert "One revision stands" in as_person(crew.chief).get(address).content.decode()


def test_the_log_says_how_long_until_a_recall_was_heard(crew, as_person):
    """Or that nobody has said so."""
    operation = received(crew).operation
    recalls = [line(crew.diver, operation, "recall") for _ in range(2)]
    for made in recalls:
        add(crew.diver, made)
    heard = CONTENT["acknowledged"] | {"recall": recalls[0]["id"]}
    add(crew.deputy, line(crew.deputy, operation, "acknowledged", content=heard))
    page = as_person(crew.chief).get(f"/operations/{operation.pk}/").content.decode()
    assert page.count("Heard after 7 s.") == 1
    assert page.count("Nobody has said that it was heard.") == 1
    assert "Recall: from Divers may enter to Hold. Current 1.4 kn" in page
