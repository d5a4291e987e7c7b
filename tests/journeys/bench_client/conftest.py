"""The tablet of the page's own tests, and a bench of the real program on a server of its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

from shopapp.people.models import Device, Person
from shopapp.shop.models import Shop
from tests.bench.make import Bench, make_bench
from tests.bench_client.conftest import browser, page  # noqa: F401


@pytest.fixture
def bench(
    transactional_db: None, shop: Shop, desk: Person, technician: Person, owner: Person, device: Device
) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


@pytest.fixture
def tablet(page: Page, live_server: Any, bench: Bench, client_as: Any) -> Iterator[Page]:  # noqa: F811
    """Give a tablet on which the technician is signed in; it is quiet before the tables are emptied."""
    for name, cookie in client_as(bench.technician).cookies.items():
        page.context.add_cookies([{"name": name, "value": cookie.value, "url": live_server.url}])
    yield page
    page.wait_for_load_state("networkidle")
    page.close(run_before_unload=False)
