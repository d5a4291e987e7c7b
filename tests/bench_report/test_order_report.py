"""The report of a whole order: every closed damper in one paper, left held against right, who is not in it named."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.bench import order_report, pairs, report_record
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders.models import Job
from shopapp.papers.canonical import figures_hash
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.bench.conftest import bench as _bench
from tests.bench.make import READINGS, Bench
from tests.bench_report.test_pdf import pdf_of, tags_of, text_of

bench = _bench
pytestmark = pytest.mark.django_db
TOLERANCES = {"charge": {"si": 5 * 6894.757, "unit": "psi", "text": "5 psi"}}


def built(bench: Bench, **readings: str) -> None:
    """Work a job through with some readings of its own, and close it as done."""
    own = {code.replace("_", "-"): text for code, text in readings.items()}
    kept = dict(READINGS)
    READINGS.update(own)
    try:
        bench.through(bench.steps[-1].step.code)
    finally:
        READINGS.clear()
        READINGS.update(kept)
    bench.do("", "close", outcome="done", words="")


def issued(bench: Bench, call: Call | None = None) -> Paper:
    return order_report.issue_order_report(
        order=bench.order, by=bench.desk, at=bench.at, call=call or Call.fresh()
    )


@pytest.fixture
def both(bench: Bench) -> Bench:
    Shop.objects.update(pair_tolerances=TOLERANCES)
    built(bench)
    bench.job = bench.other
    built(
        bench,
        charge_temperature="21 °C",
        charge_gas="138 psi",
        settings_preload="2 1/4 in",
        restore_preload="2 1/4",
    )
    return bench


def rows_of(paper: Paper) -> dict[str, dict[str, Any]]:
    (pair,) = paper.figures["pairs"]
    return {row["name"]: row for row in pair["rows"]}


def test_an_order_is_one_paper_over_its_dampers(both: Bench) -> None:
    """Seen red with the first closed damper alone, and with a left one held against itself."""
    paper = issued(both)
    assert [row["number"] for row in paper.figures["schedule"]] == ["1", "2"]
    assert [one["block"]["place"] for one in paper.figures["dampers"]] == ["front left", "front right"]
    (pair,) = paper.figures["pairs"]
    assert (pair["left"], pair["right"]) == ("front left", "front right")
    assert paper.figures["left_out"] == ""
    assert paper.figures_hash == figures_hash(paper.figures)
    content = pdf_of(paper)
    if folder := os.environ.get("SHOP_TEST_PICTURES"):
        (Path(folder) / "order-report.pdf").write_bytes(content)
    text = text_of(content)
    for word in ("118834", "118835", "138 psi", "152 psi", "Left and right", "Dampers of this order"):
        assert word in text
    tags = tags_of(content)
    assert tags["/H1"] == 3 and tags["/H2"] > 6 and tags["/TH"] > 20 and tags["/Figure"] >= 2


def test_charges_are_compared_at_one_temperature(both: Bench) -> None:
    """152 psi at 42 °C and 138 psi at 21 °C lie 14 psi apart on the gauge and next to nothing at 20 °C. Seen
    red with charges as they were read, and with the move made the other way."""
    charge = rows_of(issued(both))["Charge, gauge reading"]
    assert charge["left"].startswith("152 psi, at 20 °C 140") and not charge["unlike"]
    assert charge["words"].startswith("alike: ") and "5 psi allowed" in charge["words"]


def test_without_a_tolerance_nothing_is_judged(both: Bench) -> None:
    """Seen red with a tolerance of nought where the shop gives none."""
    preload = rows_of(issued(both))["Preload adjuster, cap face to ring"]
    assert not preload["unlike"] and preload["words"].endswith("apart; the shop gives no tolerance")


def test_past_the_tolerance_they_are_unlike(both: Bench) -> None:
    """Seen red with what lies exactly the tolerance apart called unlike, with too much let pass, and without
    the sentence."""
    tight = {"preload": {"si": 0.0254 / 32, "unit": "in", "text": "1/32 in"}}
    Shop.objects.update(pair_tolerances=tight)
    paper = issued(both)
    assert rows_of(paper)["Preload adjuster, cap face to ring"]["unlike"]
    assert paper.figures["pairs"][0]["words"] == "Unlike: Preload adjuster, cap face to ring."
    exact = {"preload": {"si": 0.0254 / 16, "unit": "in", "text": "1/16 in"}}
    Shop.objects.update(pair_tolerances=exact)
    assert not rows_of(issued(both))["Preload adjuster, cap face to ring"]["unlike"]


def records_of(bench: Bench) -> list[report_record.Record]:
    return [report_record.read(job.pk) for job in bench.order.jobs.order_by("number")]


def test_two_models_are_not_held_against_each_other(both: Bench) -> None:
    """Seen red with dampers of any model compared."""
    other = DamperModel.objects.create(maker="Keldmark", name="K30", construction="reservoir")
    Damper.objects.filter(pk=both.job.damper_id).update(model=other)
    (pair,) = issued(both).figures["pairs"]
    assert (pair["left"], pair["right"], pair["rows"]) == ("front left", "front right", [])
    assert pair["words"] == "Two models: they are not held against each other."


def test_where_a_model_is_not_known_nothing_is_compared(bench: Bench) -> None:
    """Work without a bench sheet asks for no model. Seen red with two unknown models called two models, and with
    one that is known called another one."""
    Job.objects.filter(order=bench.order).update(state="done", outcome="done", closed_at=bench.at)
    words = "The model of a damper is not known: they are not held against each other."
    for damper in (bench.job.damper_id, bench.other.damper_id):
        Damper.objects.filter(pk=damper).update(model=None)
        (pair,) = pairs.pairs(records_of(bench), TOLERANCES)
        assert (pair["rows"], pair["words"]) == ([], words)


def test_what_is_read_on_one_side_only_is_not_compared(bench: Bench) -> None:
    """Seen red with the side that was read compared to nought, and with what was read on one side left out."""
    Shop.objects.update(pair_tolerances={"preload": {"si": 0.0254, "unit": "in", "text": "1 in"}})
    built(bench)
    bench.job = bench.other
    bench.through(bench.steps[-1].step.code, skip=("restore-preload",))
    bench.do("restore-preload", "unreadable", words="the ring is rusted fast")
    bench.do("", "close", outcome="done", words="")
    preload = rows_of(issued(bench))["Preload adjuster, cap face to ring"]
    assert (preload["left"], preload["right"]) == ("2 3/16 in", "not read")
    assert (preload["words"], preload["unlike"]) == ("not read on both sides", False)


def test_a_charge_without_its_bodys_temperature_is_not_compared(both: Bench) -> None:
    """A procedure may read no temperature beside the charge. Seen red with such a charge taken as one at 20 °C:
    152 psi and 138 psi are then called unlike."""
    records = records_of(both)
    for record in records:
        record.sheet.steps = [replace(row, needs=()) for row in record.sheet.steps]
    (pair,) = pairs.pairs(records, TOLERANCES)
    charge = next(row for row in pair["rows"] if row["name"] == "Charge, gauge reading")
    assert (charge["left"], charge["right"]) == ("152 psi", "138 psi")
    assert charge["words"] == "not to be compared: the body's temperature is missing"
    assert (charge["unlike"], pair["words"]) == (False, "")


def test_what_is_not_closed_is_named_and_left_out(bench: Bench) -> None:
    """Seen red with nobody named, and without the refusal."""
    with pytest.raises(Refused, match="nothing to report"):
        issued(bench)
    bench.do("", "close", outcome="unrepaired", words="declined")
    bench.job = bench.other
    bench.do("", "close", outcome="unsafe", words="hisses")
    paper = issued(bench)
    assert paper.figures["left_out"] == (
        "Not in this report: job 2, front right: stopped unsafe, DO NOT OPEN."
    )
    assert paper.figures["pairs"] == []
    assert paper.figures["lead"] == "returned unrepaired: 1."
    assert "DO NOT OPEN" in text_of(pdf_of(paper))


def test_only_what_is_done_is_held_against_its_other_side(bench: Bench) -> None:
    """Seen red with every closed damper compared, however it ended."""
    for job in (bench.job, bench.other):
        bench.job = job
        bench.do("", "close", outcome="unrepaired", words="declined")
    assert issued(bench).figures["pairs"] == []


def test_the_button_issues_it_once_and_shows_the_paper(
    bench: Bench, client_as: Callable[[Person], Client]
) -> None:
    """Seen red with a fresh key for each press, without the refusal, and with a GET let through by table and
    view."""
    desk_client = client_as(bench.desk)
    page = reverse("order", args=[bench.order.number])
    assert "Issue the report of the whole order" not in desk_client.get(page).content.decode()
    address = reverse("order-report", args=[bench.order.number])
    refused = desk_client.post(address, {"act_key": "none"})
    assert refused.status_code == 422 and "nothing to report" in refused.content.decode()
    bench.do("", "close", outcome="unrepaired", words="declined")
    assert "so not in a report now: job 2." in desk_client.get(page).content.decode()
    for _twice in range(2):
        answer = desk_client.post(address, {"act_key": "k"})
    paper = Paper.objects.get(kind=order_report.KIND)
    assert answer["Location"] == reverse("paper", args=[paper.pk])
    assert "Order report" in desk_client.get(page).content.decode()
    assert desk_client.get(address).status_code == 405
    assert desk_client.post(address, {"act_key": ""}).status_code == 422


def test_twice_with_one_key_is_one_paper(bench: Bench) -> None:
    """Seen red with a fresh key in the service."""
    bench.do("", "close", outcome="unrepaired", words="declined")
    call = Call.fresh()
    issued(bench, call)
    with pytest.raises(AlreadyDone):
        issued(bench, call)
    assert issued(bench).number == 2
