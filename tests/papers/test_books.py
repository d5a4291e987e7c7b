"""The book of papers finds each fault that is planted, and nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings

from shopapp.papers import services
from shopapp.papers.handlers import papers_book
from shopapp.papers.models import Paper, PaperFile
from shopapp.shop import ledgers
from shopapp.shop.models import Outbox

pytestmark = pytest.mark.django_db


@pytest.fixture
def file(issue: Callable[..., Paper], template: Callable[[str], None], now: dt.datetime) -> PaperFile:
    return services.render_paper(paper_id=issue().pk, at=now)


def found() -> list[tuple[str, object]]:
    return [(difference.row.split(" ")[0], difference.derived) for difference in papers_book()]


def test_whole_books_have_no_difference(file: PaperFile, issue: Callable[..., Paper]) -> None:
    issue(subject=9)
    assert found() == []


def test_a_damaged_file_is_found(file: PaperFile) -> None:
    path = Path(settings.MEDIA_ROOT) / file.place
    path.write_bytes(path.read_bytes()[:-1] + b"?")
    assert found() == [("file", "other bytes")]


def test_a_missing_file_is_found(file: PaperFile) -> None:
    (Path(settings.MEDIA_ROOT) / file.place).unlink()
    assert found() == [("file", "no file")]


def test_changed_figures_are_found(file: PaperFile) -> None:
    with ledgers.lifted():
        Paper.objects.update(figures={"order": "1002"})
    assert [row for row, _derived in found()] == ["figures"]


@pytest.mark.parametrize("state", ["sent", "gone"])
def test_a_paper_without_file_or_plan_is_found(
    issue: Callable[..., Paper], now: dt.datetime, state: str
) -> None:
    paper = issue()
    rows = Outbox.objects.filter(key=f"paper:{paper.pk}")
    rows.delete() if state == "gone" else rows.update(state="sent", done_at=now)
    assert found() == [("file", "a file or a plan")]


def test_a_failed_paper_is_no_lost_one(issue: Callable[..., Paper]) -> None:
    Outbox.objects.filter(key=f"paper:{issue().pk}").update(state="failed")
    assert found() == []
