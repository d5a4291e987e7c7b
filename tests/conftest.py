"""What every test stands on: people of each role, signed-in clients, ledgers lifted for the flush alone."""

from __future__ import annotations

import datetime as dt
import gc
import os
import random
import re
import zlib
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

import pytest
from django.test import Client, TransactionTestCase

from shopapp.people.models import Device, Person
from shopapp.people.services import staff
from shopapp.shop import ledgers
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call

os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # Playwright's sync driver runs a loop in this thread.

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
PASSWORD = "anvil-tongs-and-tide"

SEED = int(os.environ.get("SHOP_TEST_SEED") or 20260302)
ALL = bool(os.environ.get("SHOP_TEST_ALL"))
Case = TypeVar("Case")
ON_BOTH = re.compile("race|at_once|books|ledger|counter|trigram|search|constraint|one_place|killed")
ASKED_FOR_BY_MARKER = ("journey", "redis", "bench", "full")


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "redis: needs a Redis that REDIS_URL names (deploy/test.sh starts one)"
    )


def pytest_report_header() -> str:
    return f"seed {SEED} (SHOP_TEST_SEED), {'full counts' if ALL else 'quick tier'} (SHOP_TEST_ALL)"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave the browser, Redis, the benchmarks and the full tier to those who ask for them with `-m`."""
    if config.option.markexpr:
        _share_out(config, items)
        return
    left = [item for item in items if any(item.get_closest_marker(name) for name in ASKED_FOR_BY_MARKER)]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]


def _share_out(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave to the other engine what the seed gives it, where SHOP_TEST_SHARE names this one (the quick tier).

    What engines do differently (real commits, races, books, constraints) runs on both; each other test of the
    database on one of them, three in four on SQLite, another one by another seed. Of what is cut off statement by
    statement, of a family of cases and of the bench page's own tests in the browser every second one runs at all;
    a walk through the program always does. A test without a database runs on SQLite. With --all everything runs
    on both.
    """
    share = os.environ.get("SHOP_TEST_SHARE")
    if not share:
        return
    here: dict[bool, list[pytest.Item]] = {True: [], False: []}
    for item in items:
        here[share in _engines(item)].append(item)
    config.hook.pytest_deselected(items=here[False])
    items[:] = here[True]


def _engines(item: pytest.Item) -> tuple[str, ...]:
    drawn_at = zlib.crc32(f"{SEED} {item.nodeid}".encode("utf-8", "replace"))
    if item.get_closest_marker("journey"):
        whole = "[" not in item.nodeid and "journeys" in item.path.parts
        return ("browser",) if whole or drawn_at % 2 else ()
    if "cut_off" in item.path.stem:
        return () if drawn_at % 4 > 1 else (("sqlite", "postgres")[drawn_at % 2],)
    mark = item.get_closest_marker("django_db")
    fixtures = getattr(item, "fixturenames", ())
    if mark is None and not {"db", "transactional_db"} & set(fixtures):
        return ("sqlite", "postgres") if "faults" in item.path.parts else ("sqlite",)
    both = (mark and mark.kwargs.get("transaction")) or "transactional_db" in fixtures
    if both or "faults" in item.path.parts or ON_BOTH.search(item.path.stem):
        return ("sqlite", "postgres")
    if "[" in item.nodeid and drawn_at % 4 > 1:
        return ()
    return ("postgres",) if drawn_at % 4 == 1 else ("sqlite",)


def pytest_collection_finish(session: pytest.Session) -> None:
    """Let the collector of garbage leave alone what lasts for the whole run: measured, 7 % less work."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


@pytest.fixture
def rng() -> random.Random:
    """Give a generator that the printed seed starts: the same seed, the same test run."""
    return random.Random(SEED)


def times(quick: int, full: int) -> int:
    """Give how often a fault, race or benchmark test repeats: few in the quick tier, all with --all."""
    return full if ALL else quick


def drawn(cases: Sequence[Case], quick: int) -> list[Case]:
    """Give all cases with --all, otherwise a few that the printed seed draws, other ones on each engine."""
    if ALL or len(cases) <= quick:
        return list(cases)
    engine = "postgresql" if os.environ.get("DATABASE_URL") else "sqlite"
    return random.Random(f"{SEED} {engine} {len(cases)}").sample(list(cases), quick)


_flush = TransactionTestCase._fixture_teardown


def _flush_with_ledgers_lifted(self: TransactionTestCase) -> None:
    """Empty the tables after a test with real commits: the one place where tests lift the ledgers' triggers."""
    with ledgers.lifted():
        _flush(self)


TransactionTestCase._fixture_teardown = _flush_with_ledgers_lifted  # type: ignore[method-assign]


@pytest.fixture(autouse=True)
def _own_data(settings: Any, tmp_path: Any) -> None:
    """Give each test a SHOP_DATA of its own."""
    settings.SHOP_DATA = tmp_path
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def now() -> dt.datetime:
    return NOW


@pytest.fixture
def shop(db: None) -> Shop:
    staff.ensure_roles()
    return Shop.objects.get_or_create(
        pk=1, defaults={"name": "Test Bench Works", "currency": "USD", "zone": "UTC"}
    )[0]


def make_person(login_name: str, *roles: str, **kwargs: Any) -> Person:
    """Add somebody with a password, through the service."""
    staff.ensure_roles()
    return staff.add_person(
        login_name=login_name,
        name=kwargs.pop("name", login_name.title()),
        initials=kwargs.pop("initials", login_name[:4].upper()),
        roles=roles,
        by=None,
        at=NOW,
        call=Call.fresh(),
        password=PASSWORD,
        **kwargs,
    )


@pytest.fixture
def desk(shop: Shop) -> Person:
    return make_person("pia", "desk", initials="PV")


@pytest.fixture
def technician(shop: Shop) -> Person:
    return make_person("mo", "technician", initials="MO", skills=["charging"])


@pytest.fixture
def owner(shop: Shop) -> Person:
    return make_person("ada", "owner", initials="AO")


@pytest.fixture
def device(db: None) -> Device:
    return Device.objects.create(cookie_hash="d" * 64, first_seen=NOW, name="tablet")


@pytest.fixture
def client_as() -> Iterator[Callable[[Person], Client]]:
    """Give a function that makes a client signed in as somebody."""

    def make(person: Person) -> Client:
        client = Client()
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    yield make
