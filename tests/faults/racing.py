"""Let several threads do the same thing at the same moment, each with a database connection of its own."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from django.db import connection

PATIENCE = 60


def race(attempts: Sequence[Callable[[], Any]]) -> list[Any]:
    """Start all attempts together; give what each returned or raised, in their order.

    Needs real commits (`django_db(transaction=True)`) and, on SQLite, a database in a file.
    """
    if connection.vendor == "sqlite" and not connection.settings_dict["TEST"]["NAME"]:
        pytest.skip("two connections need a database in a file: set SHOP_TEST_SQLITE to a path")
    start = threading.Barrier(len(attempts))
    ends: list[Any] = [None] * len(attempts)

    def run(number: int, attempt: Callable[[], Any]) -> None:
        try:
            start.wait(timeout=PATIENCE)
            ends[number] = attempt()
        except Exception as problem:
            ends[number] = problem
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair, daemon=True) for pair in enumerate(attempts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=PATIENCE)
    assert not any(thread.is_alive() for thread in threads), "somebody waits for ever"
    return ends


def names_of(ends: Sequence[Any]) -> list[str]:
    """Name what came back, sorted."""
    return sorted(type(end).__name__ for end in ends)
