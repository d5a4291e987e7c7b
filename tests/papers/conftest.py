"""A kind of paper for the tests, and one issued."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from shopapp.papers import engine, kinds, services
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call

KIND = "test sheet"


@pytest.fixture
def kind() -> Iterator[str]:
    kinds.register(
        KIND,
        title="Test sheet",
        template="papers/test_sheet.html",
        pdf_variant="pdf/ua-1",
        file_name=lambda figures: kinds.plain_name("test", figures.get("order", "")),
    )
    yield KIND
    del kinds.REGISTRY[KIND]


@pytest.fixture
def issue(kind: str, desk: Person, now: dt.datetime) -> Callable[..., Paper]:
    def make(figures: dict[str, Any] | None = None, subject: object = 7) -> Paper:
        with acts.doing("issue_test", call=Call.fresh(), by=desk, at=now) as act:
            return services.issue_paper(
                kind=kind,
                subject_kind="test",
                subject_id=subject,
                figures=figures or {"order": "1001", "particulars": [["Order", "1001"]]},
                act=act,
                at=now,
            )

    return make


@pytest.fixture
def template(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Put words into the template and leave the PDF engine out: its bytes are then the page's."""

    def put(words: str) -> None:
        monkeypatch.setattr(services, "render_html", lambda paper: f"<p>{words}</p>")

    monkeypatch.setattr(engine, "to_pdf", lambda html, *, variant, files=None: html.encode())
    put("first wording")
    return put
