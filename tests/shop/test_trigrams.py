"""Parts of words: found through a trigram index on both databases; where it is refused the search goes on without."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.checks import run_checks
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapp.shop import finding, trigrams
from shopapp.shop.hits import hits
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import keep_terms

POSTGRES = connection.vendor == "postgresql"
pytestmark = pytest.mark.django_db
only_postgres = pytest.mark.skipif(not POSTGRES, reason="the index is PostgreSQL's")
only_sqlite = pytest.mark.skipif(POSTGRES, reason="the table of parts is SQLite's")


@pytest.fixture(autouse=True)
def _not_seen_yet() -> Iterator[None]:
    """Look for SQLite's table of parts anew: other tests may have taken it away or laid it."""
    trigrams._seen.clear()
    yield
    trigrams._seen.clear()


def terms() -> None:
    keep_terms(target_kind="damper", target_id=1, terms=[("serial", "KM25-118834", 90)])
    keep_terms(target_kind="damper", target_id=2, terms=[("serial", "8834-1", 10)])
    keep_terms(target_kind="customer", target_id=3, terms=[("name", "Castellan", 80)])


def rows(text: str) -> list[tuple[str, int]]:
    return [(hit.target_kind, hit.target_id) for hit in hits(text).matches]


def test_what_begins_with_it_stands_before_what_holds_it() -> None:
    terms()
    assert rows("8834") == [("damper", 2), ("damper", 1)]
    assert rows("tella") == [("customer", 3)]
    assert rows("cast") == [("customer", 3)]


def test_under_three_characters_it_is_a_beginning() -> None:
    terms()
    assert rows("88") == [("damper", 2)]
    assert rows("el") == []


@pytest.mark.parametrize(
    "text", ["%", "%%%", "___", "\\\\\\", "' OR 1=1", 'abcd"ef', '"" OR ""', "a\0b", "\ud800", "x" * 5000]
)
def test_hostile_text_finds_nothing(text: str) -> None:
    """Seen to fail where SQLite's full-text query was built without quoting: `"` closed it."""
    terms()
    assert rows(text) == []


def test_a_term_that_goes_or_changes_is_no_longer_found_by_its_parts() -> None:
    """Seen to fail on SQLite without the trigger for what is gone: the table of parts was found to hold what is not."""
    terms()
    keep_terms(target_kind="damper", target_id=1, terms=[("serial", "ZZ-77341-B", 90)])
    SearchTerm.objects.filter(target_kind="customer").update(key="bramwell")
    assert rows("118834") == [] and rows("tella") == []
    assert rows("7734") == [("damper", 1)] and rows("amwel") == [("customer", 3)]
    SearchTerm.objects.filter(target_kind="damper").delete()
    assert rows("7734") == []
    if not POSTGRES:
        with connection.cursor() as cursor:
            cursor.execute(
                f"INSERT INTO {trigrams.PARTS} ({trigrams.PARTS}, rank) VALUES ('integrity-check', 1)"
            )


@only_postgres
def test_the_index_is_laid_and_used() -> None:
    assert trigrams.present(connection)
    SearchTerm.objects.bulk_create(
        SearchTerm(key=f"km25{number:08}", kind=kind, target_kind=target, target_id=number)
        for target, kind in (
            ("damper", "serial"),
            ("customer", "phone"),
            ("customer", "name"),
            ("damper", "model"),
        )
        for number in range(10_000)
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE shopapp_searchterm")
        cursor.execute("SET LOCAL enable_seqscan = off")
    held = finding.holding("0001234")
    for some, index in (
        (held.filter(finding.IN_NUMBERS), "search_number_parts"),
        (held.filter(finding.IN_PHONES), "search_number_parts"),
        (held.exclude(finding.IN_NUMBERS), "search_word_parts"),
        (held.filter(finding.IN_TRADE_WORDS), "search_word_parts"),
    ):
        plan = some.explain()
        assert index in plan, plan


@only_postgres
def test_whatever_a_search_asks_for_its_parts_has_an_index() -> None:
    """Seen to fail with words and numbers asked for in one condition: neither index served."""
    terms()
    with connection.cursor() as cursor, CaptureQueriesContext(connection) as seen:
        cursor.execute("SET LOCAL enable_seqscan = off")
        for text in ("8834", "tella", "km25-1188", "555 0118"):
            hits(text)
    asked = [query["sql"] for query in seen if " LIKE " in query["sql"]]
    assert len(asked) >= 4
    with connection.cursor() as cursor:
        for sql in asked:
            cursor.execute("EXPLAIN " + sql)
            plan = "\n".join(line for (line,) in cursor.fetchall())
            assert "Seq Scan" not in plan and "_parts" in plan, plan


@only_sqlite
def test_the_table_of_parts_is_laid_and_used() -> None:
    assert trigrams.present(connection)
    plan = finding.holding("0001234").explain()
    assert trigrams.PARTS in plan and "SCAN shopapp_searchterm" not in plan, plan


def test_a_beginning_is_a_walk_along_an_index() -> None:
    """Seen to fail with `startswith` in place of the range, and without either index."""
    SearchTerm.objects.bulk_create(
        SearchTerm(key=f"{begin}{number:08}", kind="serial", target_kind=kind, target_id=number)
        for begin, kind, count in (("km25", "damper", 3000), ("km25", "vehicle", 300), ("zz", "vehicle", 700))
        for number in range(count)
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE shopapp_searchterm")
    for asked, index in (
        (
            finding.beginning_with("km25").order_by("key")[:60],
            "search_key",
        ),
        (
            finding.beginning_with("km25").filter(target_kind="vehicle").order_by("key")[:60],
            "search_target_key",
        ),
    ):
        plan = asked.explain()
        assert index in plan and ("Index Cond" if POSTGRES else "SEARCH") in plan, plan
        assert "Sort" not in plan and "TEMP B-TREE" not in plan, plan


@only_postgres
def test_keys_are_sorted_by_code_points_whatever_the_databases_language() -> None:
    """Seen to fail without the migration's change of the column."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT collation_name FROM information_schema.columns WHERE table_name = %s AND column_name = 'key'",
            [trigrams.TABLE],
        )
        assert cursor.fetchone() == ("C",)


@only_postgres
def test_where_the_extension_is_refused_the_search_goes_on_and_a_check_says_so(monkeypatch: Any) -> None:
    """Seen to fail while a refused extension broke the transaction."""
    terms()
    with connection.cursor() as cursor:
        for index in trigrams.INDEXES:
            cursor.execute(f"DROP INDEX {index}")
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


@only_sqlite
def test_where_a_trigger_was_dropped_the_search_goes_on_and_the_table_is_laid_anew(monkeypatch: Any) -> None:
    """A rebuild of the terms' table drops its triggers. Seen to fail where only the table of parts was looked for."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {trigrams.PARTS}_added")
    terms()
    assert rows("tella") == [("customer", 3)]
    assert "shop.W001" in {message.id for message in run_checks(databases=["default"])}
    monkeypatch.setattr(trigrams, "_sqlite", lambda: ["CREATE VIRTUAL TABLE nothing USING not_there (key)"])
    assert trigrams.lay(connection) is False
    monkeypatch.undo()
    assert trigrams.lay(connection) is True
    assert "shop.W001" not in {message.id for message in run_checks(databases=["default"])}
    assert rows("tella") == [("customer", 3)]
