"""The new-order sheet in the browser: the sum that was seen follows what is chosen; chosen pictures are shown.

Seen red: with the seen sum kept after a change, a sheet sent before the new sum stood there came back for nothing.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapp.orders.models import WorkType
from shopapp.people.models import Person
from tests.journeys.test_findings_at_the_desk import page_of
from tests.orders.conftest import model, new_damper, rebuild, receive, std, wyn

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]
__all__ = ["model", "new_damper", "rebuild", "receive", "std", "wyn"]


@pytest.fixture
def page(desk: Person, live_server: Any) -> Page:
    return page_of(desk, live_server, 820)


def test_the_sum_that_was_seen_is_the_one_that_stands_there(page: Page, rebuild: WorkType) -> None:
    page.goto("/orders/new")
    seen = page.locator("[name=sum_shown]")
    expect(seen).to_have_count(0)
    page.get_by_label("Work, for all").select_option(str(rebuild.pk))
    page.get_by_label("Place, row 1").select_option("front left")
    expect(seen).to_have_value("186.00")
    page.route(
        "**/orders/new",
        lambda route: (
            route.abort() if b"look_up" in (route.request.post_data_buffer or b"") else route.continue_()
        ),
    )
    page.get_by_label("Place, row 2").select_option("front right")
    expect(seen).to_have_value("")
