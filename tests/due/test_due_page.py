"""Who is due, by customer, the earliest first; late ones with their days."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.due import services as due
from shopapp.due.by_owner import DueByOwner
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.money.rows import NOW, an_order, done

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def serviced(desk: Person, name: str, *days: dt.date | None) -> None:
    """Hand over one damper for each day on which it is due next."""
    order = an_order(desk, jobs=len(days), name=name)
    for number, day in enumerate(days, start=1):
        done(order, number, next_due=day)
    due.hand_over_jobs(
        order=order, jobs=list(order.jobs.all()), to_whom=name, by=desk, at=NOW, call=Call.fresh()
    )


def page(client: Client, desk: Person, query: str = "", day: str = "2027-06-01") -> str:
    with time_machine.travel(f"{day}T12:00:00Z", tick=False):
        client.force_login(desk)
        return client.get(reverse("due") + query).content.decode()


def test_customers_stand_by_whoever_is_due_first(desk: Person) -> None:
    serviced(desk, "Late Larder", dt.date(2027, 9, 1), dt.date(2027, 1, 1))
    serviced(desk, "Early Eel", dt.date(2027, 2, 1), None)
    rows = [(row.owner_name, row.on) for row in DueByOwner()]
    assert rows == [
        ("Late Larder", dt.date(2027, 1, 1)),
        ("Late Larder", dt.date(2027, 9, 1)),
        ("Early Eel", dt.date(2027, 2, 1)),
    ]


def test_one_that_changes_hands_between_two_looks_is_no_500(desk: Person) -> None:
    """Seen red (KeyError) with each row taken for one of the owners that were sorted a moment before."""
    serviced(desk, "Late Larder", dt.date(2027, 1, 1))
    serviced(desk, "Early Eel", dt.date(2027, 2, 1))
    rows = DueByOwner()
    assert len(rows) == 2
    kept, double = (Customer.objects.get(name=name) for name in ("Early Eel", "Late Larder"))
    customers.merge_customers(double=double, into=kept, by=desk, at=NOW, call=Call.fresh())
    assert [row.owner_name for row in rows[:1]] == []
    assert [row.owner_name for row in DueByOwner()] == ["Early Eel", "Early Eel"]


def test_a_late_one_carries_the_flag_with_its_days(desk: Person, client_as: As) -> None:
    serviced(desk, "Wyn", dt.date(2027, 5, 22), dt.date(2027, 6, 1), dt.date(2027, 5, 31))
    words = page(client_as(desk), desk)
    assert re.findall(r"(\d+ days? overdue)", words) == ["10 days overdue", "1 day overdue"]


@pytest.mark.parametrize(("ahead", "count"), [("", 3), ("0", 1), ("30", 2), ("all", 4)])
def test_the_list_looks_as_far_ahead_as_asked(desk: Person, client_as: As, ahead: str, count: int) -> None:
    serviced(
        desk, "Wyn", dt.date(2027, 5, 31), dt.date(2027, 7, 1), dt.date(2027, 8, 30), dt.date(2027, 8, 31)
    )
    assert page(client_as(desk), desk, f"?ahead={ahead}").count('data-label="Next due"') == count


def test_what_is_due_later_is_a_click_away(desk: Person, client_as: As) -> None:
    """Seen red with the empty list of a shop in which nothing was ever handed over."""
    serviced(desk, "Wyn", dt.date(2028, 1, 1))
    words = page(client_as(desk), desk)
    assert "No damper is due in this time." in words and 'href="/due/?ahead=all"' in words
    assert "No damper is due in this time." not in page(client_as(desk), desk, "?ahead=all")


@pytest.mark.parametrize("query", ["?ahead=soon", "?page=x", "?ahead=" + "9" * 400])
def test_a_choice_that_does_not_exist_is_no_500(desk: Person, client_as: As, query: str) -> None:
    assert client_as(desk).get(reverse("due") + query).status_code in (200, 422)


def test_an_empty_list_and_rights(desk: Person, technician: Person, client_as: As) -> None:
    assert "Nothing is due yet" in page(client_as(desk), desk)
    assert client_as(technician).get(reverse("due")).status_code == 403
    assert client_as(desk).post(reverse("due")).status_code == 405


def test_the_list_asks_as_often_for_20_rows_as_for_10(desk: Person, client_as: As) -> None:
    client = client_as(desk)

    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            assert client.get(reverse("due")).status_code == 200
        return len(found)

    for number in range(5):
        serviced(desk, f"Customer {number}", dt.date(2027, 1, 1), dt.date(2027, 2, 1))
    client.get(reverse("due"))
    ten = queries()
    for number in range(5, 10):
        serviced(desk, f"Customer {number}", dt.date(2027, 1, 1), dt.date(2027, 2, 1))
    assert queries() == ten
