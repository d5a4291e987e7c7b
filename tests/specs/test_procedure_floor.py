"""What a construction's own procedure must hold, whoever changes it: its proofs, its dangers shown, its skills.

Each planted fault was seen to pass with its rule taken out of `procedure_floor`.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from shopapp.specs.models import STAGES
from shopapp.specs.services.procedure_floor import DANGERS, FOLDER, all_faults, faults_at, stops_of
from shopapp.specs.services.procedure_rules import faults_of

Document = dict[str, Any]
DOCUMENTS: dict[str, Document] = {
    path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))
}
REBUILDS = [name for name in DOCUMENTS if name.startswith("rebuild")]
ORDER = [code for code, _name in STAGES]


def said(document: Document) -> list[str]:
    return [fault.sentence for fault in all_faults(document)]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_what_ships_keeps_it(name: str) -> None:
    assert said(DOCUMENTS[name]) == []


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_beginning_of_each_is_whole_and_in_order(name: str) -> None:
    document = DOCUMENTS[name]
    begun = {**document, "steps": stops_of(document["work"], document["construction"])}
    assert said(begun) == []
    places = [ORDER.index(step["stage"]) for step in begun["steps"]]
    assert places == sorted(places)


PROOFS = [
    (name, step["code"]) for name in REBUILDS for step in DOCUMENTS[name]["steps"] if step["kind"] == "proof"
]


@pytest.mark.parametrize(("name", "code"), PROOFS)
def test_each_proof_of_each_construction_is_missed(name: str, code: str) -> None:
    document = copy.deepcopy(DOCUMENTS[name])
    document["steps"] = [step for step in document["steps"] if step["code"] != code]
    faults = [fault for fault in all_faults(document) if "own proof and cannot be left out" in fault.sentence]
    assert len(faults) == 1 and faults[0].stop


def test_another_constructions_sign_of_zero_does_not_do() -> None:
    """The proof of a twin-tube says nothing of an IFP: its answers are not the body's own."""
    document = copy.deepcopy(DOCUMENTS["rebuild-ifp-body"])
    other = next(step for step in DOCUMENTS["rebuild-twin-tube"]["steps"] if step["code"] == "release-zero")
    document["steps"] = [other if step["code"] == "release-zero" else step for step in document["steps"]]
    assert list(faults_of(document)) == [], "the general rules alone do not see it"
    assert any("each goes on to pass, to fail or to stop" in sentence for sentence in said(document))


def change(**fields: Any) -> Callable[[dict[str, Any]], None]:
    return lambda step: step.update(fields)


def turned(step: dict[str, Any]) -> None:
    for option in step["options"]:
        option.update(passes=True, stops=False)


@pytest.mark.parametrize(
    ("code", "plant", "sentence"),
    [
        ("release-zero", turned, "each goes on to pass"),
        ("release-zero", change(second_tap=False), "keeps its second tap"),
        ("release-zero", change(required=False), "stays a required proof"),
        ("ifp-proof-rod", change(stage="close"), "stays a required proof"),
        ("ifp-proof-screw", change(kind="choice"), "stays a required proof"),
        ("prove-tight", change(required=False), "stays a required proof"),
        ("strip-cap", change(caution=""), "the caution “gas under pressure” came with this step"),
        ("spring-off", change(caution="clamping"), "the caution “stored spring force” came with this step"),
        ("wash-outside", change(caution=""), "the caution “solvents and oil” came with this step"),
        ("charge-gas", change(skill=""), "The skill stays"),
    ],
)
def test_a_planted_fault_is_said(code: str, plant: Callable[[dict[str, Any]], None], sentence: str) -> None:
    document = copy.deepcopy(DOCUMENTS["rebuild-reservoir-ifp"])
    plant(next(step for step in document["steps"] if step["code"] == code))
    assert any(sentence in each for each in said(document))


@pytest.mark.parametrize("name", REBUILDS)
def test_the_stage_goes_on_to_show_its_danger(name: str) -> None:
    """Steps put in the place of the shipped ones do not shed the caution: the stage shows it somewhere."""
    document = copy.deepcopy(DOCUMENTS[name])
    for step in document["steps"]:
        if step["stage"] in ("ifp", "close", "restore") and step.get("caution") in DANGERS:
            step["code"], step["caution"] = f"{step['code']}-2", ""
    assert any("showed the caution" in sentence for sentence in said(document))


def test_a_stage_that_is_not_gone_through_shows_nothing() -> None:
    document = copy.deepcopy(DOCUMENTS["spring-change"])
    document["steps"] = [step for step in document["steps"] if step["stage"] != "inspect"]
    assert said(document) == []


def test_a_construction_that_nothing_ships_for_is_held_to_the_general_rules() -> None:
    document = {**copy.deepcopy(DOCUMENTS["rebuild-emulsion"]), "construction": "other"}
    document["steps"] = [step for step in document["steps"] if step["code"] != "close-proof-valve"]
    assert said(document) == []
    assert list(faults_at(document["steps"][0], document)) == []


def test_all_that_is_wrong_is_said_at_its_step() -> None:
    document = copy.deepcopy(DOCUMENTS["rebuild-reservoir-ifp"])
    by_code = {step["code"]: step for step in document["steps"]}
    by_code["settings-eyes"]["locks"] = ""
    by_code["strip-cap"]["caution"] = ""
    by_code["wash-outside"]["minutes"] = 5
    found = {(fault.code, fault.stage) for fault in all_faults(document)}
    assert found == {("settings-eyes", "settings"), ("strip-cap", "strip"), ("wash-outside", "wash")}
