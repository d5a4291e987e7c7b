"""Add up the tests of every run from its JUnit file, and print the one closing line.

A stage that failed without a failed test of its own (a check, a run that broke off, a run without a test) counts as
one failure, so that the sum is never green when the script is red.
"""

from __future__ import annotations

import sys
from pathlib import Path
from xml.etree import ElementTree


def count(report: Path) -> tuple[int, int, int]:
    """Give passed, failed and skipped of one JUnit file; an error counts as failed."""
    passed = failed = skipped = 0
    for case in ElementTree.parse(report).iter("testcase"):
        kinds = {child.tag for child in case}
        if kinds & {"failure", "error"}:
            failed += 1
        elif "skipped" in kinds:
            skipped += 1
        else:
            passed += 1
    return passed, failed, skipped


def _one(report: Path) -> tuple[int, int, int]:
    """Count one file; one that is missing or cut short holds no test."""
    try:
        return count(report)
    except (OSError, ElementTree.ParseError):
        return 0, 0, 0


def main(folder: str, *failed_stages: str) -> None:
    """Print the sum over `folder`; each failed stage without a failed test in `<stage>.xml` adds one failure."""
    sums = {path.stem: _one(path) for path in sorted(Path(folder).glob("*.xml"))}
    passed, failed, skipped = (sum(column) for column in zip((0, 0, 0), *sums.values(), strict=True))
    failed += sum(1 for stage in failed_stages if not sums.get(stage, (0, 0, 0))[1])
    print(f"{passed} passed, {failed} failed, {skipped} skipped")


if __name__ == "__main__":
    main(*sys.argv[1:])
