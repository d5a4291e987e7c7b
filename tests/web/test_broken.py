"""The page of a fault of ours: in the language of its words, without the database, without context processors.

Seen red: with `lang="en"` fixed, and with `LANGUAGE_CODE` taken from a context processor (empty).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from shopapp.people.models import Person
from shopapp.stock import queries
from shopapp.web.views import broken

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("language", ["en", "en-us"])
def test_a_fault_is_told_in_the_shops_language(
    language: str,
    settings: Any,
    client_as: Callable[[Person], Client],
    desk: Person,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    settings.LANGUAGE_CODE = language

    def fail(*_args: object) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(queries, "kit_rows", fail)
    client = client_as(desk)
    client.raise_request_exception = False
    answer = client.get("/stock/")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert f'<html lang="{language}"' in page and "Something broke on our side" in page
    assert "a fault of ours" not in page and "Traceback" not in page


def test_it_asks_neither_the_database_nor_the_request() -> None:
    with CaptureQueriesContext(connection) as asked:
        page = broken(RequestFactory().get("/")).content.decode()
    assert len(asked) == 0
    assert '<html lang="en"' in page


def test_with_no_language_active_the_words_are_the_sources() -> None:
    before = translation.get_language()
    translation.deactivate_all()
    try:
        page = broken(RequestFactory().get("/")).content.decode()
    finally:
        translation.activate(before or "en")
    assert '<html lang="en"' in page and "Something broke" in page
