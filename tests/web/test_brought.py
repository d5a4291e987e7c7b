"""What is brought: signed for by name or by hand, and shown in pictures that a refused sheet does not lose.

Seen red, each test by a break of its own: the signature kept only where there are strokes, its strokes dropped, a
name made up where nobody signed, strokes let through without a name, outside the line, as broken JSON, as no list, as
a dot; terms accepted in other words; pictures not handed on, not counted in the act, not found by the receiving act,
found whatever act took them, moved up by a blank row; the signed word emptied, taken from anybody, not left out when
asked; another call for each sending; sixty pictures a damper; a refusal of a picture passed over; swept files taken
for kept ones; a sweep that waits for twenty days.
"""

from __future__ import annotations

import datetime as dt
import html
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core import signing
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from shopapp.bench.models import Picture
from shopapp.bench.queries.pictures import shots_of
from shopapp.bench.services import pictures
from shopapp.dampers.models import DamperModel
from shopapp.due.models import Signature
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import orphans
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from shopapp.web.exports import order_document
from tests.drawn_pictures import a_jpeg
from tests.web.exported import faults
from tests.web.test_new_order import URL, said

pytestmark = pytest.mark.django_db
HAND = [[[100, 200], [220, 80], [300, 230]], [[420, 160], [600, 150]]]


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


def shot(shade: int = 0, name: str = "leak.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, a_jpeg(shade=shade), content_type="image/jpeg")


def word_of(response: Any, row: int = 1) -> str:
    """Give the signed word by which a page carries the pictures of a row."""
    (tag,) = re.findall(rf'<input[^>]*name="r{row}_kept"[^>]*>', response.content.decode())
    found = re.search(r'value="([^"]*)"', tag)
    return html.unescape(found[1]) if found else ""


class TestSigned:
    """Under what is brought and the terms."""

    def test_the_typed_name_does_alone(self, client: Client, sheet: dict[str, str], desk: Person) -> None:
        assert client.post(URL, sheet | {"signed": "Wyn Dallimore"}).status_code == 302
        row = Signature.objects.get()
        assert (row.what, row.name, row.strokes, row.by) == ("brought", "Wyn Dallimore", [], desk)
        act = Act.objects.get(verb="take_in")
        assert row.act == act and "Dallimore" not in str(act.result) + str(act.changed)
        page = said(client.get("/orders/1001"))
        assert "Wyn Dallimore" in page and "brought, " in page
        client.post("/orders/1001/receipt", {"act_key": new_key()})
        assert ["Signed by", "Wyn Dallimore"] in Paper.objects.get().figures["agreed"]

    def test_a_hand_on_the_glass_is_kept_beside_it(self, client: Client, sheet: dict[str, str]) -> None:
        signed = {"signed": "Wyn Dallimore", "written": json.dumps(HAND)}
        assert client.post(URL, sheet | signed).status_code == 302
        assert Signature.objects.get().strokes == HAND
        assert "M100 200L220 80L300 230M420 160L600 150" in client.get("/orders/1001").content.decode()

    def test_nobody_has_to_sign(self, client: Client, sheet: dict[str, str]) -> None:
        assert client.post(URL, sheet | {"signed": "  "}).status_code == 302
        assert not Signature.objects.exists()

    def test_strokes_want_a_name_and_a_refused_sheet_keeps_them(
        self, client: Client, sheet: dict[str, str]
    ) -> None:
        response = client.post(URL, sheet | {"written": json.dumps(HAND)})
        assert response.status_code == 422 and "Type the name of who signed, too." in said(response)
        assert html.escape(json.dumps(HAND)) in response.content.decode()
        assert not WorkOrder.objects.exists()

    @pytest.mark.parametrize("hostile", ["{", "[[[1,2],[3000,4]]]", '"x"', "9" * 130_000, "[[[1,1]]]"])
    def test_what_is_no_signature_is_a_sentence(
        self, client: Client, sheet: dict[str, str], hostile: str
    ) -> None:
        assert client.post(URL, sheet | {"signed": "W", "written": hostile}).status_code == 422
        assert not WorkOrder.objects.exists()

    def test_who_signs_accepts_the_terms_so(
        self, client: Client, sheet: dict[str, str], std: dict[str, Any]
    ) -> None:
        orders.issue_terms(text="Pay on collection.", since=dt.date(2026, 1, 1), call=Call.fresh(), **std)
        page = said(client.get(URL))
        assert "Terms, issue 1, accepted" in page and "Pay on collection." in page
        assert client.post(URL, sheet | {"terms_accepted": "on", "signed": "Wyn"}).status_code == 302
        order = WorkOrder.objects.select_related("terms").get()
        assert (order.terms.version, order.terms_accepted_how) == (1, "signed at the counter")


class TestPictures:
    """Kept on the disk with the first sending; the act makes them the job's."""

    def test_they_come_with_the_order_and_show_how_it_came(
        self, client: Client, sheet: dict[str, str], std: dict[str, Any]
    ) -> None:
        sent = sheet | {"r1_pictures": [shot(1), shot(2)]}
        assert client.post(URL, sent).status_code == 302
        job = Job.objects.get()
        rows = Picture.objects.filter(job=job).order_by("pk")
        assert len(rows) == 2 and {row.act.verb for row in rows} == {"take_in"}
        assert Act.objects.get(verb="take_in").result["pictures"] == 2
        page = client.get("/orders/1001").content.decode()
        assert all(f"/pictures/{row.pk}" in page for row in rows) and "Pictures of job 1" in page
        assert {(one.caption, one.stage) for one in shots_of([job])} == {("oil at the wiper", "receive")}
        document = order_document(job.order, shop=None, at=std["at"])
        assert faults(document) == []
        assert len(document["order"]["jobs"][0]["pictures_as_received"]) == 2

    def test_they_stand_in_the_order_in_which_they_were_chosen(
        self, client: Client, sheet: dict[str, str]
    ) -> None:
        """Seen red with all of one moment: then their keys, which are drawn, said which came first."""
        shades = [0, 30, 60, 90, 120, 150]
        first = sheet | {"r1_pictures": [shot(shade) for shade in shades]}
        second = sheet | {
            "r1_tag": "S-9",
            "act_key": new_key(),
            "r1_pictures": [shot(s) for s in shades[::-1]],
        }
        for sent in (first, second):
            assert client.post(URL, sent).status_code == 302
        one, other = ([shot.sha256 for shot in shots_of([job])] for job in Job.objects.order_by("pk"))
        assert len(set(one)) == 6 and other == one[::-1]

    def test_a_refused_sheet_and_a_look_up_keep_them(self, client: Client, sheet: dict[str, str]) -> None:
        looked = client.post(URL, sheet | {"look_up": "1", "r1_pictures": [shot(1)]})
        assert "1 picture kept" in said(looked)
        refused = client.post(
            URL, sheet | {"new_name": "", "r1_kept": word_of(looked), "r1_pictures": [shot(2)]}
        )
        assert refused.status_code == 422 and "2 pictures kept" in said(refused)
        assert not Picture.objects.exists() and not WorkOrder.objects.exists()
        assert client.post(URL, sheet | {"r1_kept": word_of(refused)}).status_code == 302
        assert Picture.objects.filter(job=Job.objects.get()).count() == 2

    def test_sent_twice_they_are_there_once(self, client: Client, sheet: dict[str, str]) -> None:
        first = client.post(URL, sheet | {"r1_pictures": [shot(1)]})
        again = client.post(URL, sheet | {"r1_pictures": [shot(1)]})
        assert first["Location"] == again["Location"] and Picture.objects.count() == 1

    def test_each_row_has_its_own_and_a_blank_one_shifts_none(
        self, client: Client, sheet: dict[str, str], model: DamperModel
    ) -> None:
        rows = {"r3_tag": "S-3", "r3_model": str(model.pk), "r3_pictures": [shot(3)]}
        assert client.post(URL, sheet | rows).status_code == 302
        assert Picture.objects.get().job == Job.objects.get(damper__serial="S-3")

    def test_they_may_be_left_out_again(self, client: Client, sheet: dict[str, str]) -> None:
        looked = client.post(URL, sheet | {"look_up": "1", "r1_pictures": [shot(1)]})
        again = client.post(URL, sheet | {"look_up": "1", "r1_kept": word_of(looked), "r1_drop": "on"})
        assert word_of(again) == "" and "picture kept" not in said(again)

    def test_at_most_six_a_damper(self, client: Client, sheet: dict[str, str]) -> None:
        response = client.post(URL, sheet | {"r1_pictures": [shot(n) for n in range(7)]})
        assert response.status_code == 422 and "At most 6 pictures a damper." in said(response)
        assert "6 pictures kept" in said(response)
        assert client.post(URL, sheet | {"r1_kept": word_of(response)}).status_code == 302
        assert Picture.objects.count() == 6

    def test_what_is_no_picture_is_a_sentence_and_the_good_one_stays(
        self, client: Client, sheet: dict[str, str]
    ) -> None:
        bad = SimpleUploadedFile("x.jpg", b"<script>alert(1)</script>", content_type="image/jpeg")
        for asked, status in (({"look_up": "1"}, 200), ({}, 422)):
            bad.seek(0)
            response = client.post(URL, sheet | asked | {"r1_pictures": [shot(1), bad]})
            assert response.status_code == status
            assert "Pictures are taken as JPEG, PNG or WebP." in said(response)
            assert "1 picture kept" in said(response)
        assert not WorkOrder.objects.exists()

    @pytest.mark.parametrize("word", ["x", "1:2:3", "\0", "é" * 500, "other salt", "no picture"])
    def test_a_word_that_is_not_ours_is_a_sentence(
        self, client: Client, sheet: dict[str, str], word: str
    ) -> None:
        made = {
            "other salt": signing.dumps([], salt="other", compress=True),
            "no picture": signing.dumps([{"x": 1}], salt="shopapp.web.intake_pictures", compress=True),
        }
        for asked, status in (({"look_up": "1"}, 200), ({}, 422)):
            response = client.post(URL, sheet | asked | {"r1_kept": made.get(word, word)})
            assert response.status_code == status
            assert "The pictures lay too long. Choose them again." in said(response)

    def test_files_that_were_swept_meanwhile_are_asked_for_again(
        self, client: Client, sheet: dict[str, str]
    ) -> None:
        looked = client.post(URL, sheet | {"look_up": "1", "r1_pictures": [shot(1)]})
        files = [path for path in Path(settings.MEDIA_ROOT).rglob("*.jpg") if path.is_file()]
        assert len(files) == 1
        assert orphans.sweep(at=dt.datetime.now(dt.UTC) + dt.timedelta(days=3)) == 1
        response = client.post(URL, sheet | {"r1_kept": word_of(looked)})
        assert response.status_code == 422 and "Choose them again." in said(response)
        assert not WorkOrder.objects.exists()

    def test_what_no_order_names_is_swept_and_what_one_names_stays(
        self, client: Client, sheet: dict[str, str]
    ) -> None:
        client.post(URL, sheet | {"look_up": "1", "r1_pictures": [shot(1)]})
        assert client.post(URL, sheet | {"r1_pictures": [shot(2)]}).status_code == 302
        assert orphans.sweep(at=dt.datetime.now(dt.UTC) + dt.timedelta(days=3)) == 1
        assert client.get(f"/pictures/{Picture.objects.get().pk}").status_code == 200

    def test_a_benchs_picture_that_no_entry_shows_is_not_how_it_came(
        self, client: Client, sheet: dict[str, str], technician: Person, std: dict[str, Any]
    ) -> None:
        assert client.post(URL, sheet).status_code == 302
        job = Job.objects.get()
        made = pictures.develop(shot(5))
        row = Picture(job=job, stored_at=std["at"])
        pictures.keep_picture(
            job=job, pk=row.pk, developed=made, by=technician, at=std["at"], call=Call.fresh()
        )
        assert shots_of([job]) == []
