"""Page one runs the dive: every key is on it, however much there is to say, and nothing is lost behind it."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.briefing.pdf import laid_out, pages_of_front
from opsrisk.briefing.sheet.room import MOST_ROWS, PAPERS, block_mm
from tests.briefing import printed, records
from tests.briefing.test_pencil import composed, text_of

EVERY = [(kind, paper) for kind in printed.KINDS for paper in printed.PAPERS]
KEYS = ("why", "abort", "people", "signals", "emergency", "controls", "sum", "signatures", "cautions", "recheck")


@pytest.fixture(params=EVERY, ids="-".join)
def made(request):
    return request.param


def squeezed(text):
    """Letters only: where a line was broken does not matter."""
    return re.sub(r"[\s‐-]", "", text)


def test_the_keys_are_on_page_one(made):
    """Decision, what fired, who is in the water, abort, recall, emergency plan, controls, sum and names: page one."""
    sheet, first = printed.sheet(*made), printed.pages(*made)[0]
    text = squeezed("".join(c["text"] for c in first["all"]))
    assert {block.key for block in sheet.front} >= set(KEYS)
    assert squeezed(sheet.verdict.word) in text
    for block in sheet.front:
        assert squeezed(f"{block.number} {block.title}") in text
        assert block.rows, block.key
        for row in block.rows:
            assert squeezed(row.label) in text
            assert squeezed(row.value) in text, (block.key, row.value)


def test_positions_in_the_water_and_all_stops_begin_on_page_one(made):
    """The diver and the standby diver are named on page one; where anything stops the dive, a stop is printed there."""
    sheet = printed.sheet(*made)
    by_key = {block.key: block for block in sheet.front}
    assert [row.label.split(",")[0] for row in by_key["people"].rows[:2]] == [
        printed.tongue(made[0]).say(name) for name in ("Diver", "Standby diver")
    ]
    stops = printed.MAKE[made[0]]()[0]["decision"]["stops"]
    assert not stops or by_key["why"].rows[0].critical


def test_what_does_not_fit_is_behind_and_page_one_says_where(made):
    """Every block that was cut names the block and the page where it goes on, and it does go on there."""
    sheet, pages = printed.sheet(*made), printed.pages(*made)
    behind = {block.number: block for block in sheet.back}
    for block in sheet.front:
        if block.continues:
            onward = behind[block.continues]
            more, page = block.more
            said = re.search(rf"{more}: {block.continues}, {page} (\d+)", printed.flat(pages[0]["text"]))
            assert said, block.key
            there = squeezed("".join(c["text"] for c in pages[int(said.group(1)) - 1]["all"]))
            assert squeezed(f"{onward.number} {onward.title}") in there


def test_nothing_is_lost(made):
    """What a record says and page one could not hold is printed whole behind it."""
    record, signatures = printed.MAKE[made[0]]()
    text = squeezed("".join(c["text"] for page in printed.pages(*made) for c in page["all"]))
    text = re.sub(r"(?:Code|Código).{10},Revisi[oó]n\d+,.{4,60}?(?:Page|Página)\d+(?:of|de)\d+", "", text)
    say = printed.tongue(made[0]).say
    for item in (*record["decision"]["stops"], *record["decision"]["triggers"], *record["decision"]["controls"]):
        assert squeezed(say(item["text"])) in text
    for item in signatures:
        assert squeezed(item["name"]) in text
    for person in record["situation"].get("people", ()):
        assert squeezed(person["name"]) in text
    for words in record["brief"].values():
        for sentence in words.splitlines()[0].split(". ")[:1]:
            assert text.count(squeezed(sentence)) >= 1


def test_four_thousand_characters_are_all_there():
    """Remarks of 4,000 characters and a reason as long are printed whole, in parts that no page breaks."""
    sheet = printed.sheet("crowded", "letter")
    said = "".join(row.value for block in sheet.back if block.key.startswith("text-remarks") for row in block.rows)
    assert squeezed(said) == squeezed(records.REMARKS)
    reason = "".join(
        r.value for b in sheet.back if b.key.startswith("override-more") for r in b.rows if "Reason" in r.label
    )
    assert squeezed(reason) == squeezed(records.REMARKS)


def test_no_block_is_split_over_pages(made):
    """Each block's number, title and last words are on one page."""
    sheet, pages = printed.sheet(*made), printed.pages(*made)
    texts = [squeezed("".join(c["text"] for c in page["all"])) for page in pages]
    for block in sheet.back:
        here = [i for i, text in enumerate(texts) if squeezed(f"{block.number} {block.title}") in text]
        last = (block.rows[-1].cells or (block.rows[-1].value,))[-1]
        assert any(squeezed(last) in texts[i] for i in here), block.key


def test_at_most_nine_items_a_block(made):
    """Long lists are cut into named parts of at most nine items."""
    sheet = printed.sheet(*made)
    assert max(len(block.rows) for block in (*sheet.front, *sheet.back)) <= MOST_ROWS
    titles = [block.title for block in sheet.back]
    assert len(titles) == len(set(titles))


def test_page_one_is_one_page(made):
    """The front never runs onto a second page."""
    assert pages_of_front(printed.document(*made)) == 1


WORDS = st.text(st.characters(codec="latin-1", exclude_categories=("Cc",)), max_size=400)


BRIEF = st.fixed_dictionaries(dict.fromkeys(("task", "recall", "radio", "emergency"), WORDS))


@settings(max_examples=12)
@given(brief=BRIEF, place=WORDS, paper=st.sampled_from(printed.PAPERS))
def test_any_words_leave_page_one_on_one_page(brief, place, paper):
    """Whatever the supervisor wrote, page one stays one page."""
    record = records.record(brief=brief)
    record["operation"]["place"] = place
    sheet = composed(record, records.signatures(), paper)
    assert pages_of_front(laid_out(sheet, paper)) == 1


def test_the_columns_are_within_the_room():
    """The estimate behind the layout: no column of any sheet is taller than the paper allows."""
    for kind, paper in EVERY:
        sheet, size = printed.sheet(kind, paper), PAPERS[paper]
        wide = sum(block_mm(block, size.wide_mm) for block in (*sheet.top, *sheet.foot))
        column = max(sum(block_mm(b, size.column_mm) for b in side) for side in (sheet.left, sheet.right))
        assert wide + column + 22 <= size.high_mm


def test_both_papers_say_the_same():
    """A4 and Letter print the same words, though page one may hold a row more on one of them."""
    for kind in printed.KINDS:
        a4, letter = (text_of(printed.sheet(kind, paper)) for paper in printed.PAPERS)
        assert set(re.findall(r"[A-Za-z]{5,}", a4)) == set(re.findall(r"[A-Za-z]{5,}", letter))
