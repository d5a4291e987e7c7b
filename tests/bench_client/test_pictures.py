"""Pictures at the tablet: taken, looked at, kept here until stored, recorded with their words."""

from __future__ import annotations

import copy
import io
import random
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Page, expect

from tests.bench_client.bay import Bay
from tests.bench_client.tablet import bar, idle, open_sheet, opened, press, stored
from tests.bench_client.test_reach import RULES
from tests.conftest import drawn
from tests.drawn_pictures import a_jpeg

pytestmark = pytest.mark.journey
NAME = "Pictures as it came"


@pytest.fixture
def bay(bay: Bay) -> Bay:
    """Give the sheet a picture step after its first one, as the shipped procedures have it."""
    with_pictures(bay)
    return bay


def with_pictures(bay: Bay) -> None:
    first = bay.sheet["steps"][0]
    step = copy.deepcopy(first) | {
        "id": 900, "key": "900:", "kind": "picture", "name": NAME, "required": False, "text": "Tags, leaks, damage.",
    }  # fmt: skip
    bay.sheet["steps"].insert(1, step)
    bay.sheet["stages"][0]["steps"].insert(1, "900:")


def file(name: str = "one.jpg", shade: int = 1, width: int = 300) -> dict[str, Any]:
    content = a_jpeg(width, width * 3 // 4, shade=shade)
    return {"name": name, "mimeType": "image/jpeg", "buffer": content}


def choose(page: Page, *files: dict[str, Any]) -> None:
    page.get_by_label("Choose from files").set_input_files(list(files), timeout=60_000)


def to_pictures(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    page.locator("#action").click()
    opened(page, NAME)
    stored(page, bay)
    bay.begun = len(bay.entries)
    bay.lists.clear()


def on_to_the_next_sheet(page: Page, bay: Bay) -> None:
    press(page, "Go to 2 Wash")
    opened(page, bay.sheet["steps"][2]["name"])


def seen(page: Page, where: str) -> list[bool]:
    """Say of each picture whether the browser draws it."""
    expect(page.locator(f"{where} img").first).to_be_visible()
    drawn = (
        "(all) => Promise.all(all.map((one) => one.decode().then(() => one.naturalWidth > 0, () => false)))"
    )
    return list(page.eval_on_selector_all(f"{where} img", drawn))


def test_two_pictures_are_recorded_with_their_words(page: Page, bay: Bay) -> None:
    to_pictures(page, bay)
    idle(page, "Take a picture first")
    choose(page, file(), file("two.jpg", 2))
    assert seen(page, ".shots") == [True, True]
    page.get_by_label("What picture 2 shows").fill("")
    idle(page, "Say what picture 2 shows")
    page.get_by_label("What picture 2 shows").fill("oil at the <b>wiper</b>")
    press(page, "Record 2 pictures")
    (entry,) = stored(page, bay)
    assert (entry["kind"], [one["caption"] for one in entry["pictures"]]) == (
        "picture", [NAME, "oil at the <b>wiper</b>"],
    )  # fmt: skip
    assert set(bay.pictures) == {one["id"] for one in entry["pictures"]}
    assert [content[:2] for content in bay.pictures.values()] == [b"\xff\xd8"] * 2


def test_what_is_recorded_is_shown_and_may_be_corrected(page: Page, bay: Bay) -> None:
    to_pictures(page, bay)
    choose(page, file(), file("two.jpg", 2))
    press(page, "Record 2 pictures")
    stored(page, bay)
    page.locator("[data-step='900:']").click()
    assert seen(page, ".gallery") == [True, True]
    assert page.locator(".gallery img").first.get_attribute("alt") == NAME
    page.get_by_role("button", name="Correct 2 pictures").click()
    page.get_by_role("button", name="Take picture 1 out").click()
    press(page, "Correct to 1 picture")
    first, second = stored(page, bay, 2)
    assert (second["replaces"], second["pictures"]) == (first["id"], first["pictures"][1:])
    assert len(bay.pictures) == 2


def test_without_the_network_they_are_kept_counted_and_sent_by_themselves(page: Page, bay: Bay) -> None:
    """Seen red with the entry sent ahead of its pictures."""
    to_pictures(page, bay)
    bay.down = True
    choose(page, file())
    press(page, "Record 1 picture")
    expect(page.locator("#kept b")).to_have_text("1 kept here")
    page.locator("[data-step='900:']").click()
    assert seen(page, ".gallery") == [True]
    assert bay.lists == [] and not bay.pictures
    bay.down = False
    page.evaluate("window.dispatchEvent(new Event('online'))")
    (entry,) = stored(page, bay)
    assert list(bay.pictures) == [entry["pictures"][0]["id"]]
    assert seen(page, ".gallery") == [True]


def test_readings_do_not_wait_for_pictures(page: Page, bay: Bay) -> None:
    """Seen red with one queue for both."""
    to_pictures(page, bay)
    page.route("**/bench/pictures", lambda route: route.abort())
    choose(page, file())
    press(page, "Record 1 picture")
    on_to_the_next_sheet(page, bay)
    page.locator("#action").click()
    expect(page.locator("#kept b")).to_have_text("1 kept here")
    assert [one["kind"] for one in bay.entries[bay.begun :]] == ["do"]
    page.unroute("**/bench/pictures")
    page.evaluate("window.dispatchEvent(new Event('online'))")
    assert {one["kind"] for one in stored(page, bay, 2)} == {"do", "picture"}


def test_one_that_is_refused_says_why_and_is_taken_again(page: Page, bay: Bay) -> None:
    to_pictures(page, bay)
    bay.no_picture = "This picture is broken: take it again."
    choose(page, file())
    press(page, "Record 1 picture")
    page.locator(".refused").click()
    expect(page.locator("#entry")).to_contain_text("This picture is broken: take it again.")
    bay.no_picture = ""
    page.get_by_role("button", name="Change it").click()
    assert seen(page, ".shots") == [True]
    press(page, "Record 1 picture")
    stored(page, bay)


def test_a_finding_takes_its_pictures_along(page: Page, bay: Bay) -> None:
    open_sheet(page, bay)
    page.locator("#finding").click()
    for value in ("rod", "pitted", "replace"):
        page.locator(f".pick [data-value='{value}']").click()
    page.get_by_role("button", name="Add a picture").click()
    choose(page, file())
    press(page, "Back to the finding with 1 picture")
    expect(page.get_by_role("button", name="1 picture")).to_be_visible()
    page.locator(".pick [data-value='should']").click()
    press(page, "Record rod: pitted, should be done")
    found, shown = stored(page, bay, 2)
    assert (shown["kind"], shown["about"], shown["pictures"][0]["caption"]) == (
        "picture", found["id"], "rod: pitted",
    )  # fmt: skip
    page.locator("#findings").click()
    page.locator(".row").first.click()
    assert seen(page, ".gallery") == [True]
    page.get_by_role("button", name="Add a picture").click()
    choose(page, file("two.jpg", 2))
    press(page, "Record 1 picture")
    stored(page, bay, 3)
    assert seen(page, ".gallery") == [True, True]


def test_a_large_one_is_made_smaller_before_it_is_sent(page: Page, bay: Bay) -> None:
    noise = Image.frombytes("RGB", (300, 300), random.Random(1).randbytes(300 * 300 * 3)).resize((4000, 3000))
    out = io.BytesIO()
    noise.save(out, "JPEG", quality=95)
    to_pictures(page, bay)
    choose(page, {"name": "large.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()})
    expect(page.locator(".shots img")).to_be_visible(timeout=60_000)
    press(page, "Record 1 picture")
    stored(page, bay)
    (sent,) = bay.pictures.values()
    assert Image.open(io.BytesIO(sent)).size == (2000, 1500)
    assert len(sent) < len(out.getvalue()) / 2


def test_it_may_be_left_and_is_never_in_the_way(page: Page, bay: Bay) -> None:
    to_pictures(page, bay)
    page.get_by_role("button", name="Go on without it").click()
    on_to_the_next_sheet(page, bay)
    assert bar(page)


@pytest.mark.parametrize("theme", drawn(["light", "dark"], 1))
def test_axe_finds_nothing_and_targets_are_large(page: Page, bay: Bay, theme: str) -> None:
    """Empty, taken, and looked at. Seen red with the fields of the captions unlabelled."""
    page.add_init_script(f"localStorage.setItem('theme', '{theme}')")
    to_pictures(page, bay)
    found = faults(page)
    choose(page, file())
    expect(page.locator(".shots img")).to_be_visible()
    found |= faults(page)
    small = page.eval_on_selector_all(
        "#entry :is(button, .choose, .shots input)",
        "(all) => all.map((one) => one.getBoundingClientRect().height).filter((height) => height < 75.5)",
    )
    press(page, "Record 1 picture")
    stored(page, bay)
    page.locator("[data-step='900:']").click()
    expect(page.locator(".gallery img")).to_be_visible()
    assert (found | faults(page), small) == ({}, [])


def faults(page: Page) -> dict[str, str]:
    results = Axe().run(page, options=RULES).response
    assert results["passes"]
    return {one["id"]: one["nodes"][0]["html"][:160] for one in results["violations"]}
