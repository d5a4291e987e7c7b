"""Correcting a damper's serial: with a reason, readable afterwards, found under the new one alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.queries import dampers as find_dampers
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from tests.web.hostile import HOSTILE

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


@pytest.fixture
def damper(desk: Person, now: dt.datetime) -> Damper:
    std: dict[str, Any] = {"by": desk, "at": now}
    model = dampers.add_model(
        maker="Keldmark", name="K25", construction="reservoir", call=Call.fresh(), **std
    )
    return dampers.add_damper(model=model, customer=None, serial="KM25-1", call=Call.fresh(), **std)


def address(damper: Damper) -> str:
    return reverse("damper-change", args=[damper.pk])


def sent(serial: str, **more: str) -> dict[str, str]:
    return {"act_key": new_key(), "serial": serial, "note": "", "why": "misread", "revision": "1"} | more


def test_the_serial_is_corrected_once_and_the_history_says_it(
    damper: Damper, desk: Person, client_as: As
) -> None:
    client, body = client_as(desk), sent("KM25-7788")
    page = client.get(address(damper)).content.decode()
    assert 'value="KM25-1"' in page and 'name="maker"' not in page
    for _time in range(2):
        answer = client.post(address(damper), body)
        assert (answer.status_code, answer["Location"]) == (302, reverse("damper", args=[damper.pk]))
    damper.refresh_from_db()
    assert (damper.serial, damper.maker, damper.revision) == ("KM25-7788", "Keldmark", 2)
    assert list(find_dampers("KM25-7788")) == [damper] and list(find_dampers("KM25-1")) == []
    assert Act.objects.get(verb="change_damper").changed == [
        {"field": "serial", "old": "KM25-1", "new": "KM25-7788"},
        {"field": "why", "old": "", "new": "misread"},
    ]
    page = client.get(reverse("damper", args=[damper.pk])).content.decode()
    assert "corrected" in page and "KM25-1 → KM25-7788" in page and "because: misread" in page


def test_a_twin_an_old_page_and_no_reason_keep_the_form(
    damper: Damper, desk: Person, client_as: As, now: dt.datetime
) -> None:
    client = client_as(desk)
    dampers.add_damper(model=damper.model, customer=None, serial="KM25-9", by=desk, at=now, call=Call.fresh())
    for body, words in (
        (sent("km25 9"), "is here already"),
        (sent("KM25-3", revision="7"), "while you had it open"),
        (sent("KM25-3", why=""), "Say why it is corrected"),
        (sent("KM25-3", why="just so"), "Select a valid choice"),
    ):
        answer = client.post(address(damper), body)
        page = answer.content.decode()
        assert answer.status_code == 422 and words in page, words
        assert body["act_key"] in page and f'value="{body["serial"]}"' in page
    with pytest.raises(Refused, match="Say why"):
        dampers.change_damper(
            damper=damper, revision=1, serial="x", model=None, why="", by=desk, at=now, call=Call.fresh()
        )
    assert Damper.objects.get(pk=damper.pk).serial == "KM25-1"


def test_without_a_model_the_maker_is_asked_too(desk: Person, client_as: As, now: dt.datetime) -> None:
    damper = dampers.add_damper(maker="Tavlan", customer=None, serial="", by=desk, at=now, call=Call.fresh())
    assert client_as(desk).post(address(damper), sent("T-1", maker="Halvorne")).status_code == 302
    damper.refresh_from_db()
    assert (damper.maker, damper.serial) == ("Halvorne", "T-1")


def test_hostile_text_is_never_a_fault(damper: Damper, desk: Person, client_as: As) -> None:
    client = client_as(desk)
    for text in HOSTILE.values():
        for field in ("serial", "note", "why", "revision"):
            damper.refresh_from_db()
            body = sent("KM25-1", revision=str(damper.revision)) | {field: text}
            answer = client.post(address(damper), body)
            assert answer.status_code in (302, 400, 422), (field, text[:40])
            assert b"<script>alert" not in answer.content


def test_who_may(damper: Damper, desk: Person, technician: Person, client_as: As) -> None:
    assert client_as(technician).get(address(damper)).status_code == 403
    assert client_as(technician).post(address(damper), sent("X")).status_code == 403
    assert Client().post(address(damper), sent("X")).status_code == 302
    assert client_as(desk).delete(address(damper)).status_code == 405
    assert client_as(desk).get(reverse("damper-change", args=[damper.pk + 9])).status_code == 404
    assert DamperModel.objects.count() == 1 and Damper.objects.get().serial == "KM25-1"
