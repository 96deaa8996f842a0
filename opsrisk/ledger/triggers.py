"""Triggers by which the database itself refuses a change, for SQLite and PostgreSQL.

They stop mistakes and ordinary accounts of the application; who owns the database can drop them, and the
Merkle log then shows what was altered.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Literal

Event = Literal["UPDATE", "DELETE"]

POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION opsrisk_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def refuse(
    table: str, event: Event, message: str, *, when: str = ""
) -> tuple[Callable[..., None], Callable[..., None]]:
    """Forward and backward functions for RunPython: rows of `table` refuse `event` (where `when` holds)."""
    name = f"{table}_refuses_{event.lower()}"
    condition = f"WHEN ({when})" if when else ""

    def create(apps: Any, editor: Any) -> None:
        if editor.connection.vendor == "postgresql":
            editor.execute(POSTGRES_FUNCTION, None)
            does = f"EXECUTE FUNCTION opsrisk_refuse('{message}')"
        else:
            does = f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        editor.execute(f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW {condition} {does}", None)

    def drop(apps: Any, editor: Any) -> None:
        on = f" ON {table}" if editor.connection.vendor == "postgresql" else ""
        editor.execute(f"DROP TRIGGER {name}{on}", None)

    return create, drop


def changed(columns: Iterable[str]) -> str:
    """A condition: any of `columns` changes. Both databases know IS DISTINCT FROM (SQLite from 3.39)."""
    return " OR ".join(f"OLD.{column} IS DISTINCT FROM NEW.{column}" for column in columns)


def all_of(conditions: Sequence[str]) -> str:
    return " AND ".join(f"({condition})" for condition in conditions)
