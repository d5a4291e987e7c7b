"""A function fits a screen, a file can be read at one sitting: never past 60 and 400 lines."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from tests.house.tree import named, short

MOST_IN_A_FUNCTION = 60
MOST_IN_A_FILE = 400
PYTHON = [path for path in named(".py") if "migrations" not in path.parts]
WRITTEN = [*PYTHON, *named(".js", under="static/js"), *named(".css", under="static/css"), *named(".sh"),
           *named(".html")]  # fmt: skip


def functions(text: str) -> Iterator[tuple[str, int]]:
    """Give the name and the length in lines of every function, its docstring left out."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0]
            told = 0
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                told = (first.end_lineno or 0) - first.lineno + 1
            yield node.name, (node.end_lineno or 0) - node.lineno + 1 - told


def test_functions_fit_a_screen() -> None:
    long = [
        f"{short(path)} {name}: {lines} lines"
        for path in PYTHON
        for name, lines in functions(path.read_text("utf-8"))
        if lines > MOST_IN_A_FUNCTION
    ]
    assert long == []


def test_files_are_not_long() -> None:
    lengths = {short(path): len(path.read_text("utf-8").splitlines()) for path in WRITTEN}
    assert len(lengths) > 100
    assert {name: length for name, length in lengths.items() if length > MOST_IN_A_FILE} == {}


def test_scripts_are_written_by_hand() -> None:
    """No minified file stands beside ours; what comes from elsewhere lies in static/vendor. Text is set as text."""
    scripts = {short(path): path.read_text("utf-8") for path in named(".js", under="static/js")}
    assert scripts
    minified = [name for name, text in scripts.items() if max(map(len, text.splitlines()), default=0) > 400]
    as_code = [
        name
        for name, text in scripts.items()
        if re.search(r"\beval\(|new Function\(|insertAdjacentHTML", text)
    ]
    assert (minified, as_code) == ([], [])


def test_the_measure_measures() -> None:
    assert list(functions('def f():\n    """Say\n    more."""\n    return 1\n')) == [("f", 2)]
