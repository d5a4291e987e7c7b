"""The test command reads only the folders that hold a suite's tests: no such test may stand elsewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MARKERS = {"redis": "redis", "browser": "journey", "benchmarks": "bench"}


@pytest.mark.parametrize("suite", MARKERS)
def test_every_test_with_the_marker_stands_where_the_suite_looks(suite: str) -> None:
    """Seen red with the benchmarks' folder left out, and with a journey among the tests of a subject."""
    command = re.search(rf" suite {suite} .*", (ROOT / "deploy/test.sh").read_text())
    assert command is not None
    folders = re.findall(r"tests/\S+?(?=[ ;]|$)", command.group())
    assert folders
    marked = [
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "tests").rglob("*.py")
        if re.search(rf"mark\.{MARKERS[suite]}\b", path.read_text()) and path != Path(__file__)
    ]
    assert marked
    outside = [name for name in marked if not name.startswith(tuple(folders))]
    assert not outside


#: Waits a browser test may not use, and why.
NO_WAITS = {
    "wait_for_function": "the page's policy forbids evaluating text from its second look on",
    "wait_for_timeout": "it waits for time, not for what is needed",
}


def test_a_browser_test_waits_for_what_it_needs() -> None:
    """Seen red with a wait for a function in the trainee's test, which held on a quick machine only."""
    used = {
        f"{path.relative_to(ROOT)}: {wait}"
        for path in (ROOT / "tests").rglob("*.py")
        if path != Path(__file__)
        for wait in NO_WAITS
        if wait in path.read_text()
    }
    assert not used
