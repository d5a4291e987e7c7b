"""A written line beside the typed name: strokes are numbers, kept with the act and drawn by us, or a sentence."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from shopapp.drawings.signature import signature
from shopapp.due import strokes
from shopapp.due.models import Signature
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Refused
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_findings import agree, find

As = Callable[[Person], Client]
HAND = [[[100, 200], [220, 80], [300, 230]], [[420, 160], [600, 150]]]
WRITTEN = json.dumps(HAND)


def close(found: Bench) -> None:
    found.do("", "close", outcome="unrepaired", words="declined")


def give(client: Client, found: Bench, **more: Any) -> HttpResponse:
    sent = {"jobs": [found.job.pk], "to_whom": "Wyn Dallimore", "act_key": new_key()} | more
    return client.post(reverse("hand-over", args=[found.order.number]), sent)


@pytest.mark.django_db
class TestHandingOver:
    """The form of handing over takes a signature; the typed name does alone."""

    def test_the_name_alone_does(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        close(bench)
        assert give(client_as(bench.desk), bench).status_code == 302
        assert not bench.fresh().is_open and not Signature.objects.exists()

    def test_what_was_written_is_kept_with_the_act(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        close(bench)
        assert give(client_as(bench.desk), bench, written=WRITTEN).status_code == 302
        row = Signature.objects.get()
        assert (row.what, row.name, row.strokes, row.by) == ("fetched", "Wyn Dallimore", HAND, bench.desk)
        act = Act.objects.get(verb="hand_over_jobs")
        assert row.act == act and "Dallimore" not in str(act.result) + str(act.changed)

    def test_the_statement_has_a_line_of_its_own(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        agree(bench, find(bench), yes=False, amount=None)
        close(bench)
        client = client_as(bench.desk)
        assert give(client, bench, signed="", signed_written=WRITTEN).status_code == 422
        assert not Signature.objects.exists()
        sent = {"signed": "W. Dallimore", "signed_written": WRITTEN, "written": WRITTEN}
        assert give(client, bench, **sent).status_code == 302
        told = {row.what: row.name for row in Signature.objects.all()}
        assert told == {"unsafe": "W. Dallimore", "fetched": "Wyn Dallimore"}

    def test_the_page_draws_it_from_its_numbers(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        close(bench)
        client = client_as(bench.desk)
        hostile = '"><script>alert(1)</script>'
        give(client, bench, written=WRITTEN, to_whom=hostile)
        page = client.get(reverse("order", args=[bench.order.number])).content.decode()
        assert "M100 200L220 80L300 230M420 160L600 150" in page
        assert "<script>alert" not in page and "received: &quot;&gt;&lt;script&gt;" in page

    def test_a_refused_form_keeps_what_was_written(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        close(bench)
        response = give(client_as(bench.desk), bench, written=WRITTEN, to_whom=" ")
        assert response.status_code == 422
        page = response.content.decode()
        assert f'value="{WRITTEN}"' in page and "js/signature.js" in page
        assert 'data-beside="id_to_whom"' in page

    def test_bad_strokes_are_a_sentence_and_nothing_is_handed_over(
        self,
        bench: Bench,  # noqa: F811
        client_as: As,
    ) -> None:
        close(bench)
        response = give(client_as(bench.desk), bench, written='[["<script>alert(1)</script>"]]')
        page = response.content.decode()
        assert response.status_code == 422 and "did not arrive whole" in page
        assert "<script>alert" not in page and bench.fresh().is_open

    def test_it_is_never_changed(self, bench: Bench, client_as: As) -> None:  # noqa: F811
        close(bench)
        give(client_as(bench.desk), bench, written=WRITTEN)
        for change in (
            lambda: Signature.objects.update(name="Somebody else"),
            lambda: Signature.objects.all().delete(),
        ):
            with pytest.raises(DatabaseError), transaction.atomic():
                change()


BAD: dict[str, str] = {
    "words": "W. Dallimore", "half": '[[[1,2],[3', "an object": "{}", "a number": "7", "text in it": '[["a"]]',
    "markup": "<svg onload=alert(1)>", "a path": '[["M0 0L9 9"]]', "three to a point": "[[[1,2,3]]]",
    "out to the left": "[[[-1,5],[500,5]]]", "out to the right": "[[[0,5],[1001,5]]]",
    "too deep": "[[[0,0],[900,301]]]",
    "fractions": "[[[0.5,1],[900,1]]]", "true": "[[[true,1],[900,1]]]", "nothing": "[[null]]", "empty stroke": "[[]]",
    "not a number": "[[[NaN,1],[900,1]]]", "infinity": "[[[Infinity,1]]]", "10 to the 30": "[[[1e30,1],[900,1]]]",
    "too many strokes": json.dumps([[[0, 0], [900, 0]]] * 151),
    "too many points": json.dumps([[[0, 0], [900, 0]] * 100] * 40),
    "a megabyte": json.dumps([[[0, 0], [900, 0]] * 60_000]), "nested": "[" * 50_000, "a NUL": "[[[0,0],[9\0,1]]]",
}  # fmt: skip


@pytest.mark.parametrize("what", sorted(BAD))
def test_what_is_no_signature_is_a_sentence(what: str) -> None:
    with pytest.raises(Refused) as no:
        strokes.read(BAD[what], field="written")
    assert no.value.sentence.endswith(".") and no.value.field == "written"


@pytest.mark.parametrize("text", ["", "  ", "[]"])
def test_a_line_that_nobody_wrote_on_is_empty(text: str) -> None:
    assert strokes.read(text) == []


def test_a_dot_is_no_signature() -> None:
    """Seen red without the least length."""
    for dots in ([[[500, 150]]], [[[500, 150], [520, 155]], [[530, 150]]]):
        with pytest.raises(Refused, match="a dot"):
            strokes.read(json.dumps(dots))


def test_whatever_is_read_is_drawn_and_nothing_else_stands_in_it(rng: random.Random) -> None:
    for _turn in range(60):
        hand = [
            [[rng.randrange(1001), rng.randrange(301)] for _point in range(rng.randrange(1, 30))]
            for _stroke in range(rng.randrange(1, 9))
        ]
        try:
            read = strokes.read(json.dumps(hand))
        except Refused:
            continue
        svg = signature([[(x, y) for x, y in stroke] for stroke in read], label='"><b>')
        assert set(svg.split(' d="')[1].split('"')[0]) <= set("ML 0123456789")
        assert "<b>" not in svg and svg.count("<path") == 1
