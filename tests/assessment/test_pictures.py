"""Pictures of a plan: complete in words, readable in grey, inside their frame, and true to the numbers."""

import re
from xml.etree import ElementTree

import pytest

from opsrisk.assessment.pictures.drawn import pictures
from opsrisk.assessment.pictures.svg import Scale, arrow, picture, plain, ticks, words
from tests.assessment.computing import EXAMPLES, q
from tests.assessment.planned import INPUTS, by_name, changed, inputs, planned

SVG = "{http://www.w3.org/2000/svg}"
FLAT = [{"distance": q(0, "m"), "depth": q(11, "m")}, {"distance": q(40, "m"), "depth": q(11, "m")}]
TABLE = changed(INPUTS, {"station_windows": None, "table_windows": {"turns": EXAMPLES["table_windows"]["turns"]}})
RIVER = changed(
    INPUTS,
    {
        "station_windows": None,
        "river_windows": {name: EXAMPLES["river_windows"][name] for name in ("releases", "until", "limit")},
    },
)
CASES = {
    "as planned": INPUTS,
    "metres": inputs(units="metric"),
    "flat bottom": inputs(sonar_look__bottom=FLAT),
    "strong, up-current": inputs(
        tether_shape__bearing=q(180, "deg"), tether_shape__profile=[{"depth": q(0, "m"), "speed": q(3, "kn")}]
    ),
    "down-current": inputs(tether_shape__bearing=q(0, "deg")),
    "many tracks": inputs(search_effort__width=q(500, "m"), search_effort__length=q(20, "m")),
    "long area": inputs(search_effort__width=q(5, "m"), search_effort__length=q(4000, "m")),
    "hidden all around": inputs(sonar_look__target_distance=q(13, "m")),
    "no window": inputs(station_windows__limit=q(0.05, "kn")),
    "three days": inputs(station_windows__hours="72"),
    "table": TABLE,
    "river": RIVER,
}


@pytest.fixture(scope="module")
def drawn():
    return {name: pictures(planned(given)) for name, given in CASES.items()}


def tree_of(text):
    return ElementTree.fromstring(text)  # noqa: S314 - drawn by this program a moment ago


def trees(drawn):
    return [(f"{case}, {name}", tree_of(text)) for case in drawn for name, text in drawn[case].items()]


def test_each_plan_has_its_four_pictures(drawn):
    """Window, tether, sonar and search, whatever the current is known by."""
    for case, found in drawn.items():
        kinds = {name.replace("table", "station").replace("river", "station") for name in found}
        assert kinds == {"station_windows", "tether_shape", "sonar_look", "search_effort"}, case


def test_each_says_in_words_what_it_shows(drawn):
    """A title and a description, named by the picture's own label."""
    for name, tree in trees(drawn):
        title, description = tree.find(f"{SVG}title"), tree.find(f"{SVG}desc")
        assert tree.get("role") == "img", name
        assert tree.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
        assert len(title.text) > 10 and len(description.text) > 40, name


def test_none_needs_colour(drawn):
    """Every ink is a grey, so that a photocopy says the same."""
    for case in drawn:
        for name, text in drawn[case].items():
            for red, green, blue in re.findall(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})", text):
                levels = [int(part, 16) for part in (red, green, blue)]
                assert max(levels) - min(levels) <= 24, (case, name, levels)


def test_none_carries_style_script_or_address(drawn):
    """A page's content policy takes each as it is."""
    for case in drawn:
        for text in drawn[case].values():
            assert not re.search(r"style=|<style|<script|href|url\(|on\w+=", text)


def coordinates(tree):
    for element in tree.iter():
        for name, value in element.attrib.items():
            if name in ("x", "x1", "x2", "cx"):
                yield "across", float(value)
            elif name in ("y", "y1", "y2", "cy"):
                yield "down", float(value)
            elif name == "points":
                for pair in value.split():
                    x, y = map(float, pair.split(","))
                    yield "across", x
                    yield "down", y


def test_nothing_is_drawn_outside_the_frame(drawn):
    """Everything lies inside the view box."""
    for name, tree in trees(drawn):
        _, _, wide, high = map(float, tree.get("viewBox").split())
        for axis, value in coordinates(tree):
            assert -1 <= value <= (wide if axis == "across" else high) + 1, (name, axis, value)


def test_text_is_large_enough_on_paper(drawn):
    """At 90 mm wide no letter is smaller than 6.9 pt."""
    for name, tree in trees(drawn):
        wide = float(tree.get("viewBox").split()[2])
        for text in tree.iter(f"{SVG}text"):
            assert float(text.get("font-size")) / wide * 90 / 0.3528 >= 6.9, name


def texts(text):
    return [one.text for one in tree_of(text).iter(f"{SVG}text")]


def test_window_names_limit_and_recall(drawn):
    """The limit's number, the recall's time, and what the vehicle holds beside it."""
    found = texts(drawn["as planned"]["station_windows"])
    assert {"limit 0.8", "recall 09:42"} <= set(found)
    assert any(text.startswith("vehicle holds") for text in found)
    assert not any(text.startswith("recall") for text in texts(drawn["no window"]["station_windows"]))


def test_sonar_says_what_the_number_says(drawn):
    """Hidden behind the rim, showing on a flat bottom; the shadow is drawn only where there is one."""
    assert "target: hidden" in texts(drawn["as planned"]["sonar_look"])
    assert "target: will show" in texts(drawn["flat bottom"]["sonar_look"])
    assert "#50585f" in drawn["as planned"]["sonar_look"]
    assert "#50585f" not in drawn["flat bottom"]["sonar_look"]


def test_tether_bows_with_the_current(drawn):
    """Across the stream the line bows to the side that the current goes; along it, it stays straight from above."""
    rows = by_name(planned(INPUTS))["tether_shape"]["answers"][-1]["rows"]
    assert min(float(row["aside"]) for row in rows) < -5
    straight = by_name(planned(CASES["down-current"]))["tether_shape"]["answers"][-1]["rows"]
    assert max(abs(float(row["aside"])) for row in straight) < 0.1


def test_search_draws_as_many_tracks_as_it_counts(drawn):
    """One arrow for each."""
    number = by_name(planned(INPUTS))["search_effort"]
    tracks = int(next(one["value"] for one in number["answers"] if one["name"] == "vehicle_tracks"))
    assert drawn["as planned"]["search_effort"].count("<polygon") == tracks


def test_names_that_people_type_stay_text():
    """An obstacle's name cannot become a drawing."""
    named = inputs(tether_shape__obstacles=[INPUTS["tether_shape"]["obstacles"][0] | {"name": "<b>&\"'</b>"}])
    text = pictures(planned(named))["tether_shape"]
    assert "<b>" not in text
    assert "<b>&\"'</b>" in texts(text)


def test_same_plan_same_drawing(drawn):
    """To the letter: a sheet may be drawn again."""
    assert pictures(planned(INPUTS)) == drawn["as planned"]


def test_axes_have_round_numbers():
    """Few ticks, all inside, and captions without idle digits."""
    assert ticks(0, 11, 5) == [0, 5, 10]
    assert ticks(-2.6, 2.6, 5) == [-2, 0, 2]
    assert ticks(3, 3) == [3]
    assert [plain(value) for value in (0.8, 12.5, 196.85, 0.001, -3)] == ["0.8", "12.5", "197", "0", "-3"]
    assert Scale(0, 0, 10, 20)(0) == 10


def test_shapes_are_plain_text():
    """A short arrow is a dot; words are escaped; a picture is one element."""
    assert arrow((0, 0), (1, 1)).startswith("<circle")
    assert "&lt;" in words((0, 0), "<")
    whole = picture("x", 10, title="a & b", description="c", parts=[])
    assert tree_of(whole).find(f"{SVG}title").text == "a & b"
