"""Every text of the program passes through gettext, and the catalogues say what the source says."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from django.apps import apps
from django.db import models
from django.utils.functional import Promise

from shopapp.management import texts
from tests.house.tree import named, short

SAMPLES = ("templates/web/specimens.html", "templates/web/specimens_bench.html")
"""Pages that show the look with invented data, for who builds the program."""

SILENT = re.compile(
    r"{#.*?#}|{%\s*comment\b.*?{%\s*endcomment\s*%}|{%\s*blocktrans(?:late)?\b.*?{%\s*endblocktrans(?:late)?\s*%}"
    r"|<style\b.*?</style>|<!--.*?-->|<meta name=\"viewport\"[^>]*>|{% block body_class %}.*?{% endblock %}",
    re.DOTALL,
)
SHOWN = re.compile(
    r"(?<![\w-])(?:aria-label|aria-description|title|alt|placeholder|data-label|content|value)=\"([^\"]*)\""
)
ELEMENT = re.compile(r"<(?:\"[^\"]*\"|'[^']*'|[^>\"'])*>", re.DOTALL)
WORD = re.compile(r"(?<![&\w])[A-Za-z][a-z]+|\b[A-Z]{2,}\b")
NAMES = {"PDF"}
"""What is called the same in every language."""

SAYING = {
    "Refused",
    "ValidationError",
    "messages.success",
    "messages.error",
    "messages.warning",
    "messages.info",
}
LABELS = {"label", "help_text", "empty_label", "verbose_name"}


def bare_words(template: str) -> list[str]:
    """List the words of a template that no translate tag holds, in text and in attributes that are read."""
    text = re.sub(r"{%.*?%}|{{.*?}}", " ", SILENT.sub(" ", template), flags=re.DOTALL)
    seen = [ELEMENT.sub(" ", text), *SHOWN.findall(text)]
    return [word for part in seen for word in WORD.findall(part) if word not in NAMES]


def test_a_template_says_nothing_past_its_translate_tags() -> None:
    pages = [path for path in named(".html", ".txt", under="templates") if short(path) not in SAMPLES]
    assert len(pages) > 50
    assert {short(path): words for path in pages if (words := bare_words(path.read_text("utf-8")))} == {}


def test_bare_words_are_found() -> None:
    assert bare_words('<p class="told">{% translate "Kept" %} {{ count }} &amp; {# why #}</p>') == []
    assert bare_words("<p>Kept {% if a %}here{% endif %}</p>") == ["Kept", "here"]
    assert bare_words('<td data-label="Promised" class="wide">{{ day }}</td>') == ["Promised"]
    assert bare_words('<td data-label="{% translate "Promised" %}">1</td>') == []


def bare_sentences(source: str) -> Iterator[str]:
    """Give the texts that code says to people without gettext: refusals, messages, labels."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            said: list[ast.expr] = [word.value for word in node.keywords if word.arg in LABELS]
            if ast.unparse(node.func).removeprefix("forms.").removeprefix("acts.") in SAYING:
                said += node.args
            yield from (ast.unparse(part) for part in said if _is_bare(part))


def _is_bare(part: ast.expr) -> bool:
    if isinstance(part, ast.Constant):
        return isinstance(part.value, str) and re.search(r"[a-z]{2}", part.value) is not None
    return isinstance(part, ast.JoinedStr) and any(map(_is_bare, part.values))


def test_code_says_nothing_past_gettext() -> None:
    said = {
        short(path): bare
        for path in named(".py", under="shopapp")
        if "migrations" not in path.parts and (bare := list(bare_sentences(path.read_text("utf-8"))))
    }
    assert said == {}


def test_bare_sentences_are_found() -> None:
    assert list(bare_sentences('raise Refused("No lot is left.")')) == ["'No lot is left.'"]
    assert list(bare_sentences('raise Refused(f"No lot of {kit} is left.")')) == [
        "f'No lot of {kit} is left.'"
    ]
    assert list(bare_sentences('forms.CharField(label="Name", max_length=4)')) == ["'Name'"]
    assert list(bare_sentences('raise Refused(_("No lot of %s is left.") % kit, field="kit")')) == []


def labels() -> Iterator[tuple[str, Any, Any]]:
    """Give each choice of each field of the models: whose it is, its value, its label."""
    for model in apps.get_app_config("shopapp").get_models():
        for field in model._meta.get_fields():
            if isinstance(field, models.Field):
                for value, label in field.choices or ():
                    yield f"{model.__name__}.{field.name}", value, label


def test_the_words_of_every_choice_follow_the_reader() -> None:
    found = list(labels())
    assert len(found) > 100
    assert [(whose, value) for whose, value, label in found if not isinstance(label, Promise)] == []


@pytest.fixture(scope="module")
def source() -> dict[texts.Text, list[tuple[str, int]]]:
    return texts.in_source()


def test_the_texts_of_every_part_are_read(source: dict[texts.Text, list[tuple[str, int]]]) -> None:
    assert len(source) > 1500
    for text, place in {
        "Dampers of this customer": "templates/customers/customer.html",
        ("%d damper", "%d dampers"): "shopapp/web/queries/the_day.py",
        "{text} has no unit; write for example {example}.": "shopapp/calc/units/reading.py",
        "The rod diameter": "shopapp/calc/gas/ifp.py",
        "add damper": "shopapp/dampers/services/dampers.py",
        "Say which degrees: °C or °F.": "shopapp/calc/units/kinds.py",
        "Rod fully out by itself.": "shopapp/specs/procedures/rebuild-reservoir-ifp.json",
    }.items():
        assert place in [file for file, _line in source[text]]  # type: ignore[index]


def test_no_catalogue_is_stale(source: dict[texts.Text, list[tuple[str, int]]]) -> None:
    """Where this fails: `manage.py texts`, and read over what it says is new."""
    assert texts.locales() == ["en_US"]
    assert [line for locale in texts.locales() for line in texts.stale(locale, source)] == []


@pytest.fixture
def a_catalogue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Catalog:
    monkeypatch.setattr(texts, "LOCALE", tmp_path)
    made = texts.refreshed("en_US", {"Stop %(n)s dampers": [("a", 1)], "Rod": [("a", 2)]}, Catalog("en_US"))
    texts.write("en_US", made)
    return made


def test_a_catalogue_is_whole_after_it_is_written(a_catalogue: Catalog) -> None:
    assert texts.as_dict(texts.read("en_US")) == {"Stop %(n)s dampers": "Stop %(n)s shocks", "Rod": "Shaft"}
    assert texts.stale("en_US", {"Stop %(n)s dampers": [], "Rod": []}) == []


def test_what_is_stale_is_told(a_catalogue: Catalog) -> None:
    assert texts.stale("en_US", {"Stop %(n)s dampers": [], "Vice": []}) == [
        "en_US: not in the source any more: 'Rod'",
        "en_US: says nothing for 'Vice'",
    ]
    po = texts.po_file("en_US")
    po.write_text(po.read_text("utf-8").replace("Stop %(n)s shocks", "Halt %(m)s shocks"), "utf-8")
    assert texts.stale("en_US", {"Stop %(n)s dampers": [], "Rod": []}) == [
        "en_US: other placeholders: 'Stop %(n)s dampers'",
        "en_US: compiled otherwise: 'Stop %(n)s dampers'",
    ]


def test_what_was_written_by_hand_stays(a_catalogue: Catalog) -> None:
    rod = a_catalogue.get("Rod")
    assert rod is not None
    rod.string = "Damper shaft"
    again = texts.refreshed("en_US", {"Rod": [("a", 2)], "Rods": [("a", 3)]}, a_catalogue)
    assert texts.as_dict(again) == {"Rod": "Damper shaft", "Rods": "Shafts"}


@pytest.mark.parametrize(
    ("british", "us"),
    [
        ("Dampers and rods in a vice", "Shocks and shafts in a vise"),
        ("through-rod", "through-shaft"),
        ("%(damper)s, {rod} and {rod:g}: a DAMPER's rod", "%(damper)s, {rod} and {rod:g}: a SHOCK's shaft"),
        ("a device of service is advice", "a device of service is advice"),
    ],
)  # fmt: skip
def test_the_words_of_the_us_trade(british: str, us: str) -> None:
    assert texts.us_words(british) == us


def test_no_text_of_the_browser_stands_in_its_modules() -> None:
    """The modules say what the page holds: no string of theirs has two words with a blank between them."""
    for path in named(".js", under="static/js"):
        code = re.sub(r"/\*.*?\*/|(?<![:\"'])//[^\n]*", "", path.read_text("utf-8"), flags=re.DOTALL)
        found = [
            text for text in re.findall(r"\"([^\"\n]*)\"", code) if re.search(r"[A-Z][a-z]+ [a-z]+ ", text)
        ]
        assert found == [], short(path)
