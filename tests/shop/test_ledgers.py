"""Ledgers refuse UPDATE and DELETE on this database; the triggers can be read back and laid again."""

from __future__ import annotations

import datetime as dt

import pytest
from django.apps import apps
from django.core.checks import run_checks
from django.db import DatabaseError, connection, transaction

from shopapp.people.models import Person
from shopapp.shop import ledgers
from shopapp.shop.fields import AppendOnly
from shopapp.shop.models import Act

pytestmark = pytest.mark.django_db


def test_registry_names_every_append_only_model() -> None:
    marked = {model._meta.db_table for model in apps.get_models() if issubclass(model, AppendOnly)}
    assert marked == set(ledgers.APPEND_ONLY)


@pytest.mark.parametrize("verb", ["update", "delete"])
def test_a_ledger_refuses(owner: Person, now: dt.datetime, verb: str) -> None:
    act = Act.objects.get(verb="add_person")
    with pytest.raises(DatabaseError, match="ledger"), transaction.atomic():
        if verb == "update":
            Act.objects.filter(pk=act.pk).update(verb="x")
        else:
            Act.objects.filter(pk=act.pk)._raw_delete("default")
    assert Act.objects.get(pk=act.pk).verb == "add_person"


def test_every_trigger_is_in_place_and_its_loss_is_seen() -> None:
    assert not [e for e in run_checks(databases=["default"]) if e.id == "shop.E001"]
    ledgers.lift(connection)
    missing = [e for e in run_checks(databases=["default"]) if e.id == "shop.E001"]
    assert len(missing) == len(ledgers.triggers(connection))
    ledgers.lay(connection)
    assert not [e for e in run_checks(databases=["default"]) if e.id == "shop.E001"]
