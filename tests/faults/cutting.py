"""Cut a piece of work off at each of its SQL statements: what is stored is all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db import DatabaseError, connection

from shopapp.shop import books

MOST_STATEMENTS = 2000


class Cut(DatabaseError):
    """The statement at which the line was cut."""


@dataclass
class Scissors:
    """Cut at the n-th statement that is run (0: never)."""

    at: int = 0
    seen: list[str] = field(default_factory=list)

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        self.seen.append(sql[:80])
        if len(self.seen) == self.at:
            raise Cut(sql[:80])
        return execute(sql, params, many, context)


def everything() -> dict[str, list[str]]:
    """Read every row of every table of ours."""
    return {
        model.__name__: sorted(map(repr, model._base_manager.values_list()))
        for model in apps.get_app_config("shopapp").get_models()
    }


def cut_at_each_statement(work: Callable[[], Any]) -> int:
    """Do `work` cut off at statement 1, 2, 3 … until one run is whole; give how many were cut.

    After each cut every table must be as it was, and after the whole run the books must agree. `work` is called again
    and again with the same call, as a person who presses the button again. Needs real commits.
    """
    assert not connection.in_atomic_block, (
        "a test in a transaction would hide what a cut leaves: use transaction=True"
    )
    before = everything()
    for place in range(1, MOST_STATEMENTS):
        scissors = Scissors(place)
        try:
            with connection.execute_wrapper(scissors):
                work()
        except Cut as cut:
            changed = [name for name, rows in everything().items() if rows != before[name]]
            assert changed == [], f"half stored when cut at statement {place}: {cut}"
            continue
        assert len(scissors.seen) < place, (
            f"statement {place} was cut and nobody noticed: {scissors.seen[-1]}"
        )
        assert everything() != before, "the whole run stored nothing"
        assert [str(difference) for difference in books.differences()] == []
        return place - 1
    raise AssertionError("the work never came to its end")
