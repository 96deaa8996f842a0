"""What a decision may read: every input, its kind and its order from harmless to worst.

Names are the paths of the situation document, so that a reason, a limit and an answer on the tablet
carry the same name. Which values count as bad, and how bad, is the protocol's; only the order of a
category and the direction in which a quantity gets worse are fixed here, because they are the
meaning of the words.
"""

from dataclasses import dataclass

from opsrisk.reference.units import si_unit, to_si

YES_NO = ("yes", "no")
NO_YES = ("no", "yes")

POSITIONS = (
    "supervisor",
    "diver",
    "standby_diver",
    "diver_tender",
    "standby_tender",
    "vehicle_pilot",
    "tether_handler",
    "medic",
)
STATES = ("filled", "qualified", "ready", "sole_duty")
VEHICLE_POSITIONS = ("vehicle_pilot", "tether_handler")


@dataclass(frozen=True)
class Quantity:
    """A measured input. `worse` is 'higher' or 'lower'; `lowest`..`highest` bound what is possible (SI)."""

    name: str
    units: tuple[str, ...]
    worse: str
    lowest: float
    highest: float
    places: int
    label: str

    @property
    def si(self) -> str:
        return si_unit(self.units[0])


@dataclass(frozen=True)
class Category:
    """An ordered input: `values` from harmless to worst."""

    name: str
    values: tuple[str, ...]
    label: str


@dataclass(frozen=True)
class Configuration:
    """A choice that is neither better nor worse in itself: what is proven is proven within each value."""

    name: str
    values: tuple[str, ...]
    label: str


Input = Quantity | Category | Configuration

SPEED, LENGTH, TEMPERATURE = ("kn", "m/s", "ft/s", "km/h"), ("ft", "m"), ("C", "F")

_QUANTITIES = (
    # The ranges are what water, weather and people can show, not what anyone should dive in. Their worse ends are
    # round numbers of the trade, so that a protocol can name the same end as the worst that it decides on.
    Quantity("readings.current", SPEED, "higher", 0.0, to_si("20", "kn"), 3, "Current at the work depth"),
    Quantity("readings.visibility", LENGTH, "lower", 0.0, 100.0, 2, "Underwater visibility"),
    Quantity("readings.depth", ("ft", "m", "fsw", "msw"), "higher", 0.0, to_si("1000", "ft"), 2, "Depth at the target"),
    Quantity("readings.water_temperature", TEMPERATURE, "lower", -2.5, 45.0, 1, "Water temperature"),
    Quantity("readings.air_temperature", TEMPERATURE, "lower", -60.0, 60.0, 1, "Air temperature"),
    Quantity("readings.wind_speed", ("kn", "m/s", "mph", "km/h"), "higher", 0.0, to_si("120", "kn"), 2, "Wind speed"),
    Quantity("readings.wave_height", LENGTH, "higher", 0.0, to_si("90", "ft"), 2, "Wave height"),
    Quantity("readings.ice_thickness", ("cm", "in"), "lower", 0.0, 5.0, 3, "Ice thickness"),
    Quantity("readings.daylight_left", ("min",), "lower", 0.0, 1440.0, 0, "Daylight left"),
    Quantity("dive.bottom_time", ("min",), "higher", 0.0, 600.0, 0, "Planned bottom time"),
    Quantity("support.care_minutes", ("min",), "higher", 0.0, 10080.0, 0, "Time to definitive care"),
    Quantity("support.chamber_minutes", ("min",), "higher", 0.0, 10080.0, 0, "Time to a recompression chamber"),
    Quantity("vehicle.depth_rating", LENGTH, "lower", 0.0, 11000.0, 1, "Depth rating of the vehicle"),
    Quantity(
        "computed.vehicle_current_limit",
        SPEED,
        "lower",
        0.0,
        to_si("20", "kn"),
        2,
        "Greatest current in which the vehicle holds station",
    ),
    Quantity(
        "computed.vehicle_reach", LENGTH, "lower", 0.0, 11000.0, 1, "Depth that the tether reaches with slack to spare"
    ),
    Quantity("computed.wind_chill", TEMPERATURE, "lower", -100.0, 60.0, 1, "Wind chill on the surface crew"),
    Quantity("computed.heat", TEMPERATURE, "higher", -60.0, 60.0, 1, "Heat on the surface crew"),
    Quantity("computed.water_heat", TEMPERATURE, "higher", -2.5, 45.0, 1, "Warm water on the diver"),
    Quantity(
        "computed.hours_awake", ("h",), "higher", 0.0, 14400.0, 0, "Longest time awake of anyone in a diving position"
    ),
    Quantity(
        "computed.dives_24h", ("",), "higher", 0.0, 20.0, 0, "Most dives in 24 hours of anyone in a diving position"
    ),
    Quantity("computed.gas_minutes", ("min",), "lower", 0.0, 10000.0, 1, "Breathing gas at depth above the reserve"),
    Quantity("computed.no_stop_minutes", ("min",), "lower", 0.0, 10000.0, 0, "No-stop time today"),
)

_CATEGORIES = (
    Category("task.target", ("not_needed", "confirmed", "contact", "none_located"), "Target"),
    Category("hazards.entanglement", ("none", "light", "moderate", "severe"), "Entanglement"),
    Category("hazards.overhead", ("open", "restricted", "overhead"), "Way to the surface"),
    Category("hazards.pressure_difference", ("none", "isolated", "possible", "uncontrolled"), "Pressure difference"),
    Category("hazards.contamination", ("none", "low", "moderate", "high", "extreme"), "Contamination"),
    Category("hazards.vessel_traffic", ("none", "controlled", "uncontrolled"), "Vessel traffic"),
    Category("hazards.lightning", NO_YES, "Lightning"),
    Category("hazards.ice_cover", ("none", "broken", "solid"), "Ice cover"),
    Category("dive.line", ("tended", "untended", "none"), "Line to the diver"),
    Category("dive.voice", YES_NO, "Voice link with the diver"),
    Category("dive.kit_checked", YES_NO, "Kit checked"),
    Category("dive.recall_signal", YES_NO, "Recall signal agreed"),
    Category("dive.plan_unchanged", YES_NO, "Plan as briefed"),
    Category("dive.cold_gear", YES_NO, "Breathing gear rated for cold water"),
    Category("support.emergency_plan", YES_NO, "Emergency plan"),
    Category("vehicle.available", YES_NO, "Vehicle at the site and working"),
    Category("vehicle.imaging_sonar", YES_NO, "Imaging sonar on the vehicle"),
    *(
        Category(
            f"positions.{position}.{state}",
            YES_NO,
            f"{position.replace('_', ' ').capitalize()}: {state.replace('_', ' ')}",
        )
        for position in POSITIONS
        for state in STATES
    ),
)

_CONFIGURATIONS = (
    Configuration("task.gain", ("rescue", "nobody_to_save"), "Somebody to save"),
    Configuration("dive.breathing", ("scuba", "surface_supplied"), "Breathing supply"),
    Configuration("vehicle.owned", ("no", "yes"), "Vehicle in the team's kit"),
)

_ALL: tuple[Input, ...] = (*_QUANTITIES, *_CATEGORIES, *_CONFIGURATIONS)
INPUTS: dict[str, Input] = {item.name: item for item in _ALL}

DECISIONS = ("divers", "divers_with_controls", "vehicle_first", "vehicle_only", "hold")
DIVERS, DIVERS_WITH_CONTROLS, VEHICLE_FIRST, VEHICLE_ONLY, HOLD = range(5)

FLAGS = (
    "no_supervisor", "supervisor_diving", "no_standby", "standby_not_ready", "no_tender", "untended", "no_voice",
    "no_recall_signal", "no_emergency_plan", "unqualified", "alone", "overhead", "pressure_difference", "entanglement",
    "contamination", "vessel_traffic", "lightning", "ice", "depth_over_limit", "current_over_limit", "low_visibility",
    "cold", "gas_short", "no_stop_short", "care_far", "repeat_dives", "fatigue", "kit_unchecked", "plan_changed",
    "target_unconfirmed", "no_gain", "rescue_window_closed", "vehicle_cannot_hold", "vehicle_unavailable",
    "reading_stale", "unknown_inputs",
)  # fmt: skip


def quantity(name: str) -> Quantity:
    """The quantity of that name; raises TypeError for another kind of input, KeyError for none."""
    item = INPUTS[name]
    if isinstance(item, Quantity):
        return item
    raise TypeError(f"{name} is no quantity")


def graded(name: str) -> Category | Configuration:
    """The category or configuration of that name; raises TypeError for a quantity, KeyError for none."""
    item = INPUTS[name]
    if isinstance(item, Quantity):
        raise TypeError(f"{name} is a quantity")
    return item


def index_of(name: str, value: str) -> int:
    """Place of `value` in the order of category or configuration `name`; raises ValueError if it is not one."""
    return graded(name).values.index(value)
