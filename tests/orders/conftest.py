"""A customer, a model, a work type: what an order is made of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder, WorkType
from shopapp.orders.services import DamperIn
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call


@pytest.fixture
def std(desk: Person, now: dt.datetime) -> dict[str, Any]:
    return {"by": desk, "at": now}


@pytest.fixture
def rebuild(std: dict[str, Any]) -> WorkType:
    return orders.add_work_type(
        code="rebuild", name="Rebuild", price=Decimal("186.00"), call=Call.fresh(), **std
    )


@pytest.fixture
def model(std: dict[str, Any]) -> DamperModel:
    return dampers.add_model(maker="Keldmark", name="K25", construction="reservoir", call=Call.fresh(), **std)


@pytest.fixture
def wyn(std: dict[str, Any]) -> Customer:
    return customers.add_customer(name="Wyn Dallimore", call=Call.fresh(), **std)


@pytest.fixture
def new_damper(model: DamperModel, wyn: Customer, std: dict[str, Any]) -> Callable[..., Damper]:
    def make(serial: str, customer: Customer = wyn) -> Damper:
        return dampers.add_damper(model=model, customer=customer, serial=serial, call=Call.fresh(), **std)

    return make


@pytest.fixture
def receive(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> Callable[..., WorkOrder]:
    def make(*serials: str, **kwargs: Any) -> WorkOrder:
        rows = [DamperIn(damper=new_damper(serial), work_type=rebuild) for serial in serials]
        kwargs.setdefault("call", Call.fresh())
        return orders.receive_order(customer=wyn, dampers=rows, **{**std, **kwargs})

    return make
