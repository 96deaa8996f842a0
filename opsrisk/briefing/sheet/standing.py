"""Items that stand on every sheet whatever was recorded. Common practice, without a published source.

The agency's own plan and the supervisor's own words come first; these fill in what nobody wrote.
"""

ABORT = (
    "Voice or line to a diver lost",
    "Standby diver or a tender not ready",
    "A diver at turn pressure or out of time",
    "Lightning, or a boat under way nearby",
    "Anyone calls stop",
)
RECHECK = (
    "Any person, position, task or target changes",
    "Any reading gets worse, or is too old",
    "Before each new diver enters",
)
EMERGENCY = (
    "Recall every diver. Count heads.",
    "Standby diver on the supervisor's word only.",
    "Call emergency services: who, where, way in.",
    "Decompression: a diving physician as well.",
    "First aid and oxygen as trained.",
    "Write down times. Leave the kit as it is.",
)
END = "End of sheet. Say when it is true: briefing complete, all have briefed back."
NOT_WRITTEN = "not written down: say it aloud now"
CAPTIONS = (
    "The water",
    "The entry point",
    "The gauge",
    "The structure",
    "Something else",
)  # of photos, as the tablet offers them
