"""The shipped procedures: there after a migrate, once, frozen, and the first of them holding the three safety stops."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from django.db import DatabaseError, transaction

from shopapp.people.models import Person
from shopapp.specs import cautions, figures, queries
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.services import shipped
from tests.specs.drafts import begun, released

NAME = "Rebuild, reservoir with IFP"
ORDER = [code for code, _name in STAGES]


@pytest.fixture
def procedure(db: None) -> Procedure:
    found = queries.procedure_for(NAME, "reservoir")
    assert found is not None
    return found


def step(procedure: Procedure, code: str) -> Step:
    return procedure.steps.get(code=code)


def test_it_is_there_after_a_migrate_and_released(procedure: Procedure) -> None:
    assert (procedure.version, procedure.work, procedure.construction) == (1, "Rebuild", "reservoir")
    assert procedure.released_at is not None


def test_loading_again_makes_nothing(procedure: Procedure, now: dt.datetime) -> None:
    before = list(Step.objects.values_list("pk", flat=True))
    assert shipped.load_shipped(at=now) == []
    assert list(Step.objects.values_list("pk", flat=True)) == before
    assert Procedure.objects.count() == len(list(shipped.FOLDER.glob("*.json")))


def test_a_released_procedure_is_frozen(procedure: Procedure) -> None:
    with pytest.raises(DatabaseError), transaction.atomic():
        procedure.steps.filter(code="release-zero").update(locks="")
    with pytest.raises(DatabaseError), transaction.atomic():
        Step.objects.create(procedure=procedure, stage="wash", order=999, code="x", kind="do", name="x")
    assert step(procedure, "release-zero").locks == "strip"


def test_steps_go_through_every_stage_in_order_and_use_every_kind(procedure: Procedure) -> None:
    steps = list(procedure.steps.order_by("order"))
    places = [ORDER.index(each.stage) for each in steps]
    assert places == sorted(places)
    assert {each.stage for each in steps} == set(ORDER)
    assert {each.kind for each in steps} == set(Step.Kind.values)


def test_every_arrival_setting_locks_the_spring(procedure: Procedure) -> None:
    settings = procedure.steps.filter(stage="settings")
    assert {each.locks for each in settings} == {"spring off"}
    assert {each.figure for each in settings} >= {"preload", "adjuster", "eye centres", "retainer gap"}
    assert step(procedure, "settings-adjusters").repeat == "adjusters"
    assert "settings-springs" in {each.code for each in settings if each.kind == "choice"}


def test_strip_is_locked_by_the_proof_of_zero_whose_other_answer_stops(procedure: Procedure) -> None:
    (zero,) = procedure.steps.filter(locks="strip")
    assert zero.kind == "proof"
    assert zero.second_tap
    answers = {each["words"]: (each["passes"], each["stops"]) for each in zero.options}
    assert answers == {"the cap moves in by hand": (True, False), "it does not move": (False, True)}
    found, temperature = step(procedure, "release-found"), step(procedure, "release-temperature")
    assert temperature.order < found.order < zero.order
    assert (found.figure, found.tool_kind, found.phase) == ("charge", "gauge", "removed")


def test_charge_is_locked_by_the_four_proofs_before_gas(procedure: Procedure) -> None:
    proofs = list(procedure.steps.filter(locks="charge", kind="proof"))
    assert len(proofs) == 4
    for proof in proofs:
        assert proof.kind == "proof"
        assert [each["passes"] for each in proof.options] == [True, False]
        assert not any(each["stops"] for each in proof.options)


def test_an_ifp_depth_that_does_not_stand_keeps_charge_shut(procedure: Procedure) -> None:
    assert step(procedure, "ifp-depth").locks == "charge"


@pytest.mark.parametrize(
    ("code", "unfit"),
    [
        ("inspect-rod", "bent"),
        ("inspect-rod", "pitted"),
        ("inspect-rod", "scored"),
        ("inspect-bores", "scored"),
        ("inspect-hose", "unsafe"),
    ],
)
def test_an_unfit_part_keeps_charge_shut_until_it_is_replaced(
    procedure: Procedure, code: str, unfit: str
) -> None:
    inspected = step(procedure, code)
    answers = {option["value"]: option["passes"] for option in inspected.options}
    assert (inspected.locks, answers[unfit], answers["replaced"]) == ("charge", False, True)
    assert "keeps charge shut" in inspected.text


def test_charge_and_depth_are_computed_measured_and_tapped_twice(procedure: Procedure) -> None:
    charge, depth = step(procedure, "charge-gas"), step(procedure, "ifp-depth")
    assert (charge.computed, charge.tool_kind, charge.second_tap) == ("charge", "gauge", True)
    assert (depth.computed, depth.tool_kind, depth.second_tap) == ("ifp", "depth tool", True)
    assert step(procedure, "restore-preload").computed == "preload turns"
    critical = {each.code for each in procedure.steps.all() if queries.is_critical(each)}
    assert critical == {"charge-gas", "ifp-depth", "rod-nut-torque"}


def test_arrival_is_read_again_at_the_end(procedure: Procedure) -> None:
    received = set(procedure.steps.filter(phase="received").values_list("figure", "position"))
    built = set(procedure.steps.filter(phase="built").values_list("figure", "position"))
    assert received - built == set(), "what was read on arrival has no reading as built"


def test_names_cautions_and_options_are_known(procedure: Procedure) -> None:
    seen = set()
    for each in procedure.steps.all():
        assert not each.figure or each.figure in figures.NAMES, each.code
        assert each.kind in ("proof", "choice") or not each.options, each.code
        for option in each.options:
            assert set(option) == {"value", "words", "passes", "stops"}, each.code
        values = [option["value"] for option in each.options]
        assert len(values) == len(set(values)), each.code
        seen.add(each.caution)
    assert seen - {""} == set(cautions.CAUTIONS)


def shipped_next(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, issue: int) -> None:
    """Ship another issue of the procedure, with one step less."""
    document = json.loads((shipped.FOLDER / "rebuild-reservoir-ifp.json").read_text(encoding="utf-8"))
    document["version"] = issue
    document["steps"] = [each for each in document["steps"] if each["code"] != "strip-oil"]
    (tmp_path / "next.json").write_text(json.dumps(document), encoding="utf-8")
    monkeypatch.setattr(shipped, "FOLDER", tmp_path)


def test_the_next_issue_is_the_next_version_and_taken_into_use(
    procedure: Procedure, now: dt.datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shipped_next(tmp_path, monkeypatch, 2)
    (made,) = shipped.load_shipped(at=now)
    assert (made.version, made.shipped, made.retired_at) == (2, 2, None)
    assert queries.procedure_for("Rebuild", "reservoir") == made
    assert shipped.load_shipped(at=now) == []


def test_the_next_issue_takes_nothing_over_from_the_shops_own_version(
    procedure: Procedure, owner: Person, now: dt.datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seen red while it came into use: the shop's own work was gone from the bench after an update."""
    own = released(owner, begun(owner))
    draft = begun(owner)
    shipped_next(tmp_path, monkeypatch, 2)
    (made,) = shipped.load_shipped(at=now)
    assert (made.version, made.shipped, made.retired_at) == (4, 2, now)
    assert queries.procedure_for("Rebuild", "reservoir") == own
    assert released(owner, draft).version == 5, "the shop's own comes after what was loaded meanwhile"


def test_the_next_issue_of_a_retired_procedure_stays_retired(
    procedure: Procedure, now: dt.datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Procedure.objects.filter(pk=procedure.pk).update(retired_at=now)
    shipped_next(tmp_path, monkeypatch, 2)
    (made,) = shipped.load_shipped(at=now)
    assert made.retired_at == now and queries.procedure_for("Rebuild", "reservoir") is None
