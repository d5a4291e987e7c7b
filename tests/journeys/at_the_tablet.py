"""Hands at the tablet: opening a sheet by its tag, recording every step with the keyboard alone, closing the job."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, expect

from tests.bench.make import ANSWERS, READINGS, TOOLS, Bench

ENTER = "Enter"


def choose(page: Page, label: str) -> None:
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


def _reading(page: Page, step: Any) -> None:
    page.keyboard.type(READINGS[step.step.code])
    page.keyboard.press(ENTER)
    tag = TOOLS.get(step.step.tool_kind, "")
    if tag and page.locator("#entry legend", has_text="taken with which tool").count():
        choose(page, tag)
        page.keyboard.press(ENTER)
    if page.locator("#entry .back").count():
        page.keyboard.press(ENTER)


def record(page: Page, step: Any) -> None:
    """Record a step as a good job has it."""
    kind, code = step.step.kind, step.step.code
    if kind == "reading":
        _reading(page, step)
    elif kind in ("proof", "choice"):
        choose(page, next(o["words"] for o in step.step.options if o["value"] == ANSWERS[code]))
        page.keyboard.press(ENTER)
    elif kind == "tool":
        choose(page, TOOLS[step.step.tool_kind])
        page.keyboard.press(ENTER)
    elif kind == "wait":
        page.keyboard.press(ENTER)
        page.get_by_role("button", name="End it now").press(ENTER)
        choose(page, "Was begun before")
        page.keyboard.press(ENTER)
    else:
        page.locator("#action").press(ENTER)


def _leave_what_is_not_required(page: Page) -> None:
    way = page.get_by_role("button", name="Go on without").first
    if way.count():
        way.press(ENTER)


def _reach(page: Page, name: str) -> None:
    """Go on until the entry of a step is open."""
    for _ in range(3):
        if page.locator("#entry").get_attribute("aria-label") == f"Entry: {name}":
            break
        if page.locator("#action").inner_text().startswith("Go to "):
            page.locator("#action").press(ENTER)
        _leave_what_is_not_required(page)
    expect(page.locator("#entry")).to_have_attribute("aria-label", f"Entry: {name}")


def open_by_tag(page: Page, tag: str, *, address: str = "") -> None:
    """Type the tag at the bench and open the sheet."""
    page.goto(f"{address}/bench/")
    page.get_by_label("Tag").fill(tag)
    page.keyboard.press(ENTER)
    expect(page.locator("#action")).to_be_visible()


def fill_sheet(page: Page, bench: Bench, *, address: str = "") -> None:
    """Record every required step of the bench's job and close it as done."""
    open_by_tag(page, bench.job.damper.tag, address=address)
    for step in [row for row in bench.sheet().steps if row.step.required]:
        _reach(page, step.name)
        record(page, step)
        expect(page.locator(".refused")).to_have_count(0)
    page.locator("#action", has_text="Close the job").press(ENTER)
    choose(page, "done")
    page.keyboard.press(ENTER)
    expect(page.locator("#entry h2")).to_have_text("Closed: done")
    expect(page.locator("#kept b")).to_have_text(
        "all stored", timeout=60_000
    )  # a quick hand is ahead of a slow network
