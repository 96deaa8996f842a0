"""The sonar look: hollow, ridge, slope and wall in closed form, rays cast one by one, common practice, refusals."""

from itertools import pairwise
from math import atan2, degrees, hypot, inf, radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.sonar import Mode, Target, best_look, detail_m, look
from opsrisk.reference import sonar as published

OVERVIEW = Mode("overview", 1200.0, 20.0, 0.25, 0.5, 40.0)
CLOSE = Mode("close", 2000.0, 12.0, 0.1, 0.3, 12.0)
FLAT = ((0.0, 10.0), (50.0, 10.0))
HOLLOW = ((0.0, 10.0), (14.0, 10.0), (14.5, 12.0), (20.0, 12.0), (20.5, 10.0), (50.0, 10.0))
RIDGE = ((0.0, 10.0), (10.0, 10.0), (10.5, 7.0), (11.0, 10.0), (50.0, 10.0))
BODY = Target(distance_m=18.0, height_m=0.4, width_m=1.7)


def seen(bottom, tilt=5.0, sonar_depth=8.0, target=BODY, mode=OVERVIEW):
    return look(mode=mode, tilt_deg=tilt, sonar_depth_m=sonar_depth, bottom=bottom, target=target)


def test_a_body_on_a_flat_bottom_is_seen():
    """2 m above a flat bottom, tilted 5 degrees down, a body 18 m off is in the beam and nothing hides it."""
    found = seen(FLAT)
    assert found.verdict == "seen"
    assert found.share_seen == 1.0
    assert found.see_in_from_m == inf
    assert found.range_m == pytest.approx(hypot(18, 1.8))


def test_a_level_sonar_near_the_bottom_passes_over_a_hollow():
    """From 1 m above the bottom the rim of a 2 m hollow hides the body; from high enough it shows, at that very depth."""
    low = seen(HOLLOW, sonar_depth=9.0)
    assert low.verdict == "in the shadow"
    rim_14, body_18 = (14.0, 10.0), (18.0, 12.0)
    line_up = body_18[1] - (body_18[1] - rim_14[1]) * 18.0 / (18.0 - rim_14[0])
    assert low.see_in_from_m == pytest.approx(line_up)
    risen = look(mode=OVERVIEW, tilt_deg=30, sonar_depth_m=max(0.0, line_up), bottom=HOLLOW, target=BODY)
    assert risen.verdict == "seen"


def test_a_narrow_level_beam_looks_over_a_target_below_it():
    """A 12 degree beam held level from 5 m up sees nothing 8 m off; the look says so and says the tilt."""
    target = Target(8.0, 0.4, 1.7)
    found = seen(FLAT, tilt=0, sonar_depth=5.0, target=target, mode=CLOSE)
    assert found.verdict == "below the beam"
    low, high = found.tilts_deg
    assert low == pytest.approx(degrees(atan2(5.0, 8.0)) - 6)
    assert high == pytest.approx(degrees(atan2(4.6, 8.0)) + 6)
    assert seen(FLAT, tilt=(low + high) / 2, sonar_depth=5.0, target=target, mode=CLOSE).verdict == "seen"


def test_a_beam_tilted_too_far_has_the_target_above_it():
    """Tilted 60 degrees down, the beam meets the bottom long before the target."""
    assert seen(FLAT, tilt=60).verdict == "above the beam"


def test_a_ridge_hides_the_foot_first():
    """Behind a ridge the foot goes first: the share seen is what stands above the line of sight over the crest."""
    tall = Target(18.0, 3.0, 3.0)
    found = seen(RIDGE, tilt=0, sonar_depth=6.0, target=tall)
    sight = 6.0 + (7.0 - 6.0) / 10.5 * 18.0
    assert found.verdict == "partly seen"
    assert found.share_seen == pytest.approx((sight - 7.0) / 3.0)


def test_a_wall_taller_than_the_beam_has_no_tilt_that_shows_all_of_it():
    """A 10 m wall 5 m off is taller than a 20 degree beam: it is partly seen and no tilt is offered."""
    bottom = ((0.0, 12.0), (50.0, 12.0))
    found = seen(bottom, tilt=20, sonar_depth=7.0, target=Target(5.0, 10.0, 3.0))
    assert found.verdict == "partly seen"
    assert found.tilts_deg is None


def test_range_limits_of_the_mode():
    """Beyond the greatest and inside the least range of a mode nothing is seen, whatever the angles."""
    assert seen(FLAT, mode=CLOSE, target=Target(30.0, 0.4, 1.7)).verdict == "out of range"
    near = Mode("near", 1200.0, 60.0, 0.25, 5.0, 40.0)
    found = seen(FLAT, mode=near, tilt=40, target=Target(2.0, 0.4, 1.7))
    assert found.verdict == "too near"
    assert found.share_seen == 0.0


def test_finger_width_at_thirty_feet_is_what_a_close_beam_gives():
    """Common practice: 1 to 2 cm at 30 ft. Beams 0.0625 to 0.125 degrees apart are that wide there."""
    thirty_feet = published.CLOSE_WORK_RANGE.si
    detail = detail_m(range_m=thirty_feet, beam_spacing_deg=CLOSE.beam_spacing_deg)
    assert published.FINGER_WIDTH_LOW.si <= detail <= published.FINGER_WIDTH_HIGH.si


def test_the_closer_mode_wins_within_its_range_and_the_overview_beyond_it():
    """At 8 m the finer mode is chosen, at 18 m the one that reaches."""
    tilts = tuple(range(0, 46, 5))
    near = best_look(
        modes=(OVERVIEW, CLOSE), tilts_deg=tilts, sonar_depth_m=7.0, bottom=FLAT, target=Target(8.0, 0.4, 1.7)
    )
    far = best_look(modes=(OVERVIEW, CLOSE), tilts_deg=tilts, sonar_depth_m=7.0, bottom=FLAT, target=BODY)
    assert near[0].name == "close"
    assert near[2].verdict == "seen"
    assert near[1] == 20
    assert far[0].name == "overview"


@st.composite
def scenes(draw):
    """A rough bottom of up to six points, a sonar above it, a target on it, a beam and a tilt."""
    distances = sorted(draw(st.sets(st.integers(1, 38), min_size=1, max_size=5)))
    bottom = (
        (0.0, draw(st.floats(6, 12))),
        *((float(d), draw(st.floats(4, 14))) for d in distances),
        (40.0, draw(st.floats(4, 14))),
    )
    sonar = draw(st.floats(0.5, 0.95)) * bottom[0][1]
    target = Target(draw(st.floats(2, 39)), draw(st.floats(0.2, 3)), 1.0)
    return {"mode": Mode("any", 1200.0, draw(st.floats(4, 60)), 0.2, 0.0, 500.0), "tilt_deg": draw(st.floats(-20, 60)),
            "sonar_depth_m": sonar, "bottom": bottom, "target": target}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(scenes())
def test_rays_cast_one_by_one_agree(scene):
    """Rays to 100 points up the target, each stepped along 150 points of the bottom: the same share, within one point."""
    found = look(**scene)
    bottom, sonar, target = scene["bottom"], scene["sonar_depth_m"], scene["target"]

    def floor(x):
        for (x0, z0), (x1, z1) in pairwise(bottom):
            if x0 <= x <= x1:
                return z0 + (z1 - z0) * (x - x0) / (x1 - x0)
        raise AssertionError(x)

    corners = [x for x, _ in bottom if 0 < x < target.distance_m]
    steps = sorted([target.distance_m * i / 150 for i in range(150)] + corners)
    foot = floor(target.distance_m)
    half = radians(scene["mode"].vertical_beam_deg / 2)
    hits = 0
    for point in range(100):
        z = foot - target.height_m * (point + 0.5) / 100
        angle = atan2(z - sonar, target.distance_m)
        free = all(floor(x) >= sonar + tan(angle) * x - 1e-9 for x in steps)
        hits += free and abs(angle - radians(scene["tilt_deg"])) <= half
    assert found.share_seen == pytest.approx(hits / 100, abs=0.0201)


@settings(max_examples=100, deadline=None)
@given(scenes())
def test_rising_to_the_stated_depth_clears_every_ridge(scene):
    """From the stated depth, with a beam that takes in everything, the whole target shows; a step lower it does not."""
    found = look(**scene)
    if not 0.1 < found.see_in_from_m < scene["sonar_depth_m"] - 0.2:
        return
    wide = {"mode": Mode("wide", 1200.0, 120.0, 0.2, 0.0, 500.0), "tilt_deg": 20.0}
    above = look(**scene | wide | {"sonar_depth_m": found.see_in_from_m - 0.01})
    below = look(**scene | wide | {"sonar_depth_m": found.see_in_from_m + 0.1})
    assert above.see_in_from_m == inf
    assert below.share_seen < 1.0


GOOD = {"mode": OVERVIEW, "tilt_deg": 5.0, "sonar_depth_m": 8.0, "bottom": FLAT, "target": BODY}


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"tilt_deg": 91}, "tilt_deg"),
        ({"sonar_depth_m": 10.0}, "sonar_depth_m"),
        ({"bottom": ((0.0, 10.0), (15.0, 10.0))}, "bottom"),
        ({"bottom": ((0.0, 10.0), (30.0, 10.0), (20.0, 9.0))}, "bottom"),
        ({"bottom": ((5.0, 10.0), (30.0, 10.0))}, "bottom"),
        ({"bottom": ((0.0, 10.0), (30.0, float("nan")))}, "bottom depth_m"),
    ],
)
def test_a_scene_it_cannot_read_is_refused(change, argument):
    """A bottom that stops short, runs backward or starts elsewhere, and a sonar in the mud, are refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        look(**GOOD | change)
    assert refusal.value.argument == argument


def test_a_mode_or_target_out_of_range_is_refused():
    """Papers that cannot be true are refused when they are typed in."""
    with pytest.raises(OutOfRange, match="frequency_khz"):
        Mode("x", 5000.0, 20.0, 0.2, 0.5, 40.0)
    with pytest.raises(OutOfRange, match="greatest_range_m"):
        Mode("x", 1200.0, 20.0, 0.2, 5.0, 4.0)
    with pytest.raises(OutOfRange, match="height_m"):
        Target(5.0, 0.0, 1.0)
    with pytest.raises(OutOfRange, match="modes and tilts_deg"):
        best_look(modes=(), tilts_deg=(0.0,), sonar_depth_m=8.0, bottom=FLAT, target=BODY)
