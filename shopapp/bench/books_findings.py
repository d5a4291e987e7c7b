"""The book of findings: part, advice, grade and what was put right from the entries, the answer from the consents."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from shopapp.bench.models import Entry, Finding
from shopapp.orders.models import OrderLine, WorkConsent
from shopapp.shop.books import Difference

FINDINGS = "findings"
FROM_ENTRY = ("part", "part_words", "advice", "grade")


def finding_differences() -> Iterator[Difference]:
    """Derive each finding again, and hold that a yes that stands has its line and no other finding has one."""
    answers = _answers()
    right = _put_right()
    lines = set(
        OrderLine.objects.filter(comes_from=OrderLine.From.FINDING).values_list("entry_id", flat=True)
    )
    seen = set()
    for row in Finding.objects.select_related("entry__replaced_by").order_by("pk").iterator(chunk_size=200):
        seen.add(row.entry_id)
        yield from _of_entry(row)
        yield from _of_others(row, answers, right)
        has_line = row.entry_id in lines
        current = getattr(row.entry, "replaced_by", None) is None
        if (has_line and row.answer != "yes") or (current and not has_line and row.answer == "yes"):
            yield Difference(FINDINGS, f"line of finding {row.pk}", has_line, row.answer == "yes")
    yield from _without_row(seen)
    for entry_id in sorted(map(str, lines - seen)):
        yield Difference(FINDINGS, f"line for entry {entry_id}", "a line", "no such finding")


def _answers() -> dict[str, str]:
    rows = WorkConsent.objects.filter(about="finding", act__taken_back_by__isnull=True).order_by("pk")
    return {about: "yes" if yes else "no" for about, yes in rows.values_list("about_id", "yes")}


def _put_right() -> dict[Any, Any]:
    rows = Entry.objects.filter(kind="put right", out_of_order=False).order_by("stored_at", "pk")
    return dict(rows.values_list("about", "pk"))


def _of_entry(row: Finding) -> Iterator[Difference]:
    said: Mapping[str, Any] = row.entry.payload
    told = {"grade": said.get("answer"), **{name: said.get(name) for name in FROM_ENTRY if name != "grade"}}
    for name in FROM_ENTRY:
        if getattr(row, name) != told[name]:
            yield Difference(FINDINGS, f"{name} of finding {row.pk}", getattr(row, name), told[name])
    if row.job_id != row.entry.job_id:
        yield Difference(FINDINGS, f"job of finding {row.pk}", row.job_id, row.entry.job_id)


def _of_others(row: Finding, answers: Mapping[str, str], right: Mapping[Any, Any]) -> Iterator[Difference]:
    answer = answers.get(str(row.entry_id), "")
    if row.answer != answer:
        yield Difference(FINDINGS, f"answer to finding {row.pk}", row.answer, answer)
    if row.put_right_id != right.get(row.entry_id):
        yield Difference(FINDINGS, f"finding {row.pk} put right", row.put_right_id, right.get(row.entry_id))


def _without_row(seen: set[Any]) -> Iterator[Difference]:
    kept = Entry.objects.filter(kind="finding", out_of_order=False).values_list("pk", flat=True)
    for pk in sorted(str(pk) for pk in kept if pk not in seen):
        yield Difference(FINDINGS, f"finding of entry {pk}", "none", "one")
