"""The keys of the new-order sheet in the browser, and the sums beside it while somebody types."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.bench_client.conftest import browser  # noqa: F401
from tests.journeys.keystroke_shop import open_shop
from tests.journeys.keystrokes import Keys

pytestmark = pytest.mark.journey


@pytest.fixture
def keys(transactional_db: None, live_server: Any, client_as: Any, browser: Browser) -> Iterator[Keys]:  # noqa: F811
    """Give the keyboard of a blank sheet."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=live_server.url)
    session = client_as(open_shop()).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page = context.new_page()
    page.goto("/orders/new")
    yield Keys(page)
    page.wait_for_load_state("networkidle")
    context.close()


def _press(keys: Keys, *chords: str) -> str:
    for chord in chords:
        keys.press(chord)
    return keys.at()


def test_page_down_goes_on_from_a_damper_that_is_typed_to_the_next(keys: Keys) -> None:
    """Seen red with a walk from part to part alone, and with one that stops at rows that are blank."""
    keys.page.locator("[name=r1_place]").focus()
    assert _press(keys, "PageDown") == "limit_gross"
    assert _press(keys, "PageUp") == "r1_place"
    keys.choose("front left")
    assert _press(keys, "PageDown") == "r2_place"
    assert _press(keys, "PageDown") == "limit_gross"
    keys.page.locator("[name=r2_tag]").focus()
    assert _press(keys, "PageUp") == "r1_place"
    assert _press(keys, "PageUp") == "work"


def _agreed(page: Page) -> Any:
    return page.expect_response(lambda answer: answer.request.method == "POST")


def test_half_a_limit_is_no_limit(keys: Keys) -> None:
    """The sums may be asked while the limit is typed: they wait for it whole.

    Seen red with the entry sent as it stood.
    """
    page = keys.page
    page.locator("[name=r1_model]").focus()
    keys.choose("Keldmark K25")
    with _agreed(page):
        page.locator("[name=work]").focus()
        keys.choose("Rebuild")
        page.locator("[name=limit_gross]").focus()
        keys.type("9")
    expect(page.locator("#agreed")).to_contain_text("199.49")
    assert not page.locator("[name=limit_below]").count()
    keys.type("0")
    with _agreed(page):
        keys.press("Tab")
    expect(page.locator("[name=limit_below]")).to_be_visible()
