"""A damper with a declined unsafe finding leaves the shop: uncharged, under its statement, with a name under that."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.due import services as due
from shopapp.due.forms import HandOverForm
from shopapp.orders.models import Job, Remark
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_findings import agree, find

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def decline_and_close(found: Bench) -> None:
    found.through("ifp-proof-rod")
    agree(found, find(found), yes=False, amount=None)
    found.do("", "close", outcome="uncharged", words="declined")


def give(found: Bench, signed: str = "") -> list[Job]:
    return due.hand_over_jobs(
        order=found.order, jobs=[found.job], to_whom="Wyn Dallimore", signed=signed, by=found.desk, at=found.at,
        call=Call.fresh(),
    )  # fmt: skip


@pytest.mark.parametrize("signed", ["", "   "])
def test_without_a_name_under_the_statement_it_stays(bench: Bench, signed: str) -> None:  # noqa: F811
    """Seen red with the signature not asked for."""
    decline_and_close(bench)
    with pytest.raises(Refused) as no:
        give(bench, signed)
    assert (no.value.field, "1 rod: pitted" in no.value.sentence) == ("signed", True)
    assert bench.fresh().is_open


def test_the_name_is_kept_with_the_act_and_not_in_it(bench: Bench) -> None:  # noqa: F811
    decline_and_close(bench)
    give(bench, "W. Dallimore")
    act = Act.objects.get(verb="hand_over_jobs")
    entry = bench.sheet().findings[0].entry_id
    assert act.result["unsafe"] == {str(bench.job.pk): [str(entry)]}
    assert "Dallimore" not in str(act.result) + str(act.changed)
    assert (
        Remark.objects.get(act=act).words
        == "W. Dallimore signed that it is unsafe to use: finding 1 rod: pitted"
    )
    assert [list(check()) for check in books.REGISTRY.values() if list(check())] == []


def test_what_was_put_right_or_never_unsafe_asks_for_no_name(bench: Bench) -> None:  # noqa: F811
    row = agree(bench, find(bench))
    find(bench, answer="should")
    bench.do("", "put right", about=row.entry_id, words="new rod")
    bench.do("", "close", outcome="unrepaired", words="parts are late")
    assert "signed" not in HandOverForm(order=bench.order).fields
    give(bench)
    assert not bench.fresh().is_open
    assert "unsafe" not in Act.objects.get(verb="hand_over_jobs").result


def test_the_form_asks_and_keeps_what_was_typed(bench: Bench, client_as: As) -> None:  # noqa: F811
    decline_and_close(bench)
    client = client_as(bench.desk)
    page = client.get(reverse("order", args=[bench.order.number])).content.decode()
    assert "Signed for as unsafe to use, by" in page
    sent = {"jobs": [bench.job.pk], "to_whom": "Wyn Dallimore", "signed": "", "act_key": new_key()}
    again = client.post(reverse("hand-over", args=[bench.order.number]), sent)
    assert again.status_code == 422
    assert "type the name of who signed" in again.content.decode()
    sent["signed"] = "<b>W. Dallimore</b>"
    assert client.post(reverse("hand-over", args=[bench.order.number]), sent).status_code == 302
    assert not bench.fresh().is_open
    page = client.get(reverse("order", args=[bench.order.number])).content.decode()
    assert "&lt;b&gt;W. Dallimore&lt;/b&gt; signed" in page
