"""One damper through its whole sheet at the tablet, with the keyboard alone, against the program itself."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapp.bench.models import Entry
from tests.bench.make import ANSWERS, READINGS, TOOLS, Bench

pytestmark = pytest.mark.journey

ENTER = "Enter"


def _choose(page: Page, label: str) -> None:
    """Move to the answer that begins with `label`, as the Tab and arrow keys do, and take it."""
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    for _ in range(10):
        chosen = page.evaluate(
            "document.querySelector('#entry input:checked')?.closest('label').innerText ?? ''"
        )
        if chosen.startswith(label):
            return
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"no answer {label}")


def _reading(page: Page, bench: Bench, step: Any) -> None:
    page.keyboard.type(READINGS[step.step.code])
    page.keyboard.press(ENTER)
    tag = TOOLS.get(step.step.tool_kind, "")
    if tag and page.locator("#entry legend", has_text="taken with which tool").count():
        _choose(page, tag)
        page.keyboard.press(ENTER)
    if page.locator("#entry .back").count():
        page.keyboard.press(ENTER)


def _record(page: Page, bench: Bench, step: Any) -> None:
    kind, code = step.step.kind, step.step.code
    if kind == "reading":
        _reading(page, bench, step)
    elif kind in ("proof", "choice"):
        words = next(o["words"] for o in step.step.options if o["value"] == ANSWERS[code])
        _choose(page, words)
        page.keyboard.press(ENTER)
    elif kind == "tool":
        _choose(page, TOOLS[step.step.tool_kind])
        page.keyboard.press(ENTER)
    elif kind == "wait":
        page.keyboard.press(ENTER)
        page.get_by_role("button", name="End it now").press(ENTER)
        _choose(page, "Nothing comes")
        page.keyboard.press(ENTER)
    else:
        page.locator("#action").press(ENTER)


def _leave_what_is_not_required(page: Page) -> None:
    way = page.get_by_role("button", name="Go on without").first
    if way.count():
        way.press(ENTER)


def test_a_damper_from_the_tag_to_done(tablet: Page, live_server: Any, bench: Bench) -> None:
    page = tablet
    page.goto(f"{live_server.url}/bench/")
    page.get_by_label("Tag").fill(bench.job.damper.tag)
    page.keyboard.press(ENTER)
    expect(page.locator("#action")).to_be_visible()
    for step in [row for row in bench.sheet().steps if row.step.required]:
        for _ in range(3):
            if page.locator("#entry").get_attribute("aria-label") == f"Entry: {step.name}":
                break
            if page.locator("#action").inner_text().startswith("Go to "):
                page.locator("#action").press(ENTER)
            _leave_what_is_not_required(page)
        expect(page.locator("#entry")).to_have_attribute("aria-label", f"Entry: {step.name}")
        _record(page, bench, step)
        expect(page.locator(".refused")).to_have_count(0)
    page.locator("#action", has_text="Close the job").press(ENTER)
    _choose(page, "done")
    page.keyboard.press(ENTER)
    expect(page.locator("#entry h2")).to_have_text("Closed: done")
    expect(page.locator("#kept b")).to_have_text("all stored")
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
