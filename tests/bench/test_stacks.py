"""Shim stacks at the bench: read whole as typed, explained where they are odd or differ, settled before *done*."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.bench.models import Entry
from shopapp.bench.queries.closing import why_not
from shopapp.bench.queries.stacks import sides, stack_of, unsettled_words
from shopapp.people.models import Person
from shopapp.shop.services.acts import Refused
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
OUT, BACK = "strip-compression-stack", "rod-compression-stack"
TYPED = "2 x 40x0.20, 36x0.20\n32 x 0.30"


@pytest.fixture
def stripped(bench: Bench) -> Bench:
    """Give a damper that may be stripped, nothing said of its shims."""
    bench.unlock("strip")
    return bench


@pytest.fixture
def rod(bench: Bench) -> Bench:
    """Give a damper that lies open, its compression stack taken out and read."""
    bench.unlock("strip")
    bench.do(OUT, "reading", words=TYPED)
    return bench


def test_a_stack_is_kept_as_typed_and_as_figures(stripped: Bench) -> None:
    row = stripped.do(OUT, "reading", words=TYPED)
    row.refresh_from_db()
    assert row.words == TYPED
    assert (row.name, row.phase, row.value_kind, row.value_unit) == (
        "compression stack",
        "removed",
        "length",
        "mm",
    )
    assert row.value_si == pytest.approx(0.0009)
    assert row.value_text == "4 shims, 0.90 mm"
    first, *_others = row.payload["shims"]
    assert first == {
        "diameter": {"si": 0.04, "unit": "mm", "text": "40"},
        "thickness": {"si": 0.0002, "unit": "mm", "text": "0.20"},
        "text": "40x0.20", "crossover": False,
    }  # fmt: skip
    assert [(shim.diameter.si, shim.thickness.si) for shim in stack_of(row)] == [
        (0.04, 0.0002), (0.04, 0.0002), (0.036, 0.0002), (0.032, 0.0003),
    ]  # fmt: skip
    assert (row.outside, row.out_of_order) == ("", False)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "Write the shims"),
        ("   ", "Write the shims"),
        ("forty by a fifth", "not a stack of shims"),
        ("40x0", "above zero"),
        ("61 x 40x0.20", "repeated 1 to 60 times"),
        ("40x0,20", "two ways"),
        ("40x0.20 1.5x0.008 in", "write the unit at every shim"),
    ],
)
def test_what_is_no_stack_is_refused_in_a_sentence(stripped: Bench, words: str, said: str) -> None:
    with pytest.raises(Refused, match=said) as refused:
        stripped.do(OUT, "reading", words=words)
    assert refused.value.field == "words"
    assert not Entry.objects.filter(name="compression stack").exists()


def test_a_shop_with_a_decimal_comma_reads_and_writes_it(stripped: Bench) -> None:
    stripped.shop.decimal_comma = True
    stripped.shop.save()
    assert stripped.do(OUT, "reading", words="40x0,20; 36x0,20").value_text == "2 shims, 0,40 mm"


def test_the_same_shims_go_back_without_a_word(rod: Bench) -> None:
    row = rod.do(BACK, "reading", words="40x0.2 40x0.2 36x0.2 32x0.3")
    assert (row.reason, row.outside) == ("", "")
    assert rod.sheet().standing.satisfied[rod.step(BACK).key] == str(row.pk)


def test_a_stack_that_differs_needs_what_was_agreed(rod: Bench) -> None:
    with pytest.raises(Refused, match=r"Place 2 as taken out: 40 × 0.20 left out") as refused:
        rod.do(BACK, "reading", words="40x0.20 36x0.20 32x0.30")
    assert refused.value.field == "reason"
    row = rod.do(BACK, "reading", words="40x0.20 36x0.20 32x0.30", reason="softer, as agreed")
    assert (row.reason, row.outside) == ("softer, as agreed", "")


def test_an_odd_order_is_only_named_in_what_was_taken_out(stripped: Bench) -> None:
    row = stripped.do(OUT, "reading", words="36x0.20 40x0.20")
    assert row.outside == ""
    assert "larger than the one of 36 mm before it" in row.payload["problems"][0]


def test_an_odd_order_in_what_is_built_needs_a_reason(stripped: Bench) -> None:
    bench = stripped
    with pytest.raises(Refused, match="larger than the one of 36 mm") as refused:
        bench.do(BACK, "reading", words="36x0.20 40x0.20")
    assert refused.value.field == "reason"
    row = bench.do(BACK, "reading", words="36x0.20 40x0.20", reason="crossover not marked")
    assert row.outside == "advisory"
    assert bench.do("rod-rebound-stack", "reading", words="40x0.20, 20x0.10 c, 36x0.20").outside == ""


def test_a_correction_of_what_was_taken_out_explains_itself(rod: Bench) -> None:
    out = bench_out(rod)
    rod.do(BACK, "reading", words=TYPED)
    with pytest.raises(Refused, match=r"Place 1: 40 × 0.20 in place of 41 × 0.20"):
        rod.do(OUT, "reading", words="41x0.20 40x0.20 36x0.20 32x0.30", replaces=out.pk)
    row = rod.do(OUT, "reading", words="41x0.20 40x0.20 36x0.20 32x0.30", replaces=out.pk, reason="misread")
    side = sides(rod.sheet())[0]
    assert (side.out, side.why) == (row, "misread")
    assert why_not(rod.sheet(), "done")[0].startswith("Not done yet")


def test_what_was_taken_out_must_be_read_again_before_it_is_done(bench: Bench) -> None:
    bench.through("strip-stacks")
    out = bench.do(OUT, "reading", words=TYPED)
    bench.through("final-leave")
    assert why_not(bench.sheet(), "done") == [
        "Compression stack: taken out, and not read as built. Read what goes back, or say why not."
    ]
    assert "done" not in bench.sheet().standing.outcomes
    assert not bench.sheet().standing.may_close_done
    with pytest.raises(Refused, match="not read as built"):
        bench.do("", "close", outcome="done")
    bench.do("", "reason", words="back from the pin as it was", about=out.pk)
    assert bench.do("", "close", outcome="done").kind == "close"


def test_what_differs_without_a_reason_is_not_settled(rod: Bench) -> None:
    """A page that was long without the network may send the stack as built before the one that was taken out."""
    rod.do(BACK, "reading", words=TYPED)
    late = bench_out(rod)
    rod.do("release-zero", "proof", answer="does not move")
    other = rod.do(OUT, "reading", words="40x0.20 36x0.20 32x0.30", replaces=late.pk)
    assert other.out_of_order
    assert unsettled_words(rod.sheet()) == [
        "Compression stack: not as taken out (Place 2: 40 × 0.20 added). Say what was agreed."
    ]
    rod.do("", "reason", words="miscounted", about=other.pk)
    assert unsettled_words(rod.sheet()) == []
    assert sides(rod.sheet())[0].why == "miscounted"


def bench_out(bench: Bench) -> Entry:
    """Give the entry of what was taken out."""
    return next(entry for entry in bench.made if entry.name == "compression stack")


def test_a_reason_afterwards_is_for_a_stack_and_says_something(rod: Bench) -> None:
    with pytest.raises(Refused, match="Say why"):
        rod.do("", "reason", about=bench_out(rod).pk)
    proof = next(entry for entry in rod.made if entry.kind == "proof")
    for about in (None, uuid.uuid4(), proof.pk):
        with pytest.raises(Refused, match="for a stack or a setting on this sheet"):
            rod.do("", "reason", words="because", about=about)


def test_a_stack_that_stays_together_is_not_readable(rod: Bench) -> None:
    rod.do(BACK, "unreadable", words="went back on its pin")
    assert unsettled_words(rod.sheet()) == []


HOSTILE: list[dict[str, Any]] = [
    {"words": "40x0.20 " * 500},
    {"words": "40x" + "9" * 400},
    {"words": "1e9999x1e-9999"},
    {"words": "40\u0000x0.20"},
    {"words": "40x0.20 \ud800"},
    {"words": ["40x0.20"]},
    {"words": {"shims": [[40, 0.2]]}},
    {"words": "<svg onload=alert(1)>"},
    {"words": "999999999999 x 40x0.20"},
    {"words": "40x0.20x0.20x0.20x0.20"},
    {"words": "−40x0.20"},
    {"words": "", "shims": [{"diameter": 1}]},
    {"text": "40x0.20 " * 20},
]


@pytest.mark.parametrize("given", HOSTILE, ids=range(len(HOSTILE)))
def test_the_endpoint_turns_away_whatever_is_no_stack(
    stripped: Bench, client_as: Callable[[Person], Client], given: dict[str, Any]
) -> None:
    step, position = stripped.key(OUT)
    row = {
        "id": str(uuid.uuid4()), "job": stripped.job.pk, "step": step, "position": position, "kind": "reading",
        "typed_at": stripped.at.isoformat(), "counter": 900, **given,
    }  # fmt: skip
    response = client_as(stripped.technician).post(
        "/bench/entries", json.dumps({"entries": [row]}), content_type="application/json"
    )
    assert response.status_code == 200
    answer = response.json()["answers"][0]
    assert answer["state"] == "refused"
    assert answer["sentence"].endswith(".")
    assert not Entry.objects.filter(name="compression stack").exists()


def test_the_document_gives_the_page_the_shims(rod: Bench, client_as: Callable[[Person], Client]) -> None:
    sheet = client_as(rod.technician).get(f"/bench/sheets/{rod.job.pk}/state").json()
    step = next(one for one in sheet["steps"] if one["figure"] == "compression stack")
    assert (step["unit_kind"], step["side"], step["seat"], step["clamp"]) == (
        "stack",
        "compression",
        None,
        None,
    )
    entry = next(one for one in sheet["entries"] if one["figure"] == "compression stack")
    assert [shim["label"] for shim in entry["shims"]] == ["40 × 0.20", "40 × 0.20", "36 × 0.20", "32 × 0.30"]
    assert entry["words"] == TYPED
    assert "shims" not in next(one for one in sheet["entries"] if one["figure"] != "compression stack")
