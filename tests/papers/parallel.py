"""Run calls at the same moment, each on a connection of its own."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from django.db import connection, connections

REAL_COMMITS = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        connection.vendor == "sqlite" and not connection.settings_dict["TEST"]["NAME"],
        reason="two connections need a file database: set SHOP_TEST_SQLITE to a path",
    ),
]


def at_once(*calls: Callable[[], object]) -> list[object]:
    """Run the calls in threads that start together; give what each returned, or the exception it raised."""
    results: list[object] = [None] * len(calls)
    gate = threading.Barrier(len(calls))

    def run(number: int, call: Callable[[], object]) -> None:
        try:
            gate.wait(timeout=30)
            results[number] = call()
        except BaseException as problem:
            results[number] = problem
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    assert not any(thread.is_alive() for thread in threads)
    return results


def names_of(results: list[object]) -> list[str]:
    """Name what came back, sorted."""
    return sorted(type(result).__name__ for result in results)
