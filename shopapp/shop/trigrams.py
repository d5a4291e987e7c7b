"""The trigram index of the search terms: on PostgreSQL alone, where a part of a word of three characters uses it.

It needs the extension pg_trgm, which the database's owner may usually make; where that is refused the search goes on
without the index, and a system check says so.
"""

from __future__ import annotations

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import DatabaseError

INDEX = "search_key_trigrams"
SHORTEST = 3
"""Nothing helps a part of fewer characters: it is looked up as a beginning."""


def lay(connection: BaseDatabaseWrapper) -> bool:
    """Lay the index where it is missing; give False where the database refuses it. Does nothing on SQLite."""
    if (
        connection.vendor != "postgresql"
        or "shopapp_searchterm" not in connection.introspection.table_names()
    ):
        return True
    if present(connection):
        return True
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            cursor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
            cursor.execute(
                f"CREATE INDEX IF NOT EXISTS {INDEX} ON shopapp_searchterm USING gin (key gin_trgm_ops)"
            )
    except DatabaseError:
        return False
    return True


def present(connection: BaseDatabaseWrapper) -> bool:
    """Read back whether the index is there and whole."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT 1 FROM pg_index JOIN pg_class ON pg_class.oid = indexrelid WHERE relname = %s AND indisvalid",
            [INDEX],
        )
        return cursor.fetchone() is not None
