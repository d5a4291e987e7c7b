"""What a developer may set, call or wake is told: DEVELOPERS.md and env.example cannot go stale."""

from __future__ import annotations

import re

from shopapp.celery import app
from tests.house.tree import ROOT, named

SETTINGS = (ROOT / "shopapp" / "settings.py").read_text("utf-8")
VARIABLES = sorted(set(re.findall(r"env(?:\.\w+)?\(\s*\"([A-Z_]+)\"", SETTINGS)))
COMMANDS = sorted(
    path.stem for path in named(".py", under="shopapp/management/commands") if not path.stem.startswith("_")
)


def told() -> str:
    return (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_every_variable_is_told() -> None:
    assert len(VARIABLES) > 15
    text = told()
    assert [name for name in VARIABLES if f"`{name}`" not in text] == []


def test_env_example_names_every_variable_and_no_other() -> None:
    example = (ROOT / "deploy" / "env.example").read_text("utf-8")
    of_the_tests = {"SHOP_TEST_SEED", "SHOP_TEST_ALL"}
    assert sorted(set(re.findall(r"^#?([A-Z_]+)=", example, re.M)) - of_the_tests) == VARIABLES


def test_every_command_is_told() -> None:
    assert "check_books" in COMMANDS
    text = told()
    assert [name for name in COMMANDS if f"`{name}`" not in text and f"manage.py {name}" not in text] == []


def test_every_task_is_told() -> None:
    app.loader.import_default_modules()
    tasks = sorted(name for name in app.tasks if not name.startswith("celery."))
    assert "shop.sweep_outbox" in tasks
    text = told()
    assert [name for name in tasks if f"`{name}`" not in text] == []


def test_every_subject_is_told() -> None:
    from shopapp.apps import SUBJECTS

    text = told()
    assert [name for name in (*SUBJECTS, "calc", "drawings") if f"{name}/" not in text] == []


def test_the_files_that_are_named_are_there() -> None:
    """Paths in backticks with a folder are files or folders of the project."""
    named_paths = set(re.findall(r"`((?:shopapp|templates|static|tests|deploy)/[\w./-]+)`", told()))
    assert len(named_paths) > 5
    assert sorted(path for path in named_paths if not (ROOT / path).exists()) == []
