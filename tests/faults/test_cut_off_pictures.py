"""A picture cut off at each SQL statement: a row with its file, or neither row; the file alone is swept later."""

from __future__ import annotations

import datetime as dt
import io
import os
import time
import uuid
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client

from shopapp.bench.models import EntryPicture, Picture
from shopapp.bench.services import pictures, record_entry
from shopapp.bench.services.entry_in import PictureIn
from shopapp.orders.models import Job
from shopapp.papers import orphans, store
from shopapp.papers.models import PaperFile
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench
from tests.drawn_pictures import a_jpeg
from tests.faults.cutting import Cut, cut_at_each_statement, everything
from tests.faults.racing import race
from tests.faults.whole_shop import all_the_way, make_shop

pytestmark = pytest.mark.django_db(transaction=True)


def files() -> set[str]:
    root = Path(settings.MEDIA_ROOT)
    return {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()}


def keeping(bench: Bench, pk: uuid.UUID, content: bytes) -> Any:
    call = Call(key=pictures.picture_key(pk), device=bench.device, request_hash="x")

    def keep() -> Picture:
        developed = pictures.develop(io.BytesIO(content))
        return pictures.keep_picture(
            job=bench.job, pk=pk, developed=developed, by=bench.technician, at=bench.at, call=call
        )

    return keep


def test_a_picture_and_its_entry_are_stored_whole_or_not_at_all() -> None:
    """Seen red without the acts' one transaction. The bytes come first: cut after them, there is a file and no row."""
    bench = make_shop()
    keep = keeping(bench, uuid.uuid4(), a_jpeg())

    assert cut_at_each_statement(keep) >= 3
    row = Picture.objects.get()
    assert {row.place} == files()
    shown = bench.entry("receive-pictures", "picture", pictures=(PictureIn(row.pk, "tag"),))

    def record() -> None:
        record_entry(
            job=Job(pk=shown.job), entry=shown, by=bench.technician, at=bench.at, call=Call.once("shown")
        )

    assert cut_at_each_statement(record) >= 5
    assert EntryPicture.objects.get().picture == row


def test_the_same_picture_many_times_at_once_is_one() -> None:
    bench = make_shop()
    ends = race([keeping(bench, uuid.uuid4(), a_jpeg())] * 12)
    assert Counter(type(end).__name__ for end in ends) == {"Picture": 1, "AlreadyDone": 11}
    assert Picture.objects.count() == 1 and len(files()) == 1


def grown_old() -> None:
    """Make every file that is there five days old."""
    for place in files():
        path = Path(settings.MEDIA_ROOT) / place
        at = time.time() - 5 * 86_400
        os.utime(path, (at, at))


@pytest.mark.full
def test_only_what_no_row_names_and_is_old_is_swept() -> None:
    """Seen red without the registry's look-up (papers and pictures go). Its age is looked at twice."""
    all_the_way()
    named = {row.place for row in Picture.objects.all()} | {row.place for row in PaperFile.objects.all()}
    assert named == files() and len(named) == 3
    store.put(a_jpeg(shade=77), suffix=".jpg")
    now = dt.datetime.now(dt.UTC)
    assert orphans.sweep(at=now) == 0
    grown_old()
    assert orphans.sweep(at=now) == 1
    assert files() == named
    assert orphans.sweep(at=now) == 0


def test_a_file_that_is_handed_in_again_is_young() -> None:
    """Seen red without the touch in `store.put`."""
    store.put(a_jpeg(), suffix=".jpg")
    grown_old()
    store.put(a_jpeg(), suffix=".jpg")
    assert orphans.sweep(at=dt.datetime.now(dt.UTC)) == 0


def test_one_that_gets_its_row_while_it_is_put_aside_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen red where the second look is left out."""
    bench = make_shop()
    content = a_jpeg()
    pictures.develop(io.BytesIO(content))
    grown_old()
    ask = orphans._named
    asked = []

    def and_then_somebody_keeps_it(places: Any) -> set[str]:
        asked.append(places)
        found = ask(places)
        if len(asked) == 1:
            Picture.objects.create(
                job=bench.job, sha256=(found_at := pictures.develop(io.BytesIO(content))).sha256,
                place=found_at.place, size=found_at.size, width=1, height=1, by=bench.desk, stored_at=bench.at,
                act=Act.objects.earliest("at"),
            )  # fmt: skip
        return found

    monkeypatch.setattr(orphans, "_named", and_then_somebody_keeps_it)
    assert orphans.sweep(at=dt.datetime.now(dt.UTC)) == 0
    assert {row.place for row in Picture.objects.all()} == files()


@pytest.mark.full
def test_what_a_sweep_that_was_cut_off_left_aside_comes_back() -> None:
    """Seen red without `_bring_back`: a picture is lost."""
    all_the_way()
    before = files()
    place = Path(settings.MEDIA_ROOT) / Picture.objects.get().place
    place.rename(place.with_name(place.name + orphans.ASIDE))
    grown_old()
    assert orphans.sweep(at=dt.datetime.now(dt.UTC)) == 0
    assert files() == before


def test_an_intake_cut_off_between_the_bytes_and_the_order_leaves_a_file_and_no_row() -> None:
    """A desk's sheet: pictures reach the disk first. Sent again all is there; never sent again, the file is swept.

    Seen red without the acts' one transaction (customer and damper stayed); with nothing swept.
    """
    bench = make_shop()
    client = Client(raise_request_exception=False)
    client.force_login(bench.desk)
    before = everything()
    sent = {
        "act_key": "k" * 32, "new_name": "Cobble Hollow Racing", "new_kind": "firm", "comes_by": "counter",
        "leaves_by": "counter", "meter_kind": "reading", "work": str(bench.job.work_type_id), "r1_tag": "N-77",
        "r1_model": str(bench.job.damper.model_id),
    }  # fmt: skip

    def cut(execute: Any, sql: str, *more: Any) -> Any:
        if "shopapp_workorder" in sql and sql.startswith("INSERT"):
            raise Cut(sql)
        return execute(sql, *more)

    with connection.execute_wrapper(cut):
        answer = client.post("/orders/new", sent | {"r1_pictures": shot()})
    assert answer.status_code == 500
    assert everything() == before and len(files()) == 1
    assert [str(one) for one in books.differences()] == []
    grown_old()
    assert orphans.sweep(at=dt.datetime.now(dt.UTC)) == 1 and files() == set()
    assert client.post("/orders/new", sent | {"r1_pictures": shot()}).status_code == 302
    assert {Picture.objects.get().place} == files()


def shot() -> SimpleUploadedFile:
    return SimpleUploadedFile("leak.jpg", a_jpeg(), content_type="image/jpeg")
