"""The owner says how far left and right may lie apart; it is kept as typed, and a figure that is none is told."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.web.owner.forms import ShopForm

pytestmark = pytest.mark.django_db


def post(client: Client, shop: Shop, **changed: str) -> int:
    row = Shop.objects.get()
    kept = {name: value for name, value in ShopForm.initial_of(row).items() if value not in (None, False)}
    filled = {**kept, "act_key": f"pairs-{changed}"[:60], "revision": row.revision, **changed}
    return client.post(reverse("owner-shop"), filled).status_code


def test_tolerances_are_kept_as_typed_and_stand_in_the_form(
    shop: Shop, owner: Person, client_as: Callable[[Person], Client]
) -> None:
    client = client_as(owner)
    units = {"length_unit": "in", "pressure_unit": "psi", "torque_unit": "lbf*ft", "distance_unit": "mile",
             "temperature_unit": "degC"}  # fmt: skip
    assert post(client, shop, pair_charge="5", pair_ifp_depth="1/16 in", pair_adjuster="1", **units) == 302
    kept = Shop.objects.get().pair_tolerances
    assert {name: row["text"] for name, row in kept.items()} == {
        "charge": "5 psi", "ifp depth": "1/16 in", "adjuster": "1 click",
    }  # fmt: skip
    assert kept["charge"]["si"] == pytest.approx(5 * 6894.757293168)
    assert 'value="1/16 in"' in client.get(reverse("owner-shop")).content.decode()
    assert post(client, shop, pair_charge="five", **units) == 422
    assert Shop.objects.get().pair_tolerances == kept
    assert post(client, shop, pair_charge="", pair_ifp_depth="", pair_adjuster="", **units) == 302
    assert Shop.objects.get().pair_tolerances == {}
