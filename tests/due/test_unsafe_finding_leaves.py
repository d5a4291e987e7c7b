"""A damper with a declined unsafe finding leaves the shop: uncharged, under its statement, with a name under that."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.due import services as due
from shopapp.due.forms import HandOverForm
from shopapp.orders import services as orders
from shopapp.orders.models import Job, Remark
from shopapp.orders.services import DamperIn
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
        order=found.order, jobs=[found.job], to_whom="Wyn Dallimore", signed=due.SignedAtTheDoor(signed),
        by=found.desk, at=found.at, call=Call.fresh(),
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


def stay_and_go_on(found: Bench) -> Job:
    """Let the damper stay after its job, and take it into a later order; give its new job."""
    std = {"by": found.desk, "at": found.at}
    orders.keep_here(job=found.job, why="part", who="Wyn", how="by phone", call=Call.fresh(), **std)
    row = DamperIn(damper=found.job.damper, work_type=found.job.work_type)
    later = orders.receive_order(customer=found.order.customer, dampers=[row], call=Call.fresh(), **std)
    return later.jobs.get()


def test_what_only_stayed_here_is_as_unsafe_as_it_was(bench: Bench) -> None:  # noqa: F811
    """Seen red with `held` asked of the handed over jobs alone: it left the later order without a name."""
    decline_and_close(bench)
    new = stay_and_go_on(bench)
    assert [list(check()) for check in books.REGISTRY.values() if list(check())] == []
    new.procedure = None
    new.state, new.outcome, new.closed_at = "done", "done", bench.at
    new.save()  # nothing was opened: the rod is the same
    assert "finding 1 rod" in HandOverForm(order=new.order).fields["signed"].help_text
    with pytest.raises(Refused, match="unsafe to use"):
        due.hand_over_jobs(
            order=new.order, jobs=[new], to_whom="Wyn", by=bench.desk, at=bench.at, call=Call.fresh()
        )


def test_what_was_opened_and_done_since_asks_for_no_name(bench: Bench) -> None:  # noqa: F811
    """Seen red with the earlier jobs asked about in any case."""
    decline_and_close(bench)
    new = stay_and_go_on(bench)
    assert new.procedure is not None
    new.state, new.outcome, new.closed_at = "done", "done", bench.at
    new.save()
    assert "signed" not in HandOverForm(order=new.order).fields
    due.hand_over_jobs(
        order=new.order, jobs=[new], to_whom="Wyn", by=bench.desk, at=bench.at, call=Call.fresh()
    )
    assert not bench.fresh(new).is_open
