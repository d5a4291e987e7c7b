"""What the shop subject registers: triggers after every migrate, and the checks that read them back."""

from collections.abc import Sequence
from typing import Any

from django.core import checks
from django.db import connections
from django.db.models.signals import post_migrate
from django.db.utils import DatabaseError

from shopapp.shop import ledgers, trigrams


def lay_triggers(sender: Any, using: str, **kwargs: Any) -> None:
    """Lay the triggers that a migration dropped or that a new table lacks, and the index that was refused before."""
    if sender.label == "shopapp":
        ledgers.lay(connections[using])
        trigrams.lay(connections[using])


post_migrate.connect(lay_triggers, dispatch_uid="shop.lay_triggers")


@checks.register(checks.Tags.database)
def triggers_in_place(databases: Sequence[str] | None = None, **kwargs: Any) -> list[checks.CheckMessage]:
    """Read every trigger back (runs with `check --database default`, migrate and at the start of run.sh)."""
    found: list[checks.CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        try:
            tables = set(connection.introspection.table_names())
            have = ledgers.present(connection)
        except DatabaseError:
            continue
        for trigger in ledgers.triggers(connection):
            if trigger.table in tables and trigger.name not in have:
                found.append(
                    checks.Error(
                        f"The trigger {trigger.name} is missing: {trigger.table} could be changed.",
                        hint="Run manage.py migrate; it lays the triggers again.",
                        id="shop.E001",
                    )
                )
    return found


@checks.register(checks.Tags.database)
def sqlite_is_safe(databases: Sequence[str] | None = None, **kwargs: Any) -> list[checks.CheckMessage]:
    """Read back what house rules ask of SQLite: foreign keys on, FULL, rollback journal."""
    found: list[checks.CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        if connection.vendor != "sqlite":
            continue
        with connection.cursor() as cursor:
            for pragma, wanted in (("foreign_keys", 1), ("synchronous", 2), ("journal_mode", "delete")):
                cursor.execute(f"PRAGMA {pragma}")
                value = cursor.fetchone()[0]
                if value != wanted and not (pragma == "journal_mode" and value == "memory"):
                    found.append(
                        checks.Error(f"SQLite's {pragma} is {value!r}, not {wanted!r}.", id="shop.E002")
                    )
    return found


HINTS = {
    "postgresql": "As PostgreSQL's superuser run CREATE EXTENSION pg_trgm in this database, then migrate.",
    "sqlite": "Run manage.py migrate; it lays the table of parts again (SQLite 3.34 or newer with FTS5).",
}


@checks.register(checks.Tags.database)
def trigrams_in_place(databases: Sequence[str] | None = None, **kwargs: Any) -> list[checks.CheckMessage]:
    """Say where the search goes on without its trigram index: it finds the same, more slowly."""
    found: list[checks.CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        try:
            missing = "shopapp_searchterm" in connection.introspection.table_names() and not trigrams.present(
                connection
            )
        except DatabaseError:
            continue
        if missing:
            found.append(
                checks.Warning(
                    "The search has no trigram index: parts of words are found by reading every term.",
                    hint=HINTS[connection.vendor],
                    id="shop.W001",
                )
            )
    return found
