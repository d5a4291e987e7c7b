"""Procedures as data: every shipped one keeps the rules, and each rule refuses its planted fault in a sentence.

Each planted fault was seen to pass with its rule taken out of `procedure_rules`.
"""

from __future__ import annotations

import copy
import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopapp.dampers.models import Construction
from shopapp.shop.services.acts import Refused
from shopapp.specs import queries
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.services import shipped
from shopapp.specs.services.procedure_rules import OF_GAS, check_procedure
from shopapp.tools.kinds import SHIPPED as TOOL_KINDS

Document = dict[str, Any]
Steps = list[dict[str, Any]]

FILES = sorted(shipped.FOLDER.glob("*.json"))
REBUILDS = {
    "reservoir": "rebuild-reservoir-ifp.json",
    "ifp body": "rebuild-ifp-body.json",
    "bladder": "rebuild-reservoir-bladder.json",
    "emulsion": "rebuild-emulsion.json",
    "through-rod": "rebuild-through-rod.json",
    "twin-tube": "rebuild-twin-tube.json",
}


def read(name: str) -> Document:
    found: Document = json.loads((shipped.FOLDER / name).read_text(encoding="utf-8"))
    return found


def step(steps: Steps, code: str) -> dict[str, Any]:
    return next(each for each in steps if each["code"] == code)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_shipped_procedure_keeps_every_rule(path: Path) -> None:
    document = read(path.name)
    check_procedure(document)
    kinds = {kind.code for kind in TOOL_KINDS}
    assert {each["tool_kind"] for each in document["steps"] if each.get("tool_kind")} <= kinds
    assert {each["purpose"] for each in document["steps"] if each.get("purpose")} <= {"kit", "oil"}


def test_every_construction_has_its_own_rebuild() -> None:
    documents = {name: read(name) for name in REBUILDS.values()}
    assert {each["construction"]: name for name, each in documents.items()} == REBUILDS
    assert set(REBUILDS) == set(Construction.values) - {"other"}
    assert {each["work"] for each in documents.values()} == {"Rebuild"}


def test_no_two_constructions_prove_zero_alike() -> None:
    signs = {
        construction: step(read(name)["steps"], "release-zero")["text"]
        for construction, name in REBUILDS.items()
    }
    assert len(set(signs.values())) == len(REBUILDS)
    for construction, name in REBUILDS.items():
        zero = step(read(name)["steps"], "release-zero")
        assert [each["stops"] for each in zero["options"]] == [not each["passes"] for each in zero["options"]]
        assert "DO NOT OPEN" in zero["text"], construction


@pytest.mark.parametrize(
    ("name", "absent"),
    [
        ("rebuild-reservoir-ifp.json", set()),
        ("rebuild-ifp-body.json", set()),
        ("rebuild-through-rod.json", set()),
        ("rebuild-reservoir-bladder.json", {"ifp"}),
        ("rebuild-emulsion.json", {"ifp"}),
        ("rebuild-twin-tube.json", {"ifp"}),
        ("spring-change.json", {*OF_GAS, "prove"}),
        ("inspection.json", {*OF_GAS, "prove", "spring off", "restore"}),
    ],
)
def test_only_the_stages_that_a_work_has_not_are_left_out(name: str, absent: set[str]) -> None:
    stages = {each["stage"] for each in read(name)["steps"]}
    assert {code for code, _name in STAGES} - stages == absent


def test_the_twin_tube_that_is_sealed_is_asked_for_before_anything_is_undone() -> None:
    steps = read("rebuild-twin-tube.json")["steps"]
    sealed = step(steps, "wash-sealed")
    assert (sealed["kind"], sealed["locks"]) == ("choice", "settings")
    assert {each["value"]: each["passes"] for each in sealed["options"]} == {
        "serviceable": True,
        "sealed": False,
    }


def test_bladders_and_charging_are_for_people_who_can() -> None:
    skilled = {
        (name, each["code"]): each["skill"]
        for name in REBUILDS.values()
        for each in read(name)["steps"]
        if each.get("skill")
    }
    assert {key for key, skill in skilled.items() if skill == "charging"} == {
        (name, "charge-gas") for name in REBUILDS.values()
    }
    of_bladder = {code for (name, code), skill in skilled.items() if skill == "bladders"}
    assert {name for (name, _code), skill in skilled.items() if skill == "bladders"} == {REBUILDS["bladder"]}
    assert of_bladder >= {"strip-bladder", "inspect-bladder", "close-bladder", "close-proof-bladder"}


def without(code: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        steps.remove(step(steps, code))

    return plant


def with_(code: str, **fields: Any) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        step(steps, code).update(fields)

    return plant


def moved(code: str, stage: str) -> Callable[[Steps], None]:
    """Put a step at the end of another stage."""

    def plant(steps: Steps) -> None:
        found = step(steps, code)
        steps.remove(found)
        last = max(place for place, each in enumerate(steps) if each["stage"] == stage)
        steps.insert(last + 1, {**found, "stage": stage})

    return plant


def answers(code: str, **fields: Any) -> Callable[[Steps], None]:
    """Change every answer of a step."""

    def plant(steps: Steps) -> None:
        for option in step(steps, code)["options"]:
            option.update(fields)

    return plant


def without_stage(stage: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        steps[:] = [each for each in steps if each["stage"] != stage]

    return plant


def optional(stage: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        for each in steps:
            if each["stage"] == stage:
                each["required"] = False

    return plant


def without_proofs(locks: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        steps[:] = [each for each in steps if (each["kind"], each.get("locks")) != ("proof", locks)]

    return plant


def no_caution(stage: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        for each in steps:
            if each["stage"] == stage:
                each.pop("caution", None)

    return plant


def swap(first: str, second: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        one, two = steps.index(step(steps, first)), steps.index(step(steps, second))
        steps[one], steps[two] = steps[two], steps[one]

    return plant


def again(code: str) -> Callable[[Steps], None]:
    def plant(steps: Steps) -> None:
        found = step(steps, code)
        steps.insert(steps.index(found), copy.deepcopy(found))

    return plant


A = {"value": "a", "words": "a", "passes": True, "stops": False}
EMULSION, IFP, ANY = "rebuild-emulsion.json", "rebuild-ifp-body.json", "spring-change.json"
PLANTED: list[tuple[str, str, Callable[[Steps], None], str]] = [
    ("no proof of zero", EMULSION, without("release-zero"), "no proof of zero"),
    ("zero locks the wrong stage", EMULSION, with_("release-zero", locks="charge"), "no proof of zero"),
    ("zero need not be proved", EMULSION, with_("release-zero", required=False), "stage is required"),
    ("zero proved before the gas goes", EMULSION, moved("release-zero", "spring off"), "no proof of zero"),
    ("zero never stops", EMULSION, answers("release-zero", stops=False), "must stop the job"),
    ("zero always passes", EMULSION, answers("release-zero", passes=True, stops=False), "proves nothing"),
    ("stops and passes", EMULSION, answers("release-zero", passes=True, stops=True), "cannot pass"),
    ("no proof before gas", EMULSION, without_proofs("charge"), "no proof before gas"),
    ("no proof afterwards", EMULSION, optional("prove"), "proved on the bench afterwards"),
    ("charge not read", EMULSION, without("charge-gas"), "body's temperature is read, and after it"),
    ("charge before its temperature", EMULSION, swap("charge-temperature", "charge-gas"), "body's temperature is read"),
    ("temperature not read", EMULSION, with_("charge-temperature", required=False), "body's temperature is read"),
    ("depth does not lock", IFP, with_("ifp-depth", locks=""), "does not lock “Charge”"),
    ("depth not asked for", IFP, with_("ifp-depth", required=False), "does not lock “Charge”"),
    ("a setting does not lock", ANY, with_("settings-preload", locks=""), "must lock “Take the spring off”"),
    ("nothing read on arrival", ANY, without_stage("settings"), "nothing is read on arrival"),
    ("a setting is not restored", ANY, without("restore-preload"), "never again"),
    ("nobody looks at the end", ANY, optional("final"), "“Final check”"),
    ("no final check", ANY, without_stage("final"), "“Final check”"),
    ("the tag is not read", ANY, without("receive-tag"), "“Receive”"),
    ("a code twice", ANY, again("spring-off"), "stands twice"),
    ("stages out of order", ANY, swap("wash-outside", "spring-off"), "Stages follow"),
    ("a figure of no registry", ANY, with_("settings-preload", figure="horsepower"), "not in the registry"),
    ("a caution of no registry", ANY, with_("spring-off", caution="luck"), "not in the registry"),
    ("a stage of no registry", ANY, with_("spring-off", stage="paint"), "not in the registry"),
    ("a skill of no registry", ANY, with_("spring-off", skill="juggling"), "not in the registry"),
    ("a field nobody knows", ANY, with_("spring-off", colour="blue"), "not a part of a step"),
    ("locks its own stage", ANY, with_("spring-off", locks="spring off"), "could never be done"),
    ("locks a stage before", ANY, with_("spring-off", locks="wash"), "could never be done"),
    ("a reading without a figure", ANY, with_("settings-preload", figure=""), "names its figure"),
    ("a reading without a phase", ANY, with_("settings-preload", phase=""), "as received, as removed or as built"),
    ("a wait without minutes", EMULSION, with_("strip-drain", minutes=0), "has its minutes"),
    ("a tool of no kind", ANY, with_("spring-compressor", tool_kind=""), "which kind of tool"),
    ("a part for nothing", EMULSION, with_("reseal-kit", purpose=""), "what the part is for"),
    ("one answer alone", ANY, with_("final-pair", options=[A]), "two answers"),
    ("no answer passes", ANY, answers("inspect-seats", passes=False), "no answer passes"),
    ("answers of a deed", ANY, with_("spring-off", options=[{"value": "a"}]), "only a proof or a choice"),
    ("worked out for another figure", ANY, with_("restore-preload", computed="charge"), "belongs to another figure"),
    ("repeated without a list", ANY, with_("spring-off", repeat="fasteners"), "needs the figure"),
    ("repeated at a place", ANY, with_("settings-gap-1", repeat="springs"), "positions from the sheet"),
    ("a step without words", ANY, with_("spring-off", name=""), "its words"),
    ("words without end", ANY, with_("spring-off", text="x" * 601), "longer than 600"),
    ("no caution at the spring", ANY, no_caution("spring off"), "no caution"),
    ("no caution at the gas", EMULSION, no_caution("release"), "no caution"),
    ("no caution at the nitrogen", EMULSION, no_caution("charge"), "no caution"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "plant", "sentence"), [row[1:] for row in PLANTED], ids=[row[0] for row in PLANTED]
)
def test_a_planted_fault_is_refused_with_its_sentence(
    name: str, plant: Callable[[Steps], None], sentence: str
) -> None:
    document = read(name)
    plant(document["steps"])
    with pytest.raises(Refused, match=sentence):
        check_procedure(document)


@pytest.mark.parametrize("name", [*REBUILDS.values()])
def test_nothing_that_is_opened_serves_any_construction(name: str) -> None:
    with pytest.raises(Refused, match="belong to one construction"):
        check_procedure({**read(name), "construction": ""})


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"name": ""}, "needs a name"),
        ({"work": ""}, "kind of work"),
        ({"construction": "air"}, "no construction"),
        ({"steps": []}, "without a step"),
    ],
)
def test_a_procedure_says_what_it_is_for(given: Document, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        check_procedure({**read(ANY), **given})


@pytest.mark.django_db
def test_nothing_of_a_bad_procedure_is_loaded(
    now: dt.datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = {**read(EMULSION), "name": "Another"}
    without("release-zero")(document["steps"])
    (tmp_path / "bad.json").write_text(json.dumps(document), encoding="utf-8")
    monkeypatch.setattr(shipped, "FOLDER", tmp_path)
    before = (Procedure.objects.count(), Step.objects.count())
    with pytest.raises(Refused):
        shipped.load_shipped(at=now)
    assert (Procedure.objects.count(), Step.objects.count()) == before


@pytest.mark.django_db
def test_a_work_finds_the_procedure_of_the_construction_or_one_for_any(now: dt.datetime) -> None:
    for construction, name in REBUILDS.items():
        found = queries.procedure_for("Rebuild", construction)
        assert found is not None and found.name == read(name)["name"]
    assert queries.procedure_for("Rebuild", "other") is None
    assert queries.procedure_for("Rebuild", "") is None
    assert queries.procedure_for("", "emulsion") is None
    assert queries.procedure_for("Rebuild, emulsion", "ifp body") is None
    for construction in (*REBUILDS, "other", ""):
        found = queries.procedure_for("Inspection", construction)
        assert found is not None and found.name == "Inspection"
    assert queries.works() == ["Inspection", "Rebuild", "Spring change"]


@pytest.mark.django_db
def test_a_shops_own_procedure_goes_first_and_a_retired_one_is_gone(now: dt.datetime) -> None:
    later = now + dt.timedelta(days=400)
    own = Procedure.objects.create(
        name="Inspection, ours", work="Inspection", construction="emulsion", released_at=later
    )
    for_any = queries.procedure_for("Inspection", "reservoir")
    assert queries.procedure_for("Inspection", "emulsion") == own
    assert for_any is not None and for_any.name == "Inspection"
    assert queries.procedure_for("Inspection, ours", "emulsion") == own
    Procedure.objects.filter(pk=own.pk).update(retired_at=later)
    assert queries.procedure_for("Inspection", "emulsion") == for_any
