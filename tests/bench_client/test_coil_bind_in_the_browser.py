"""The page's bounds of coil bind against the table that the program's are held to."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

pytestmark = pytest.mark.journey

CASES = json.loads((Path(__file__).parents[1] / "bench" / "coil_bind.json").read_text(encoding="utf-8"))


def test_the_browser_bounds_as_the_program_does(modules):
    """Seen red with the stroke left out."""
    for case in CASES:
        found = modules("limits", "bindBounds", case["bind"], case["read"])
        for name in ("least", "most"):
            wanted = None if case[name] is None else pytest.approx(case[name])
            assert found[name] == wanted, case["name"]


def test_past_the_bound_is_absolute(modules):
    bind = CASES[0]["bind"]
    step = {"limits": None, "phase": "built"}
    bounded = step | modules("limits", "bindBounds", bind, CASES[0]["read"])
    assert modules("limits", "judge", bounded, 0.403)["outside"] == "absolute"
    assert modules("limits", "judge", bounded, 0.405)["outside"] == ""
