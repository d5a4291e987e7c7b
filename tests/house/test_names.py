"""Pages and fragments are named alike everywhere, and what is named is there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from shopapp.apps import SUBJECTS
from tests.house.tree import ROOT, named, short

FOLDERS = {*SUBJECTS, "owner", "shared", "emails"}
HTML = named(".html", under="templates")
CODE = named(".py", under="shopapp")
TOP = {"400.html", "403.html", "403_csrf.html", "404.html", "500.html", "base.html", "base_bench.html"}
"""Page skeletons and what Django looks for by these names."""


def own_name(path: Path) -> str:
    return short(path).removeprefix("templates/")


def is_fragment(name: str) -> bool:
    return name.rsplit("/", 1)[-1].startswith("_")


def is_page_skeleton(name: str) -> bool:
    return name.rsplit("/", 1)[-1].startswith("base")


def what_is_wrong(name: str, text: str) -> Iterator[str]:
    """Say what is against the naming in one template."""
    folder, _, file = name.rpartition("/")
    extends = re.match(r"(\s*{%\s*load [^%]*%})*\s*{%\s*extends ", text) is not None
    if not re.fullmatch(r"_?[a-z0-9_]+\.html", file):
        yield f"{name}: not small letters, digits and underscores"
    if name not in TOP and folder.split("/")[0] not in FOLDERS:
        yield f"{name}: not in the folder of a subject"
    if is_fragment(name) and extends:
        yield f"{name}: a fragment extends nothing"
    if folder == "shared" and not is_fragment(name):
        yield f"{name}: what is shared is a fragment"
    whole = is_fragment(name) or is_page_skeleton(name) or _is_whole_file(name, text)
    if not whole and not extends:
        yield f"{name}: a page extends a skeleton"


def test_a_template_is_a_page_or_a_fragment() -> None:
    assert len(HTML) > 20
    assert [wrong for path in HTML for wrong in what_is_wrong(own_name(path), path.read_text("utf-8"))] == []


def test_the_naming_is_looked_at() -> None:
    assert list(what_is_wrong("orders/_rows.html", '{% extends "base.html" %}')) == [
        "orders/_rows.html: a fragment extends nothing"
    ]
    assert list(what_is_wrong("orders/Rows.html", "<p>")) == [
        "orders/Rows.html: not small letters, digits and underscores",
        "orders/Rows.html: a page extends a skeleton",
    ]


def _is_whole_file(name: str, text: str) -> bool:
    """Papers and mails, and the page that is drawn without the database, are whole by themselves."""
    return (name.startswith(("papers/", "emails/")) or name in TOP) and "<html" in text


def test_what_is_included_is_a_fragment_that_is_there() -> None:
    seen = set()
    for path in HTML:
        for name in re.findall(r"{%\s*include [\"']([^\"']+)[\"']", path.read_text("utf-8")):
            seen.add(name)
            assert (ROOT / "templates" / name).is_file(), f"{own_name(path)} includes {name}"
            assert is_fragment(name) or name.endswith((".svg", ".css", ".txt")), (
                f"{own_name(path)} includes a page: {name}"
            )
    assert len(seen) > 5


def test_what_code_renders_is_there_and_nothing_lies_about() -> None:
    told = "\n".join(path.read_text("utf-8") for path in (*CODE, *HTML))
    named_in_code = set(re.findall(r"[\"']((?:[a-z_]+/)+[a-z0-9_]+\.html)[\"']", told))
    there = {own_name(path) for path in HTML}
    assert sorted(named_in_code - there) == []
    assert sorted(there - named_in_code - TOP) == [], "used by nothing"


def test_a_module_says_what_it_holds() -> None:
    says_nothing = {"utils", "util", "helpers", "helper", "common", "misc"}
    wrong = [path for path in CODE if path.stem in says_nothing or not re.fullmatch(r"[a-z0-9_]+", path.stem)]
    assert [short(path) for path in wrong] == []
