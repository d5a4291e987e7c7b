"""Parts of words: found through a trigram index on PostgreSQL; without its extension the search goes on."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.checks import run_checks
from django.db import connection

from shopapp.shop import finding, trigrams
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import keep_terms

POSTGRES = connection.vendor == "postgresql"
pytestmark = pytest.mark.django_db
only_postgres = pytest.mark.skipif(not POSTGRES, reason="the index is PostgreSQL's")


def terms() -> None:
    keep_terms(target_kind="damper", target_id=1, terms=[("serial", "KM25-118834", 90)])
    keep_terms(target_kind="damper", target_id=2, terms=[("serial", "8834-1", 10)])
    keep_terms(target_kind="customer", target_id=3, terms=[("name", "Castellan", 80)])


def rows(text: str) -> list[tuple[str, int]]:
    return [(hit.target_kind, hit.target_id) for hit in finding.hits(text)]


def test_what_begins_with_it_stands_before_what_holds_it() -> None:
    terms()
    assert rows("8834") == [("damper", 2), ("damper", 1)][: 2 if POSTGRES else 1]
    assert rows("tella") == ([("customer", 3)] if POSTGRES else [])
    assert rows("cast") == [("customer", 3)]


def test_under_three_characters_it_is_a_beginning() -> None:
    terms()
    assert rows("88") == [("damper", 2)]
    assert rows("el") == []


@pytest.mark.parametrize("text", ["%", "%%%", "___", "\\\\\\", "' OR 1=1", "a\0b", "\ud800", "x" * 5000])
def test_hostile_text_finds_nothing(text: str) -> None:
    terms()
    assert rows(text) == []


@only_postgres
def test_the_index_is_laid_and_used() -> None:
    assert trigrams.present(connection)
    SearchTerm.objects.bulk_create(
        SearchTerm(key=f"km25{number:08}", kind="serial", target_kind="damper", target_id=number)
        for number in range(3000)
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE shopapp_searchterm")
        cursor.execute("SET LOCAL enable_seqscan = off")
    plan = finding.holding("0001234").explain()
    assert trigrams.INDEX in plan, plan


@only_postgres
def test_where_the_extension_is_refused_the_search_goes_on_and_a_check_says_so(monkeypatch: Any) -> None:
    """Seen to fail while a refused extension broke the transaction."""
    terms()
    with connection.cursor() as cursor:
        cursor.execute(f"DROP INDEX {trigrams.INDEX}")
        cursor.execute("DROP EXTENSION pg_trgm")
        cursor.execute("CREATE ROLE weak NOSUPERUSER")
        cursor.execute("GRANT ALL ON ALL TABLES IN SCHEMA public TO weak")
        cursor.execute("SET LOCAL ROLE weak")
    assert trigrams.lay(connection) is False
    assert rows("tella") == [("customer", 3)]
    assert "shop.W001" in {message.id for message in run_checks(databases=["default"])}
    with connection.cursor() as cursor:
        cursor.execute("RESET ROLE")
    assert trigrams.lay(connection) is True
    assert "shop.W001" not in {message.id for message in run_checks(databases=["default"])}


def test_elsewhere_nothing_is_laid() -> None:
    if not POSTGRES:
        assert trigrams.lay(connection) is True
        assert "shop.W001" not in {message.id for message in run_checks(databases=["default"])}
