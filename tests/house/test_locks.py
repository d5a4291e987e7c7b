"""The two lock files agree, hold hashes alone, and hold what pyproject.toml asks for."""

from __future__ import annotations

import re
import tomllib

import pytest

from tests.house.tree import ROOT

LOCKS = ("requirements.lock", "requirements-test.lock")


def pinned(lock: str) -> dict[str, str]:
    text = (ROOT / "deploy" / lock).read_text("utf-8")
    return dict(re.findall(r"^([a-z0-9._-]+)==([^\s\\;]+)", text, re.M))


@pytest.mark.parametrize("lock", LOCKS)
def test_each_line_has_its_hashes(lock: str) -> None:
    text = (ROOT / "deploy" / lock).read_text("utf-8")
    entries = re.findall(r"^[a-z0-9._-]+==(?:.*\\\n)*.*", text, re.M)
    assert len(entries) == len(pinned(lock)) > 20
    assert [entry.split()[0] for entry in entries if "--hash=sha256:" not in entry] == []
    assert "://" not in text, "no address of an index"


def test_what_serves_is_what_was_tested() -> None:
    tests = pinned("requirements-test.lock")
    assert {name: tests.get(name) for name in pinned("requirements.lock")} == pinned("requirements.lock")


@pytest.mark.parametrize(("lock", "also"), [(LOCKS[0], ()), (LOCKS[1], ("test",))])
def test_what_is_asked_for_is_pinned(lock: str, also: tuple[str, ...]) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = [
        *project["dependencies"],
        *(line for name in also for line in project["optional-dependencies"][name]),
    ]
    names = {re.split(r"[\[<>=~! ]", line)[0].lower() for line in asked}
    assert sorted(names - pinned(lock).keys()) == []
