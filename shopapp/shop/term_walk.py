"""Reading search terms of several kinds of row in one statement: of each kind the first by key, or the open ones.

One statement, because each one costs the database more than what it reads; and of each kind apart, because a walk
over all kinds at once would give the first kind alone where one beginning is everywhere.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from shopapp.shop.finding import LAST
from shopapp.shop.models import SearchTerm

KINDS: Mapping[str, tuple[str, ...]] = {
    "damper": ("tag", "serial", "model"),
    "order": ("order",),
    "customer": ("name", "phone", "email"),
    "vehicle": ("name", "plate", "vin"),
    "invoice": ("invoice",),
}
"""What each kind of row is found by; `terms_of` of its subject gives no other kind."""

_COLUMNS = "id, key, kind, weight, target_kind, target_id"
_TABLE = SearchTerm._meta.db_table


def some_of_each(key: str, kinds: Mapping[str, Collection[str]], *, most: int) -> list[SearchTerm]:
    """Read what begins with `key`: of each kind of row at most `most` terms of the kinds given, in their order."""
    parts, given = [], []
    for target, among in kinds.items():
        where, params = _where(key, target, among)
        parts.append(f"SELECT {_COLUMNS} FROM {_TABLE} WHERE {where} ORDER BY key LIMIT %s")
        given += [*params, most]
    return _read(parts, given)


def some_of_these(
    key: str, kinds: Mapping[str, Collection[str]], ids: Mapping[str, Collection[int]], *, most: int
) -> list[SearchTerm]:
    """Read what begins with `key` among the rows named by `ids`: of each kind of row at most `most` terms."""
    parts, given = [], []
    for target, among in kinds.items():
        named = sorted(ids.get(target, ()))
        if named:
            where, params = _where(key, target, among)
            held = ", ".join(["%s"] * len(named))
            parts.append(f"SELECT {_COLUMNS} FROM {_TABLE} WHERE {where} AND target_id IN ({held}) LIMIT %s")
            given += [*params, *named, most]
    return _read(parts, given)


def _where(key: str, target: str, among: Collection[str]) -> tuple[str, list[object]]:
    """Give the condition with its parameters; a kind that a row is found by anyway is not asked for."""
    where, params = "target_kind = %s AND key >= %s AND key < %s", [target, key, key + LAST]
    if set(among) == set(KINDS[target]):
        return where, list(params)
    return f"{where} AND kind IN ({', '.join(['%s'] * len(among))})", [*params, *sorted(among)]


def _read(parts: list[str], given: list[object]) -> list[SearchTerm]:
    if not parts:
        return []
    # Each in brackets of its own: SQLite takes no LIMIT inside a union otherwise.
    statement = " UNION ALL ".join(f"SELECT * FROM ({part}) AS p{n}" for n, part in enumerate(parts))
    return list(SearchTerm.objects.raw(statement, given))
