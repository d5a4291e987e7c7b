"""Every page that a log-in opens, on the demo shop, in Chromium: axe finds nothing, nothing scrolls sideways.

Run without SHOP_TEST_ALL it looks at each page in one theme and width, drawn by the printed seed; with it in all.
"""

from __future__ import annotations

import datetime as dt
import itertools
import random
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers.models import Damper
from shopapp.demo.load import load
from shopapp.money.models import Invoice, Payment
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers.models import Paper
from shopapp.people import rights
from shopapp.people.models import Person
from shopapp.stock.models import Lot
from shopapp.tools.models import Tool
from shopapp.web.owner import load as owner_load
from shopapp.web.owner import load_data as owner_load_data
from shopapp.web.owner import things
from tests.browser import chromium, settle
from tests.conftest import ALL, SEED
from tests.specs.drafts import begun, step_of

pytestmark = pytest.mark.journey

LOOKS = list(itertools.product(["light", "dark"], [320, 820, 1280]))
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},
}
NOT_PAGES = {
    "healthz", "readyz",  # JSON for machines
    "bench-state",  # JSON for the bench page
    "paper-file", "job-tag-file", "order-tags-file", "owner-shelf-labels-file",  # PDFs
    "picture", "bench-picture",  # pictures
    "owner-procedure-file", "order-export", "customer-export",  # files to keep
    "damper-tag", "part-tag", "home",  # they lead on to pages that stand here
    "set-up",  # opens only before there is an owner
    "sign-in",  # looked at without a log-in, below
}  # fmt: skip
assert owner_load and owner_load_data  # they fill the registry of the owner's things


def _arguments() -> dict[str, list[Any]]:
    """Give what names a row in each address: a row of the demo shop."""
    invoice, job = (
        Invoice.objects.earliest("pk"),
        Job.objects.filter(procedure__isnull=False, state="in work").first(),
    )
    order = WorkOrder.objects.filter(invoices__isnull=False).earliest("pk")
    assert job is not None
    found: dict[str, list[Any]] = {
        "order": [order.number], "parcel-new": [job.order.number], "order-change": [job.order.number],
        "order-tags": [job.order.number],
        "order-damper-new": [job.order.number], "job-change": [job.pk],
        "customer": [Customer.objects.earliest("pk").pk],
        "customer-change": [Customer.objects.earliest("pk").pk],
        "customer-merge": [Customer.objects.earliest("pk").pk], "customer-erase": [Customer.objects.earliest("pk").pk],
        "vehicle": [Vehicle.objects.earliest("pk").pk],
        "vehicle-new": [Customer.objects.earliest("pk").pk],
        "vehicle-change": [Vehicle.objects.earliest("pk").pk], "damper": [Damper.objects.earliest("pk").pk],
        "bench-damper": [job.damper_id], "damper-change": [job.damper_id], "stock-lot": [Lot.objects.earliest("pk").pk],
        "payment-take-back": [Payment.objects.earliest("pk").pk],
        "invoice": [invoice.pk], "paper": [Paper.objects.earliest("issued_at").pk],
        "paper-send": [Paper.objects.earliest("issued_at").pk], "bench-sheet": [job.pk],
        "tool-check": [Tool.objects.earliest("pk").tag],
        "owner-procedure": [job.procedure_id], "job-tag": [Job.objects.filter(outcome="done").earliest("pk").pk],
    }  # fmt: skip
    found["shelf"] = ["R1-A"]
    draft = begun(Person.objects.get(login_name="jorun"))
    for name in ("procedure-preview", "procedure-head", "procedure-release", "step-new"):
        found[f"owner-{name}"] = [draft.pk]
    found["owner-step"] = [draft.pk, step_of(draft, "release-zero").pk]
    for slug, thing in things.REGISTRY.items():
        if thing.change is not None:
            found[f"owner-{slug}-change"] = [thing.rows()[0].pk]
    return found


def _pages() -> dict[str, str]:
    """Give the address of every page of the table of rights that a GET opens."""
    arguments = _arguments()
    return {
        name: reverse(name, args=arguments.get(name, []))
        for name, right in rights.RIGHTS.items()
        if "GET" in right.methods and name not in NOT_PAGES
    }


def _look(page: Page, name: str, address: str, theme: str, width: int) -> dict[Any, str]:
    page.set_viewport_size({"width": width, "height": 2600 if width == 320 else 900})
    page.goto(address)
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
    settle(page)
    results = Axe().run(page, options=RULES).response
    assert results["passes"], name
    found = {(name, theme, width, one["id"]): one["nodes"][0]["html"][:160] for one in results["violations"]}
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found[(name, theme, width, "scrolls sideways")] = str(
            page.evaluate("document.documentElement.scrollWidth")
        )
    return found


def test_axe_finds_nothing_on_any_page(transactional_db: None, live_server: Any) -> None:
    load(seed=1187, today=dt.datetime.now(dt.UTC).date())
    client = Client()
    client.force_login(Person.objects.get(login_name="jorun"))
    context = chromium().new_context(base_url=live_server.url)
    page = context.new_page()
    drawn = random.Random(SEED)
    found = _look(page, "sign-in", "/sign-in", *drawn.choice(LOOKS))
    for name, cookie in client.cookies.items():
        context.add_cookies([{"name": name, "value": cookie.value, "url": live_server.url}])
    pages = _pages()
    assert len(pages) > 50
    for name, address in pages.items():
        for theme, width in LOOKS if ALL else [drawn.choice(LOOKS)]:
            found |= _look(page, name, address, theme, width)
    page.wait_for_load_state("networkidle")
    context.close()
    assert not found, "\n".join(f"{where}: {what}" for where, what in found.items())
