"""Working processes are killed in the midst of it: nothing is half done, nothing that was said done is lost."""

from __future__ import annotations

import random
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path
from subprocess import Popen
from typing import Any

import pytest
from django.db import connection

from tests.conftest import SEED, times
from tests.faults.processes import ROOT, OwnShop, kill, wait_until

KILLS = times(3, 30)


@pytest.fixture
def shop(tmp_path: Path, django_db_blocker: Any) -> Iterator[OwnShop]:
    """Give a shop of its own on the engine of this run, with work to go on with."""
    folder = tmp_path / "killed"
    folder.mkdir()
    here = OwnShop(folder, {"DJANGO_SETTINGS_MODULE": "shopapp.settings", "PYTHONPATH": str(ROOT)})
    name = f"killed_{uuid.uuid4().hex[:12]}"
    if connection.vendor == "postgresql":
        there = connection.settings_dict
        here.variables["DATABASE_URL"] = (
            f"postgresql://{there['USER']}@{there['HOST']}:{there['PORT']}/{name}"
        )
        _on_server(f'CREATE DATABASE "{name}"')
    try:
        here.run("manage.py", "migrate", "-v", "0", "--noinput")
        here.run("tests/faults/work_on.py", "lay")
        yield here
    finally:
        if connection.vendor == "postgresql":
            _on_server(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def _on_server(sql: str) -> None:
    import psycopg

    there = connection.settings_dict
    with psycopg.connect(
        host=there["HOST"], port=there["PORT"], user=there["USER"], dbname="postgres", autocommit=True
    ) as server:
        server.execute(sql)


def said_done(shop: OwnShop) -> list[str]:
    return [
        line
        for path in sorted(shop.folder.glob("done-*.txt"))
        for line in path.read_text().splitlines(keepends=True)
        if line.endswith("\n")
    ]


def stored(shop: OwnShop) -> set[str]:
    """Read the keys of all acts with the bare driver."""
    if "DATABASE_URL" in shop.variables:
        import psycopg

        with psycopg.connect(shop.variables["DATABASE_URL"]) as server:
            return {row[0] for row in server.execute("SELECT key FROM shopapp_act")}
    with closing(sqlite3.connect(shop.folder / "shop.sqlite3")) as database:
        return {row[0] for row in database.execute("SELECT key FROM shopapp_act")}


def _came_so_far(shop: OwnShop, hands: list[Popen[str]], enough: int) -> bool:
    return len(said_done(shop)) >= enough or any(hand.poll() is not None for hand in hands)


def test_killed_in_the_midst_of_work(shop: OwnShop) -> None:
    """Two processes work at once and are killed at a drawn moment, again and again. The seed is in the header.

    Seen to fail with an `issue` whose levels were lowered in a commit before the move's: the books say which item.
    """
    rng = random.Random(SEED)
    for turn in range(KILLS):
        before = len(said_done(shop))
        enough = before + rng.randrange(4, 30)
        hands = [
            shop.start("tests/faults/work_on.py", "work", f"{turn}-{name}", str(rng.getrandbits(30)))
            for name in "ab"
        ]
        try:
            wait_until(partial(_came_so_far, shop, hands, enough), "work to be done")
            assert [hand.poll() for hand in hands] == [None, None], f"ended by itself: {shop.told()[-3000:]}"
        finally:
            for hand in hands:
                kill(hand)
        assert "The books agree" in shop.run("manage.py", "check_books")
        lost = {line.strip() for line in said_done(shop)} - stored(shop)
        assert lost == set(), f"seed {SEED}, turn {turn}"
    assert len(said_done(shop)) >= 4 * KILLS
