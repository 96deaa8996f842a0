"""Ice: the published table row by row, white and river ice, its ends, refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.physics.ice import INCH_M, POUND_KG, Ice, bearing_kg, carries, effective_thickness_m, thickness_needed_m
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference.ice import CAPACITY


@pytest.mark.parametrize(("inches", "pounds"), CAPACITY.rows)
def test_every_row_of_the_published_table(inches, pounds):
    """Clear ice of each printed thickness carries the printed load, to half a pound."""
    ice = Ice(clear_m=float(inches) * INCH_M)
    assert bearing_kg(ice) == pytest.approx(float(pounds) * POUND_KG, abs=0.5 * POUND_KG)
    assert thickness_needed_m(load_kg=float(pounds) * POUND_KG) == pytest.approx(float(inches) * INCH_M)


def test_below_four_inches_nothing_is_carried():
    """3.9 inches have no row in the table: the answer is nothing, not 760 lb."""
    assert bearing_kg(Ice(clear_m=3.9 * INCH_M)) == 0.0
    assert not carries(Ice(clear_m=3.9 * INCH_M), load_kg=80)
    assert thickness_needed_m(load_kg=1.0) == pytest.approx(4 * INCH_M)


def test_white_ice_counts_half():
    """4 in of clear under 4 in of white ice are as good as 6 in; 8 in of white alone as good as 4 in."""
    assert effective_thickness_m(Ice(4 * INCH_M, 4 * INCH_M)) == pytest.approx(6 * INCH_M)
    assert bearing_kg(Ice(4 * INCH_M, 4 * INCH_M)) == pytest.approx(1800 * POUND_KG)
    assert bearing_kg(Ice(0.0, 8 * INCH_M)) == pytest.approx(800 * POUND_KG)


def test_river_ice_is_fifteen_percent_weaker():
    """8 in over moving water carry 2,720 lb instead of 3,200."""
    assert bearing_kg(Ice(8 * INCH_M, river=True)) == pytest.approx(2720 * POUND_KG)
    assert thickness_needed_m(load_kg=2720 * POUND_KG, river=True) == pytest.approx(8 * INCH_M)


def test_beyond_the_table_nothing_more_is_promised():
    """A metre of ice is taken as 20 in, the last row; a heavier load has no answer."""
    assert bearing_kg(Ice(clear_m=1.0)) == pytest.approx(20_000 * POUND_KG)
    with pytest.raises(OutOfRange, match="load_kg"):
        thickness_needed_m(load_kg=20_001 * POUND_KG)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 0.3), st.booleans())
def test_more_ice_never_carries_less(clear, white, more, river):
    """Another layer of either kind does not weaken it."""
    assert bearing_kg(Ice(clear + more, white, river)) >= bearing_kg(Ice(clear, white, river))
    assert bearing_kg(Ice(clear, white + more, river)) >= bearing_kg(Ice(clear, white, river))


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: Ice(-0.1), "clear_m"),
        (lambda: Ice(0.1, float("nan")), "white_m"),
        (lambda: carries(Ice(0.2), load_kg=-1), "load_kg"),
    ],
)
def test_what_is_no_ice_is_refused(call, argument):
    """Out of range is refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == argument
