"""At closing the technician says which of the parts that were issued were not used."""

from __future__ import annotations

import os

import pytest
from playwright.sync_api import Page, expect

from tests.bench_client.bay import Bay, usual

pytestmark = pytest.mark.journey
ISSUED = [
    {"move": 5, "name": "Wiper", "place": "wiper", "batch": "B-17", "left": "1", "one": True},
    {"move": 6, "name": "O-ring 210", "place": "seal head", "batch": "B-22", "left": "2", "one": False},
    {"move": 9, "name": "Damper oil 5", "place": "oil", "batch": "DRUM-4", "left": "473 mL", "one": False},
]


def closing(bay: Bay, page: Page, outcome: str = "unrepaired") -> None:
    bay.sheet["closing"]["issued"] = ISSUED
    page.goto(f"{bay.url}/bench/sheets/1")
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Close the job").click()
    page.get_by_label(outcome).check()
    page.get_by_label("Say why, for the report").fill("Rod not to be had")
    page.locator("#action").click()


def said(bay: Bay, page: Page) -> list[tuple[int, str]]:
    expect(page.locator("#kept b")).to_have_text("all stored")
    return [(one["move"], one["text"]) for one in bay.lists[-1][-1]["back"]]


def test_each_part_is_asked_for_before_an_end_without_done(bay: Bay, page: Page) -> None:
    closing(bay, page)
    expect(page.locator("#action")).to_have_text("Say it of each part: 3 to go")
    assert page.locator("#act button").count() == 0
    page.locator(".backs", has_text="Wiper").get_by_label("goes back").check()
    page.locator(".backs", has_text="O-ring").get_by_label("used").check()
    oil = page.locator(".backs", has_text="Damper oil")
    oil.get_by_label("goes back").check()
    if folder := os.environ.get("SHOP_TEST_PICTURES"):
        page.screenshot(path=f"{folder}/going-back.png")
    oil.get_by_role("textbox").fill("")
    expect(page.locator("#action")).to_have_text("Say it of each part: 1 to go")
    oil.get_by_role("textbox").fill("73 mL")
    expect(page.locator("#action")).to_have_text("Close the job: unrepaired, 2 go back")
    page.locator("#action").click()
    assert said(bay, page) == [(5, "1"), (6, ""), (9, "73 mL")]


def test_all_of_it_goes_back_with_two_taps(bay: Bay, page: Page) -> None:
    closing(bay, page)
    page.get_by_role("button", name="All go back").click()
    page.locator("#action").click()
    assert said(bay, page) == [(5, "1"), (6, "2"), (9, "473 mL")]


def test_a_stop_asks_for_no_part(bay: Bay, page: Page) -> None:
    closing(bay, page, "unsafe")
    assert said(bay, page) == []


def test_a_part_that_is_only_kept_here_holds_the_closing_up(bay: Bay, page: Page) -> None:
    step = next(step for step in bay.sheet["steps"] if step["kind"] == "part")
    bay.before(step["name"])
    entry = usual(step, "part")
    page.goto(f"{bay.url}/bench/sheets/1")
    bay.down = True
    key = f"kept:{bay.sheet['job']['id']}:{bay.sheet['person']['initials']}"
    page.evaluate(
        """([key, entry]) => localStorage.setItem(
            key, JSON.stringify([{ entry: { ...entry, counter: 1 }, refused: null }]))""",
        [key, entry],
    )
    page.reload()
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Close the job").click()
    page.get_by_label("uncharged").check()
    expect(page.locator("#action")).to_have_text("A part is only kept here: it is closed once that is stored")
    assert page.locator("#act button").count() == 0


def test_a_job_that_is_done_used_all_but_what_is_said(bay: Bay, page: Page) -> None:
    bay.sheet["closing"]["issued"] = ISSUED
    for step in bay.sheet["steps"]:
        for kind in ["wait", "wait end"] if step["kind"] == "wait" else [step["kind"]]:
            bay._take_one(usual(step, kind))
    page.goto(f"{bay.url}/bench/sheets/1")
    page.locator("#action", has_text="Close the job").click()
    page.get_by_role("button", name="Some parts were not used").click()
    expect(page.locator("#action")).to_have_text("Close the job: done")
    page.locator(".backs", has_text="Wiper").get_by_label("goes back").check()
    expect(page.locator("#action")).to_have_text("Close the job: done, 1 go back")
    page.locator("#action").click()
    assert said(bay, page) == [(5, "1"), (6, ""), (9, "")]
