"""Imports go one way: import-linter's contracts (pyproject.toml) hold."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from shopapp.apps import SUBJECTS
from tests.house.tree import ROOT


def test_the_contracts_are_kept() -> None:
    tool = Path(sys.executable).parent / "lint-imports"
    answer = subprocess.run([tool, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stdout
    assert "5 kept, 0 broken" in answer.stdout


def test_every_subject_stands_in_a_layer() -> None:
    """A subject that no contract names would be held by none."""
    import tomllib

    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    contract = settings["tool"]["importlinter"]["contracts"][0]
    named = {name.strip(" ()") for layer in contract["layers"] for name in layer.split("|")}
    there = {path.parent.name for path in (ROOT / "shopapp").glob("*/__init__.py")}
    assert there - {"migrations", "management"} <= named
    assert set(SUBJECTS) <= there
