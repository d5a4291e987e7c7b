"""Pictures at the bench: kept once each, shown by an entry of a step or of a finding, given out by right."""

from __future__ import annotations

import json
import random
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.models import Entry, EntryPicture, Picture
from shopapp.bench.queries import pictures as shown
from shopapp.bench.services.entry_in import PictureIn, read_entry
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop import uploads
from shopapp.shop.services.acts import Refused
from tests.bench.make import Bench
from tests.conftest import NOW, drawn
from tests.drawn_pictures import NO_PICTURES, a_jpeg, small_file_large_picture

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]
CODE = "receive-pictures"


def post(
    client: Client, of: Job, content: bytes, pk: uuid.UUID | str | None = None, **more: Any
) -> HttpResponse:
    """Hand a file in as the tablet does."""
    file = SimpleUploadedFile(more.pop("name", "IMG_0001.jpg"), content, "image/jpeg")
    return client.post("/bench/pictures", {"id": str(pk or uuid.uuid4()), "job": of.pk, "file": file} | more)


def kept(bench: Bench, client: Client, *, job: Job | None = None, shade: int = 1) -> uuid.UUID:
    """Keep a picture; give its id."""
    pk = uuid.uuid4()
    response = post(client, job or bench.job, a_jpeg(shade=shade), pk)
    assert response.json() == {"id": str(pk), "state": "stored"}, response.content
    return pk


def take(bench: Bench, client: Client, *captions: str, code: str = CODE, **given: Any) -> Entry:
    """Take pictures with these captions and record them."""
    rows = tuple(PictureIn(kept(bench, client, shade=n), words) for n, words in enumerate(captions, 1))
    return bench.do(code, "picture", pictures=rows, **given)


def find(bench: Bench, **given: Any) -> Entry:
    said = {"part": "rod", "words": "pitted", "advice": "replace", "answer": "should"} | given
    return bench.do("", "finding", **said)


class TestKeeping:
    """POST /bench/pictures: one file, one id, one row."""

    def test_a_picture_is_kept_with_who_and_on_which_job(self, bench: Bench, client_as: ClientAs) -> None:
        pk = kept(bench, client_as(bench.technician))
        row = Picture.objects.get()
        assert (row.pk, row.job_id, row.by, row.width, row.height) == (
            pk,
            bench.job.pk,
            bench.technician,
            64,
            48,
        )
        assert row.act.verb == "keep_picture" and row.act.subject_id == str(bench.job.pk)

    def test_the_same_twice_is_one_also_by_another_hand(self, bench: Bench, client_as: ClientAs) -> None:
        pk, content = uuid.uuid4(), a_jpeg()
        states = [
            post(client_as(who), bench.job, content, pk).json()["state"]
            for who in (bench.technician, bench.technician, bench.owner)
        ]
        assert states == ["stored", "stored before", "stored before"]
        assert Picture.objects.count() == 1

    def test_another_picture_under_the_same_id_is_refused(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        pk = kept(bench, client)
        response = post(client, bench.job, a_jpeg(shade=99), pk)
        assert response.status_code == 409 and response.json()["error"].endswith(".")
        assert Picture.objects.count() == 1

    def test_two_alike_share_their_file(self, bench: Bench, client_as: ClientAs, settings: Any) -> None:
        client = client_as(bench.technician)
        kept(bench, client)
        kept(bench, client, job=bench.other)
        assert len({row.place for row in Picture.objects.all()}) == 1
        assert len([p for p in Path(settings.MEDIA_ROOT).rglob("*") if p.is_file()]) == 1

    @pytest.mark.parametrize("what", drawn(sorted(NO_PICTURES), 4))
    def test_what_is_no_picture_is_a_sentence(self, bench: Bench, client_as: ClientAs, what: str) -> None:
        response = post(client_as(bench.technician), bench.job, NO_PICTURES[what])
        assert response.status_code == 422, response.content
        assert response.json()["error"].endswith((".", "itself."))
        assert not Picture.objects.exists()

    def test_too_many_pixels_are_a_sentence(self, bench: Bench, client_as: ClientAs) -> None:
        response = post(client_as(bench.technician), bench.job, small_file_large_picture(7000, 7000))
        assert (response.status_code, "24 megapixels" in response.json()["error"]) == (422, True)

    def test_too_many_bytes_are_a_sentence(
        self, bench: Bench, client_as: ClientAs, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Seen red without the handler: the file is read whole."""
        monkeypatch.setattr(uploads, "MOST_BYTES", 3000)
        response = post(client_as(bench.technician), bench.job, a_jpeg() + b"\0" * 4000)
        assert (response.status_code, "20 MB" in response.json()["error"]) == (413, True)

    @pytest.mark.parametrize(
        "wrong",
        [
            {"id": "x"}, {"id": ""}, {"job": "0"}, {"job": "9" * 30}, {"job": "x"}, {"job": "999983"},
            {"id": "\0"}, {"job": "٣٤"}, {"file": "words"}, {"name": "../../etc/passwd\0.jpg"}, {"name": "W" * 4000},
        ],
    )  # fmt: skip
    def test_a_form_that_is_none_is_a_sentence(
        self, bench: Bench, client_as: ClientAs, wrong: dict[str, str]
    ) -> None:
        response = post(client_as(bench.technician), bench.job, a_jpeg(), **wrong)
        if response.status_code == 200:
            assert "name" in wrong  # the name that a tablet gives a file is not looked at and not kept
            return
        assert response.status_code == 422 and response.json()["error"].endswith(".")

    def test_nothing_at_all_is_a_sentence(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        assert client.post("/bench/pictures").status_code == 422
        broken = client.generic("POST", "/bench/pictures", b"--x\r\n", "multipart/form-data; boundary=x")
        assert broken.status_code in (400, 422)

    def test_the_desk_takes_none(self, bench: Bench, client_as: ClientAs) -> None:
        assert post(client_as(bench.desk), bench.job, a_jpeg()).status_code == 403

    def test_a_void_job_has_none(self, bench: Bench, client_as: ClientAs) -> None:
        Job.objects.filter(pk=bench.job.pk).update(state="void", is_open=False)
        assert post(client_as(bench.technician), bench.job, a_jpeg()).status_code == 422


class TestGivingOut:
    """GET: the bytes as kept, to those who may see the damper."""

    def test_the_bytes_come_back_as_they_are_kept(self, bench: Bench, client_as: ClientAs) -> None:
        pk = kept(bench, client_as(bench.technician))
        for who, path in (
            (bench.technician, f"/bench/pictures/{pk}"), (bench.owner, f"/bench/pictures/{pk}"),
            (bench.desk, f"/pictures/{pk}"), (bench.owner, f"/pictures/{pk}"),
        ):  # fmt: skip
            response = client_as(who).get(path)
            assert (response.status_code, response["Content-Type"]) == (200, "image/jpeg"), path
            assert response["X-Content-Type-Options"] == "nosniff"
            assert response.content[:2] == b"\xff\xd8" and len(response.content) == Picture.objects.get().size

    def test_nobody_else_gets_them(self, bench: Bench, client_as: ClientAs) -> None:
        pk = kept(bench, client_as(bench.technician))
        assert client_as(bench.technician).get(f"/pictures/{pk}").status_code == 403
        assert client_as(bench.desk).get(f"/bench/pictures/{pk}").status_code == 403
        assert Client().get(f"/pictures/{pk}").status_code == 302
        assert client_as(bench.desk).get(f"/pictures/{uuid.uuid4()}").status_code == 404

    def test_one_that_is_gone_or_rotten_says_so(
        self, bench: Bench, client_as: ClientAs, settings: Any
    ) -> None:
        pk = kept(bench, client_as(bench.technician))
        path = Path(settings.MEDIA_ROOT) / Picture.objects.get().place
        path.write_bytes(path.read_bytes()[:-1] + b"x")
        response = client_as(bench.desk).get(f"/pictures/{pk}")
        assert response.status_code == 410 and b"changed on the disk" in response.content
        path.unlink()
        response = client_as(bench.desk).get(f"/pictures/{pk}")
        assert response.status_code == 410 and b"backup" in response.content

    def test_a_tablet_that_has_it_is_told_so(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        pk = kept(bench, client)
        tag = client.get(f"/bench/pictures/{pk}")["ETag"]
        assert client.get(f"/bench/pictures/{pk}", headers={"if-none-match": tag}).status_code == 304


class TestAStep:
    """The step kind *picture*."""

    def test_it_stands_by_its_pictures(self, bench: Bench, client_as: ClientAs) -> None:
        row = take(bench, client_as(bench.technician), "tag on the body", "oil at the wiper")
        assert [(p.number, p.caption) for p in row.pictures.all()] == [
            (1, "tag on the body"),
            (2, "oil at the wiper"),
        ]
        assert bench.step(CODE).key in bench.sheet().standing.satisfied

    def test_the_page_gets_them_with_their_words(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        row = take(bench, client, "tag on the body")
        entries = client.get(f"/bench/sheets/{bench.job.pk}/state").json()["entries"]
        pk = str(row.pictures.get().picture_id)
        assert entries[-1]["pictures"] == [{"id": pk, "caption": "tag on the body"}]

    def test_through_the_endpoint(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        step, position = bench.key(CODE)
        body = {
            "id": str(uuid.uuid4()), "job": bench.job.pk, "step": step, "position": position, "kind": "picture",
            "typed_at": bench.at.isoformat(), "counter": 1,
            "pictures": [{"id": str(kept(bench, client)), "caption": "tag"}],
        }  # fmt: skip
        for state in ("stored", "stored before"):
            sent = client.post("/bench/entries", json.dumps({"entries": [body]}), "application/json").json()
            assert [answer["state"] for answer in sent["answers"]] == [state]
        assert EntryPicture.objects.count() == 1

    def test_a_correction_keeps_what_it_names_and_both_stay(self, bench: Bench, client_as: ClientAs) -> None:
        old = take(bench, client_as(bench.technician), "tag", "box")
        first = old.pictures.order_by("number")[0].picture_id
        new = bench.do(CODE, "picture", pictures=(PictureIn(first, "tag on the body"),), replaces=old.pk)
        assert [one.caption for one in shown.shots_of([bench.job])] == ["tag on the body"]
        assert old.pictures.count() == 2 and new.pictures.count() == 1

    def test_it_is_no_work(self, bench: Bench, client_as: ClientAs) -> None:
        bench.unlock("strip")
        bench.do(
            "receive-pictures", "picture", pictures=(PictureIn(kept(bench, client_as(bench.owner)), "tag"),)
        )
        bench.unlock("charge")
        assert "charge" in bench.sheet().standing.open

    def test_a_trainees_pictures_need_no_signature(self, bench: Bench, client_as: ClientAs) -> None:
        Person.objects.filter(pk=bench.technician.pk).update(countersign_needed=True)
        bench.technician.refresh_from_db()
        assert not take(bench, client_as(bench.technician), "tag").to_countersign

    @pytest.mark.parametrize(
        ("pictures", "sentence"),
        [
            ("none", "Take a picture first"),
            ("unknown", "Picture 1 did not reach"),
            ("of another job", "Picture 1 did not reach"),
        ],
    )
    def test_what_is_not_there_is_refused(
        self, bench: Bench, client_as: ClientAs, pictures: str, sentence: str
    ) -> None:
        """Seen red without `_refuse_missing`."""
        rows: tuple[PictureIn, ...] = ()
        if pictures == "unknown":
            rows = (PictureIn(uuid.uuid4(), "tag"),)
        if pictures == "of another job":
            rows = (PictureIn(kept(bench, client_as(bench.owner), job=bench.other), "tag"),)
        with pytest.raises(Refused, match=sentence) as no:
            bench.do(CODE, "picture", pictures=rows)
        assert no.value.field == "pictures"
        assert not Entry.objects.exists()

    def test_nothing_else_is_recorded_there_and_a_picture_nowhere_else(
        self, bench: Bench, client_as: ClientAs
    ) -> None:
        for kind, given in (("do", {}), ("reading", {"text": "3"}), ("choice", {"answer": "x"})):
            with pytest.raises(Refused, match="asks for something else"):
                bench.do(CODE, kind, **given)
        row = (PictureIn(kept(bench, client_as(bench.technician)), "tag"),)
        for code in ("receive-tag", "settings-eyes", "release-zero", "strip-drain"):
            with pytest.raises(Refused, match="asks for something else"):
                bench.do(code, "picture", pictures=row)
        with pytest.raises(Refused, match="Choose the finding"):
            bench.do("", "picture", pictures=row)


STRANGE: dict[str, Any] = {
    "a word": "x", "a number": 7, "an object": {}, "words in a list": ["x"], "no id": [{"caption": "tag"}],
    "a false id": [{"id": "x", "caption": "tag"}], "no caption": [{"id": str(uuid.UUID(int=5))}],
    "a blank caption": [{"id": str(uuid.UUID(int=5)), "caption": "  "}],
    "a long caption": [{"id": str(uuid.UUID(int=5)), "caption": "W" * 121}],
    "half a character": [{"id": str(uuid.UUID(int=5)), "caption": "\ud800"}],
    "a NUL": [{"id": str(uuid.UUID(int=5)), "caption": "a\0"}],
    "a caption that is none": [{"id": str(uuid.UUID(int=5)), "caption": {"a": 1}}],
    "twice the same": [{"id": str(uuid.UUID(int=5)), "caption": "a"}] * 2,
    "too many": [{"id": str(uuid.UUID(int=n)), "caption": "a"} for n in range(13)],
}  # fmt: skip


@pytest.mark.parametrize("what", sorted(STRANGE))
def test_pictures_that_cannot_be_read_are_a_sentence(what: str) -> None:
    body = {
        "id": str(uuid.uuid4()), "job": 1, "step": 1, "kind": "picture", "counter": 1,
        "typed_at": NOW.isoformat(), "pictures": STRANGE[what],
    }  # fmt: skip
    with pytest.raises(Refused) as no:
        read_entry(body)
    assert no.value.sentence.endswith(".")


class TestAFinding:
    """Pictures of a finding: an entry of their own that names it."""

    def test_they_go_with_its_number(self, bench: Bench, client_as: ClientAs) -> None:
        found = find(bench)
        take(bench, client_as(bench.technician), "pits on the rod", code="", about=found.pk)
        (shots,) = shown.of_findings(shown.shots_of([bench.job])).values()
        assert [(one.finding, one.caption) for one in shots] == [(1, "pits on the rod")]

    def test_a_corrected_finding_keeps_them_and_gets_more(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.technician)
        old = find(bench)
        take(bench, client, "pits", code="", about=old.pk)
        new = find(bench, words="pitted and bent", replaces=old.pk)
        take(bench, client, "bend", code="", about=new.pk)
        assert [one.caption for one in shown.of_findings(shown.shots_of([bench.job]))[bench.job.pk, 1]] == [
            "pits",
            "bend",
        ]

    def test_they_may_come_after_the_job_is_closed(self, bench: Bench, client_as: ClientAs) -> None:
        found = find(bench)
        bench.do("", "close", outcome="unrepaired", words="declined")
        row = take(bench, client_as(bench.technician), "pits", code="", about=found.pk)
        assert not row.out_of_order

    def test_of_another_damper_or_of_no_finding_they_are_refused(
        self, bench: Bench, client_as: ClientAs
    ) -> None:
        client = client_as(bench.technician)
        stranger = bench.do(
            "", "finding", part="rod", words="x", advice="none", answer="note", job=bench.other.pk
        )
        note = bench.do("", "note", words="look")
        for about in (stranger.pk, note.pk, uuid.uuid4()):
            with pytest.raises(Refused, match="Choose the finding"):
                take(bench, client, "pits", code="", about=about)

    def test_the_desk_sees_them_on_the_orders_page(self, bench: Bench, client_as: ClientAs) -> None:
        found = find(bench)
        row = take(bench, client_as(bench.technician), "pits <b>", code="", about=found.pk)
        take(bench, client_as(bench.technician), "tag on the body")
        text = client_as(bench.desk).get(f"/orders/{bench.order.number}").content.decode()
        assert f'src="/pictures/{row.pictures.get().picture_id}"' in text
        assert 'alt="pits &lt;b&gt;"' in text
        assert 'alt="tag on the body"' in text

    def test_as_many_queries_for_many_pictures(self, bench: Bench, client_as: ClientAs) -> None:
        desk = client_as(bench.desk)
        path = f"/orders/{bench.order.number}"
        find(bench)

        def count() -> int:
            with CaptureQueriesContext(connection) as seen:
                assert desk.get(path).status_code == 200
            return len(seen)

        take(bench, client_as(bench.technician), "a", code="", about=find(bench).pk)
        before = count()
        for _turn in range(3):
            take(bench, client_as(bench.technician), "a", "b", code="", about=find(bench).pk)
        assert count() == before


@pytest.mark.parametrize(
    "words", drawn(["<script>alert(1)</script>", "\"'><img src=x>", "W" * 120, "‮abc", "💧"], 2)
)
def test_hostile_captions_stay_words(
    bench: Bench, client_as: ClientAs, words: str, rng: random.Random
) -> None:
    client = client_as(bench.technician)
    take(bench, client, words, code="", about=find(bench).pk)
    page = client.get(f"/bench/sheets/{bench.job.pk}").content.decode()
    order = client_as(bench.desk).get(f"/orders/{bench.order.number}").content.decode()
    assert "<script>alert" not in page + order and "<img src=x" not in page + order
