"""One damper through its whole sheet at the tablet, with the keyboard alone, against the program itself."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapp.bench.models import Entry
from tests.bench.make import Bench
from tests.journeys import at_the_tablet

pytestmark = pytest.mark.journey

ENTER = "Enter"


def test_a_damper_from_the_tag_to_done(tablet: Page, live_server: Any, bench: Bench) -> None:
    at_the_tablet.fill_sheet(tablet, bench, address=live_server.url)
    job = bench.fresh()
    assert (job.state, job.outcome) == ("done", "done")
    assert not Entry.objects.filter(job=job, out_of_order=True).exists()


def test_the_tag_of_another_damper_is_refused_by_name(tablet: Page, live_server: Any, bench: Bench) -> None:
    tablet.goto(f"{live_server.url}/bench/")
    tablet.locator("tr", has_text="left").get_by_role("link").first.click()
    wanted = tablet.locator("[name=job]").input_value()
    other = next(job for job in (bench.job, bench.other) if str(job.pk) != wanted)
    tablet.get_by_label("Tag").fill(other.damper.tag)
    tablet.keyboard.press(ENTER)
    expect(tablet.locator("[data-error-slip]")).to_contain_text("Wrong damper.")
    expect(tablet.locator("[name=job]")).to_have_value(wanted)


def test_a_charge_that_is_too_high_is_refused_by_both_and_the_limits_move(
    tablet: Page, live_server: Any, bench: Bench
) -> None:
    bench.through("charge-temperature")
    tablet.goto(f"{live_server.url}/bench/sheets/{bench.job.pk}")
    expect(tablet.locator("#entry")).to_have_attribute("aria-label", "Entry: Charge")
    expect(tablet.locator("#reading-say")).to_contain_text("Limits moved from 20 °C.")
    expect(tablet.locator("#left .lines")).to_contain_text("Set 151.9 psi on a body at")
    tablet.locator("#reading").fill("260")
    tablet.keyboard.press(ENTER)
    tablet.locator(".answer", has_text="G-04").click()
    tablet.locator("#action").click()
    expect(tablet.locator("#entry.stop h2")).to_contain_text("the most this body takes")
    tablet.get_by_role("button", name="put the attempt on record").click()
    expect(tablet.locator("#entry.stop h2")).to_contain_text("is on record and does not stand")
    assert bench.sheet().standing.stage == "charge"
    last = Entry.objects.filter(job=bench.job).latest("stored_at", "counter")
    assert (last.value_text, last.outside) == ("260 psi", "absolute")


def test_a_depth_at_which_the_ifp_meets_the_cap_unlocks_nothing(
    tablet: Page, live_server: Any, bench: Bench
) -> None:
    bench.through("ifp-rod-out")
    tablet.goto(f"{live_server.url}/bench/sheets/{bench.job.pk}")
    tablet.locator("#reading").fill("1")
    tablet.keyboard.press(ENTER)
    tablet.locator(".answer", has_text="D-01").click()
    tablet.locator("#action").click()
    expect(tablet.locator("#entry.stop h2")).to_contain_text("the IFP would meet the cap")
    tablet.get_by_role("button", name="put the attempt on record").click()
    expect(tablet.locator("#entry.stop h2")).to_contain_text("does not stand")
    expect(tablet.locator("#entry.stop")).to_contain_text("the IFP would meet the cap")
