"""A paper is frozen when it is issued; its file is made once and stays as it is."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import DatabaseError, transaction

from shopapp.papers import canonical, services, store
from shopapp.papers.models import Paper, PaperFile
from shopapp.shop.models import Outbox
from shopapp.shop.services import outbox

pytestmark = pytest.mark.django_db


def test_issuing_freezes_the_figures_and_plans_the_file(
    issue: Callable[..., Paper], now: dt.datetime
) -> None:
    figures: dict[str, Any] = {"order": "1001", "rows": [1, 2.5, None, True]}
    paper = issue(figures)
    figures["rows"].append("later")
    kept = Paper.objects.get(pk=paper.pk)
    assert kept.figures == {"order": "1001", "rows": [1, 2.5, None, True]}
    assert kept.figures_hash == canonical.figures_hash(kept.figures)
    row = Outbox.objects.get(key=f"paper:{paper.pk}")
    assert (row.kind, row.state, row.ids, row.due) == ("paper", "planned", {"paper": str(paper.pk)}, now)


def test_a_further_paper_takes_the_next_number(issue: Callable[..., Paper]) -> None:
    assert [issue().number, issue().number, issue(subject=8).number] == [1, 2, 1]


@pytest.mark.parametrize(
    "figure",
    [1e22, 0.1 + 0.2, 1e-9, -0.0, 2.0, 1.5e300, "nul \0 lone \ud800 pair \U0001f527", (1, 2), 10**30],
)
def test_the_hash_is_the_same_after_the_database(issue: Callable[..., Paper], figure: Any) -> None:
    paper = issue({"figure": figure})
    kept = Paper.objects.get(pk=paper.pk)
    assert canonical.figures_hash(kept.figures) == paper.figures_hash


@pytest.mark.parametrize("figure", [float("nan"), float("inf"), dt.date(2026, 3, 2), {1: "a"}, b"x"])
def test_what_is_no_figure_is_refused(issue: Callable[..., Paper], figure: Any) -> None:
    with pytest.raises((ValueError, TypeError)):
        issue({"figure": figure})
    assert not Paper.objects.exists()


def test_another_order_of_names_has_the_same_hash_and_another_figure_has_not() -> None:
    assert canonical.figures_hash({"a": 1, "b": "x"}) == canonical.figures_hash({"b": "x", "a": 1.0})
    assert canonical.figures_hash({"a": 1}) != canonical.figures_hash({"a": 2})


@pytest.mark.parametrize("verb", ["update", "delete"])
def test_an_issued_paper_cannot_be_changed(issue: Callable[..., Paper], verb: str) -> None:
    paper = issue()
    rows = Paper.objects.filter(pk=paper.pk)
    with pytest.raises(DatabaseError), transaction.atomic():
        rows.update(language="xx") if verb == "update" else rows.delete()
    assert Paper.objects.get(pk=paper.pk).language == "en"


def test_rendering_writes_the_file_by_its_hash(
    issue: Callable[..., Paper], template: Callable[[str], None], now: dt.datetime
) -> None:
    file = services.render_paper(paper_id=issue().pk, at=now)
    content = (Path(settings.MEDIA_ROOT) / file.place).read_bytes()
    assert hashlib.sha256(content).hexdigest() == file.sha256
    assert (file.size, file.rendered_at) == (len(content), now)
    assert file.sha256 in file.place


def test_a_changed_template_leaves_the_stored_file(
    issue: Callable[..., Paper], template: Callable[[str], None], now: dt.datetime
) -> None:
    paper = issue()
    first = services.render_paper(paper_id=paper.pk, at=now)
    template("second wording")
    again = services.render_paper(paper_id=paper.pk, at=now + dt.timedelta(days=1))
    assert (again.pk, again.sha256, again.rendered_at) == (first.pk, first.sha256, now)
    assert store.get(again.place, again.sha256) == b"<p>first wording</p>"
    assert PaperFile.objects.count() == 1
    assert len([path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]) == 1


def test_the_sweeper_makes_the_file_and_a_second_sweep_nothing(
    issue: Callable[..., Paper], template: Callable[[str], None], now: dt.datetime
) -> None:
    paper = issue()
    assert outbox.sweep(at=now) == {"sent": 1}
    assert outbox.sweep(at=now) == {}
    assert Outbox.objects.get(key=f"paper:{paper.pk}").message_id == paper.file.sha256


def test_a_fault_while_writing_leaves_no_file_and_is_tried_again(
    issue: Callable[..., Paper],
    template: Callable[[str], None],
    now: dt.datetime,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    paper = issue()

    def fail(*_names: Any) -> None:
        raise OSError("no space left")

    with monkeypatch.context() as broken:
        broken.setattr(os, "replace", fail)
        assert outbox.sweep(at=now) == {"planned": 1}
    assert not PaperFile.objects.exists()
    assert not [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]
    assert outbox.sweep(at=now + dt.timedelta(minutes=1)) == {"sent": 1}
    assert store.get(paper.file.place, paper.file.sha256)


def test_the_same_bytes_twice_are_one_file_and_a_damaged_one_is_put_right(settings: Any) -> None:
    sha256, place = store.put(b"bytes", suffix=".pdf")
    assert store.put(b"bytes", suffix=".pdf") == (sha256, place)
    path = Path(settings.MEDIA_ROOT) / place
    path.write_bytes(b"damaged")
    with pytest.raises(store.Damaged):
        store.get(place, sha256)
    store.put(b"bytes", suffix=".pdf")
    assert store.get(place, sha256) == b"bytes"
    path.unlink()
    with pytest.raises(store.Missing):
        store.get(place, sha256)
