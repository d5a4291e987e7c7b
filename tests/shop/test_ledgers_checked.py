"""The system checks read back what the program stands on: the ledgers' triggers, SQLite's settings, the search's index.

Seen red: with no trigger found missing, with each of SQLite's settings left out and with every one found wrong, with
no index found missing, with the table of parts alone looked for, and on PostgreSQL with a disabled trigger counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection

from shopapp.shop import handlers, ledgers, trigrams

HERE = ["default"]
only_sqlite = pytest.mark.skipif("connection.vendor != 'sqlite'", reason="SQLite's settings")
only_postgres = pytest.mark.skipif(
    "connection.vendor != 'postgresql'", reason="PostgreSQL disables a trigger"
)


def run(*statements: str) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def drop(trigger: str, table: str) -> str:
    on = f" ON {table}" if connection.vendor == "postgresql" else ""
    return f"DROP TRIGGER {trigger}{on}"


@pytest.mark.django_db
def test_all_is_in_place_and_without_a_database_nothing_is_asked() -> None:
    for check in (handlers.triggers_in_place, handlers.sqlite_is_safe, handlers.trigrams_in_place):
        assert check(databases=HERE) == []
        assert check(databases=None) == []


@pytest.mark.django_db
@pytest.mark.parametrize("table", ["shopapp_payment", "shopapp_step"])
def test_a_trigger_that_is_missing_is_named(table: str) -> None:
    gone = next(trigger for trigger in ledgers.triggers(connection) if trigger.table == table)
    run(drop(gone.name, table))
    (found,) = handlers.triggers_in_place(databases=HERE)
    assert (found.id, found.is_serious()) == ("shop.E001", True)
    assert found.msg == f"The trigger {gone.name} is missing: {table} could be changed."
    assert handlers.triggers_in_place(databases=[]) == []
    ledgers.lay(connection)
    assert handlers.triggers_in_place(databases=HERE) == []


@only_postgres
@pytest.mark.django_db
def test_a_trigger_that_is_disabled_counts_as_missing() -> None:
    gone = next(trigger for trigger in ledgers.triggers(connection) if trigger.table == "shopapp_payment")
    run(f"ALTER TABLE {gone.table} DISABLE TRIGGER {gone.name}")
    (found,) = handlers.triggers_in_place(databases=HERE)
    assert found.id == "shop.E001" and gone.name in found.msg


@contextmanager
def setting(pragma: str, value: str) -> Iterator[None]:
    """Let SQLite have another setting for a while; outside a transaction, where it takes it."""
    with connection.cursor() as cursor:
        was = cursor.execute(f"PRAGMA {pragma}").fetchone()[0]
    run(f"PRAGMA {pragma} = {value}")
    try:
        yield
    finally:
        run(f"PRAGMA {pragma} = {was}")


@only_sqlite
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("pragma", "value", "words"),
    [
        ("foreign_keys", "OFF", "SQLite's foreign_keys is 0, not 1."),
        ("synchronous", "NORMAL", "SQLite's synchronous is 1, not 2."),
        ("journal_mode", "OFF", "SQLite's journal_mode is 'off', not 'delete'."),
    ],
)
def test_a_setting_of_sqlite_that_is_off_is_named(pragma: str, value: str, words: str) -> None:
    with setting(pragma, value):
        (found,) = handlers.sqlite_is_safe(databases=HERE)
        assert (found.id, found.msg, found.is_serious()) == ("shop.E002", words, True)
    assert handlers.sqlite_is_safe(databases=HERE) == []


@pytest.mark.django_db
def test_a_search_without_its_index_is_warned_of() -> None:
    if connection.vendor == "sqlite":
        run(f"DROP TRIGGER {trigrams.PARTS}_changed")
    else:
        run(f"DROP INDEX {sorted(trigrams.INDEXES)[0]}")
    (found,) = handlers.trigrams_in_place(databases=HERE)
    assert (found.id, found.is_serious()) == ("shop.W001", False)
    assert found.msg.startswith("The search has no trigram index")
    assert found.hint == handlers.HINTS[connection.vendor]
    assert trigrams.lay(connection) is True
    assert handlers.trigrams_in_place(databases=HERE) == []
