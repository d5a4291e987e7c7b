"""Put a row straight into a table, past services and constraints: for tests of what the database itself refuses."""

from __future__ import annotations

import datetime as dt
import itertools
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from django.db import connection, models, transaction

_AT = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
_NUMBERS = itertools.count(2)


def _filler(field: models.Field[Any, Any]) -> Any:
    """Give a value of the column's type that is not NULL; numbers differ from call to call."""
    kind = field.get_internal_type()
    if isinstance(field, models.ForeignKey):
        return _filler(field.target_field)
    if kind == "UUIDField":
        return uuid.uuid4()
    if kind == "BooleanField":
        return False
    if kind == "DateTimeField":
        return _AT
    if kind == "DateField":
        return _AT.date()
    if kind == "DecimalField":
        return Decimal(1)
    if kind == "JSONField":
        return {}
    return next(_NUMBERS) if "Integer" in kind or "AutoField" in kind or kind == "FloatField" else "x"


@contextmanager
def unchecked(*tables: str) -> Iterator[None]:
    """Let rows in that no constraint would; whatever is done inside is taken back at the end.

    Foreign keys are looked at when a transaction ends, and this one never does; check constraints are lifted.
    """
    with transaction.atomic():
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA defer_foreign_keys = ON")
                cursor.execute("PRAGMA ignore_check_constraints = ON")
            else:
                for table in tables:
                    _drop_checks(cursor, table)
        try:
            yield
        finally:
            if connection.vendor == "sqlite":
                with connection.cursor() as cursor:
                    cursor.execute("PRAGMA ignore_check_constraints = OFF")
            transaction.set_rollback(True)


def _drop_checks(cursor: Any, table: str) -> None:
    cursor.execute(
        "SELECT conname FROM pg_constraint WHERE contype = 'c' AND conrelid = to_regclass(%s)", [table]
    )
    for (name,) in cursor.fetchall():
        cursor.execute(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"')


def plant(model: type[models.Model], **given: Any) -> Any:
    """Insert a row of `model` with fillers in every column that was not given; give its key (inside `unchecked`)."""
    values = {}
    for field in model._meta.concrete_fields:
        if field.attname in given:
            values[field.attname] = given[field.attname]
        elif field.null:
            values[field.attname] = None
        elif not field.primary_key or not isinstance(field, models.AutoField):
            values[field.attname] = _filler(field)
    row = model(**values)
    models.Model.save_base(row, force_insert=True, raw=True)
    return row.pk
