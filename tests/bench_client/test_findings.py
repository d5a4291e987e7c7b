"""A finding at the tablet: few taps, from any step; what it shuts, also while it is only kept here."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from shopapp.drawings.damper import Balloon
from shopapp.web.specimen_dampers import every_construction
from tests.bench_client.bay import Bay, usual
from tests.bench_client.tablet import answer, bar, idle, open_sheet, press, stored
from tests.bench_client.test_drawing_legible import WORDS, drawn, judged

pytestmark = pytest.mark.journey


def tap(page: Page, *values: str) -> None:
    for value in values:
        page.locator(f".pick [data-value='{value}']").click()


def find(page: Page, *values: str) -> None:
    page.locator("#finding").click()
    tap(page, *values)


def test_a_finding_in_six_taps(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    find(page, "bushing")
    idle(page, "Say what is wrong with it")
    tap(page, "worn")
    idle(page, "Choose the advice")
    tap(page, "replace")
    idle(page, "Choose the grade")
    tap(page, "should")
    press(page, "Record bushing: worn, should be done")
    (entry,) = stored(page, bay)
    said = {name: entry[name] for name in ("kind", "step", "part", "words", "advice", "answer")}
    assert said == {
        "kind": "finding", "step": None, "part": "bushing", "words": "worn", "advice": "replace", "answer": "should",
    }  # fmt: skip
    expect(page.locator("#findings")).to_contain_text("bushing: worn")
    assert page.locator("#findings svg text").inner_html() == "1"


def test_own_words_a_value_and_a_part_without_a_name(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    find(page, "other")
    idle(page, "Say which part it is")
    page.get_by_label("Say which part it is").fill("fin <b>of</b> the body")
    page.get_by_label("In your own words").fill("bent & scratched")
    page.get_by_label("Value, as read").fill("3 mm")
    tap(page, "watch", "note")
    press(page, "Record fin <b>of</b> the body: bent & scratched, note")
    (entry,) = stored(page, bay)
    assert (entry["part_words"], entry["text"]) == ("fin <b>of</b> the body", "3 mm")
    assert page.locator("#findings b b").count() == 0


def test_it_goes_back_to_the_step_that_was_open(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    before = page.locator("#entry").get_attribute("aria-label")
    find(page, "rod", "pitted", "replace", "note")
    press(page, "Record rod: pitted, note")
    stored(page, bay)
    assert page.locator("#entry").get_attribute("aria-label") == before


def test_unsafe_shuts_the_charge_at_once_without_the_network(page: Page, bay: Bay) -> None:
    """Seen red with what is only kept here left out of `findingsNow`."""
    bay.before("Body temperature, while charging")
    open_sheet(page, bay)
    bay.down = True
    find(page, "rod", "pitted", "replace", "unsafe")
    press(page, "Record rod: pitted, unsafe to use")
    expect(page.locator("#entry h2")).to_have_text("Unsafe to use: Charge is shut")
    expect(page.locator("#kept b")).to_have_text("1 kept here")
    assert "rod: pitted" in page.locator("#entry").inner_text()


def test_agreed_and_put_right_opens_it_again(page: Page, bay: Bay) -> None:
    bay.before("Body temperature, while charging")
    open_sheet(page, bay)
    find(page, "rod", "pitted", "replace", "unsafe")
    press(page, "Record rod: pitted, unsafe to use")
    stored(page, bay)
    bay.answers["pitted"] = "yes"
    open_sheet(page, bay)
    assert "agreed, not put right yet" in page.locator("#entry").inner_text()
    page.locator("#findings").click()
    page.locator(".rows .row").click()
    page.get_by_role("button", name="It is put right").click()
    idle(page, "Say what was done")
    page.locator("#entry textarea").fill("new rod")
    press(page, "Record: put right")
    (entry,) = stored(page, bay)
    assert (entry["kind"], entry["words"]) == ("put right", "new rod")
    expect(page.locator("#entry")).to_have_attribute("aria-label", "Entry: Body temperature, while charging")


def test_declined_it_says_how_the_job_ends(page: Page, bay: Bay) -> None:
    bay.before("Body temperature, while charging")
    bay.answers["pitted"] = "no"
    open_sheet(page, bay)
    find(page, "rod", "pitted", "replace", "unsafe")
    press(page, "Record rod: pitted, unsafe to use")
    stored(page, bay)
    expect(page.locator("#entry")).to_contain_text("returned uncharged or unrepaired")
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Close the job").click()
    offered = page.locator(".answer").all_inner_texts()
    assert "done" not in [words.strip() for words in offered]


def test_calling_an_unsafe_finding_less_asks_why(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    find(page, "rod", "pitted", "replace", "unsafe")
    press(page, "Record rod: pitted, unsafe to use")
    stored(page, bay)
    page.locator("#findings").click()
    page.locator(".rows .row").click()
    page.get_by_role("button", name="Correct the finding").click()
    tap(page, "note")
    idle(page, "Say why it is not unsafe to use after all")
    page.get_by_label("Say why it is not unsafe to use after all").fill("a hair in the oil")
    press(page, "Correct to rod: pitted, note")
    entries = stored(page, bay, 2)
    assert (entries[1]["reason"], entries[1]["replaces"]) == ("a hair in the oil", entries[0]["id"])


def test_an_answer_that_says_a_part_is_no_good_leads_to_its_finding(page: Page, bay: Bay) -> None:
    """Seen red without `follow`."""
    step = bay.before("Rod")
    for shown in bay.sheet["steps"]:
        if shown["name"] == "Rod":
            shown["options"][-1]["passes"] = False
            bent = shown["options"][-1]["words"]
    bay.sheet["found"]["part_of"] = {str(step["id"]): "rod"}
    open_sheet(page, bay)
    answer(page, bent)
    page.locator("#action").click()
    expect(page.locator("#entry h2")).to_contain_text("rod")
    expect(page.get_by_label("In your own words")).to_have_value(bent)
    tap(page, "replace", "unsafe")
    assert bent in bar(page)
    page.locator("#action").click()
    entries = stored(page, bay, 2)
    assert entries[1]["about"] == entries[0]["id"]


EIGHT = ("rod", "shims", "ifp", "piston band", "main spring", "eyelet", "reservoir cap", "seal head")


@pytest.mark.parametrize("window", [(1280, 800), (800, 1280)], ids=str)
def test_the_list_stands_beside_the_drawing_however_much_was_found(
    page: Page, bay: Bay, window: tuple[int, int]
) -> None:
    """Each number on the drawing, whole and as large as it was drawn, and each row within reach.

    Seen red with the list alone, and in portrait with a list that takes all the height that it wants.
    """
    page.set_viewport_size({"width": window[0], "height": window[1]})
    bay.drawing = drawn(every_construction()[1], tuple(Balloon(n, part) for n, part in enumerate(EIGHT, 1)))
    step = bay.before("Body temperature, while charging")
    for part in EIGHT:
        found = {"kind": "finding", "part": part, "part_words": "", "words": "scored", "advice": "watch"}
        bay._take_one(usual(step, "finding") | found | {"step": None, "answer": "note"})
    open_sheet(page, bay)
    page.locator("#findings").click()
    expect(page.locator(".rows .row")).to_have_count(len(EIGHT))
    judged(page.evaluate(WORDS))
    numbers = [int(text) for text in page.locator("#drawing [data-finding] text").all_text_contents()]
    assert sorted(numbers) == list(range(1, 9))
    page.locator("#drawing svg").scroll_into_view_if_needed()
    whole, left = page.locator("#drawing svg").bounding_box(), page.locator("#left").bounding_box()
    assert whole is not None and left is not None
    assert whole["y"] >= left["y"] - 1 and whole["y"] + whole["height"] <= left["y"] + left["height"] + 1
    page.locator(".rows .row").last.click()
    expect(page.locator("#entry h2")).to_contain_text("seal head")
    page.locator("#findings").click()
    page.locator("#action").click()
    expect(page.locator(".rows .row")).to_have_count(0)
