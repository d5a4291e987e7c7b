"""A slip of the pen is corrected without new proofs; gas let in again is not; an unfit part keeps charge and done shut.

Seen red: with every correction of a charge taken for gas (`_meant` gives its own place) the first test; without
`_refuse_slip_of_another` the third; with `must_read` of the step alone the one of the body's temperature.
"""

from __future__ import annotations

import pytest

from shopapp.bench.models import Entry
from shopapp.bench.queries.closing import why_not
from shopapp.bench.queries.sheet import document_of
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services.acts import Refused
from tests.bench.make import Bench
from tests.conftest import make_person

pytestmark = pytest.mark.django_db


def charged(found: Bench) -> Entry:
    found.through("charge-valve")
    return next(row for row in reversed(found.made) if row.step and row.step.code == "charge-gas")


def correct(found: Bench, old: Entry, text: str, by: Person | None = None) -> Entry:
    assert old.step is not None
    tool = found.tools["gauge"].tag if old.step.code == "charge-gas" else ""
    tool = found.tools["depth tool"].tag if old.step.code == "ifp-depth" else tool
    return found.do(old.step.code, "reading", text=text, tool=tool, replaces=old.pk, by=by)


def missing(found: Bench) -> list[str]:
    sheet = found.sheet()
    return [sheet.by_key[key].step.code for key in sheet.standing.missing]


def test_a_mistyped_charge_is_corrected_and_the_proofs_hold(bench: Bench) -> None:
    old = charged(bench)
    before = missing(bench)
    row = correct(bench, old, "151 psi")
    assert not row.out_of_order
    assert missing(bench) == before
    assert bench.sheet().satisfying(bench.step("charge-gas").key) == row
    bench.through("final-leave")
    bench.do("", "close", outcome="done")
    assert (bench.fresh().state, bench.fresh().outcome) == ("done", "done")
    assert books.differences() == []


def test_a_second_charge_asks_for_the_proofs_and_the_valve_again(bench: Bench) -> None:
    charged(bench)
    row = bench.do("charge-gas", "reading", text="151 psi", tool=bench.tools["gauge"].tag)
    assert row.out_of_order
    assert {"release-zero", "ifp-proof-ring", "charge-valve"} <= set(missing(bench))


def test_whoever_did_not_read_it_and_cannot_charge_corrects_nothing(bench: Bench) -> None:
    old = charged(bench)
    other = make_person("ole", "technician", initials="OL")
    trained = make_person("ilse", "technician", initials="IB", skills=["charging"])
    with pytest.raises(Refused, match="Only Mo, or somebody trained for charging"):
        correct(bench, old, "151 psi", by=other)
    assert not correct(bench, old, "151 psi", by=trained).out_of_order


def test_a_slip_in_the_ifp_depth_keeps_the_proofs_before_gas(bench: Bench) -> None:
    bench.through("ifp-proof-rod")
    old = next(row for row in bench.made if row.name == "ifp depth" and row.phase == "built")
    before = missing(bench)
    assert not correct(bench, old, "3 1/16 in").out_of_order
    assert missing(bench) == before
    assert bench.do("ifp-depth", "reading", text="3 in", tool=bench.tools["depth tool"].tag)
    assert "ifp-proof-ring" in missing(bench)


def test_a_body_temperature_is_corrected_and_the_charge_after_it(bench: Bench) -> None:
    gas = charged(bench)
    old = next(row for row in bench.made if row.name == "body temperature" and row.phase == "built")
    before = missing(bench)
    correct(bench, old, "40 °C")
    assert [code for code in missing(bench) if code not in before] == ["charge-gas"]
    assert not correct(bench, gas, "150 psi").out_of_order
    assert missing(bench) == before


@pytest.mark.parametrize("code", ["charge-temperature", "release-temperature"])
def test_the_page_asks_for_a_temperature_as_the_endpoint_does(bench: Bench, code: str) -> None:
    rows = {row["key"]: row for row in document_of(bench.sheet(), bench.technician, bench.at)["steps"]}
    step = bench.step(code)
    assert rows[step.key]["must_read"] is True
    bench.through(code, skip=(code,))
    bench.do(code, "unreadable", words="no thermometer")
    assert step.key in bench.sheet().standing.missing


@pytest.mark.parametrize(
    ("code", "answer"),
    [
        ("inspect-rod", "pitted"), ("inspect-rod", "scored"), ("inspect-rod", "bent"),
        ("inspect-bores", "scored"),
    ],
)  # fmt: skip
def test_an_unfit_part_keeps_charge_and_done_shut(bench: Bench, code: str, answer: str) -> None:
    bench.through("ifp-proof-rod", skip=(code,))
    bench.do(code, "choice", answer=answer)
    sheet = bench.sheet()
    assert "charge" not in sheet.standing.open
    assert why_not(sheet, "done")
    bench.do(code, "choice", answer="replaced")
    assert "charge" in bench.sheet().standing.open
