"""The find box in the browser: it answers while somebody types, goes by the keyboard alone, takes what is scanned."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import ConsoleMessage, Page, Route, expect

from shopapp.dampers.models import Damper
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from tests.journeys.test_findings_at_the_desk import faults, page_of
from tests.orders.conftest import model, new_damper, rebuild, receive, std, wyn

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]
__all__ = ["model", "new_damper", "rebuild", "receive", "std", "wyn"]


@pytest.fixture
def page(desk: Person, receive: Callable[..., WorkOrder], live_server: Any) -> Page:
    receive("KM25-118834", "KM25-118835", "ZZ-7")
    return page_of(desk, live_server, 820)


def complaints(page: Page) -> list[str]:
    """Give what the page complains of in the browser's console, from now on.

    That a question was given up for a newer one is no complaint: htmx writes it there in these two lines.
    """
    said: list[str] = []

    def note(message: ConsoleMessage) -> None:
        if message.type == "error" and not message.text.startswith(("htmx:afterRequest,", "htmx:sendAbort,")):
            said.append(message.text)

    page.on("console", note)
    return said


def test_by_the_keyboard_alone(page: Page) -> None:
    """Seen to fail without find.js: the key typed nothing, and Enter came to the page of hits."""
    said = complaints(page)
    page.goto("/desk")
    page.keyboard.press("/")
    field = page.locator("#find-q")
    expect(field).to_be_focused()
    page.keyboard.type("1188")
    hits = page.locator("#hits a.hit")
    expect(hits).to_have_count(2)
    expect(page.locator("#find-count")).to_have_text("2 found")
    expect(hits.first.locator("mark")).to_have_text("1188")
    expect(hits.first).to_have_class("hit sel")
    assert page.url.endswith("/find?q=1188")
    assert faults(page) == {}
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(hits.nth(1)).to_be_focused()
    page.keyboard.press("Escape")
    expect(field).to_be_focused()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    expect(field).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/dampers/{Damper.objects.get(serial='KM25-118834').pk}")
    page.go_back()
    expect(page.locator("#hits a.hit")).to_have_count(2)
    page.keyboard.press("/")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/dampers/{Damper.objects.get(serial='KM25-118835').pk}")
    assert said == []


def test_a_letter_while_the_answer_is_on_its_way(page: Page) -> None:
    """The older question is given up, and nobody is told that no answer came: the newer one's stands.

    Seen red with the newer question dropped, and with the lines that htmx writes taken for complaints.
    """
    said = complaints(page)
    held: list[Route] = []
    page.route("**/find?q=11", lambda route: held.append(route))
    page.goto("/desk")
    page.keyboard.press("/")
    with page.expect_request("**/find?q=11"):
        page.keyboard.type("11")
    page.keyboard.type("88")
    expect(page.locator("#hits a.hit")).to_have_count(2)
    expect(page.locator("#find-count")).to_have_text("2 found")
    assert len(held) == 1 and said == []


def test_nothing_found_and_a_box_that_is_cleared(page: Page) -> None:
    page.goto("/find")
    field = page.locator("#find-q")
    expect(field).to_be_focused()
    field.press_sequentially("nobody")
    expect(page.locator("#hits")).to_contain_text("Nothing is found by “nobody”")
    assert faults(page) == {}
    field.press("Enter")
    expect(page.get_by_role("link", name="Add a customer")).to_be_visible()
    field.fill("")
    expect(page.locator("#hits")).to_have_text("")
    expect(page.locator("#find-count")).to_have_text("")
    assert page.url.endswith("/find")


@pytest.mark.parametrize("prefix", ["", "HTTPS://SHOP.EXAMPLE.COM/D/", "/D/"])
def test_what_a_scanner_types_opens_the_damper_at_once(page: Page, prefix: str) -> None:
    """A scanner ends with Enter before any hit is there. Seen to fail while Enter waited for the hits."""
    damper = Damper.objects.get(serial="ZZ-7")
    page.goto("/desk")
    page.locator("#find-q").focus()
    page.keyboard.type(f"{prefix}{damper.tag}\n")
    page.wait_for_url(f"**/dampers/{damper.pk}")


@pytest.mark.parametrize("address", ["/D/", "HTTPS://SHOP.EXAMPLE.COM/D/"])
def test_a_scan_beside_the_box_jumps_into_it(page: Page, address: str) -> None:
    """The first stroke of the address is the key that jumps; what follows stands in the box."""
    damper = Damper.objects.get(serial="ZZ-7")
    page.goto("/desk")
    page.keyboard.type(f"{address}{damper.tag}\n")
    page.wait_for_url(f"**/dampers/{damper.pk}")


def test_enter_before_the_hits_are_there_opens_the_first(page: Page) -> None:
    page.goto("/find")
    page.locator("#find-q").focus()
    page.keyboard.type("ZZ7\n")
    page.wait_for_url(f"**/dampers/{Damper.objects.get(serial='ZZ-7').pk}")


def test_the_key_leads_from_any_page_of_the_office_to_the_box(page: Page) -> None:
    page.goto("/orders/")
    page.keyboard.press("/")
    page.wait_for_url("**/find")
    expect(page.locator("#find-q")).to_be_focused()


def test_a_search_that_does_not_answer_says_so(page: Page) -> None:
    page.goto("/find?q=1188")
    page.route("**/find?*", lambda route: route.abort())
    page.locator("#find-q").press_sequentially("3")
    expect(page.locator("#find-count")).to_have_text("no answer: press Enter")
    expect(page.locator("#hits a")).to_have_count(0)


CLICKS = """() => document.querySelector("[data-find-page]").addEventListener("click", (event) => {
  event.preventDefault();
  document.title = "led on";
})"""


def test_the_key_can_be_switched_off_and_on_again(page: Page) -> None:
    """A single key may be what somebody's speech input hits: the tick on one's own page is kept in the browser.

    Seen red with the choice not kept, and with the find page or the box deaf to it.
    """
    page.goto("/me")
    tick = page.get_by_label("The key / leads to the find box")
    find = page.locator("footer a[data-find-page]")
    expect(tick).to_be_checked()
    assert faults(page) == {}
    tick.focus()
    page.keyboard.press("Space")
    expect(find).to_have_text("Find")
    assert find.get_attribute("aria-keyshortcuts") is None
    page.goto("/orders/")
    expect(find).to_have_text("Find")
    page.evaluate(CLICKS)
    page.keyboard.press("/")
    assert page.title() != "led on"
    page.goto("/desk")
    page.keyboard.press("/")
    expect(page.locator("#find-q")).not_to_be_focused()
    page.goto("/me")
    expect(tick).not_to_be_checked()
    tick.check()
    page.goto("/orders/")
    expect(find).to_have_text("Find (key /)")
    page.keyboard.press("/")
    page.wait_for_url("**/find")
    expect(page.locator("#find-q")).to_have_attribute("aria-keyshortcuts", "/")
