"""The three stops: neither a second tab, a correction nor the endpoint passes one."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.bench.models import Entry
from shopapp.bench.queries.sheet import closing_row
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services.acts import Refused
from shopapp.stock.models import StockMove
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def stop(bench: Bench) -> Entry:
    bench.unlock("spring off")
    return bench.do("release-zero", "proof", answer="does not move")


def test_the_spring_off_before_the_settings_is_a_fact_that_satisfies_nothing(bench: Bench) -> None:
    row = bench.do("spring-off", "do")
    assert row.out_of_order
    standing = bench.sheet().standing
    assert "spring off" not in standing.open
    assert bench.step("spring-off").key in standing.missing


def test_strip_before_zero_is_stored_and_leaves_only_unsafe(bench: Bench) -> None:
    bench.unlock("spring off")
    assert bench.do("strip-cap", "do").out_of_order
    assert bench.sheet().standing.outcomes == {"unsafe"}
    with pytest.raises(Refused, match="Proof of zero"):
        bench.do("", "close", outcome="unrepaired", words="the customer declined")
    bench.do("release-zero", "proof", answer="cap moves")
    assert "unrepaired" in bench.sheet().standing.outcomes


def test_charge_before_the_proof_before_gas_is_out_of_order(bench: Bench) -> None:
    bench.unlock("strip")
    bench.do("charge-temperature", "reading", text="20 °C")
    row = bench.do("charge-gas", "reading", text="140 psi", tool="G-04")
    assert row.out_of_order
    assert bench.step("charge-gas").key in bench.sheet().standing.missing


def test_it_does_not_move_stops_the_job_for_ever(bench: Bench) -> None:
    stop(bench)
    job = bench.fresh()
    assert (job.state, job.outcome, job.stage) == (Job.State.STOPPED, "unsafe", "release")
    assert bench.sheet().standing.open == frozenset()
    assert books.differences() == []


def test_a_correction_does_not_lift_a_stop(bench: Bench) -> None:
    row = stop(bench)
    second = bench.do("release-zero", "proof", answer="cap moves", replaces=row.pk)
    assert second.out_of_order
    assert bench.fresh().state == Job.State.STOPPED
    assert bench.sheet().standing.open == frozenset()


def test_a_second_tab_does_not_lift_a_stop(bench: Bench) -> None:
    late = bench.entry("release-zero", "proof", answer="cap moves")
    stop(bench)
    assert bench.record(late).out_of_order
    assert bench.do("strip-cap", "do").out_of_order
    assert bench.fresh().state == Job.State.STOPPED


@pytest.mark.parametrize("outcome", ["done", "unrepaired", "uncharged", "not serviceable", "unsafe"])
def test_a_stopped_job_cannot_be_closed_before_its_release(bench: Bench, outcome: str) -> None:
    stop(bench)
    with pytest.raises(Refused, match="Only the owner releases it"):
        bench.do("", "close", outcome=outcome, words="closed all the same")


def test_only_the_owner_releases_and_only_with_words(bench: Bench) -> None:
    stop(bench)
    with pytest.raises(Refused, match="Only the owner"):
        bench.do("", "release", words="I let it go myself")
    with pytest.raises(Refused, match="Say who made it safe"):
        bench.do("", "release", by=bench.owner)
    bench.do("", "release", words="Bled by R. Stenmark in the blast box", by=bench.owner)
    assert bench.fresh().state == Job.State.STOPPED
    with pytest.raises(Refused, match="released already"):
        bench.do("", "release", words="once more", by=bench.owner)


def test_after_the_release_only_unsafe_closes_it(bench: Bench) -> None:
    stop(bench)
    bench.do("", "release", words="Bled by R. Stenmark", by=bench.owner)
    with pytest.raises(Refused, match="only be closed as that"):
        bench.do("", "close", outcome="unrepaired", words="back to the customer")
    assert bench.do("release-zero", "proof", answer="cap moves").out_of_order
    bench.do("", "close", outcome="unsafe", words="body cracked, kept for the customer to see")
    job = bench.fresh()
    assert (job.state, job.outcome, job.next_due) == (Job.State.DONE, "unsafe", None)
    assert books.differences() == []


def test_nothing_is_released_that_is_not_stopped(bench: Bench) -> None:
    with pytest.raises(Refused, match="not stopped"):
        bench.do("", "release", words="all is well", by=bench.owner)


def test_closing_as_unsafe_without_a_release_stops_the_job(bench: Bench) -> None:
    bench.unlock("spring off")
    bench.do("", "close", outcome="unsafe", words="the valve core will not come out")
    job = bench.fresh()
    assert (job.state, job.outcome, job.closed_at) == (Job.State.STOPPED, "unsafe", None)


def test_a_stop_after_closing_takes_the_job_back(bench: Bench) -> None:
    bench.do("", "close", outcome="unrepaired", words="the customer declined")
    assert bench.fresh().state == Job.State.DONE
    bench.do("release-zero", "proof", answer="does not move")
    job = bench.fresh()
    assert (job.state, job.outcome, job.closed_at) == (Job.State.STOPPED, "unsafe", None)
    assert books.differences() == []


def test_a_part_out_of_order_moves_no_stock(bench: Bench) -> None:
    row = bench.do("reseal-kit", "part")
    assert row.out_of_order
    assert not StockMove.objects.filter(job=bench.job).exists()


def test_the_endpoint_passes_no_stop(bench: Bench, client_as: Callable[[Person], Client]) -> None:
    stop(bench)
    client = client_as(bench.technician)
    step, position = bench.key("strip-cap")
    rows: list[dict[str, Any]] = [
        {"kind": "do", "step": step, "position": position},
        {"kind": "proof", "step": bench.key("release-zero")[0], "answer": "cap moves"},
        {"kind": "release", "words": "I am the owner"},
        {"kind": "close", "outcome": "done", "words": "done"},
        {"kind": "close", "outcome": "unsafe", "words": "unsafe"},
    ]
    for number, row in enumerate(rows):
        row |= {
            "id": str(uuid.uuid4()), "job": bench.job.pk, "counter": 500 + number,
            "typed_at": bench.at.isoformat(), "out_of_order": False, "outside": "",
        }  # fmt: skip
    response = client.post("/bench/entries", json.dumps({"entries": rows}), content_type="application/json")
    assert [answer["state"] for answer in response.json()["answers"]] == [
        "stored", "stored", "refused", "refused", "refused",
    ]  # fmt: skip
    assert all(answer["entry"]["out_of_order"] for answer in response.json()["answers"][:2])
    assert response.json()["sheet"]["job"]["stopped"] is True
    assert not any(stage["open"] for stage in response.json()["sheet"]["stages"])
    assert bench.fresh().state == Job.State.STOPPED


def test_a_job_whose_procedure_does_not_fit_is_never_done(bench: Bench) -> None:
    """Its work type asks for proofs that nobody gave: it ends in every other way."""
    Job.objects.filter(pk=bench.job.pk).update(procedure=None)
    bench.job = bench.fresh()
    with pytest.raises(Refused, match="no procedure for this damper"):
        bench.do("", "close", outcome="done", words="looks good")
    closing = closing_row(bench.sheet())
    assert "done" not in [row["value"] for row in closing["outcomes"]]
    assert closing["never_done"] is True
    bench.do("", "close", outcome="unrepaired", words="a construction that we do not open")
    assert bench.fresh().outcome == "unrepaired"


def test_a_job_that_asks_for_no_procedure_can_be_done(bench: Bench) -> None:
    bench.job.work_type.__class__.objects.update(procedure_name="")
    Job.objects.filter(pk=bench.job.pk).update(procedure=None)
    bench.job = bench.fresh()
    assert closing_row(bench.sheet())["never_done"] is False
    bench.do("", "close", outcome="done", words="looked over")
    assert bench.fresh().outcome == "done"
