"""Two desks that take in the same order by the keyboard: the program's own page, and the generated admin."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from urllib.parse import urlencode

from tests.journeys.keystrokes import Keys


@dataclass(frozen=True)
class Damper:
    """One damper as it comes."""

    serial: str
    model: str
    place: str = ""
    condition: str = ""


@dataclass(frozen=True)
class Entry:
    """One order as somebody brings it."""

    customer: str
    complaint: str
    limit: str
    dampers: tuple[Damper, ...]
    phone: str = ""
    vehicle: str = ""
    meter: str = ""
    carrier: str = ""
    terms_how: str = ""
    signed: str = ""
    expected: tuple[str, str] = ("", "")
    day: dt.date = dt.date.max


def at_our_page(keys: Keys, entry: Entry) -> None:
    """Take the order in on the program's own page."""
    page = keys.page
    page.goto("/orders/new")
    page.wait_for_load_state("load")
    _who(keys, entry)
    keys.part = "what"
    keys.press("PageDown")
    assert keys.at() == "work"
    keys.choose("Rebuild")
    keys.tab_to("complaint")
    keys.type(entry.complaint)
    keys.part = "dampers"
    keys.press("PageDown")
    for at, damper in enumerate(entry.dampers, 1):
        _damper(keys, at, damper)
        keys.press("PageDown")
    keys.part = "agreed"
    keys.press("PageDown")
    assert keys.at() == "limit_gross"
    _agreed(keys, entry)
    with page.expect_navigation(url=re.compile(r"/orders/\d+$")):
        keys.press("Control+Enter")


def _look_up(keys: Keys, text: str) -> None:
    keys.type(text)
    with keys.page.expect_navigation():
        keys.press("Enter")


def _who(keys: Keys, entry: Entry) -> None:
    keys.part = "who"
    assert keys.at() == "customer_text"
    if entry.vehicle:
        _look_up(keys, entry.customer.split()[0])
        assert keys.at() == "meter"
        keys.type(entry.meter)
        return
    _look_up(keys, entry.customer)
    assert keys.at() == "new_phone"
    keys.type(entry.phone)
    keys.tab_to("comes_by")
    keys.choose("parcel")
    keys.tab_to("comes_carrier")
    keys.type(entry.carrier)
    keys.press("PageDown")


def _damper(keys: Keys, at: int, damper: Damper) -> None:
    assert keys.at() == f"r{at}_place"
    if damper.place:
        keys.choose(damper.place)
    keys.tab_to(f"r{at}_tag")
    keys.type(damper.serial)
    keys.tab_to(f"r{at}_model")
    keys.choose(damper.model)
    if damper.condition:
        keys.tab_to(f"r{at}_condition")
        keys.type(damper.condition)


def _agreed(keys: Keys, entry: Entry) -> None:
    keys.type(entry.limit)
    keys.tab_to("promised_day")
    keys.type(f"{entry.day:%-d %b}")
    keys.tab_to("terms_accepted")
    keys.press("Space")
    if entry.terms_how:
        keys.tab_to("terms_how")
        keys.type(entry.terms_how)
    if entry.signed:
        keys.tab_to("signed")
        keys.type(entry.signed)


class Admin:
    """The generated admin's pages, by the keyboard."""

    def __init__(self, keys: Keys) -> None:
        self.keys = keys

    def open(self, model: str, part: str, **rows: int) -> None:
        """Go to a page to add one: as by a bookmark, for no key at all; the page sets the focus itself."""
        self.keys.part = part
        self.keys.page.goto(f"/admin/shopapp/{model}/add/?{urlencode(rows)}")
        self.keys.page.wait_for_load_state("load")

    def save(self) -> None:
        with self.keys.page.expect_navigation():
            self.keys.press("Enter")
        assert not self.keys.page.locator(".errornote").count(), self.keys.page.locator(
            ".errorlist"
        ).all_inner_texts()

    def take_in(self, entry: Entry) -> None:
        keys = self.keys
        if entry.phone:
            self.open("customer", "who", contact=1)
            keys.type(entry.customer)
            keys.tab_to("contacts-0-kind")
            keys.choose("phone")
            keys.tab_to("contacts-0-value")
            keys.type(entry.phone)
            self.save()
        if entry.meter:
            self.open("meterreading", "who")
            keys.choose(entry.vehicle)
            keys.tab_to("distance_text")
            keys.type(entry.meter)
            self.save()
        for damper in entry.dampers:
            self.add_damper(entry, damper)
        self.add_order(entry)

    def add_damper(self, entry: Entry, damper: Damper) -> None:
        keys = self.keys
        self.open("damper", "dampers", ownership=1, fitting=1 if damper.place else 0)
        keys.choose(damper.model)
        keys.tab_to("serial")
        keys.type(damper.serial)
        keys.tab_to("ownerships-0-customer")
        keys.choose(entry.customer)
        if damper.place:
            keys.tab_to("fittings-0-vehicle")
            keys.choose(entry.vehicle)
            keys.tab_to("fittings-0-place")
            keys.choose(damper.place)
        keys.press("Tab")
        self.save()

    def add_order(self, entry: Entry) -> None:
        of_each = len(entry.dampers)
        self.open(
            "workorder",
            "order",
            workconsent=2,
            signature=1 if entry.signed else 0,
            job=of_each,
            orderline=of_each,
        )
        self.agree(entry)
        self.consent(entry)
        for at, damper in enumerate(entry.dampers):
            self.add_job(at, damper)
        for at in range(of_each):
            self.add_line(at)
        self.save()

    def agree(self, entry: Entry) -> None:
        keys = self.keys
        keys.choose(entry.customer)
        if entry.vehicle:
            keys.tab_to("vehicle")
            keys.choose(entry.vehicle)
        keys.tab_to("complaint")
        keys.type(entry.complaint)
        keys.part = "expected price"
        keys.tab_to("expected_net")
        keys.type(entry.expected[0])
        keys.tab_to("expected_gross")
        keys.type(entry.expected[1])
        keys.part = "order"
        keys.tab_to("limit_gross")
        keys.type(entry.limit)
        keys.tab_to("promised_0")
        keys.type(f"{entry.day:%-m/%-d/%y}")
        keys.tab_to("promised_1")
        keys.type("17:00")
        keys.tab_to("terms")
        keys.choose("terms, issue 1")
        if entry.terms_how:
            keys.tab_to("terms_accepted_how")
            keys.type(entry.terms_how)
        if entry.carrier:
            keys.tab_to("SUMMARY")
            keys.press("Enter")
            keys.tab_to("comes_by")
            keys.choose("parcel")
            keys.tab_to("comes_carrier")
            keys.type(entry.carrier)
            keys.tab_to("leaves_by")
            keys.choose("parcel")

    def consent(self, entry: Entry) -> None:
        """Add what the customer said yes to, the terms and the limit, and who signed."""
        keys = self.keys
        keys.part = "consents"
        keys.tab_to("consents-0-about")
        keys.type("terms")
        for at in (0, 1):
            keys.tab_to(f"consents-{at}-yes")
            keys.press("Space")
            keys.tab_to(f"consents-{at}-who")
            keys.type(entry.customer)
        keys.tab_to("consents-1-amount")
        keys.type(entry.limit)
        if entry.signed:
            keys.part = "signature"
            keys.tab_to("signatures-0-what")
            keys.choose("brought")
            keys.tab_to("signatures-0-name")
            keys.type(entry.signed)

    def add_job(self, at: int, damper: Damper) -> None:
        keys = self.keys
        keys.part = "jobs"
        keys.tab_to(f"jobs-{at}-damper")
        keys.choose(f"{damper.model.split()[0]} {damper.serial}")
        if damper.place:
            keys.tab_to(f"jobs-{at}-place")
            keys.choose(damper.place)
        keys.tab_to(f"jobs-{at}-work_type")
        keys.choose("Rebuild")
        if damper.condition:
            keys.tab_to(f"jobs-{at}-condition")
            keys.type(damper.condition)

    def add_line(self, at: int) -> None:
        keys = self.keys
        keys.part = "lines"
        keys.tab_to(f"lines-{at}-what")
        keys.type("Rebuild")
        keys.tab_to(f"lines-{at}-price")
        keys.type("186")
