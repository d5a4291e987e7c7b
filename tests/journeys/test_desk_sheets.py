"""The two sheets that the desk works on longest, with all of them shown: axe finds nothing, nothing scrolls sideways.

A new order stands there with a known customer looked up, corners offered, a limit that is too low; an order's page with
every fold open. Run without SHOP_TEST_ALL one theme and width of each is drawn by the printed seed.
"""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from shopapp.customers.models import Vehicle
from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench
from tests.browser import settle
from tests.conftest import drawn
from tests.journeys.bench_client.conftest import bench
from tests.journeys.keystroke_shop import AT, open_shop
from tests.journeys.test_every_page import LOOKS, RULES
from tests.journeys.test_findings_at_the_desk import page_of

pytestmark = pytest.mark.journey
__all__ = ["bench"]
SMALL = """() => [...document.querySelectorAll("main :is(a, button, input, select, summary, textarea)")]
  .filter((one) => one.checkVisibility() && one.type !== "hidden")
  .map((one) => [one, (one.labels?.[0]?.closest(".check, .choices label") ?? one).getBoundingClientRect()])
  .filter(([, box]) => box.height < 24 || box.width < 24)
  .map(([one]) => one.outerHTML.slice(0, 120))"""
OPEN_ALL = "() => document.querySelectorAll('details').forEach((fold) => (fold.open = true))"


def _faults(page: Page, theme: str) -> dict[str, str]:
    """Say what axe finds on the page as it stands, what is smaller than 24 px, and whether it is too wide."""
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
    page.evaluate(OPEN_ALL)
    settle(page)
    results = Axe().run(page, options=RULES).response
    assert results["passes"]
    found = {one["id"]: one["nodes"][0]["html"][:200] for one in results["violations"]}
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found["scrolls sideways"] = str(page.evaluate("document.documentElement.scrollWidth"))
    small = page.evaluate(SMALL)
    return found | ({"small": str(small)} if small else {})


def _fit_two(desk: Person) -> None:
    """Fit two dampers on the vehicle of somebody known, so that their corners are offered."""
    std: dict[str, Any] = {"by": desk, "at": AT}
    vehicle = Vehicle.objects.get(customer__name="Wyn Dallimore")
    for place in ("front left", "front right"):
        damper = dampers.add_damper(
            serial=f"AX-{place}", model=DamperModel.objects.earliest("pk"), customer=vehicle.customer,
            call=Call.fresh(), **std,
        )  # fmt: skip
        dampers.fit_damper(damper=damper, vehicle=vehicle, place=place, on=None, call=Call.fresh(), **std)


@pytest.mark.parametrize(("theme", "width"), drawn(LOOKS, 2))
def test_a_new_order_with_a_known_customer(
    transactional_db: None, live_server: Any, theme: str, width: int
) -> None:
    """Seen red with entries of 20 px, and with rows whose labels are gone."""
    desk = open_shop()
    _fit_two(desk)
    page = page_of(desk, live_server, width)
    page.goto("/orders/new")
    page.locator("[name=customer_text]").fill("wyn")
    page.keyboard.press("Enter")
    page.get_by_label("All 2 that are fitted on it are here").check()
    page.locator("[name=work]").select_option(label="Rebuild")
    page.locator("[name=limit_gross]").fill("10")
    page.keyboard.press("Tab")
    expect(page.locator("[name=limit_below]")).to_be_visible()
    assert _faults(page, theme) == {}
    page.context.close()


@pytest.mark.parametrize(("theme", "width"), drawn(LOOKS, 2))
def test_an_order_with_every_fold_open(bench: Bench, live_server: Any, theme: str, width: int) -> None:
    """Seen red with summaries that have no words, and with the names in its tables at the height of their letters."""
    bench.do("", "close", outcome="unrepaired", words="declined")
    page = page_of(bench.desk, live_server, width)
    page.goto(f"/orders/{bench.order.number}")
    assert page.locator(".fold").count() >= 7
    assert _faults(page, theme) == {}
    page.context.close()
