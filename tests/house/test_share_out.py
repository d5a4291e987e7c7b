"""The quick tier shares the tests out to two engines: none is lost, and what engines do differently runs on both.

Seen red: with the draw always for one engine (the other has none of its own), with `transaction` no longer looked at,
with families or cut-offs treated as any other test, with the folder `faults` left out, with the deselected not
reported.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests import conftest

BOTH = {"sqlite", "postgres"}


def item(
    path: str, *, name: str = "test_x", mark: dict[str, Any] | None = None, fixtures: tuple[str, ...] = (),
    browser: bool = False,
) -> Any:  # fmt: skip
    """Make what pytest collects, as far as it is asked here; `mark` is what `django_db` is given."""
    found = None if mark is None else SimpleNamespace(kwargs=mark)
    return SimpleNamespace(
        nodeid=f"tests/{path}::{name}", path=Path("/x/tests") / path, fixturenames=fixtures,
        get_closest_marker=lambda kind: browser if kind == "journey" else found if kind == "django_db" else None,
    )  # fmt: skip


ON_BOTH = [
    item("orders/test_services.py", mark={"transaction": True}),
    item("orders/test_services.py", fixtures=("transactional_db",)),
    item("faults/test_killed.py"),
    item("faults/test_anything.py", mark={}),
    *(
        item(f"stock/test_{stem}.py", mark={})
        for stem in (
            "races",
            "books",
            "at_once",
            "counters",
            "ledgers",
            "trigrams",
            "search_terms",
        )
    ),
]
CUT = [item(f"faults/test_cut_off_{n}.py", mark={"transaction": True}) for n in range(60)] + [
    item("bench/test_cut_off.py", mark={"transaction": True})
]
FAMILY = [item("web/test_forms.py", name=f"test_field[{n}]", mark={}) for n in range(60)]
ALONE = [item("calc/test_gas.py"), item("drawings/test_races.py")]
SHARED = [item(f"web/test_{n}.py", name=f"test_{n}é\udcff", mark={}) for n in range(40)] + [
    item("web/test_desk.py", fixtures=("db",))
]
ALL = [*ON_BOTH, *CUT, *ALONE, *SHARED, *FAMILY]


class Hook:
    """Keeps what is said to be left out."""

    def __init__(self) -> None:
        self.left: list[Any] = []

    def pytest_deselected(self, items: list[Any]) -> None:
        self.left += items


def run(engine: str, monkeypatch: pytest.MonkeyPatch) -> tuple[list[Any], list[Any]]:
    """Share all out as `engine` does; give what it runs and what it says it leaves out."""
    monkeypatch.setenv("SHOP_TEST_SHARE", engine)
    hook, items = Hook(), list(ALL)
    conftest._share_out(SimpleNamespace(hook=hook), items)  # type: ignore[arg-type]
    return items, hook.left


def test_nothing_is_lost_and_nothing_that_must_is_run_once(monkeypatch: pytest.MonkeyPatch) -> None:
    (here, left_here), (there, left_there) = (run(engine, monkeypatch) for engine in sorted(BOTH))
    assert all(one in here and one in there for one in ON_BOTH)
    assert all(one in there and one not in here for one in ALONE), "without a database: on SQLite"
    assert all((one in here) != (one in there) for one in SHARED)
    assert not any(one in here and one in there for one in [*CUT, *FAMILY])
    for kin in (CUT, FAMILY):
        drawn = {(one in here, one in there) for one in kin}
        assert drawn == {(True, False), (False, True), (False, False)}, "every second one, on one engine"
    for ran, left in ((here, left_here), (there, left_there)):
        assert sorted(map(id, [*ran, *left])) == sorted(map(id, ALL))
        assert ran == [one for one in ALL if one in ran], "in the order collected"


def test_another_seed_shares_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    first, _left = run("postgres", monkeypatch)
    monkeypatch.setattr(conftest, "SEED", conftest.SEED + 1)
    second, _left = run("postgres", monkeypatch)
    assert first != second and [one for one in ON_BOTH if one not in second] == []


def test_without_a_share_everything_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHOP_TEST_SHARE", raising=False)
    hook, items = Hook(), [*ON_BOTH, *SHARED]
    conftest._share_out(SimpleNamespace(hook=hook), items)  # type: ignore[arg-type]
    assert items == [*ON_BOTH, *SHARED] and hook.left == []


def test_in_the_browser_each_walk_runs_and_every_second_test_of_the_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Seen red while all tests of the bench page ran, and with a walk in a folder of its own left to the draw."""
    walks = [item(f"journeys/{n}/bench_client/test_whole.py", browser=True) for n in range(20)]
    pages = [item(f"bench_client/test_{n}.py", browser=True) for n in range(40)]
    looks = [item("journeys/test_looks.py", name=f"test_x[{n}]", browser=True) for n in range(40)]
    monkeypatch.setenv("SHOP_TEST_SHARE", "browser")
    items = [*walks, *pages, *looks]
    conftest._share_out(SimpleNamespace(hook=Hook()), items)  # type: ignore[arg-type]
    assert all(one in items for one in walks)
    assert all(0 < sum(one in items for one in kin) < 40 for kin in (pages, looks))
