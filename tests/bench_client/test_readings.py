"""Readings at the page: typed, judged, read back, corrected; what stands in the way of an unlikely one."""

import pytest
from playwright.sync_api import expect

from tests.bench_client.tablet import answer, bar, idle, open_sheet, opened, press, stored

pytestmark = pytest.mark.journey


def test_a_stage_with_the_keyboard_alone(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    opened(page, "Eye centres, rod out")
    for name, typed in [
        ("Preload adjuster, cap face to ring", "28 1/16"), ("Rebound, clicks from closed", "2 3/16 in"),
        ("Compression low, from closed", "11"), ("Compression high, from closed", "13"),
    ]:  # fmt: skip
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
        opened(page, name)
    page.keyboard.type("4")
    page.keyboard.press("Enter")
    for _ in range(3):
        page.keyboard.type("0.08 in")
        page.keyboard.press("Enter")
    for name in ("Springs, from the cap", "Divider and coil ends"):
        opened(page, name)
        page.keyboard.press("Tab")
        page.keyboard.press("Space")
        page.keyboard.press("Enter")
    idle_or_go = "Go to 4 Take the spring off"
    expect(page.locator("#action")).to_have_text(idle_or_go)
    kept = stored(page, bay, 10)
    assert [entry["text"] for entry in kept[:3]] == ["28 1/16 in", "2 3/16 in", "11 clicks"]
    page.keyboard.press("Tab")
    page.locator("#action").focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("4 Take the spring off")


def test_the_keypad_types_what_technicians_write(page, bay):
    bay.before("Preload adjuster, cap face to ring")
    open_sheet(page, bay)
    for key in ("2", "space", "3", "over", "1", "6"):
        page.get_by_role("button", name=key, exact=True).click()
    assert bar(page) == "Record 2 3/16 in as received"
    page.get_by_role("button", name="1/16 more").click()
    assert bar(page) == "Record 2 1/4 in as received"
    page.get_by_role("button", name="step 1/16, change").click()
    page.get_by_role("button", name="1/32 less").click()
    assert bar(page) == "Record 2 7/32 in as received"
    page.get_by_role("button", name="take back").click()
    page.locator("#key-unit").click()
    page.locator("#reading").fill("55.6")
    assert bar(page) == "Record 55.6 mm as received"
    expect(page.locator("#reading-say")).to_contain_text("Inside 1 3/4 to 2 3/4 in.")
    sign = page.get_by_role("button", name="change the sign")
    expect(sign).to_have_attribute("aria-disabled", "true")


def test_what_cannot_be_read_says_why_and_is_not_recorded(page, bay):
    bay.before("Preload adjuster, cap face to ring")
    open_sheet(page, bay)
    page.locator("#reading").fill("2 9/8")
    expect(page.locator("#reading-say")).to_contain_text("the fraction must be less than one")
    expect(page.locator("#reading")).to_have_attribute("aria-invalid", "true")
    idle(page, "Not a figure yet")
    page.keyboard.press("Enter")
    opened(page, "Preload adjuster, cap face to ring")
    page.locator("#reading").fill("2 3/")
    expect(page.locator("#reading")).not_to_have_attribute("aria-invalid", "true")


def test_as_found_outside_its_limits_is_recorded_at_once(page, bay):
    bay.before("Rebound, clicks from closed")
    open_sheet(page, bay)
    page.locator("#reading").fill("17")
    expect(page.locator("#reading-say .out")).to_have_text("1 above 16 clicks.")
    press(page, "Record 17 clicks as received")
    opened(page, "Compression low, from closed")
    assert stored(page, bay)[-1]["reason"] == ""


def test_as_built_outside_its_limits_takes_a_second_tap_and_a_reason(page, bay):
    bay.before("Rebound, clicks from closed")
    step = next(s for s in bay.sheet["steps"] if s["phase"] == "built" and s["position"] == "rebound")
    bay.before("Retainer gap as built, at the mark")
    bay.sheet["entries"] = [e for e in bay.entries if e["key"] != step["key"]]
    open_sheet(page, bay)
    page.locator("#zones a", has_text="15").click()
    page.locator("#reading").fill("17")
    press(page, "Record 17 clicks as built")
    idle(page, "Say why it is 17 clicks")
    assert len(bay.entries) == bay.begun
    answer(page, "The part is worn")
    press(page, "Record 17 clicks anyway")
    expect(page.locator("#entry")).to_contain_text("It came with 0 clicks.")
    answer(page, "Another part is fitted")
    press(page, "Record 17 clicks anyway")
    reading, reason = stored(page, bay, 2)
    assert (reading["text"], reading["reason"]) == ("17 clicks", "The part is worn")
    assert (reason["about"], reason["words"]) == (reading["id"], "Another part is fitted")


def test_the_body_s_most_is_a_dead_end_and_the_likely_meaning_is_offered(page, bay):
    bay.before("Charge")
    open_sheet(page, bay)
    page.locator("#reading").fill("1400")
    press(page, "Record 1400 psi as built")
    answer(page, "G-04")
    press(page, "Use G-04 Gauge 0 to 300 psi")
    expect(page.locator("#entry.stop h2")).to_have_text("1400 psi is above 200 psi, the most this body takes")
    expect(page.locator("#entry")).to_contain_text("Did you mean 140 psi?")
    expect(page.locator("#entry")).to_contain_text("Only the owner")
    idle(page, "This limit holds for everybody")
    page.get_by_role("button", name="It is 140 psi").click()
    press(page, "Record 140 psi as built: read back")
    last = stored(page, bay)[-1]
    assert (last["text"], last["tool"]) == ("140 psi", "G-04")


def test_an_unlikely_figure_as_found_asks_once_more(page, bay):
    bay.before("Pressure found")
    open_sheet(page, bay)
    page.locator("#reading").fill("1400")
    press(page, "Record 1400 psi as removed")
    answer(page, "G-04")
    press(page, "Use G-04 Gauge 0 to 300 psi")
    expect(page.locator("#entry")).to_contain_text("Did you mean 140 psi?")
    press(page, "Record 1400 psi as removed: it is so")
    assert stored(page, bay)[-1]["text"] == "1400 psi"


def test_enter_alone_does_not_confirm_an_unlikely_figure(page, bay):
    """Seen to fail before: a hand that typed on to the next reading confirmed this one, the question unread."""
    bay.before("Rebound, clicks from closed")
    open_sheet(page, bay)
    before = len(bay.entries)
    page.locator("#reading").fill("180")
    page.keyboard.press("Enter")
    expect(page.locator("#entry")).to_contain_text("180 clicks is 164 above 16")
    expect(page.locator(".meant")).to_have_count(0)  # 1.8 would fit, but there is no part of a click
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    expect(page.locator("#reading")).to_have_value("180")
    assert len(bay.entries) == before


def test_a_correction_names_the_old_entry_and_the_old_value_stays_readable(page, bay):
    bay.before("Rebound, clicks from closed")
    old = bay.entries[-1]
    open_sheet(page, bay)
    page.locator(f'[data-step="{old["key"]}"]').click()
    page.get_by_role("button", name=f"Correct {old['text']}").click()
    expect(page.locator("#reading-say")).to_contain_text(f"Was {old['text']}, M. Oduya")
    page.locator("#reading").fill("2 1/4")
    press(page, "Correct to 2 1/4 in as received")
    assert stored(page, bay)[-1]["replaces"] == old["id"]
    page.locator(f'[data-step="{old["key"]}"]').click()
    expect(page.locator(".figure")).to_have_text("2 1/4 in")
    expect(page.locator(".before s")).to_have_text(str(old["text"]))


def test_not_readable_says_why(page, bay):
    bay.before("Rebound, clicks from closed")
    open_sheet(page, bay)
    page.get_by_role("button", name="not readable say why").click()
    idle(page, "Say why it cannot be read")
    answer(page, "seized, does not turn")
    press(page, "Record not readable: seized, does not turn")
    last = stored(page, bay)[-1]
    assert (last["kind"], last["words"]) == ("unreadable", "seized, does not turn")


def test_as_received_stands_beside_as_built(page, bay):
    bay.before("Preload adjuster as built")
    open_sheet(page, bay)
    cell = page.locator(".cell", has_text="Preload adjuster as built")
    expect(cell.locator(".built")).to_contain_text("as received")
    expect(cell.locator(".built b")).to_contain_text("2 1/8")


def test_a_figure_that_must_be_read_cannot_be_called_unreadable(page, bay):
    bay.before("Charge")
    open_sheet(page, bay)
    expect(page.get_by_role("button", name="not readable say why")).to_have_attribute("aria-disabled", "true")


def test_limits_that_move_are_not_guessed_before_the_temperature_is_stored(page, bay):
    bay.before("Body temperature, while charging")
    open_sheet(page, bay)
    bay.down = True
    page.locator("#reading").fill("42")
    press(page, "Record 42 °C as built")
    opened(page, "Charge")
    expect(page.locator("#reading-say")).to_contain_text(
        "Limits follow once the reading they move with is stored."
    )
    page.locator("#reading").fill("151")
    expect(page.locator("#reading-say")).not_to_contain_text("above")
    page.locator("#reading").fill("201")
    page.keyboard.press("Enter")
    answer(page, "G-04")
    press(page, "Use G-04 Gauge 0 to 300 psi")
    expect(page.locator("#entry.stop h2")).to_have_text("201 psi is above 200 psi, the most this body takes")
    bay.down = False
    page.evaluate("window.dispatchEvent(new Event('online'))")
    stored(page, bay)
    page.get_by_role("button", name="Type it again").click()
    page.locator("#reading").fill("140")
    expect(page.locator("#reading-say")).to_contain_text("Inside 130 to 150 psi.")
