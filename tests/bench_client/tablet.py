"""What a technician does at the page: the bar, an answer, a figure."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, expect

from tests.bench_client.bay import Bay


def open_sheet(page: Page, bay: Bay) -> None:
    """Open the sheet; `stored` counts what is recorded from here on."""
    bay.begun = len(bay.entries)
    page.goto(f"{bay.url}/bench/sheets/1")
    expect(page.locator("#action")).to_be_visible()


def bar(page: Page) -> str:
    return page.locator("#action").inner_text()


def press(page: Page, words: str) -> None:
    """Press the bar once it says `words`."""
    expect(page.locator("button#action, a#action")).to_have_text(words)
    page.locator("#action").click()


def idle(page: Page, words: str) -> None:
    """Wait until the bar is no button and says `words`."""
    expect(page.locator("p#action")).to_have_text(words)


def answer(page: Page, words: str) -> None:
    page.locator(".answer", has_text=words).click()


def opened(page: Page, name: str) -> None:
    """Wait until the entry is about the step `name`."""
    expect(page.locator("#entry")).to_have_attribute("aria-label", f"Entry: {name}")


def stored(page: Page, bay: Bay, count: int = 1) -> list[dict[str, Any]]:
    """Wait until nothing is kept here, and give the `count` entries that were recorded since the sheet was opened."""
    expect(page.locator("#kept b")).to_have_text("all stored")
    since = bay.entries[bay.begun :]
    assert len(since) == count, [(one["kind"], one["text"]) for one in since]
    return since
