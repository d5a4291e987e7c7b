"""The project speaks of the product alone: no path of a machine, no address of a registry, nothing secret."""

from __future__ import annotations

import re

from tests.house.tree import files, short

TEXT = [
    path for path in files()
    if path.suffix in {".py", ".html", ".js", ".css", ".sh", ".md", ".toml", ".lock", ".json", ".yaml", ".yml",
                       ".service", ".example", ".txt", ".svg", ".po", ""}
]  # fmt: skip

# Each is put together here, so that this file does not hold what it looks for.
NOT_HERE = {
    "a path of a machine": "|".join(f"/{name}/" for name in ("root", "work", r"home/\w+", "Users")),
    "a registry": "|".join(
        name.replace("-", r"\.")
        for name in ("pypi-org", "pythonhosted-org", "registry-npmjs", "deb-debian-org", "npmjs-com")
    ),
    "a private key": "BEGIN (?:[A-Z]+ )?PRIVATE" + " KEY",
}


def test_nothing_of_a_workplace_is_told() -> None:
    assert len(TEXT) > 100
    found = [
        f"{short(path)}: {what}: {match.group()}"
        for path in TEXT
        for what, words in NOT_HERE.items()
        if (match := re.search(words, path.read_text("utf-8")))
    ]
    assert found == []


def test_the_search_finds() -> None:
    assert re.search(NOT_HERE["a registry"], "https://pypi" + ".org/simple")
    assert re.search(NOT_HERE["a path of a machine"], "/home/" + "ada/shop")


def test_what_the_program_writes_is_not_kept_in_git() -> None:
    assert [
        short(path) for path in files() if path.suffix in (".sqlite3", ".pyc") or ".shop" in path.parts
    ] == []
