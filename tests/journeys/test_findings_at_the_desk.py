# ruff: noqa: F811 (the bench is a fixture of another folder)
"""From the tablet to the desk and back, in the browser: found, priced, agreed, put right; and axe on the way."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page, expect

from shopapp.bench.models import Finding
from shopapp.orders.models import OrderLine
from shopapp.people.models import Person
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.browser import chromium
from tests.journeys.test_every_page import RULES
from tests.money.rows import rate

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]


def page_of(person: Person, live_server: Any, width: int) -> Page:
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    context = chromium().new_context(base_url=live_server.url, viewport={"width": width, "height": 800})
    for name, cookie in client.cookies.items():
        context.add_cookies([{"name": name, "value": cookie.value, "url": live_server.url}])
    opened = context.new_page()
    opened.set_default_timeout(10_000)
    return opened


def faults(page: Page) -> dict[str, str]:
    found = Axe().run(page, options=RULES).response["violations"]
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    return {one["id"]: one["nodes"][0]["html"][:160] for one in found}


def test_found_priced_agreed_put_right(bench: Bench, live_server: Any) -> None:
    rate(bench.owner)
    bench.through("ifp-proof-rod")
    tablet, desk = page_of(bench.technician, live_server, 1280), page_of(bench.desk, live_server, 820)
    tablet.goto(f"/bench/sheets/{bench.job.pk}")
    tablet.locator("#finding").click()
    for value in ("rod", "pitted", "replace", "unsafe"):
        tablet.locator(f".pick [data-value='{value}']").click()
    tablet.locator("#action").click()
    expect(tablet.locator("#entry h2")).to_have_text("Unsafe to use: Charge is shut")
    expect(tablet.locator("#kept b")).to_have_text("all stored")

    desk.goto("/desk")
    desk.get_by_role("link", name="Give finding 1 rod: pitted a price").click()
    assert faults(desk) == {}
    price = desk.locator("form[action$='/price']")
    price.get_by_label("What is done").fill("New rod, fitted")
    price.get_by_label("Price, without tax").fill("145")
    price.get_by_role("button", name="Keep the price").click()
    answer = desk.locator("form[action$='/answer']")
    answer.get_by_text("yes", exact=True).click()
    answer.get_by_label("Who answered").fill("W. Dallimore")
    answer.get_by_role("button", name="Record the answer").click()
    expect(desk.locator("#findings")).to_contain_text("W. Dallimore, by phone")
    assert faults(desk) == {}
    assert OrderLine.objects.get(comes_from="finding").entry_id == Finding.objects.get().entry_id

    tablet.reload()
    expect(tablet.locator("#entry")).to_contain_text("agreed, not put right yet")
    tablet.locator("#findings").click()
    tablet.locator(".rows .row").click()
    tablet.get_by_role("button", name="It is put right").click()
    tablet.locator("#entry textarea").fill("new rod, straight")
    tablet.locator("#action").click()
    expect(tablet.locator("#kept b")).to_have_text("all stored")
    expect(tablet.locator("#entry")).not_to_contain_text("Unsafe to use")
    assert "charge" in bench.sheet().standing.open
    tablet.context.close()
    desk.context.close()
