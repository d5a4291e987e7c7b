"""Which broken constraints mean "recorded at the same moment": those two alone; all else is logged and raised on.

Seen red: with `at_one_place` saying yes to everything.
"""

from __future__ import annotations

import uuid
from types import SimpleNamespace

import pytest
from django.db import IntegrityError, transaction

from shopapp.bench import receiving
from shopapp.bench.models import Entry
from shopapp.bench.services import recording
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def copied(row: Entry, **other: object) -> IntegrityError:
    """Give what the database says to a copy of an entry with other values."""
    kept = {field.attname: getattr(row, field.attname) for field in Entry._meta.concrete_fields}
    kept |= {"id": uuid.uuid4(), "counter": 9_000, "replaces_id": None} | other
    with pytest.raises(IntegrityError) as broken, transaction.atomic():
        Entry.objects.create(**kept)
    return broken.value


def test_one_number_and_one_correction_each_are_told_from_all_else(bench: Bench) -> None:
    row = bench.do("receive-tag", "do")
    fix = bench.do("receive-tag", "do", replaces=row.pk)
    assert receiving.at_one_place(copied(row, counter=row.counter))
    assert receiving.at_one_place(copied(fix, replaces_id=row.pk))
    assert not receiving.at_one_place(copied(row, kind="of no kind"))
    assert not receiving.at_one_place(copied(row, id=row.pk))


@pytest.mark.parametrize(
    ("name", "meant"),
    [(name, True) for name in receiving.ONE_PLACE] + [("entry_kind_known", False), ("shopapp_act_key_key", False)],
)  # fmt: skip
def test_postgresql_names_the_constraint(name: str, meant: bool) -> None:
    broken = IntegrityError("duplicate key value violates unique constraint")
    broken.__cause__ = type("Broken", (Exception,), {"diag": SimpleNamespace(constraint_name=name)})()
    assert receiving.at_one_place(broken) is meant


@pytest.mark.parametrize(
    "words", ["UNIQUE constraint failed: shopapp_entry.id", "CHECK constraint failed: entry_kind_known", ""]
)
def test_sqlite_lists_the_columns(words: str) -> None:
    assert not receiving.at_one_place(IntegrityError(words))


def test_what_is_not_meant_is_logged_and_raised_on(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    step, position = bench.key("receive-tag")
    body = {
        "id": str(uuid.uuid4()), "job": bench.job.pk, "kind": "do", "step": step, "position": position,
        "typed_at": bench.at.isoformat(), "counter": 1,
    }  # fmt: skip
    posted = receiving.Posted([body], 0)

    def breaks(words: str) -> None:
        def store(_recording: object) -> Entry:
            raise IntegrityError(words)

        monkeypatch.setattr(recording, "_store", store)

    breaks("UNIQUE constraint failed: shopapp_entry.replaces_id")
    (answer,) = receiving.take(posted, by=bench.technician, device=bench.device, at=bench.at)["answers"]
    assert (answer["state"], "at this moment" in answer["sentence"]) == ("refused", True)
    assert not caplog.records
    breaks("CHECK constraint failed: entry_kind_known")
    with pytest.raises(IntegrityError, match="entry_kind_known"):
        receiving.take(posted, by=bench.technician, device=bench.device, at=bench.at)
    assert "broke a rule of the database" in caplog.text
