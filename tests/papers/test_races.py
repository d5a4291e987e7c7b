"""Two workers at one paper, with real commits: one row, one file.

Seen to fail with the IntegrityError of the second row left to rise.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from shopapp.papers import services
from shopapp.papers.handlers import papers_book
from shopapp.papers.models import Paper, PaperFile
from tests.faults.racing import names_of, race

pytestmark = pytest.mark.django_db(transaction=True)


def test_two_workers_make_one_file(
    issue: Callable[..., Paper], template: Callable[[str], None], now: dt.datetime
) -> None:
    paper = issue()
    results = race([lambda: services.render_paper(paper_id=paper.pk, at=now)] * 4)
    assert names_of(results) == ["PaperFile"] * 4
    assert {result.pk for result in results} == {PaperFile.objects.get().pk}  # type: ignore[attr-defined]
    assert list(papers_book()) == []
