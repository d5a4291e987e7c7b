"""The browser's judge of hands against the table of cases that the program's is held against."""

import json
from pathlib import Path

import pytest

TABLE = json.loads((Path(__file__).parents[1] / "bench" / "people.json").read_text(encoding="utf-8"))
ORDER = json.loads((Path(__file__).parents[1] / "bench" / "locks.json").read_text(encoding="utf-8"))["order"]

pytestmark = pytest.mark.journey


def _differences(case, found):
    """List what the browser says otherwise than the table."""
    first = case["shut_from"]
    stages = {step["key"]: step["stage"] for step in TABLE["procedures"][case["procedure"]]}
    besides = [key for key in found["open_steps"] if stages[key] not in found["open"]]
    expected = {
        name: case[name] for name in ("missing", "outcomes", "may_close_done", "unsigned", "open_besides")
    }
    expected |= {
        "open": ORDER if first is None else ORDER[: ORDER.index(first)],
        "locked_by": case["locked_by"],
    }
    said = {name: found[name] for name in ("missing", "may_close_done", "open")}
    said |= {"outcomes": sorted(found["outcomes"]), "unsigned": sorted(found["unsigned"])}
    said |= {"open_besides": sorted(besides)}
    said |= {"locked_by": {stage: found["locked_by"][stage] for stage in case["locked_by"]}}
    return {name: (said[name], value) for name, value in expected.items() if said[name] != value}


def test_every_case_of_the_table(modules):
    wrong = {}
    for case in TABLE["cases"]:
        steps, records = TABLE["procedures"][case["procedure"]], case["records"]
        judged = modules("locks", "judge", steps, records)
        found = modules("people", "holdHands", judged, steps, records, case["second"])
        if differences := _differences(case, found):
            wrong[case["name"]] = differences
    assert len(TABLE["cases"]) >= 30
    assert not wrong
