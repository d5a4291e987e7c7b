"""Entries kept here: never lost, sent again by themselves, refused ones shown with their sentence."""

import pytest
from playwright.sync_api import expect

from tests.bench_client.tablet import open_sheet, opened, press, stored

pytestmark = pytest.mark.journey

KEPT = "#kept b"


def _type(page, *figures):
    for figure in figures:
        page.locator("#reading").fill(figure)
        page.locator("#reading").press("Enter")


def test_what_cannot_be_sent_is_kept_counted_and_sent_again_by_itself(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    bay.down = True
    _type(page, "28 1/16", "2 3/16", "11")
    opened(page, "Compression low, from closed")
    expect(page.locator(KEPT)).to_have_text("3 kept here")
    expect(page.locator(".cell", has_text="Preload adjuster")).to_contain_text("2 3/16")
    bay.down = False
    page.evaluate("window.dispatchEvent(new Event('online'))")
    kept = stored(page, bay, 3)
    assert [entry["text"] for entry in kept] == ["28 1/16 in", "2 3/16 in", "11 clicks"]
    counters = [entry["counter"] for entry in bay.lists[-1]]
    assert counters == sorted(set(counters))


def test_it_is_tried_again_without_anybody_s_help(page, bay):
    bay.before("Eye centres, rod out")
    page.clock.install()
    open_sheet(page, bay)
    bay.down = True
    _type(page, "28 1/16")
    expect(page.locator(KEPT)).to_have_text("1 kept here")
    bay.down = False
    page.clock.run_for(61_000)
    expect(page.locator(KEPT)).to_have_text("all stored")


def test_a_page_opened_again_still_has_them_and_nothing_is_stored_twice(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    bay.down = True
    _type(page, "28 1/16")
    expect(page.locator(KEPT)).to_have_text("1 kept here")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    expect(page.locator(KEPT)).to_have_text("1 kept here")
    opened(page, "Preload adjuster, cap face to ring")
    bay.down = False
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    stored(page, bay)


def test_leaving_is_warned_of_while_something_is_kept(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    warned = """(() => { const leaving = new Event("beforeunload", { cancelable: true });
      dispatchEvent(leaving); return leaving.defaultPrevented; })()"""
    assert page.evaluate(warned) is False
    bay.down = True
    _type(page, "28 1/16")
    expect(page.locator(KEPT)).to_have_text("1 kept here")
    assert page.evaluate(warned) is True


def test_a_refused_entry_is_shown_with_its_sentence_and_may_be_changed(page, bay):
    bay.before("Eye centres, rod out")
    bay.refuse["28 1/16 in"] = "This body is shorter than that."
    open_sheet(page, bay)
    _type(page, "28 1/16")
    expect(page.locator(".refused")).to_contain_text("This body is shorter than that.")
    opened(page, "Preload adjuster, cap face to ring")
    page.locator(".refused").click()
    expect(page.locator("#entry h2")).to_have_text("Refused: Eye centres, rod out 28 1/16 in")
    page.get_by_role("button", name="Change it").click()
    expect(page.locator("#reading")).to_have_value("28 1/16 in")
    _type(page, "28")
    assert stored(page, bay)[-1]["text"] == "28 in"
    expect(page.locator(".refused")).to_have_count(0)


def test_a_refused_entry_may_be_thrown_away_and_unlocks_nothing(page, bay):
    bay.before("Eye centres, rod out")
    bay.refuse["28 1/16 in"] = "This body is shorter than that."
    open_sheet(page, bay)
    _type(page, "28 1/16")
    page.locator(".refused").click()
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator(".refused")).to_have_count(0)
    page.reload()
    opened(page, "Eye centres, rod out")


def test_a_list_that_is_turned_away_costs_only_the_entry_that_is_wrong(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    bay.down = True
    _type(page, "28", "2 1/4", "11")
    expect(page.locator(KEPT)).to_have_text("3 kept here")
    bay.turn_away["2 1/4 in"] = "This list cannot be read."
    bay.down = False
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(page.locator(".refused")).to_contain_text("This list cannot be read.")
    assert [e["text"] for e in stored(page, bay, 2)] == ["28 in", "11 clicks"]


def test_a_wrong_reading_does_not_go_out_with_what_the_page_knows_for_itself(page, bay):
    bay.before("Eye centres, rod out")
    open_sheet(page, bay)
    _type(page, "28 1/16")
    stored(page, bay)
    assert set(bay.lists[-1][0]) == {
        "id", "job", "step", "position", "kind", "text", "words", "answer", "reason", "tool", "lots", "replaces",
        "about", "outcome", "typed_at", "counter",
    }  # fmt: skip


def test_the_bar_records_once_however_quickly_it_is_tapped(page, bay):
    open_sheet(page, bay)
    press(page, "Done: Tag read against this sheet")
    page.evaluate("document.getElementById('action').click()")
    stored(page, bay)
