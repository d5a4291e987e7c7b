"""What the report says of a job: readings beside each other, corrections, parts, tools, proofs, the record."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest
from django.urls import reverse

from shopapp.bench import report, report_readings
from shopapp.bench.limits import Limits
from shopapp.bench.models import Entry
from shopapp.bench.report_record import with_unit
from shopapp.calc.gas import gauge_at_temperature
from shopapp.customers.models import Customer
from shopapp.dampers.models import DamperModel
from shopapp.orders.models import Job
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.tools.models import Tool

from . import jobs
from .test_pdf import pdf_of, text_of

pytestmark = pytest.mark.django_db


def row(paper: Paper, figure: str, position: str = "") -> dict[str, Any]:
    """Give one row of the readings."""
    rows = paper.figures["readings"]
    return next(one for one in rows if (one["figure"], one["position"]) == (figure, position))


def made(bay: jobs.Bay, by: Person, outcome: str = "done", words: str = "") -> Paper:
    bay.close(outcome, words)
    return jobs.report_of(bay.job, by)


def test_the_title_block_names_the_damper_and_the_job(finished: Paper, bay: jobs.Bay) -> None:
    block = finished.figures["block"]
    damper = bay.job.damper
    assert block["tag"] == f"{damper.tag[:4]} {damper.tag[4:7]}-{damper.tag[7]}"
    wanted = {
        "shop": "Saltmarsh Damper Works",
        "order": str(bay.job.order.number),
        "rebuild": "1",
        "place": "front left",
        "damper": "Keldmark K25",
        "serial": "KM25-118834",
        "customer": "Cobble Hollow Racing",
        "vehicle": "Long-travel buggy, 2 seats",
        "meter": "5980 mi, 25 Nov 2026",
        "measured_by": "Mo",
        "received": "25 Nov 2026",
        "closed": "25 Nov 2026",
        "sheet": "K25, issue 1",
    }
    assert {name: block[name] for name in wanted} == wanted
    assert "Keldmark sheet 12" in finished.figures["spec"]["words"]


def test_received_stands_beside_built_as_it_was_typed(finished: Paper) -> None:
    preload = row(finished, "preload")
    assert (preload["found"]["text"], preload["built"]["text"]) == ("2 3/16 in", "2 5/16 in")
    assert preload["found"]["si"] == pytest.approx(2.1875 * 0.0254, rel=1e-12)
    assert preload["limits"] == "1 3/4 to 2 3/4 in"
    assert (preload["found"]["words"], preload["built"]["words"]) == ("inside", "inside")
    rebound = row(finished, "adjuster", "rebound")
    assert (rebound["found"]["text"], rebound["found"]["verdict"]) == ("17 clicks", "above")
    assert (rebound["built"]["text"], rebound["built"]["verdict"]) == ("8 clicks", "inside")
    ifp = row(finished, "ifp depth")
    assert (ifp["found"]["text"], ifp["found"]["verdict"], ifp["built"]["verdict"]) == (
        "3 1/2 in",
        "above",
        "inside",
    )
    assert finished.figures["summary"] == "Readings outside limits: 2 on arrival, 0 as built."


def test_the_limits_of_the_charge_move_with_the_body(finished: Paper) -> None:
    charge = row(finished, "charge")
    psi = 6894.757293168361
    assert charge["limits"] == "130 to 150 psi at 20 °C"
    assert charge["built"]["high"] == pytest.approx(gauge_at_temperature(150 * psi, 293.15, 315.15), rel=1e-9)
    assert charge["found"]["high"] == pytest.approx(gauge_at_temperature(150 * psi, 293.15, 291.15), rel=1e-9)
    assert (charge["built"]["verdict"], charge["built"]["moved_to"]) == ("inside", "42 °C")
    assert any("42 °C" in words and "as built" in words for words in finished.figures["moved"])


@pytest.mark.parametrize(
    ("text", "verdict"), [("151.9 psi", "inside"), ("135 psi", "below"), ("170 psi", "above")]
)
def test_a_warm_charge_is_judged_warm(bay: jobs.Bay, technician: Person, text: str, verdict: str) -> None:
    """At 42 °C 140 psi reads 151.9: what would be inside cold is below, and the other way round."""
    bay.whole(charge_gas=text)
    assert row(made(bay, technician), "charge")["built"]["verdict"] == verdict


def test_what_was_not_readable_says_why(finished: Paper) -> None:
    head = row(finished, "seal head torque")
    assert head["limits"] == "no figure given: snug"
    assert (head["built"]["text"], head["built"]["words"]) == ("", "snug, by hand and a short bar")
    assert head["found"]["words"] == ""


def test_a_reading_that_does_not_count_is_shown_as_such(bay: jobs.Bay, technician: Person) -> None:
    """A correction out of order leaves no reading that counts, an attempt past the body's maximum neither: the
    last one stands. Seen red with what was corrected shown, with a dash, and with it said to count."""
    bay.whole()
    bay.read("settings-preload", "2 1/4", replaces=bay.entries["settings-preload"], out_of_order=True)
    bay.read("charge-gas", "290 psi", outside="absolute")
    paper = made(bay, technician)
    found, built = row(paper, "preload")["found"], row(paper, "preload")["built"]
    assert (found["text"], found["words"], found["counts"]) == ("2 1/4 in", "inside", False)
    assert (built["text"], built["counts"]) == ("2 5/16 in", True)
    attempt = row(paper, "charge")["built"]
    assert (attempt["text"], attempt["verdict"], attempt["counts"]) == ("290 psi", "above", False)
    assert text_of(pdf_of(paper)).count("does not count") == 2


def test_what_nobody_read_is_said_to_be_not_measured(bay: jobs.Bay, technician: Person) -> None:
    """Seen red with a reading that was taken back for "not readable" out of order shown all the same."""
    bay.whole()
    old = bay.entries["settings-preload"]
    bay.write("unreadable", "settings-preload", words="bent", replaces=old, out_of_order=True)
    found = row(made(bay, technician), "preload")["found"]
    assert (found["text"], found["words"], found["verdict"]) == ("", "not measured", "none")


@pytest.mark.parametrize(
    ("held", "words"),
    [
        (Limits(low_text="130 psi", high_text="150 psi"), "130 to 150 psi"),
        (Limits(low_text="28", high_text="28 1/16"), "28 to 28 1/16"),
        (Limits(low_text="27 1/16", high_text="28 1/16"), "27 1/16 to 28 1/16"),
        (Limits(low_text="9 bar", high_text="150 psi"), "9 bar to 150 psi"),
        (Limits(high_text="0.06 in"), "at most 0.06 in"),
        (Limits(low_text="12 mm", target_text="14 mm"), "at least 12 mm"),
        (Limits(target_text="32 ft-lb"), "32 ft-lb"),
        (Limits(words="snug", target_text="32 ft-lb"), "snug"),
        (None, ""),
    ],
)
def test_limits_are_written_with_their_unit_once(held: Limits | None, words: str) -> None:
    """Seen red with "at least" said of a highest figure, and with a fraction struck for a unit."""
    assert report_readings.limits_words(held) == words


def test_a_correction_is_readable_and_the_new_reading_counts(
    bay: jobs.Bay, technician: Person, owner: Person
) -> None:
    bay.whole()
    old = bay.entries["settings-preload"]
    bay.read("settings-preload", "2 1/4", replaces=old, by=owner, reason="misread the tape")
    paper = made(bay, technician)
    (correction,) = paper.figures["corrections"]
    assert (correction["old"], correction["old_by"], correction["old_at"]) == (
        "2 3/16 in",
        "MO",
        "25 Nov, 09:04",
    )
    assert (correction["new"], correction["new_by"], correction["why"]) == (
        "2 1/4 in",
        "AO",
        "misread the tape",
    )
    assert row(paper, "preload")["found"]["text"] == "2 1/4 in"
    struck = [one["said"] for one in paper.figures["log"] if one["struck"]]
    assert struck == ["2 3/16 in"]
    assert paper.figures["people"] == [["AO", "Ada"], ["MO", "Mo"]]


def test_parts_stand_with_their_lots_and_what_came_back_is_off(finished: Paper, bay: jobs.Bay) -> None:
    rows = [(one["name"], one["position"], one["lot"], one["quantity"]) for one in finished.figures["fitted"]]
    assert rows == [
        ("O-ring", "cap", "2606-B", "2"),
        ("Wiper", "seal head", "2606-B", "1"),
        ("Oil, 15 mm²/s at 40 °C", "", "88-041", "1120 mL"),
    ]


def test_a_part_that_was_given_back_is_not_on_the_report(bay: jobs.Bay, technician: Person) -> None:
    bay.whole()
    move = bay.job.stock_moves.get(item__code="WI-25")
    move.pk, move.quantity, move.kind, move.line = None, 1, "return", 9
    move.save(force_insert=True)
    names = [one["name"] for one in made(bay, technician).figures["fitted"]]
    assert "Wiper" not in names and "O-ring" in names


def test_tools_stand_with_their_date_on_the_day(bay: jobs.Bay, technician: Person) -> None:
    bay.whole()
    puller = Tool.objects.get(tag="I-04")
    late = Tool.objects.create(tag="R-09", kind=puller.kind, checked_until=dt.date(2026, 11, 1))
    bay.write("tool", "strip-puller", tool=late, reason="the other is in bay 2")
    tools = {one["tag"]: one for one in made(bay, technician).figures["tools"]}
    assert tools["I-04"]["words"] == "checked until 3 Mar 2027"
    assert tools["R-09"]["words"] == "past its date: checked until 1 Nov 2026"
    assert tools["R-09"]["reason"] == "the other is in bay 2"


def test_proofs_and_waits_stand_with_name_and_time(finished: Paper) -> None:
    proofs = {one["name"]: one for one in finished.figures["proofs"]}
    assert (proofs["Tight"]["words"], proofs["Tight"]["by"]) == ("tight: no bubble, no oil", "MO")
    drain, leak = finished.figures["waits"]
    assert (drain["begun"], drain["due"], drain["ended"]) == (
        "25 Nov, 09:22, MO",
        "25 Nov, 09:42",
        "25 Nov, 09:43, MO",
    )
    assert "before its time" not in leak["ended"]


def test_what_was_out_of_order_or_outside_stands_with_its_reason(bay: jobs.Bay, technician: Person) -> None:
    bay.whole()
    bay.read("strip-ifp-depth", "3 1/8", out_of_order=True)
    bay.read("rod-nut-torque", "40", outside="advisory", reason="the sheet of the maker has 40 now")
    remarks = [row for row in made(bay, technician).figures["remarks"] if "it came with" not in row["what"]]
    assert [one["what"] for one in remarks] == [
        "3 1/8 in: entered out of order, it counts for nothing",
        "40 ft-lb: outside limits",
    ]
    assert [one["why"] for one in remarks] == ["no reason given", "the sheet of the maker has 40 now"]


def test_what_is_not_as_it_came_stands_with_what_it_came_with(bay: jobs.Bay, technician: Person) -> None:
    """Seen red before settings were compared; the gaps differ by less than a rule tells, the charge is no setting."""
    bay.whole()
    assert [row["what"] for row in made(bay, technician).figures["remarks"]] == [
        "2 5/16 in: it came with 2 3/16 in",
        "8 clicks: it came with 17 clicks",
        "13 clicks: it came with 11 clicks",
    ]


def test_the_record_has_every_entry(finished: Paper, bay: jobs.Bay) -> None:
    assert len(finished.figures["log"]) == Entry.objects.filter(job=bay.job).count() == bay.count - 20 - 60
    assert finished.figures["log"][0]["name"] == "Tag read against this sheet"
    assert finished.figures["log"][-1]["said"] == "done"


def test_what_was_worked_out(finished: Paper) -> None:
    charge, ifp, turns = finished.figures["computed"]
    assert "151.9 psi" in charge["words"] and "42 °C" in charge["words"]
    assert not ifp["trouble"] and len(ifp["lines"]) > 5
    assert turns["words"].startswith("1.59 turns towards the spring")


@pytest.mark.parametrize(
    ("text", "unit", "kind", "said"),
    [
        ("1", "click", "count", "1 click"), ("11", "click", "count", "11 clicks"), ("1/4", "turn", "count", "1/4 turn"),
        ("2 3/16", "in", "length", "2 3/16 in"), ("1 clicks", "click", "count", "1 click"),
        ("11 clicks", "click", "count", "11 clicks"),
        ("28 1/16 in", "in", "length", "28 1/16 in"), ('2 1/4"', "in", "length", '2 1/4"'), ("", "mm", "length", ""),
        ("5", "1", "count", "5"),
    ],
)  # fmt: skip
def test_a_figure_as_typed_with_its_unit(text: str, unit: str, kind: str, said: str) -> None:
    """Seen red with the unit in the plural after one of it, typed or not."""
    assert with_unit(text, unit, kind) == said


@pytest.mark.parametrize(
    ("outcome", "title", "lead"),
    [
        ("unrepaired", "Report: returned unrepaired", "was not rebuilt"),
        ("uncharged", "Report: returned uncharged", "no gas charge"),
        ("not serviceable", "Report: not serviceable", "do not use it any more"),
        ("unsafe", "Report: stopped unsafe", "DO NOT OPEN"),
    ],
)
def test_each_way_to_end_has_its_own_wording(
    bay: jobs.Bay, technician: Person, outcome: str, title: str, lead: str
) -> None:
    paper = made(bay, technician, outcome, "The customer declined.")
    assert (paper.figures["title"], paper.figures["block"]["title"]) == (title, title)
    assert lead in paper.figures["lead"] and "Rebuilt" not in paper.figures["lead"]
    assert paper.figures["why"] == "The customer declined."
    assert "maker's sheet" in paper.figures["next_due"]


def test_no_price_stands_on_it(finished: Paper) -> None:
    words = json.dumps(finished.figures)
    assert "186" not in words and "price" not in words and "$" not in words


def test_cautions_and_next_due_stand_on_it(finished: Paper) -> None:
    heads = [head for head, _words in finished.figures["cautions"]]
    assert heads == ["Gas under pressure.", "Stored spring force.", "Shipping.", "Limits of this program."]
    assert (
        finished.figures["next_due"]
        == "Next service due by 25 Nov 2028 or after 1,500 mi, and at once when it leaks."
    )


def test_times_are_those_of_the_shops_zone(bay: jobs.Bay, technician: Person) -> None:
    Shop.objects.update(zone="Pacific/Auckland")
    bay.whole()
    assert made(bay, technician).figures["log"][0]["at"] == "25 Nov, 22:01"


def test_what_changes_later_does_not_change_the_paper(finished: Paper, bay: jobs.Bay) -> None:
    before = json.dumps(finished.figures, sort_keys=True)
    Customer.objects.update(name="Somebody Else")
    Shop.objects.update(name="Another Works")
    Job.objects.update(condition="other")
    assert json.dumps(Paper.objects.get(pk=finished.pk).figures, sort_keys=True) == before


def test_a_job_without_sheet_and_procedure_has_a_report(job: Job, technician: Person) -> None:
    Job.objects.filter(pk=job.pk).update(spec=None, procedure=None)
    job.refresh_from_db()
    bay = jobs.Bay(job, technician)
    bay.write("note", words="looked at it")
    paper = made(bay, technician, "not serviceable", "A sealed twin-tube.")
    assert paper.figures["readings"] == [] and paper.figures["section"] is None
    assert "No sheet of figures" in paper.figures["spec"]["words"]


@pytest.mark.parametrize("construction", ["emulsion", "ifp body", "other"])
def test_a_construction_is_drawn_as_it_is_and_one_of_the_shops_own_not_at_all(
    shop: Shop, desk: Person, technician: Person, construction: str
) -> None:
    """Seen red while every construction but the reservoir was left out."""
    bay = jobs.Bay(jobs.a_job(desk, technician), technician)
    DamperModel.objects.update(construction=construction)
    bay.job.damper.refresh_from_db()
    bay.whole()
    section = made(bay, technician).figures["section"]
    assert (section["construction"] if section else "other") == construction


def test_the_drawing_has_the_numbers_of_the_job(finished: Paper) -> None:
    section = finished.figures["section"]
    assert section["eye_centres"] == {"mm": pytest.approx(712.7875), "text": "28 1/16 in"}
    assert section["preload"]["text"] == "2 5/16 in"
    assert (section["ifp_depth"]["text"], section["gas"]) == ("3 1/4 in", "151.9 psi at 42 °C")
    assert section["reservoir_length"]["mm"] == pytest.approx(152.4)


def test_rebuilt_charged_and_proved_is_said_only_of_what_was(finished: Paper) -> None:
    assert finished.figures["title"] == "Rebuild report"
    assert finished.figures["lead"] == "Rebuilt, charged and proved on the bench."


def test_a_job_without_a_bench_sheet_is_called_by_its_work_alone(job: Job, technician: Person) -> None:
    Job.objects.filter(pk=job.pk).update(spec=None, procedure=None)
    job.work_type.__class__.objects.update(procedure_name="", name="Inspection")
    job = Job.objects.get(pk=job.pk)
    bay = jobs.Bay(job, technician)
    bay.write("note", words="looked at it")
    paper = made(bay, technician, "done", "Nothing found.")
    assert (paper.figures["title"], paper.figures["lead"]) == (
        "Inspection report", "Inspection: no bench sheet was kept.",
    )  # fmt: skip


def test_the_title_is_of_the_kind_of_work_on_the_paper_its_page_and_the_order(
    bay: jobs.Bay, technician: Person, desk: Person, client_as: Any
) -> None:
    bay.job.work_type.__class__.objects.update(name="Spring change")
    bay.job = Job.objects.get(pk=bay.job.pk)
    bay.whole()
    paper = made(bay, technician)
    assert (paper.figures["title"], paper.figures["block"]["title"]) == ("Spring change report",) * 2
    client = client_as(desk)
    page = client.get(reverse("paper", args=[paper.pk])).content.decode()
    assert "Spring change report" in page
    assert report.file_name(paper.figures).startswith("spring-change-report-")
    order = client.get(reverse("order", args=[bay.job.order.number])).content.decode()
    assert "Spring change report" in order
    assert "ebuild report" not in page + order


def test_without_every_proof_that_stands_nothing_is_called_proved(bay: jobs.Bay, technician: Person) -> None:
    bay.whole()
    bay.write("proof", "prove-tight", payload={"answer": "weeps"})
    paper = made(bay, technician)
    assert paper.figures["lead"].startswith("Rebuild. What was read and proved stands below")


def test_a_charge_that_was_not_read_is_not_called_charged(bay: jobs.Bay, technician: Person) -> None:
    for step in bay.job.procedure.steps.exclude(code="charge-gas").order_by("order"):
        if not step.repeat:
            bay.step(step, "", jobs.READ)
    assert "charged and proved" not in made(bay, technician).figures["lead"]


def test_what_was_asked_of_this_damper_stands_beside_the_complaint(bay: jobs.Bay, technician: Person) -> None:
    """Seen red with the wish left out of the job's lines."""
    Job.objects.filter(pk=bay.job.pk).update(wish="Softer in rebound by two clicks")
    bay.job.refresh_from_db()
    bay.whole()
    said = made(bay, technician).figures["particulars_of_job"]
    assert ["Asked of this one", "Softer in rebound by two clicks"] in said
