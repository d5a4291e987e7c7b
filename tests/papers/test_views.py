"""The page of a paper, and the bytes of its file, for those who may."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from shopapp.papers import services
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Outbox

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def test_a_paper_that_is_being_made_says_so(issue: Callable[..., Paper], client_as: As, desk: Person) -> None:
    paper = issue()
    page = client_as(desk).get(reverse("paper", args=[paper.pk]))
    words = page.content.decode()
    assert page.status_code == 200
    assert "being made" in words and paper.figures_hash in words and "iframe" not in words
    file = client_as(desk).get(reverse("paper-file", args=[paper.pk]))
    assert file.status_code == 404
    assert "still being made" in file.content.decode()


def test_a_paper_that_failed_says_who_can_help(
    issue: Callable[..., Paper], client_as: As, desk: Person
) -> None:
    paper = issue()
    Outbox.objects.update(state="failed")
    assert "could not be made" in client_as(desk).get(reverse("paper", args=[paper.pk])).content.decode()


def test_the_file_is_given_with_its_name(
    issue: Callable[..., Paper],
    template: Callable[[str], None],
    client_as: As,
    desk: Person,
    now: dt.datetime,
) -> None:
    paper = issue()
    services.render_paper(paper_id=paper.pk, at=now)
    page = client_as(desk).get(reverse("paper", args=[paper.pk]))
    assert reverse("paper-file", args=[paper.pk]) in page.content.decode()
    answer = client_as(desk).get(reverse("paper-file", args=[paper.pk]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == 'inline; filename="test-1001.pdf"'
    assert answer.content == b"<p>first wording</p>"


@pytest.mark.parametrize("fault", ["missing", "damaged"])
def test_a_lost_file_is_a_sentence(
    issue: Callable[..., Paper],
    template: Callable[[str], None],
    client_as: As,
    desk: Person,
    now: dt.datetime,
    fault: str,
) -> None:
    paper = issue()
    path = Path(settings.MEDIA_ROOT) / services.render_paper(paper_id=paper.pk, at=now).place
    path.unlink() if fault == "missing" else path.write_bytes(b"%PDF other")
    answer = client_as(desk).get(reverse("paper-file", args=[paper.pk]))
    assert answer.status_code == 410
    assert "backup" in answer.content.decode()


@pytest.mark.parametrize("name", ["paper", "paper-file"])
def test_rights_and_methods(
    issue: Callable[..., Paper], client_as: As, technician: Person, desk: Person, name: str
) -> None:
    url = reverse(name, args=[issue().pk])
    assert client_as(technician).get(url).status_code == 403
    assert client_as(desk).post(url).status_code == 405
    assert Client().get(url).status_code == 302
    assert client_as(desk).get(reverse(name, args=[uuid.uuid4()])).status_code == 404


def test_hostile_figures_are_words_on_the_page(
    issue: Callable[..., Paper], client_as: As, desk: Person
) -> None:
    paper = issue({"particulars": [["<b>x</b>", "<script>alert(1)</script>"]], "order": "../../etc/<x>"})
    words = client_as(desk).get(reverse("paper", args=[paper.pk])).content.decode()
    assert "<script>alert" not in words and "&lt;script&gt;alert(1)" in words
