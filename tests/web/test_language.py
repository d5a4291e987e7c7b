"""The shop's language gives the trade's words: pages, refusals, what is shipped; the browser's changes nothing."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext_lazy

from shopapp.calc.gas import cylinder_volume
from shopapp.customers import services as customers
from shopapp.customers.forms import CustomerForm
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.specs.models import Step
from shopapp.specs.services import shipped
from shopapp.tools import services as tools
from shopapp.tools.kinds import Shipped
from shopapp.tools.models import ToolKind
from shopapp.web.templatetags.acts import act_words

pytestmark = pytest.mark.django_db

WORDS = {"en": ("Damper", "Shock"), "en-us": ("Shock", "Damper")}


@pytest.mark.parametrize("language", WORDS)
def test_a_page_says_the_trades_word(
    language: str, settings: Any, client_as: Callable[[Person], Client], desk: Person
) -> None:
    settings.LANGUAGE_CODE = language
    page = client_as(desk).get(reverse("dampers")).content.decode()
    said, other = WORDS[language]
    assert f'lang="{language}"' in page
    assert f"No {said.lower()} is in the books yet." in page
    assert f"{said}s" in page
    assert f"{other}s" not in page.replace("Saltmarsh Damper", "")


def test_the_browsers_language_changes_nothing(
    client_as: Callable[[Person], Client], desk: Person, settings: Any
) -> None:
    settings.LANGUAGE_CODE = "en"
    page = client_as(desk).get(reverse("dampers"), headers={"accept-language": "en-us"}).content.decode()
    assert 'lang="en"' in page
    assert "Shock" not in page


def test_the_bench_has_its_sentences_in_the_shops_words(
    settings: Any, client_as: Callable[[Person], Client], technician: Person
) -> None:
    settings.LANGUAGE_CODE = "en-us"
    page = client_as(technician).get("/bench/").content.decode()
    assert "shock" in page
    assert "damper" not in page.replace("/dampers", "")


def test_a_calculation_refuses_in_the_readers_words() -> None:
    for language, said in (("en", "The rod must be"), ("en-us", "The shaft must be")):
        with translation.override(language), pytest.raises(ValueError, match=said):
            cylinder_volume(0.05, 0.1, rod_m=0.06)


def test_a_figure_is_named_in_the_readers_words() -> None:
    for language, said in (("en", "The rod diameter must"), ("en-us", "The shaft diameter must")):
        with translation.override(language), pytest.raises(ValueError, match=said):
            cylinder_volume(0.05, 0.1, rod_m=-0.01)


@pytest.mark.parametrize("language", WORDS)
def test_papers_of_a_new_customer_are_in_the_shops_language(
    language: str, settings: Any, desk: Person, now: dt.datetime
) -> None:
    settings.LANGUAGE_CODE = language
    made = customers.add_customer(name="Quill Racing", contacts=(), by=desk, at=now, call=Call.fresh())
    assert made.language == language
    assert CustomerForm()["language"].value() == language


@pytest.mark.parametrize(
    ("language", "rod", "centre"), [("en", "Rod", "Centre"), ("en-us", "Shaft", "Center")]
)
def test_a_shipped_procedure_is_loaded_in_the_shops_words(
    language: str, rod: str, centre: str, settings: Any, now: dt.datetime, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """A migrate speaks no language (`deactivate_all`); the steps are in the shop's all the same."""
    settings.LANGUAGE_CODE = language
    document = json.loads((shipped.FOLDER / "rebuild-reservoir-ifp.json").read_text("utf-8")) | {
        "version": 99
    }
    (tmp_path / "next.json").write_text(json.dumps(document), "utf-8")
    monkeypatch.setattr(shipped, "FOLDER", tmp_path)
    with translation.override(None):
        (made,) = shipped.load_shipped(at=now)
    eyes = made.steps.get(code="settings-eyes")
    assert (
        eyes.text == f"{rod} fully out by itself. {centre} of one eye to the {centre.lower()} of the other."
    )
    assert eyes.name.startswith(f"Eye {centre.lower()}s")
    options = [option["words"] for step in made.steps.all() for option in step.options]
    assert f"the {rod.lower()} is fully out" in options
    assert Step.objects.filter(procedure=made).count() == len(document["steps"])


def test_shipped_kinds_of_tool_have_names_in_the_shops_language(
    settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They too are made after a migrate, which speaks no language."""
    settings.LANGUAGE_CODE = "en-us"
    monkeypatch.setattr(tools, "SHIPPED", (Shipped("rod gauge", gettext_lazy("Rod diameter")),))
    with translation.override(None):
        tools.ensure_kinds()
    assert ToolKind.objects.get(code="rod gauge").name == "Shaft diameter"


def test_what_was_done_is_told_in_the_readers_words() -> None:
    for language, said in (("en", "add damper"), ("en-us", "add shock")):
        with translation.override(language):
            assert act_words("add_damper") == said
    assert act_words("") == ""
