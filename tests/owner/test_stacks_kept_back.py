"""The owner keeps the shim stacks off the customer's copy, or shows them again; by default they are shown."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Shop

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def send(client: Client, **more: str) -> None:
    """Send the shop's form as the page shows it, with what is changed."""
    form = client.get(reverse("owner-shop")).context["form"]
    sent = {field.html_name: field.value() for field in form if field.value() not in (None, False)}
    units = {f"{kind}_unit": form.fields[f"{kind}_unit"].choices[0][0] for kind in form.UNIT_KINDS}
    sent.pop("keep_stacks_back", None)
    answer = client.post(reverse("owner-shop"), {**sent, **units, "act_key": new_key(), **more})
    assert answer.status_code == 302, answer.context["form"].errors


def test_stacks_are_shown_until_the_owner_keeps_them(shop: Shop, owner: Person, client_as: As) -> None:
    client = client_as(owner)
    assert not shop.keep_stacks_back
    page = client.get(reverse("owner-shop")).content.decode()
    assert "Keep shim stacks off the customer&#x27;s copy" in page
    send(client, keep_stacks_back="on")
    assert Shop.objects.get().keep_stacks_back
    send(client)
    assert not Shop.objects.get().keep_stacks_back


def test_nobody_else_does(shop: Shop, technician: Person, desk: Person, client_as: As) -> None:
    for person in (technician, desk):
        assert client_as(person).post(reverse("owner-shop"), {"keep_stacks_back": "on"}).status_code == 403
    assert not Shop.objects.get().keep_stacks_back
