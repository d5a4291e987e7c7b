"""Append-only tables and frozen rows: the one registry, and the triggers that hold it on both databases.

The triggers are laid after every migrate (a table rebuild on SQLite drops them silently) and read back by a system
check. Migrations that must touch a ledger, and the tests' flush, lift them through `lifted()`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

APPEND_ONLY: tuple[str, ...] = (
    "shopapp_act",
    "shopapp_signinattempt",
    "shopapp_paper",
    "shopapp_paperfile",
    "shopapp_contactconsent",
    "shopapp_meterreading",
    "shopapp_stockmove",
    "shopapp_lotblock",
    "shopapp_check",
    "shopapp_terms",
    "shopapp_workconsent",
    "shopapp_entry",
    "shopapp_picture",
    "shopapp_entrypicture",
    "shopapp_invoice",
    "shopapp_invoiceline",
    "shopapp_payment",
    "shopapp_signature",
    "shopapp_placing",
    "shopapp_parcel",
)


@dataclass(frozen=True)
class Frozen:
    """Rows that may not change once their parent is released.

    `parent` is the table that holds `released_at`, `key` the column of `table` that names it ("id" for itself).
    `columns` narrows which columns an UPDATE may not touch (a released procedure may still be retired).
    """

    table: str
    parent: str
    key: str
    columns: tuple[str, ...] = ()

    @property
    def update(self) -> str:
        """Give the UPDATE verb as SQL has it, with the columns that are frozen."""
        return f"UPDATE OF {', '.join(self.columns)}" if self.columns else "UPDATE"


FROZEN: tuple[Frozen, ...] = (
    Frozen("shopapp_servicespec", "shopapp_servicespec", "id"),
    Frozen("shopapp_specfigure", "shopapp_servicespec", "spec_id"),
    Frozen("shopapp_speckit", "shopapp_servicespec", "spec_id"),
    Frozen("shopapp_spectool", "shopapp_servicespec", "spec_id"),
    Frozen(
        "shopapp_procedure",
        "shopapp_procedure",
        "id",
        ("id", "name", "work", "construction", "version", "released_at", "shipped", "revision"),
    ),
    Frozen("shopapp_step", "shopapp_procedure", "procedure_id"),
)

FUNCTION = "shopapp_refuse_change"


@dataclass(frozen=True)
class Trigger:
    """One trigger: its name, its table, the statements that lay it."""

    name: str
    table: str
    sql: tuple[str, ...]


def _sqlite_triggers() -> list[Trigger]:
    found = []
    for table in APPEND_ONLY:
        for verb in ("UPDATE", "DELETE"):
            name = f"{table}_no_{verb.lower()}"
            sql = (
                f"CREATE TRIGGER {name} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is a ledger: {verb} refused'); END"
            )
            found.append(Trigger(name, table, (sql,)))
    for frozen in FROZEN:
        found.extend(_sqlite_frozen(frozen))
    return found


def _sqlite_frozen(frozen: Frozen) -> list[Trigger]:
    if frozen.table == frozen.parent:
        tests = {verb: "OLD.released_at IS NOT NULL" for verb in ("UPDATE", "DELETE")}
    else:
        exists = (
            f"EXISTS (SELECT 1 FROM {frozen.parent} p WHERE p.id = {{row}}.{frozen.key} "
            "AND p.released_at IS NOT NULL)"
        )
        old, new = exists.format(row="OLD"), exists.format(row="NEW")
        # Both rows count on UPDATE: a row can be moved neither out of a released parent nor into one.
        tests = {"INSERT": new, "UPDATE": f"{old} OR {new}", "DELETE": old}
    found = []
    for verb, when in tests.items():
        name = f"{frozen.table}_frozen_{verb.lower()}"
        sql = (
            f"CREATE TRIGGER {name} BEFORE {frozen.update if verb == 'UPDATE' else verb} ON {frozen.table} "
            f"WHEN {when} "
            f"BEGIN SELECT RAISE(ABORT, '{frozen.table} is released: {verb} refused'); END"
        )
        found.append(Trigger(name, frozen.table, (sql,)))
    return found


def _postgres_triggers() -> list[Trigger]:
    found = []
    for table in APPEND_ONLY:
        row = f"{table}_no_change"
        found.append(
            Trigger(row, table, (
                f"CREATE TRIGGER {row} BEFORE UPDATE OR DELETE ON {table} "
                f"FOR EACH ROW EXECUTE FUNCTION {FUNCTION}()",
            ))
        )  # fmt: skip
        found.append(_postgres_no_truncate(table))
    for frozen in FROZEN:
        found.append(_postgres_frozen(frozen))
        found.append(_postgres_no_truncate(frozen.table))
    return found


def _postgres_no_truncate(table: str) -> Trigger:
    name = f"{table}_no_truncate"
    return Trigger(name, table, (
        f"CREATE TRIGGER {name} BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {FUNCTION}()",
    ))  # fmt: skip


def _postgres_frozen(frozen: Frozen) -> Trigger:
    name = f"{frozen.table}_frozen"
    function = f"{name}_check"
    own = frozen.table == frozen.parent
    if own:
        test, verbs = "OLD.released_at IS NOT NULL", f"{frozen.update} OR DELETE"
    else:
        # An OLD row counts on UPDATE and DELETE, a NEW one on INSERT and UPDATE: a row cannot be moved in or out.
        exists = "EXISTS (SELECT 1 FROM {p} p WHERE p.id = {row}.{k} AND p.released_at IS NOT NULL)"
        old = exists.format(p=frozen.parent, row="OLD", k=frozen.key)
        new = exists.format(p=frozen.parent, row="NEW", k=frozen.key)
        test = f"(TG_OP <> 'INSERT' AND {old}) OR (TG_OP <> 'DELETE' AND {new})"
        verbs = "INSERT OR UPDATE OR DELETE"
    body = (
        f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF {test} THEN RAISE EXCEPTION '{frozen.table} is released: % refused', TG_OP "
        "USING ERRCODE = 'integrity_constraint_violation'; END IF; "
        "IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$"
    )
    trigger = (
        f"CREATE TRIGGER {name} BEFORE {verbs} ON {frozen.table} FOR EACH ROW EXECUTE FUNCTION {function}()"
    )
    return Trigger(name, frozen.table, (body, trigger))


_REFUSE = (
    f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
    "RAISE EXCEPTION '% is a ledger: % refused', TG_TABLE_NAME, TG_OP "
    "USING ERRCODE = 'integrity_constraint_violation'; END $$"
)


def triggers(connection: BaseDatabaseWrapper) -> list[Trigger]:
    """List the triggers that this database must have."""
    return _postgres_triggers() if connection.vendor == "postgresql" else _sqlite_triggers()


def present(connection: BaseDatabaseWrapper) -> set[str]:
    """Read back the names of the triggers that the database has, disabled ones left out."""
    if connection.vendor == "postgresql":
        sql = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    else:
        sql = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return {row[0] for row in cursor.fetchall()}


def lay(connection: BaseDatabaseWrapper) -> None:
    """Lay every trigger that is not there yet; tables that do not exist yet are left out."""
    have = present(connection)
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_REFUSE)
        for trigger in triggers(connection):
            if trigger.name not in have and trigger.table in tables:
                for statement in trigger.sql:
                    cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger away (see `lifted`)."""
    have = present(connection)
    with connection.cursor() as cursor:
        for trigger in triggers(connection):
            if trigger.name in have:
                on = f" ON {trigger.table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER {trigger.name}{on}")


@contextmanager
def lifted(using: str = "default") -> Iterator[None]:
    """Lift the triggers for a migration or the tests' flush, and lay them again whatever happens."""
    connection = connections[using]
    lift(connection)
    try:
        yield
    finally:
        lay(connection)
