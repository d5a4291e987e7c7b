"""The browser's judge against the table of cases that the program's judge is held against."""

import json
from pathlib import Path

import pytest

TABLE = json.loads((Path(__file__).parents[1] / "bench" / "locks.json").read_text(encoding="utf-8"))
PLAIN = ("stage", "stopped", "released", "closed", "may_close_done", "missing")

pytestmark = pytest.mark.journey


def _differences(case, found, asked):
    """List what the browser's judge says otherwise than the table."""
    first = case["shut_from"]
    shut = len(TABLE["order"]) if first is None else TABLE["order"].index(first)
    stages = {step["key"]: step["stage"] for step in TABLE["procedures"][case["procedure"]]}
    besides = [key for key in found["open_steps"] if stages[key] not in found["open"]]
    expected = {name: case[name] for name in PLAIN} | {
        "open": TABLE["order"][:shut],
        "besides": sorted(case["open_besides"]),
        "outcomes": case["outcomes"],
        "waiting": case["waiting"],
        "states": case.get("states", {}),
        "next": [one["out_of_order"] for one in case.get("next", ())],
    }
    said = {name: found[name] for name in PLAIN} | {
        "open": found["open"],
        "besides": sorted(besides),
        "outcomes": sorted(found["outcomes"]),
        "waiting": sorted(found["waiting"]),
        "states": {stage: found["states"][stage] for stage in case.get("states", {})},
        "next": asked,
    }
    return {name: (said[name], value) for name, value in expected.items() if said[name] != value}


def test_every_case_of_the_table(modules):
    wrong = {}
    for case in TABLE["cases"]:
        steps = TABLE["procedures"][case["procedure"]]
        found = modules("locks", "judge", steps, case["records"])
        asked = [
            modules("locks", "outOfOrder", steps, case["records"], one["key"], one.get("corrects", ""))
            for one in case.get("next", ())
        ]
        if differences := _differences(case, found, asked):
            wrong[case["name"]] = differences
    assert len(TABLE["cases"]) >= 40
    assert not wrong


def test_the_stages_stand_in_the_table_s_order(modules):
    assert modules("locks", "judge", [], [])["open"] == TABLE["order"]
