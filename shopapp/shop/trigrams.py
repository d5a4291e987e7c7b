"""The trigram index of the search terms: where a part of a word of three characters is looked up.

On PostgreSQL these are two indexes that need the extension pg_trgm, which the database's owner may usually make: one
of words and one of numbers, so that a name is not looked for through every serial that shares its trigrams. On SQLite
it is a full-text table beside the terms, kept by triggers. Where the database refuses it the search goes on without,
and a system check says so.
"""

from __future__ import annotations

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import DatabaseError

from shopapp.shop.services.search_terms import NUMBER_KINDS

_NUMBERS = ", ".join(f"'{kind}'" for kind in sorted(NUMBER_KINDS))
INDEXES = {
    "search_number_parts": f"kind IN ({_NUMBERS})",
    "search_word_parts": f"NOT (kind IN ({_NUMBERS}))",
}
"""PostgreSQL's indexes by what they hold. Whoever looks for a part says which half, or each half by itself."""
PARTS = "search_key_parts"
TABLE = "shopapp_searchterm"
SHORTEST = 3
"""Nothing helps a part of fewer characters: it is looked up as a beginning."""

_ADD = f"INSERT INTO {PARTS} (rowid, key) VALUES (NEW.id, NEW.key);"
_TAKE = f"INSERT INTO {PARTS} ({PARTS}, rowid, key) VALUES ('delete', OLD.id, OLD.key);"
TRIGGERS = {
    f"{PARTS}_added": f"AFTER INSERT ON {TABLE} BEGIN {_ADD} END",
    f"{PARTS}_gone": f"AFTER DELETE ON {TABLE} BEGIN {_TAKE} END",
    f"{PARTS}_changed": f"AFTER UPDATE OF id, key ON {TABLE} BEGIN {_TAKE} {_ADD} END",
}
_seen: set[str] = set()


def lay(connection: BaseDatabaseWrapper) -> bool:
    """Lay the index where it is missing; give False where the database refuses it."""
    if TABLE not in connection.introspection.table_names() or present(connection):
        return True
    statements = _postgres() if connection.vendor == "postgresql" else _sqlite()
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement)
    except DatabaseError:
        return False
    return True


def _postgres() -> list[str]:
    return [
        "CREATE EXTENSION IF NOT EXISTS pg_trgm",
        "DROP INDEX IF EXISTS search_key_trigrams",
        *(
            f"CREATE INDEX IF NOT EXISTS {name} ON {TABLE} USING gin (key gin_trgm_ops) WHERE {held}"
            for name, held in INDEXES.items()
        ),
    ]


def _sqlite() -> list[str]:
    """Make the table of parts anew from the terms: a rebuild of their table drops the triggers silently."""
    return [
        *(f"DROP TRIGGER IF EXISTS {name}" for name in TRIGGERS),
        f"DROP TABLE IF EXISTS {PARTS}",
        f"CREATE VIRTUAL TABLE {PARTS} USING fts5 "
        f"(key, content='{TABLE}', content_rowid='id', tokenize='trigram case_sensitive 1')",
        f"INSERT INTO {PARTS} ({PARTS}) VALUES ('rebuild')",
        *(f"CREATE TRIGGER {name} {what}" for name, what in TRIGGERS.items()),
    ]


def present(connection: BaseDatabaseWrapper) -> bool:
    """Read back whether the index is there and whole."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT count(*) FROM pg_index JOIN pg_class ON pg_class.oid = indexrelid "
                "WHERE relname = ANY(%s) AND indisvalid",
                [list(INDEXES)],
            )
            return bool(cursor.fetchone()[0] == len(INDEXES))
        names = [PARTS, *TRIGGERS]
        cursor.execute(
            f"SELECT count(*) FROM sqlite_master WHERE name IN ({', '.join(['%s'] * len(names))})", names
        )
        return bool(cursor.fetchone()[0] == len(names))


def of_use(connection: BaseDatabaseWrapper) -> bool:
    """Say whether SQLite's table of parts is there to be asked; once seen, it is not looked for again."""
    name = str(connection.settings_dict["NAME"])
    if name not in _seen and present(connection):
        _seen.add(name)
    return name in _seen


def phrase(key: str) -> str:
    """Quote a folded text for SQLite's table of parts: whatever it holds is text, never a rule of its language."""
    return '"' + key.replace('"', '""') + '"'
