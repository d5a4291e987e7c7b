"""The demo shop: loaded through the services, in agreement with its books, the same for the same seed."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from shopapp.bench.models import Entry
from shopapp.dampers.models import Construction, Damper, DamperModel
from shopapp.demo import names, sheets
from shopapp.demo.load import load
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Refused
from shopapp.specs.models import ServiceSpec

TODAY = dt.date(2026, 11, 25)


@pytest.mark.django_db
def test_the_shop_stands_as_it_should_and_its_books_agree() -> None:
    made = load(seed=1187, today=TODAY)
    assert made == {"customers": 12, "dampers": 38, "orders": 12, "people": 6}
    assert books.differences() == []
    constructions = set(DamperModel.objects.values_list("construction", flat=True))
    assert constructions == set(Construction.values) - {"other"}
    assert Damper.objects.filter(model__isnull=True).count() == 0
    given = ServiceSpec.objects.filter(released_at__isnull=False, kits__kit__isnull=False)
    assert set(given.values_list("model", flat=True)) == set(DamperModel.objects.values_list("pk", flat=True))
    at_the_bench = {
        (job.procedure.name if job.procedure else "", job.state)
        for job in Job.objects.filter(entries__isnull=False).select_related("procedure")
    }
    assert at_the_bench >= {
        ("Rebuild, emulsion", "done"), ("Rebuild, IFP in the body", "in work"), ("Inspection", "done"),
    }  # fmt: skip
    assert not Job.objects.filter(procedure__isnull=True).exists()
    states = dict.fromkeys(Job.objects.values_list("state", flat=True))
    assert set(states) == {"planned", "in work", "stopped", "done"}
    assert Job.objects.filter(outcome="unsafe", is_open=True).count() == 1
    assert Entry.objects.filter(out_of_order=True).count() == 0
    assert {person.login_name for person in Person.objects.all() if person.has_usable_password()} == {
        person.login for person in names.PEOPLE if person.shown
    }
    with pytest.raises(Refused, match="not empty"):
        load(seed=1, today=TODAY)


@pytest.mark.django_db
def test_a_start_that_is_cut_off_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen to fail while the loader was many transactions: half a shop stayed and a second start refused."""

    def lost(*_args: object, **_kwargs: object) -> None:
        raise OSError("the power failed")

    monkeypatch.setattr("shopapp.demo.load.load_customers", lost)
    with pytest.raises(OSError, match="power"):
        load(seed=1187, today=TODAY)
    assert not Shop.objects.exists() and not Person.objects.exists()


@pytest.mark.django_db
def test_a_demo_sheet_of_impossible_figures_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """An IFP in the body that would meet its cap at full bump is no sheet, invented or not."""
    sheet = next(one for one in sheets.SHEETS if one.model == "K18")
    shallow = replace(sheet, figures={**sheet.figures, "ifp depth": ("5/8 in", "11/16 in", "3/4 in")})
    monkeypatch.setattr(sheets, "SHEETS", (shallow,))
    with pytest.raises(Refused, match="cap"):
        load(seed=1187, today=TODAY)


def test_nothing_in_the_demo_could_reach_anybody() -> None:
    for customer in names.CUSTOMERS:
        assert customer.phone.startswith("555-01"), customer.name
    assert names.SHOP["phone"].startswith("555-01") and names.SHOP["email"].endswith("@example.com")
    serials = [serial for customer in names.CUSTOMERS for _model, serial, _place in customer.dampers]
    assert len(serials) == len(set(serials)) == 38
