"""What every screen of results, every sheet and every export says."""

CAUTIONS = (
    "Decision aid only. Local protocols, applicable law and the dive supervisor's judgement prevail; "
    "qualified and licensed people decide.",
    "No score makes a dive safe.",
    "This is not a decompression planner for decompression diving.",
    "Medical and decompression emergencies go to the emergency services and a diving physician.",
)
