"""Text on the desk can be read: at least 7:1 everywhere (WCAG 2.2, 1.4.6), parts of controls at least 3:1."""

import itertools
import re

import pytest

from tests.house.reading import PACKAGE

STYLE = (PACKAGE / "static" / "opsrisk.css").read_text()
NAMED = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6});", STYLE))
DECISIONS = ("divers", "divers-with-controls", "vehicle-first", "vehicle-only")


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("ground", ["paper", "ground", "note"])
@pytest.mark.parametrize("text", ["ink", "ink-quiet", "act", "wrong"])
def test_text_on_every_ground_is_at_least_7_to_1(text, ground):
    """No rounding: 6.999 fails."""
    assert contrast(NAMED[text], NAMED[ground]) >= 7


def test_text_on_a_button_is_at_least_7_to_1():
    """And the other way round for the quiet one."""
    assert contrast(NAMED["act-ink"], NAMED["act"]) >= 7


@pytest.mark.parametrize("decision", DECISIONS)
def test_the_word_of_a_decision_is_black_on_a_light_ground(decision):
    """At least 9:1, large and bold."""
    assert contrast("#000000", NAMED[decision]) >= 9


def test_hold_is_white_on_black():
    """21:1."""
    assert contrast("#ffffff", NAMED["hold"]) == pytest.approx(21)


def test_a_grey_copy_keeps_the_order_of_the_decisions():
    """From white to black in the order of caution, each step to be told from the next."""
    steps = [luminance(NAMED[name]) for name in (*DECISIONS, "hold")]
    assert all(lighter > darker * 1.05 for lighter, darker in itertools.pairwise(steps))


@pytest.mark.parametrize("part", ["line", "focus"])
@pytest.mark.parametrize("ground", ["paper", "ground"])
def test_edges_and_focus_are_at_least_3_to_1(part, ground):
    """WCAG 2.2, 1.4.11."""
    assert contrast(NAMED[part], NAMED[ground]) >= 3
