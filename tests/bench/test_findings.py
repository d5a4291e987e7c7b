"""What is found at a damper: recorded from any step, corrected, put right; and what it refuses."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any

import pytest

from shopapp.bench.models import Entry, Finding
from shopapp.bench.queries.closing import why_not
from shopapp.bench.queries.drawn import balloons, drawing
from shopapp.bench.queries.sheet import document_of
from shopapp.bench.services import answers
from shopapp.orders.models import Job
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.bench.make import Bench
from tests.conftest import make_person

pytestmark = pytest.mark.django_db

ROD: dict[str, Any] = {"part": "rod", "words": "pitted", "advice": "replace", "answer": "unsafe"}

LAST = "final-leave"


def find(bench: Bench, **given: Any) -> Finding:
    """Record a finding and give its row."""
    by = given.pop("by", None)
    entry = bench.do("", "finding", by=by, **(ROD | given))
    return Finding.objects.get(entry=entry)


def agree(bench: Bench, finding: Finding, *, yes: bool = True, **given: Any) -> Finding:
    """Price a finding and record the customer's answer."""
    std = {"by": bench.desk, "at": bench.at}
    finding.refresh_from_db()
    if finding.price is None:
        answers.price_finding(
            finding=finding, revision=finding.revision, what="New rod, fitted", price=Decimal("145.00"),
            tax_category="S", call=Call.fresh(), **std,
        )  # fmt: skip
    asked = {"who": "W. Dallimore", "how": "by phone", "amount": Decimal("600.00")} | given
    return answers.answer_finding(finding=finding, yes=yes, call=Call.fresh(), **std, **asked)


def test_a_finding_is_kept_as_it_was_said(bench: Bench) -> None:
    row = find(
        bench,
        part="other",
        part_words="fin of the body",
        words="cracked; 12 mm long",
        text="12 mm",
        answer="should",
    )
    entry = row.entry
    assert (entry.kind, entry.step, entry.words, entry.value_text) == (
        "finding",
        None,
        "cracked; 12 mm long",
        "12 mm",
    )
    assert (row.number, row.part, row.part_words, row.advice, row.grade) == (
        1,
        "other",
        "fin of the body",
        "replace",
        "should",
    )
    assert (row.answer, row.price, row.put_right) == ("", None, None)
    assert find(bench).number == 2


def test_it_is_recorded_before_any_step_and_moves_no_stage(bench: Bench) -> None:
    """A finding is no work: nothing is begun but the record. Seen red with `finding` left out of NO_WORK."""
    before = bench.sheet().standing
    find(bench)
    after = bench.sheet().standing
    assert after.missing == before.missing
    assert after.satisfied == before.satisfied
    assert bench.fresh().state == Job.State.IN_WORK


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"part": "gizmo"}, "part"),
        ({"part": ""}, "part"),
        ({"part": "other"}, "part_words"),
        ({"words": ""}, "words"),
        ({"advice": "ignore"}, "advice"),
        ({"answer": ""}, "answer"),
        ({"answer": "deadly"}, "answer"),
        ({"about": uuid.UUID(int=7)}, "about"),
        ({"replaces": uuid.UUID(int=7)}, "replaces"),
    ],
)
def test_what_is_no_finding_is_refused_in_a_sentence(bench: Bench, wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as no:
        find(bench, **wrong)
    assert no.value.field == field
    assert no.value.sentence.endswith(".")
    assert not Entry.objects.filter(kind="finding").exists()


def test_done_twice_is_once(bench: Bench) -> None:
    entry = bench.entry("", "finding", **ROD)
    bench.record(entry)
    with pytest.raises(AlreadyDone):
        bench.record(entry)
    assert Finding.objects.count() == 1


def test_the_desk_records_nothing_at_the_bench(bench: Bench) -> None:
    with pytest.raises(Refused):
        find(bench, by=bench.desk)


def test_begun_from_an_answer_it_names_that_answer(bench: Bench) -> None:
    bench.through("strip-nut")
    bent = bench.do("inspect-rod", "choice", answer=_unfit(bench, "inspect-rod"))
    assert find(bench, about=bent.pk).entry.about == bent


def _unfit(bench: Bench, code: str) -> str:
    options = bench.step(code).step.options
    return str(next(option["value"] for option in options if not option.get("passes")))


def test_a_correction_has_the_number_and_the_price_but_no_answer(bench: Bench) -> None:
    """Seen red with the answer taken over."""
    old = agree(bench, find(bench, answer="should"))
    new = find(bench, replaces=old.entry_id, words="pitted all round", answer="unsafe")
    assert (new.number, new.price, new.what, new.answer) == (1, old.price, "New rod, fitted", "")
    assert [row.pk for row in bench.sheet().findings] == [new.pk]
    with pytest.raises(Refused):
        find(bench, replaces=old.entry_id)


def test_an_unsafe_finding_shuts_the_charge_until_it_is_agreed_and_put_right(bench: Bench) -> None:
    """Seen red without `hold_back` in Sheet.standing."""
    bench.through("ifp-proof-rod")
    assert "charge" in bench.sheet().standing.open
    row = find(bench)
    assert "charge" not in bench.sheet().standing.open
    late = bench.do("charge-temperature", "reading", text="42 °C", tool=bench.tools["gauge"].tag)
    assert late.out_of_order
    agree(bench, row)
    assert "charge" not in bench.sheet().standing.open
    bench.do("", "put right", about=row.entry_id, words="new rod fitted, straight to 0.02 mm")
    assert "charge" in bench.sheet().standing.open
    bench.through(LAST)
    bench.do("", "close", outcome="done")
    assert bench.fresh().outcome == Job.Outcome.DONE


def test_a_declined_unsafe_finding_goes_back_uncharged_and_never_done(bench: Bench) -> None:
    """Seen red with `done` left among the outcomes."""
    bench.through("ifp-proof-rod")
    agree(bench, find(bench), yes=False, amount=None)
    with pytest.raises(Refused) as no:
        bench.do("", "close", outcome="done")
    assert "declined" in no.value.sentence
    assert "1 rod: pitted" in no.value.sentence
    bench.do("", "close", outcome="uncharged", words="declined")
    assert bench.fresh().outcome == Job.Outcome.UNCHARGED


def test_found_unsafe_when_it_holds_gas_it_ends_as_unsafe_alone(bench: Bench) -> None:
    bench.through(LAST)
    find(bench)
    sheet = bench.sheet()
    assert sheet.standing.outcomes == {"unsafe"}
    assert any("holds gas" in words for words in why_not(sheet, "unrepaired"))


def test_found_unsafe_after_it_was_closed_as_done_it_is_stopped(bench: Bench) -> None:
    """Seen red without the rule in `_hold`."""
    bench.through(LAST)
    bench.do("", "close", outcome="done")
    find(bench)
    job = bench.fresh()
    assert (job.state, job.outcome) == (Job.State.STOPPED, Job.Outcome.UNSAFE)


def test_only_the_owner_calls_anothers_unsafe_finding_less(bench: Bench) -> None:
    """Seen red without `_refuse_lower`."""
    row = find(bench)
    other = make_person("jo", "technician", initials="JN")
    for by, more in ((other, {"reason": "looked again"}), (bench.technician, {})):
        with pytest.raises(Refused):
            find(bench, by=by, replaces=row.entry_id, answer="note", **more)
    agree(bench, row, yes=False, amount=None)
    with pytest.raises(Refused):
        find(bench, replaces=row.entry_id, answer="note", reason="it was oil")
    less = find(
        bench, by=bench.owner, replaces=row.entry_id, answer="note", reason="it was a hair in the oil"
    )
    assert less.grade == "note"
    assert less.entry.reason


def test_whoever_recorded_it_may_call_it_less_before_the_answer(bench: Bench) -> None:
    row = find(bench)
    assert find(bench, replaces=row.entry_id, answer="should", reason="the wrong key").grade == "should"


def test_put_right_is_of_a_finding_that_stands_and_once(bench: Bench) -> None:
    row = find(bench)
    note = bench.do("", "note", words="a note")
    for about in (None, note.pk, uuid.UUID(int=9)):
        with pytest.raises(Refused):
            bench.do("", "put right", about=about, words="done")
    with pytest.raises(Refused):
        bench.do("", "put right", about=row.entry_id)
    done = bench.do("", "put right", about=row.entry_id, words="new rod")
    row.refresh_from_db()
    assert row.put_right == done
    with pytest.raises(Refused):
        bench.do("", "put right", about=row.entry_id, words="again")
    new = find(bench, replaces=row.entry_id, words="bent as well")
    assert new.put_right is None
    with pytest.raises(Refused):
        bench.do("", "put right", about=row.entry_id, words="the old one")


def test_the_document_has_the_answer_but_no_name_and_no_price(bench: Bench) -> None:
    """Seen red with the price in `document_rows`."""
    agree(bench, find(bench))
    document = document_of(bench.sheet(), bench.technician, bench.at)
    (row,) = document["findings"]
    assert (row["answer"], row["part"], row["grade"]) == ("yes", "rod", "unsafe")
    text = repr(document)
    for hidden in ("145", "600.00", "Dallimore", "New rod, fitted"):
        assert hidden not in text
    assert document["found"]["part_of"][str(bench.step("inspect-rod").step.pk)] == "rod"


def test_the_drawing_carries_its_number(bench: Bench) -> None:
    find(bench)
    assert [(one.number, one.part) for one in balloons(bench.sheet())] == [(1, "rod")]
    assert 'data-finding="1"' in drawing(bench.sheet())


HOSTILE = [
    "<script>alert(1)</script>",
    "'; DROP TABLE shopapp_finding; --",
    "\u202erod",
    "{{ 7|add:7 }}",
    "😀" * 50,
]


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_stay_words(bench: Bench, words: str) -> None:
    row = find(bench, words=words, part="other", part_words=words[:60])
    assert row.entry.words == words
    assert "<script" not in drawing(bench.sheet())


@pytest.mark.parametrize("name", ["part", "part_words", "advice", "answer", "words", "text"])
@pytest.mark.parametrize("value", [7, ["rod"], {"a": 1}, True, "a\0b", "\ud800", "x" * 1001])
def test_the_endpoint_refuses_what_is_no_text_in_a_sentence(
    bench: Bench, client_as: Any, name: str, value: Any
) -> None:
    body = {
        "id": str(uuid.uuid4()), "job": bench.job.pk, "kind": "finding", "counter": 1,
        "typed_at": "2026-03-02T09:00:00+00:00", "text": "", **ROD, name: value,
    }  # fmt: skip
    response = client_as(bench.technician).post(
        "/bench/entries", {"entries": [body]}, content_type="application/json"
    )
    assert response.status_code == 200
    (answer,) = response.json()["answers"]
    assert (answer["state"], answer["field"]) == ("refused", name)
    assert answer["sentence"].endswith(".")
    assert not Finding.objects.exists()
