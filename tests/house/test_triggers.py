"""The database itself refuses to change a ledger or what was released: on each engine, for each table of the registry.

Seen to fail: with `ledgers.lift(connection)` at the start of a test, each refusal is missing.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction

from shopapp.shop import ledgers
from tests.faults.planting import plant, unchecked

pytestmark = pytest.mark.django_db

MODELS = {model._meta.db_table: model for model in apps.get_app_config("shopapp").get_models()}
RELEASED = dt.datetime(2026, 3, 1, 12, 0, tzinfo=dt.UTC)
OF_A_PARENT = [frozen for frozen in ledgers.FROZEN if frozen.table != frozen.parent]
PARENTS = [frozen for frozen in ledgers.FROZEN if frozen.table == frozen.parent]


def key_of(model: type[models.Model], pk: Any) -> Any:
    """Give a primary key as this engine's SQL takes it."""
    return model._meta.pk.get_db_prep_value(pk, connection)


def run(sql: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def refused(sql: str, *values: Any, words: str) -> None:
    with pytest.raises(DatabaseError, match=words), transaction.atomic():
        run(sql, *values)


def a_column(model: type[models.Model]) -> str:
    return next(field.column for field in model._meta.concrete_fields if not field.primary_key)


@pytest.mark.parametrize("table", ledgers.APPEND_ONLY)
def test_a_row_of_a_ledger_is_neither_changed_nor_deleted(table: str) -> None:
    model = MODELS[table]
    with unchecked(table):
        pk = key_of(model, plant(model))
        column = a_column(model)
        refused(
            f"UPDATE {table} SET {column} = {column} WHERE id = %s", pk, words=f"{table} is a ledger: UPDATE"
        )
        refused(f"DELETE FROM {table} WHERE id = %s", pk, words=f"{table} is a ledger: DELETE")
        assert model._base_manager.filter(pk=pk).count() == 1


@pytest.mark.parametrize("table", [*ledgers.APPEND_ONLY, *(frozen.table for frozen in ledgers.FROZEN)])
def test_a_table_is_not_emptied_at_once(table: str) -> None:
    """SQLite has no TRUNCATE: its DELETE without a condition calls the same trigger for each row."""
    if connection.vendor == "postgresql":
        refused(f"TRUNCATE {table} CASCADE", words="is a ledger: TRUNCATE refused")
        return
    model = MODELS[table]
    with unchecked(table):
        frozen = next((entry for entry in PARENTS if entry.table == table), None)
        child = next((entry for entry in OF_A_PARENT if entry.table == table), None)
        if child is not None:
            parent = plant(MODELS[child.parent], released_at=None)
            plant(model, **{child.key: parent})
            run(f"UPDATE {child.parent} SET released_at = %s WHERE id = %s", RELEASED.isoformat(), parent)
        else:
            plant(model, **({"released_at": RELEASED} if frozen else {}))
        refused(f"DELETE FROM {table}", words="is a ledger|is released")


@pytest.mark.parametrize("frozen", PARENTS, ids=lambda frozen: frozen.table)
def test_what_is_released_stays_as_it_is(frozen: ledgers.Frozen) -> None:
    model = MODELS[frozen.table]
    with unchecked(frozen.table):
        pk = plant(model, released_at=RELEASED)
        for column in frozen.columns or [field.column for field in model._meta.concrete_fields]:
            refused(
                f"UPDATE {frozen.table} SET {column} = {column} WHERE id = %s",
                pk,
                words="is released: UPDATE",
            )
        refused(f"DELETE FROM {frozen.table} WHERE id = %s", pk, words="is released: DELETE")


@pytest.mark.parametrize("frozen", PARENTS, ids=lambda frozen: frozen.table)
def test_a_draft_may_be_changed_released_and_deleted(frozen: ledgers.Frozen) -> None:
    model = MODELS[frozen.table]
    with unchecked(frozen.table):
        pk, other = plant(model, released_at=None), plant(model, released_at=None)
        run(f"DELETE FROM {frozen.table} WHERE id = %s", other)
        assert model._base_manager.filter(pk=pk).update(released_at=RELEASED) == 1
        refused(
            f"UPDATE {frozen.table} SET released_at = NULL WHERE id = %s", pk, words="is released: UPDATE"
        )


def test_a_released_procedure_may_still_be_retired() -> None:
    model = MODELS["shopapp_procedure"]
    with unchecked("shopapp_procedure"):
        pk = plant(model, released_at=RELEASED)
        assert model._base_manager.filter(pk=pk).update(retired_at=RELEASED) == 1


@pytest.mark.parametrize("frozen", OF_A_PARENT, ids=lambda frozen: frozen.table)
def test_the_rows_of_what_is_released_stay(frozen: ledgers.Frozen) -> None:
    """Neither changed, nor deleted, nor added, nor moved in or out."""
    model, parents = MODELS[frozen.table], MODELS[frozen.parent]
    with unchecked(frozen.table, frozen.parent):
        draft = plant(parents, released_at=None)
        parent = plant(parents, released_at=None)
        row, loose = plant(model, **{frozen.key: parent}), plant(model, **{frozen.key: draft})
        column = a_column(model)
        run(f"UPDATE {frozen.table} SET {column} = {column} WHERE id = %s", row)
        parents._base_manager.filter(pk=parent).update(released_at=RELEASED)
        words = f"{frozen.table} is released"
        refused(f"UPDATE {frozen.table} SET {column} = {column} WHERE id = %s", row, words=words)
        refused(f"DELETE FROM {frozen.table} WHERE id = %s", row, words=words)
        refused(f"UPDATE {frozen.table} SET {frozen.key} = %s WHERE id = %s", draft, row, words=words)
        refused(f"UPDATE {frozen.table} SET {frozen.key} = %s WHERE id = %s", parent, loose, words=words)
        with pytest.raises(DatabaseError, match=words), transaction.atomic():
            plant(model, **{frozen.key: parent})
        run(f"UPDATE {frozen.table} SET {column} = {column} WHERE id = %s", loose)


def test_a_disabled_trigger_counts_as_missing() -> None:
    """PostgreSQL can switch a trigger off without dropping it."""
    if connection.vendor != "postgresql":
        return
    trigger = ledgers.triggers(connection)[0]
    run(f"ALTER TABLE {trigger.table} DISABLE TRIGGER {trigger.name}")
    assert trigger.name not in ledgers.present(connection)
