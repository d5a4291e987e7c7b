"""What comes from elsewhere lies in static/vendor, byte for byte as its README says, each with its licence."""

from __future__ import annotations

import hashlib
import re

from tests.house.tree import ROOT

FOLDER = ROOT / "static" / "vendor"
ROW = re.compile(
    r"^\| `([^`]+)` \| (\S+) (\d[\w.]*),.*?`(LICENCE-[^`]+)` \| `([0-9a-f]{64})` \|", re.MULTILINE
)


def rows() -> list[tuple[str, ...]]:
    return ROW.findall((FOLDER / "README.md").read_text("utf-8"))


def test_every_file_is_named_with_its_version_licence_and_sum() -> None:
    """Seen red with one byte of the file changed, and with a further file in the folder."""
    named = {file for file, *_rest in rows()} | {licence for *_rest, licence, _sum in rows()} | {"README.md"}
    assert named == {path.name for path in FOLDER.iterdir()}
    for file, name, version, licence, told in rows():
        assert file.startswith(f"{name}-{version}")
        assert hashlib.sha256((FOLDER / file).read_bytes()).hexdigest() == told, file
        assert "Permission is hereby granted" in (FOLDER / licence).read_text("utf-8")


def test_nothing_in_it_runs_text_as_code() -> None:
    for file, *_rest in rows():
        text = (FOLDER / file).read_text("utf-8")
        assert not re.search(r"\beval\(|new Function\(|insertAdjacentHTML|sourceMappingURL", text), file
