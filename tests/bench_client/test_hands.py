"""Whose hand: a trainee's step is countersigned at the tablet, a step for others is not offered, a note is taken."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.bench_client.bay import Bay, usual

pytestmark = pytest.mark.journey


def opened(bay: Bay, page: Page) -> None:
    page.goto(f"{bay.url}/bench/sheets/1")
    expect(page.locator("#action")).to_be_visible()


def by_trainee(bay: Bay, step: dict[str, Any]) -> dict[str, Any]:
    """Store what a trainee recorded at a step."""
    stored = bay._stored(usual(step, step["kind"]))
    stored |= {"by": "Ravi Quennell", "who": "RQ", "to_countersign": True}
    bay.sheet["entries"].append(stored)
    return stored


def test_a_trainees_step_is_countersigned_from_its_own_sheet(bay: Bay, page: Page) -> None:
    entry = by_trainee(bay, bay.sheet["steps"][0])
    opened(bay, page)
    page.evaluate("document.querySelector('#zones a').click()")
    page.locator(f"[data-step='{entry['key']}']").click()
    expect(page.locator("#entry")).to_contain_text(
        "Recorded by Ravi Quennell, a trainee: to be countersigned."
    )
    expect(page.locator("#action")).to_have_text(f"Countersign: {bay.sheet['steps'][0]['name']}")
    page.locator("#action").click()
    expect(page.locator("#entry")).to_contain_text("Countersigned by")
    expect(page.locator("#kept b")).to_have_text("all stored")
    assert [(one["kind"], one["about"]) for one in bay.lists[-1]] == [("countersign", entry["id"])]


def test_a_trainee_is_offered_no_signature(bay: Bay, page: Page) -> None:
    bay.sheet["person"] |= {"initials": "NK", "trainee": True}
    entry = by_trainee(bay, bay.sheet["steps"][0])
    opened(bay, page)
    page.evaluate("document.querySelector('#zones a').click()")
    page.locator(f"[data-step='{entry['key']}']").click()
    expect(page.locator("#entry")).to_contain_text("to be countersigned")
    expect(page.locator("#action")).not_to_contain_text("Countersign")


def test_a_step_for_others_names_them_and_offers_nothing(bay: Bay, page: Page) -> None:
    bay.sheet["steps"][0]["skill"] = "charging"
    bay.sheet["skilled"] = {"charging": ["IB", "JT"]}
    opened(bay, page)
    expect(page.locator(".stop")).to_contain_text("for people trained for charging")
    expect(page.locator(".stop")).to_contain_text("Trained for it: IB, JT.")
    expect(page.locator("#action")).to_have_text("Ask one of them to record it")
    assert page.locator("#act button").count() == 0


def test_a_note_to_the_shift_stands_on_top_until_it_is_taken(bay: Bay, page: Page) -> None:
    note = usual(bay.sheet["steps"][0], "note") | {"step": None, "words": "Hose is pinched: ask Jorun"}
    bay.sheet["entries"].append(bay._stored(note) | {"shift": True, "by": "Ravi Quennell"})
    opened(bay, page)
    page.locator("button.shift").click()
    expect(page.locator("#entry")).to_contain_text("Hose is pinched: ask Jorun")
    page.locator("#action").click()
    expect(page.locator("button.shift")).to_have_count(0)
    expect(page.locator("#kept b")).to_have_text("all stored")
    assert [(one["kind"], one["about"]) for one in bay.lists[-1]] == [("taken", note["id"])]


def test_a_comeback_is_closed_with_its_cause_by_name(bay: Bay, page: Page) -> None:
    bay.sheet["closing"]["comeback"] = {
        "order": "1004",
        "causes": [
            {"value": "stage", "words": "a stage of the work"},
            {"value": "lot", "words": "a lot of parts"},
        ],
        "stages": [{"value": "fill", "words": "Fill and purge"}, {"value": "ifp", "words": "Set the IFP"}],
        "lots": [],
    }
    opened(bay, page)
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Close the job").click()
    page.get_by_label("unrepaired").check()
    page.get_by_label("Say why, for the report").fill("Air in the oil")
    page.locator("#action").click()
    expect(page.locator("#entry")).to_contain_text("It came back from order 1004: why?")
    expect(page.get_by_label("a lot of parts")).to_have_count(0)
    page.get_by_label("a stage of the work").check()
    expect(page.locator("#action")).to_have_text("Name which one")
    page.get_by_label("Which stage").select_option("Set the IFP")
    page.locator("#action").click()
    expect(page.locator("#kept b")).to_have_text("all stored")
    (closed,) = bay.lists[-1]
    assert (closed["kind"], closed["outcome"], closed["cause"], closed["stage"]) == (
        "close",
        "unrepaired",
        "stage",
        "ifp",
    )
