"""Questions of the callout: what for, where, since when, and how well the target is known."""

from opsrisk.assessment.question import Choice, Question, Screen

KIND = Question(
    "task.kind",
    "choice",
    "What are you called out for?",
    choices=(
        Choice("rescue", "Rescue", "a person is under water and may live"),
        Choice("recovery", "Recovery", "a person who cannot be saved"),
        Choice("evidence", "Evidence", "something that a court will want"),
        Choice("object", "Object", "a vehicle, a vessel or other property"),
        Choice("inspection", "Inspection", "a structure, a hull, a bottom"),
        Choice("training", "Training", "nothing has to be found today"),
    ),
)

PLACE = Question(
    "site",
    "place",
    "Where is it?",
    hint="A known place brings its position, its water and its tide station. Words are not needed.",
)

WATER = Question(
    "site.water",
    "choice",
    "What water is it?",
    choices=(
        Choice("fresh", "Fresh", "river, lake, quarry"),
        Choice("brackish", "Brackish", "a river mouth"),
        Choice("salt", "Salt", "sea, harbour"),
    ),
)

SUBMERGED = Question(
    "task.submerged_at",
    "ago",
    "How long ago did the person go under?",
    hint="From the witness. The earliest time that is plausible.",
    when=("task.kind", ("rescue", "recovery")),
    otherwise=None,
)

TARGET = Question(
    "task.target",
    "choice",
    "How well is the target known?",
    choices=(
        Choice("not_needed", "No target", "the task has nothing to find"),
        Choice("confirmed", "Confirmed", "a camera or a diver has seen it"),
        Choice("contact", "A contact", "a mark on the sonar or a witness's point, seen by nobody"),
        Choice("none_located", "Not located", "nobody knows where it lies"),
    ),
)

SCREENS = (
    Screen(
        "callout",
        "Callout",
        "What are you called out for?",
        "Only a rescue has somebody to save. For anything else nothing is gained by hurrying.",
        (KIND,),
    ),
    Screen(
        "place",
        "Callout",
        "Where is it?",
        "The position gives daylight and the forecast of the current; the water gives density.",
        (PLACE, WATER),
    ),
    Screen(
        "submerged",
        "Callout",
        "How long ago did the person go under?",
        "Time under water and water temperature say whether this is still a rescue, and until when.",
        (SUBMERGED,),
    ),
    Screen(
        "target",
        "Callout",
        "How well is the target known?",
        "A diver who goes straight to a target is in the water for less time than a diver who searches.",
        (TARGET,),
    ),
)
