"""A bench with one order of two dampers."""

from __future__ import annotations

import pytest

from shopapp.people.models import Device, Person
from shopapp.shop.models import Shop
from tests.bench.make import Bench, make_bench


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)
