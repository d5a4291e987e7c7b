"""Steps that are no reading, and the safety stops, at the page."""

import pytest
from playwright.sync_api import expect

from tests.bench_client.tablet import answer, idle, open_sheet, opened, press, stored

pytestmark = pytest.mark.journey

STRIP = "#zones li:nth-child(6) a"


def test_both_answers_of_a_proof_weigh_the_same_and_the_bar_waits(page, bay):
    bay.before("Proof of zero")
    open_sheet(page, bay)
    idle(page, "Choose what you see")
    expect(page.locator(".answer")).to_have_count(2)
    looks = page.eval_on_selector_all(
        ".answer",
        """(answers) => answers.map((one) => { const style = getComputedStyle(one), box = one.getBoundingClientRect();
          return [Math.round(box.width), Math.round(box.height), style.fontWeight, style.fontSize, style.color,
                  style.backgroundColor, style.borderWidth, style.borderColor, style.outlineStyle].join(" "); })""",
    )
    assert looks[0] == looks[1]
    page.keyboard.press("Enter")
    idle(page, "Choose what you see")
    answer(page, "the cap moves in by hand")
    press(page, "Record: the cap moves in by hand")
    stored(page, bay)
    page.locator(STRIP).click()
    opened(page, "Reservoir cap out")


def test_strip_is_locked_until_zero_is_proved(page, bay):
    bay.before("Proof of zero")
    open_sheet(page, bay)
    page.locator(STRIP).click()
    expect(page.locator("#entry.stop h2")).to_have_text("Proof of zero is not given: Strip is locked")
    idle(page, "Strip stays locked until then")
    page.locator(".steps a[data-step]", has_text="Rod assembly out").click()
    expect(page.locator("#entry.stop")).to_be_visible()
    page.keyboard.press("Enter")
    assert len(bay.entries) == bay.begun
    page.get_by_role("button", name="Go to: Proof of zero").click()
    opened(page, "Proof of zero")


def test_an_answer_that_stops_stops_the_damper_for_good(page, bay):
    bay.before("Proof of zero")
    open_sheet(page, bay)
    answer(page, "it does not move")
    expect(page.locator("#action.end")).to_have_text("Stop this damper: it does not move")
    press(page, "Stop this damper: it does not move")
    expect(page.locator("#entry.stop h2")).to_have_text("Stopped: it does not move")
    expect(page.locator("#entry")).to_contain_text("Only the owner releases it")
    idle(page, "Stopped: do not open")
    stored(page, bay)
    for number in range(1, 17):
        page.locator(f"#zones li:nth-child({number}) a").click()
        idle(page, "Stopped: do not open")
    page.reload()
    idle(page, "Stopped: do not open")
    expect(page.get_by_role("button", name="Release this damper")).to_have_count(0)


def test_a_stop_holds_without_the_network(page, bay):
    bay.before("Proof of zero")
    open_sheet(page, bay)
    bay.down = True
    answer(page, "it does not move")
    press(page, "Stop this damper: it does not move")
    idle(page, "Stopped: do not open")
    page.locator(STRIP).click()
    idle(page, "Stopped: do not open")


def test_the_owner_says_who_made_it_safe_and_how(page, bay):
    step = bay.before("Proof of zero")
    bay.sheet["person"]["roles"] = ["owner"]
    stop = bay.stored_answer(step, "does not move")
    bay.sheet["entries"].append(stop)
    open_sheet(page, bay)
    page.get_by_role("button", name="Release this damper").click()
    idle(page, "Say who made it safe, and how")
    page.get_by_label("Who made it safe").fill("S. Arkell")
    page.get_by_label("How it was made safe").fill("drilled under the press guard")
    press(page, "Release this damper")
    last = stored(page, bay)[-1]
    assert (last["kind"], last["words"]) == ("release", "S. Arkell: drilled under the press guard")
    page.get_by_role("button", name="Close the job").click()
    expect(page.locator(".answer")).to_have_count(1)
    answer(page, "unsafe")
    page.get_by_label("Say why, for the report").fill("gas would not leave")
    press(page, "Close the job: unsafe")
    expect(page.locator("#entry h2")).to_have_text("Closed: unsafe")


def test_done_and_the_next_step_opens_by_itself(page, bay):
    open_sheet(page, bay)
    press(page, "Done: Tag read against this sheet")
    press(page, "Go to 2 Wash")
    opened(page, "Outside washed, threads dry")
    assert stored(page, bay)[0]["kind"] == "do"


def test_a_wait_is_begun_runs_and_is_ended_early_with_a_reason(page, bay):
    step = bay.before("Drain")
    open_sheet(page, bay)
    press(page, "Start: Drain, 20 minutes")
    expect(page.locator("p#action")).to_contain_text("Runs until")
    expect(page.locator(".clock b")).to_have_text("20:00")
    page.get_by_role("button", name="End it now").click()
    idle(page, "Say why it may end now")
    answer(page, "Nothing comes any more")
    press(page, "End now: Drain")
    last = stored(page, bay, 2)[-1]
    begun = next(e for e in bay.entries if e["kind"] == "wait" and e["key"] == step["key"])
    assert (last["kind"], last["reason"]) == ("wait end", "Nothing comes any more")
    assert bay.lists[-1][0]["about"] == begun["id"]
    opened(page, "Oil, condition")


def test_a_wait_that_is_over_ends_with_one_tap(page, bay):
    bay.before("Drain")
    bay.waits_are_over = True
    open_sheet(page, bay)
    press(page, "Start: Drain, 20 minutes")
    press(page, "End the wait: Drain")
    opened(page, "Oil, condition")


def test_parts_go_with_the_oldest_good_lot_unless_another_is_chosen(page, bay):
    step = bay.before("Seal kit")
    open_sheet(page, bay)
    oldest = [{"line": line["line"], "lot": line["lots"][0]["id"]} for line in step["parts"]]
    page.get_by_label("1 × Wiper").select_option(index=1)
    press(page, "Record fitted: Seal kit, 7 lines")
    stored(page, bay)
    sent = bay.lists[-1][0]["lots"]
    assert sent[1:] == oldest[1:]
    assert sent[0] == {"line": 1, "lot": step["parts"][0]["lots"][1]["id"]}


def test_a_part_without_a_good_lot_is_a_dead_end(page, bay):
    step = bay.before("Seal kit")
    next(s for s in bay.sheet["steps"] if s["key"] == step["key"])["parts"][1]["lots"] = []
    open_sheet(page, bay)
    expect(page.locator("#entry.stop h2")).to_have_text("No good lot of Rod seal")
    idle(page, "Nothing to fit")


def test_tools_by_their_standing(page, bay):
    bay.before("Piston nut, torque")
    open_sheet(page, bay)
    page.locator("#reading").fill("29")
    press(page, "Record 29 ft-lb as built")
    answer(page, "W-01")
    idle(page, "W-01 is past its date: for this figure only the owner can let it be used")
    page.get_by_label("Tag on the tool").fill("W-77")
    idle(page, "W-77 is none of these tools")
    page.get_by_label("Tag on the tool").fill("w 03")
    press(page, "Use W-03 Torque wrench 10 to 60 ft-lb")
    assert stored(page, bay)[-1]["tool"] == "W-03"


def test_a_tool_past_its_date_takes_a_reason_and_a_failed_one_none(page, bay):
    bay.before("Pressure found")
    open_sheet(page, bay)
    page.locator("#reading").fill("132")
    press(page, "Record 132 psi as removed")
    expect(page.locator(".answer.off")).to_contain_text("failed its check: not to be used")
    page.get_by_label("Tag on the tool").fill("G-09")
    idle(page, "G-09 failed its check: it stays out of use until the owner has it checked")
    answer(page, "G-02")
    press(page, "Use G-02 past its date, and say why")
    idle(page, "Say why G-02 is used past its date")
    answer(page, "The only one here")
    press(page, "Use G-02 anyway")
    last = stored(page, bay)[-1]
    assert (last["text"], last["tool"], last["reason"]) == ("132 psi", "G-02", "The only one here")


def test_a_step_that_is_not_required_may_be_left(page, bay):
    bay.before("Spring compressor")
    open_sheet(page, bay)
    page.get_by_role("button", name="Go on without it").click()
    opened(page, "Ring backed off, springs off, laid out in order")
    assert len(bay.entries) == bay.begun


def test_the_charge_waits_for_the_body_s_temperature(page, bay):
    bay.before("Body temperature, while charging")
    page.set_viewport_size({"width": 1280, "height": 1000})
    open_sheet(page, bay)
    page.locator(".steps a[data-step]", has_text="Charge").first.click()
    idle(page, "Record first: Body temperature, while charging")


def test_a_note_and_the_closing(page, bay):
    bay.before("Ready to leave")
    open_sheet(page, bay)
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Write a note").click()
    page.get_by_label("Note", exact=True).fill("rod end marked <b>red</b>")
    press(page, "Record the note")
    assert stored(page, bay)[-1]["words"] == "rod end marked <b>red</b>"
    press(page, "Done: Ready to leave")
    press(page, "Close the job")
    answer(page, "done")
    press(page, "Close the job: done")
    expect(page.locator("#entry h2")).to_have_text("Closed: done")
    expect(page.locator("a#action")).to_have_text("Go to my bench")


def test_a_job_without_a_procedure_can_be_noted_and_closed(page, bay):
    bay.sheet |= {"stages": [], "steps": []}
    open_sheet(page, bay)
    answer(page, "done")
    press(page, "Close the job: done")
    expect(page.locator("#entry h2")).to_have_text("Closed: done")


def test_a_job_whose_procedure_is_missing_is_never_offered_as_done(page, bay):
    """Without the network as well: the judge alone would find nothing missing."""
    bay.sheet |= {"stages": [], "steps": []}
    bay.sheet["closing"]["never_done"] = True
    open_sheet(page, bay)
    bay.down = True
    expect(page.locator(".answer").first).to_be_visible()
    assert [words.strip() for words in page.locator(".answer").all_inner_texts()] == [
        "unrepaired", "not serviceable", "unsafe", "uncharged",
    ]  # fmt: skip
