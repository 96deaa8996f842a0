"""The invented county: its water by real physics, its past operations by a seeded generator.

Nothing here decides anything. Situations go through the same reader, engine, records and actions as a
supervisor's own.
"""
