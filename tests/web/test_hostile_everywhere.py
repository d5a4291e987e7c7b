"""Hostile text in every entry of every form that the pages offer: a sentence or the text itself, never a fault.

The forms are read out of the pages of a shop that has something of everything, from link to link; an address that
takes a form and was not reached fails the test. Seen red: with `int(request.POST["why"])` in a view (500), and with
pages that nothing led to (one's own page, a list without a row: not reached).
"""

from __future__ import annotations

import random
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from shopapp.people import rights
from tests.conftest import ALL, SEED, times
from tests.specs.drafts import begun
from tests.web.everything import name_of, pages_of, something_of_everything
from tests.web.form_reading import PageForm
from tests.web.hostile import FORM, HOSTILE, encoded

pytestmark = pytest.mark.django_db
TESTED_BY_THEMSELVES = {
    "sign-in", "sign-out",  # tests/people: without a log-in; sends nothing
    "tool-back", "bench-tool-back",  # tests/bench/test_tools_out.py: their forms carry the key alone
    "set-up",  # tests/people: opens only before there is an owner
    "bench-entries", "bench-picture-new",  # tests/bench: sent by the sheet's script, JSON and a file
}  # fmt: skip
SURROGATE = "a lone surrogate"


def forms_of(client: Client, *first: str) -> dict[tuple[str, frozenset[str]], PageForm]:
    """Give each form that the pages offer once, by its address's name and its fields."""
    found: dict[tuple[str, frozenset[str]], PageForm] = {}
    for _address, page in pages_of(client, *first):
        for form in page.forms:
            found.setdefault((name_of(form.action), frozenset(form.names())), form)
    return found


def sent(client: Client, form: PageForm, name: str, what: str) -> Any:
    """Send a form with one hostile entry, and take back whatever it stored."""
    with transaction.atomic():
        if what == SURROGATE:
            response = client.generic(
                "POST", form.action, encoded(form.fields | {name: ""}, name), content_type=FORM
            )
        else:
            response = client.post(form.action, form.fields | {name: HOSTILE[what]})
        transaction.set_rollback(True)
    return response


PARTS = times(1, 6)
"""In full the forms are sent part by part: one test of them all would take some minutes."""


def test_hostile_text_in_every_form_that_is_offered(client_as: Any) -> None:
    walk(client_as, 0)


@pytest.mark.full
@pytest.mark.parametrize("part", range(1, 6))
def test_hostile_text_in_the_forms_that_are_left(client_as: Any, part: int) -> None:
    walk(client_as, part)


def walk(client_as: Any, part: int) -> None:
    """Send hostile text in every entry of this part of the forms."""
    bench = something_of_everything()
    client = client_as(bench.owner)
    client.raise_request_exception = False
    draft = begun(bench.owner)
    forms = forms_of(client, reverse("owner-procedure", args=[draft.pk]))
    takers = {name for name, right in rights.RIGHTS.items() if "POST" in right.methods}
    assert sorted(takers - {name for name, _fields in forms} - TESTED_BY_THEMSELVES) == []
    rng, wrong = random.Random(SEED), []
    for (kind, fields), form in list(forms.items())[part::PARTS]:
        names = sorted(fields) if ALL or len(fields) <= 6 else rng.sample(sorted(fields), 6)
        for name in names:
            for what in rng.sample([*HOSTILE, SURROGATE], times(1, 5)):
                response = sent(client, form, name, what)
                allowed = (302, 400, 404, 422) if name in form.fields else (200, 302, 400, 404, 422)
                if response.status_code not in allowed:
                    wrong.append((kind, name, what, response.status_code))
                if b"<script>alert" in response.content or b"<img src=x" in response.content:
                    wrong.append((kind, name, what, "stands as markup"))
    assert wrong == []
