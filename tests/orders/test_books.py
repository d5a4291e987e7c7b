"""The books of search terms, tags and order numbers: right after work, and each planted fault is found."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from shopapp.customers import services as customers
from shopapp.customers.handlers import CUSTOMERS, VEHICLES
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.services import NewContact
from shopapp.dampers.handlers import TAGS
from shopapp.dampers.handlers import TERMS as DAMPERS
from shopapp.dampers.models import Damper
from shopapp.orders.handlers import NUMBERS
from shopapp.orders.handlers import TERMS as ORDERS
from shopapp.orders.models import WorkOrder
from shopapp.shop import books
from shopapp.shop.models import Counter, SearchTerm
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
MINE = (CUSTOMERS, VEHICLES, DAMPERS, TAGS, ORDERS, NUMBERS)


def found() -> list[str]:
    """Give the books of this test that have a difference."""
    return sorted({difference.book for book in MINE for difference in books.REGISTRY[book]()})


@pytest.fixture
def work(receive: Callable[..., WorkOrder], wyn: Customer, std: dict[str, Any]) -> WorkOrder:
    customers.add_vehicle(customer=wyn, description="kart", plate="K 1", call=Call.fresh(), **std)
    contacts = [NewContact("phone", "555-0118")]
    customers.change_customer(
        customer=wyn, revision=1, kind="firm", name="Wyn & Söhne", contacts=contacts, call=Call.fresh(), **std
    )
    return receive("KM25-118834", "2")


def test_after_work_the_books_are_right(work: WorkOrder) -> None:
    assert SearchTerm.objects.count() > 10
    assert found() == []


@pytest.mark.parametrize(
    ("plant", "book"),
    [
        (lambda: Customer.objects.update(name="Somebody"), CUSTOMERS),
        (lambda: SearchTerm.objects.filter(kind="phone").first().delete(), CUSTOMERS),
        (lambda: SearchTerm.objects.filter(kind="phone").update(weight=1), CUSTOMERS),
        (lambda: Vehicle.objects.update(plate="K 2"), VEHICLES),
        (lambda: SearchTerm.objects.filter(target_kind="vehicle").update(target_id=999), VEHICLES),
        (lambda: Damper.objects.filter(serial="2").update(serial="3"), DAMPERS),
        (lambda: Damper.objects.filter(serial="2").update(tag="00000000"), TAGS),
        (lambda: Counter.objects.filter(series="tag").update(last=9), TAGS),
        (lambda: WorkOrder.objects.update(number=1002), NUMBERS),
        (lambda: Counter.objects.filter(series="order").update(last=1003), NUMBERS),
        (lambda: SearchTerm.objects.filter(target_kind="order").delete(), ORDERS),
    ],
)
def test_a_planted_fault_is_found(work: WorkOrder, plant: Callable[[], Any], book: str) -> None:
    plant()
    assert book in found()
