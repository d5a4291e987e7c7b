"""Celery with a real Redis: beat finds what is due, a commit wakes the worker, a killed worker loses nothing."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.processes import OwnShop, kill, running, wait_until

pytestmark = pytest.mark.redis

CELERY = ("-m", "celery", "-A", "shopapp")
WORKER = (*CELERY, "worker", "-I", "tests.shop.echo_kind", "--concurrency", "1", "--loglevel", "INFO")
BEAT = (*CELERY, "beat", "--loglevel", "INFO", "--schedule")
SWEEPER = """
import sys, django
django.setup()
import tests.shop.echo_kind
from django.core.management import execute_from_command_line
execute_from_command_line(sys.argv)
"""
AFTER_THE_LEASE = "301"


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> OwnShop:
    """Make one shop for the module: its database is laid once."""
    assert os.environ.get("REDIS_URL"), "REDIS_URL names no Redis: deploy/test.sh starts one"
    folder = tmp_path_factory.mktemp("with-redis")
    shop = OwnShop(folder, {"DJANGO_SETTINGS_MODULE": "shopapp.settings", "PYTHONPATH": str(Path.cwd())})
    shop.run("manage.py", "migrate", "-v", "0", "--noinput")
    return shop


@pytest.fixture
def here(laid: OwnShop) -> Iterator[OwnShop]:
    """Give the shop with an empty broker, an empty outbox and no lines from before."""
    import redis

    redis.Redis.from_url(os.environ["REDIS_URL"]).flushdb()
    for path in laid.folder.glob("*"):
        if path.name in ("echo.txt", "go") or path.name.startswith("began-"):
            path.unlink()
    with sqlite3.connect(laid.folder / "shop.sqlite3") as database:
        database.execute("DELETE FROM shopapp_outbox")
    yield laid


def plan(shop: OwnShop, kind: str, number: int, *, redis: bool = True) -> None:
    more = {"REDIS_URL": os.environ["REDIS_URL"]} if redis else {}
    shop.run("tests/shop/plan_row.py", kind, str(number), **more)


def states(shop: OwnShop) -> list[str]:
    with sqlite3.connect(f"file:{shop.folder / 'shop.sqlite3'}?mode=ro", uri=True) as database:
        return [row[0] for row in database.execute("SELECT state FROM shopapp_outbox ORDER BY id")]


def echoes(shop: OwnShop) -> list[str]:
    path = shop.folder / "echo.txt"
    return path.read_text().split() if path.exists() else []


def test_beat_finds_a_row_that_nobody_was_woken_for(here: OwnShop) -> None:
    plan(here, "echo", 1, redis=False)
    broker = {"REDIS_URL": os.environ["REDIS_URL"], "SHOP_SWEEP_SECONDS": "0.3"}
    with running(here, *WORKER, **broker), running(here, *BEAT, str(here.folder / "beat"), **broker):
        wait_until(lambda: states(here) == ["sent"], "the row to be done")
    assert echoes(here) == ["1"]


def test_a_commit_wakes_the_worker_without_beat(here: OwnShop) -> None:
    with running(here, *WORKER, REDIS_URL=os.environ["REDIS_URL"]):
        plan(here, "echo", 2)
        wait_until(lambda: states(here) == ["sent"], "the row to be done")
    assert echoes(here) == ["2"]


@pytest.mark.full
def test_two_workers_and_two_beats_do_each_row_once(here: OwnShop) -> None:
    broker = {"REDIS_URL": os.environ["REDIS_URL"], "SHOP_SWEEP_SECONDS": "0.2"}
    for number in range(3):
        plan(here, "echo", number, redis=False)
    with (
        running(here, *WORKER, "-n", "one@here", **broker),
        running(here, *WORKER, "-n", "two@here", **broker),
        running(here, *BEAT, str(here.folder / "beat-1"), **broker),
        running(here, *BEAT, str(here.folder / "beat-2"), **broker),
    ):
        wait_until(lambda: states(here) == ["sent"] * 3, "all rows to be done")
    assert sorted(echoes(here)) == ["0", "1", "2"]


@pytest.mark.parametrize(("kind", "state", "done"), [("still", "sent", ["7"]), ("still-mail", "unknown", [])])
def test_a_killed_worker_loses_nothing(here: OwnShop, kind: str, state: str, done: list[str]) -> None:
    """What may be repeated is done by the next sweep after the lease; a mail is shown as unknown, not sent again."""
    worker = here.start(*WORKER, REDIS_URL=os.environ["REDIS_URL"])
    try:
        plan(here, kind, 7)
        wait_until((here.folder / "began-7").exists, f"the work to begin; they said: {here.told()[-2000:]}")
    finally:
        kill(worker)
    assert states(here) == ["claimed"]
    (here.folder / "go").touch()
    here.run("tests/shop/plan_row.py", "sweep", "10")
    assert (states(here), echoes(here)) == (["claimed"], []), "its lease is not over"
    here.run("tests/shop/plan_row.py", "sweep", AFTER_THE_LEASE)
    assert (states(here), echoes(here)) == ([state], done)


def test_the_embedded_sweeper_does_the_same_work(here: OwnShop) -> None:
    """Without a broker one command sweeps; SIGTERM ends it after the row in hand."""
    words = ("-c", SWEEPER, "sweep", "--forever")
    with running(here, *words, SHOP_SWEEP_SECONDS="0.2") as sweeper:
        plan(here, "echo", 4, redis=False)
        wait_until(lambda: states(here) == ["sent"], "the row to be done")
        sweeper.terminate()
        assert sweeper.wait(timeout=30) == 0
    assert echoes(here) == ["4"]
