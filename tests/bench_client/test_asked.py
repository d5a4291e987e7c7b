"""What was asked of this one damper: whole in the first step, over every sheet after it, opened by a tap.

Seen red: with `begin` left out of the panels, with the line drawn in the first step too, with `wish` taken out of the
document.
"""

import pytest
from playwright.sync_api import Page, expect

from tests.bench_client.bay import Bay
from tests.bench_client.tablet import opened

pytestmark = pytest.mark.journey
WISH = "Softer in rebound by two clicks, <b>keep</b> the old seals. " * 5


def test_it_stands_whole_in_the_first_step_and_over_the_others(bay: Bay, page: Page) -> None:
    first = bay.sheet["steps"][0]
    bay.sheet["job"]["wish"] = WISH.strip()
    page.goto(f"{bay.url}/bench/sheets/1")
    opened(page, first["name"])
    expect(page.locator("#entry p.wish")).to_have_text(f"Asked of this one: {WISH.strip()}")
    assert page.locator("#left .wish").count() == 0
    page.locator("#action").click()
    page.locator("#action").click()
    expect(page.locator("#entry")).not_to_have_attribute("aria-label", f"Entry: {first['name']}")
    here = page.locator("#entry").get_attribute("aria-label") or ""
    assert page.locator("#entry p.wish").count() == 0
    line = page.locator("#left button.wish")
    expect(line).to_contain_text("Asked of this one: Softer in rebound")
    box = line.bounding_box()
    assert box is not None and 76 <= box["height"] <= 100
    line.click()
    expect(page.locator("#entry .told")).to_have_text(WISH.strip())
    page.get_by_role("button", name="Leave it").click()
    expect(page.locator("#entry")).to_have_attribute("aria-label", here)


def test_where_nothing_was_asked_nothing_stands(bay: Bay, page: Page) -> None:
    page.goto(f"{bay.url}/bench/sheets/1")
    opened(page, bay.sheet["steps"][0]["name"])
    assert page.locator(".wish").count() == 0
