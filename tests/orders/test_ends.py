"""What ends without being done: a job or an order void before work began, a damper scrapped on the customer's word.

Seen red: without the look under the row lock (`job.entries.exists()` in `_why_not`) a job that is begun becomes void.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.bench.models import Entry
from shopapp.money import services as money
from shopapp.orders import queries
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, Remark, WorkConsent, WorkOrder
from shopapp.people.models import Device, Person
from shopapp.shop import books
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale
from shopapp.stock.models import StockLevel
from tests.bench.make import Bench, make_bench

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]
WHY = "Mrs Dallimore's neighbour brought the wrong pair"


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


def void(job: Job, std: dict[str, Any], why: str = WHY, call: Call | None = None) -> Job:
    return orders.void_job(job=job, why=why, call=call or Call.fresh(), **std)


def test_a_void_job_is_shut_and_bills_nothing(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1", "2")
    first, second = order.jobs.order_by("number")
    void(first, std)
    again = Job.objects.get(pk=first.pk)
    assert (again.state, again.is_open, queries.job_state(again)) == ("void", False, ("void", "void"))
    assert list(OrderLine.objects.values_list("job", flat=True)) == [second.pk]
    assert Job.objects.get(pk=second.pk).is_open
    assert queries.open_job_of(first.damper) is None
    assert books.differences() == []


def test_why_stands_beside_the_act_and_never_in_it(receive: Receive, std: dict[str, Any]) -> None:
    job = receive("1").jobs.get()
    for why in ("", "  "):
        with pytest.raises(Refused, match="Say why"):
            void(job, std, why)
    void(job, std)
    act = Act.objects.get(verb="void_job")
    assert Remark.objects.get().words == WHY
    assert Remark.objects.get().act == act
    assert "Dallimore" not in str((act.changed, act.result, act.subject_id))


def test_done_twice_and_void_already(receive: Receive, std: dict[str, Any]) -> None:
    job, call = receive("1").jobs.get(), Call("k", request_hash="h")
    void(job, std, call=call)
    with pytest.raises(AlreadyDone):
        void(job, std, call=call)
    with pytest.raises(Refused, match="void already"):
        void(job, std)
    with pytest.raises(Refused, match="void already"):
        orders.void_order(order=job.order, why=WHY, call=Call.fresh(), **std)


def test_what_is_begun_is_closed_at_the_bench_instead(bench: Bench) -> None:
    std = {"by": bench.desk, "at": bench.at}
    bench.do("receive-tag", "do")
    for attempt in (
        lambda: void(bench.job, std),
        lambda: orders.void_order(order=bench.order, why=WHY, call=Call.fresh(), **std),
    ):
        with pytest.raises(Refused, match="is begun"):
            attempt()
    # A projection that lags behind its entries does not help either.
    Job.objects.filter(pk=bench.job.pk).update(state="planned")
    with pytest.raises(Refused, match="is begun"):
        void(bench.job, std)
    assert not Job.objects.filter(state="void").exists()
    assert OrderLine.objects.filter(order=bench.order).count() == 2
    void(bench.other, std)
    assert Entry.objects.filter(job=bench.other).count() == 0


def test_what_is_issued_or_invoiced_stays(bench: Bench, std: dict[str, Any]) -> None:
    bench.unlock("reseal")
    bench.do("reseal-kit", "part")
    Job.objects.filter(pk=bench.job.pk).update(state="planned")
    with pytest.raises(Refused, match="Stock is issued"):
        void(bench.job, std)
    OrderLine.objects.filter(job=bench.other).update(invoiced=True)
    with pytest.raises(Refused, match="is invoiced"):
        void(bench.other, std)


def test_who_read_the_order_before_something_was_void_is_told(bench: Bench, std: dict[str, Any]) -> None:
    """Seen red with the order's row locked and its revision left as it was."""
    read = bench.order.revision
    orders.void_job(job=bench.other, why=WHY, call=Call.fresh(), **std)
    bench.order.refresh_from_db()
    assert bench.order.revision == read + 1
    with pytest.raises(Stale):
        orders.change_order(
            order=bench.order, revision=read, complaint="knocks", promised=None, limit_gross=None,
            call=Call.fresh(), **std,
        )  # fmt: skip
    orders.void_order(order=bench.order, why=WHY, call=Call.fresh(), **std)
    bench.order.refresh_from_db()
    assert bench.order.revision == read + 2


def test_a_void_order_holds_nothing_and_leaves_the_store_alone(bench: Bench, std: dict[str, Any]) -> None:
    before = list(StockLevel.objects.order_by("pk").values_list("on_hand", flat=True))
    orders.void_order(order=bench.order, why=WHY, call=Call.fresh(), **std)
    assert set(Job.objects.values_list("state", "is_open")) == {("void", False)}
    assert not OrderLine.objects.exists()
    assert Act.objects.get(verb="void_order").result["jobs"] == [bench.job.pk, bench.other.pk]
    after = list(StockLevel.objects.order_by("pk").values_list("on_hand", flat=True))
    assert before == after
    assert books.differences() == []
    (row,) = queries.order_rows(queries.orders(state="closed", at=std["at"]), std["at"])
    assert [shown.words for shown in row.jobs] == ["void", "void"]


def test_a_deposit_is_paid_back_before_the_order_is_void(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1")
    payment = money.take_payment(order=order, amount=Decimal(50), how="cash", call=Call.fresh(), **std)
    with pytest.raises(Refused, match="deposit is held"):
        orders.void_order(order=order, why=WHY, call=Call.fresh(), **std)
    money.reverse_payment(payment=payment, why="typed wrong", call=Call.fresh(), **std)
    orders.void_order(order=order, why=WHY, call=Call.fresh(), **std)
    assert Job.objects.get().state == "void"


def close(found: Bench, outcome: str) -> None:
    if outcome == "unsafe":
        found.do("", "close", outcome="unsafe", words="the valve is torn out")
        found.do("", "release", words="Drilled by the owner", by=found.owner)
    found.do("", "close", outcome=outcome, words="the body is cracked")


def scrap(found: Bench, **more: Any) -> Job:
    said = {"who": "N. Castellan", "how": "by phone"} | more
    return orders.scrap_job(job=found.job, by=found.desk, at=found.at, call=Call.fresh(), **said)


@pytest.mark.parametrize("outcome", ["unsafe", "not serviceable", "unrepaired"])
def test_a_damper_is_scrapped_on_the_customers_word(bench: Bench, outcome: str) -> None:
    close(bench, outcome)
    job = scrap(bench)
    again = Job.objects.get(pk=job.pk)
    assert (again.is_open, again.handed_over_at, again.handed_over_to) == (False, bench.at, "scrap")
    yes = WorkConsent.objects.get(about="finding")
    assert (yes.yes, yes.who, yes.how, yes.about_id) == (True, "N. Castellan", "by phone", f"job {job.pk}")
    again.damper.refresh_from_db()
    assert again.damper.retired_at == bench.at
    assert not again.damper.fittings.filter(current=True).exists()
    assert "Castellan" not in str(list(Act.objects.filter(verb="scrap_job").values("changed", "result")))
    assert books.differences() == []
    with pytest.raises(Refused, match="left the shop already"):
        scrap(bench)


def test_what_may_not_be_scrapped(bench: Bench) -> None:
    with pytest.raises(Refused, match="is not closed as"):
        scrap(bench)
    bench.do("", "close", outcome="unsafe", words="the valve is torn out")
    for step in (None, lambda: bench.do("", "release", words="Drilled by the owner", by=bench.owner)):
        if step is not None:
            step()
        with pytest.raises(Refused, match="after the owner released it"):
            scrap(bench)
    bench.do("", "close", outcome="unsafe", words="the body is cracked")
    with pytest.raises(Refused, match="who answered"):
        scrap(bench, who=" ")
    bench.job.refresh_from_db()
    bench.job.damper.refresh_from_db()
    assert (bench.job.is_open, bench.job.damper.retired_at) == (True, None)


def body(**more: Any) -> dict[str, Any]:
    return {"act_key": new_key(), "why": WHY} | more


def test_the_page_voids_a_job_then_the_order_and_says_so(bench: Bench, client_as: As) -> None:
    client = client_as(bench.desk)
    page = reverse("order", args=[bench.order.number])
    html = client.get(page).content.decode()
    assert "Void the job" in html
    assert "Void the order" in html
    answer = client.post(reverse("job-void", args=[bench.order.number]), body(job=bench.job.pk))
    assert (answer.status_code, answer["Location"]) == (302, page)
    answer = client.post(reverse("order-void", args=[bench.order.number]), body())
    assert (answer.status_code, answer["Location"]) == (302, page)
    html = client.get(page).content.decode()
    assert "Void the" not in html
    assert html.count("neighbour brought the wrong pair") == 2
    assert "order void" in html
    assert client_as(bench.technician).get(reverse("bench-sheet", args=[bench.job.pk])).status_code == 404


def test_a_refused_form_of_the_page_is_kept(bench: Bench, client_as: As) -> None:
    client = client_as(bench.desk)
    for name, sent in (
        ("order-void", body(why="")),
        ("job-void", body(job=bench.job.pk, why=" ")),
        ("job-void", body(job="9" * 40)),
        ("job-void", body(job=bench.job.pk, why="nul \0")),
        ("job-scrap", body(job=bench.job.pk, who="N. Castellan", how="by phone")),
    ):
        answer = client.post(reverse(name, args=[bench.order.number]), sent)
        assert answer.status_code == 422, (name, sent)
        assert sent["act_key"] in answer.content.decode(), (name, sent)
    assert not Job.objects.filter(state="void").exists()


def test_the_page_scraps(bench: Bench, client_as: As) -> None:
    close(bench, "unsafe")
    client = client_as(bench.desk)
    page = reverse("order", args=[bench.order.number])
    assert "Scrap the damper" in client.get(page).content.decode()
    sent = body(job=bench.job.pk, who="N. Castellan", how="by phone")
    assert client.post(reverse("job-scrap", args=[bench.order.number]), sent).status_code == 302
    html = client.get(page).content.decode()
    assert "Scrapped on " in html and "to scrap" not in html
    assert "Scrap the damper" not in html


def test_a_change_and_a_line_keep_their_words_beside_the_act(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1")
    orders.change_order(
        order=order, revision=1, promised=std["at"] + dt.timedelta(days=1), limit_gross=None, complaint="",
        why="her husband Ole rang", call=Call.fresh(), **std,
    )  # fmt: skip
    line = orders.add_order_line(
        order=order,
        job=None,
        what="Bolt for Ole",
        quantity=Decimal(2),
        price=Decimal(1),
        call=Call.fresh(),
        **std,
    )
    orders.remove_order_line(order=order, line=line, call=Call.fresh(), **std)
    assert "Ole" not in str(list(Act.objects.values_list("changed", "result")))
    assert list(Remark.objects.order_by("pk").values_list("words", flat=True)) == [
        "her husband Ole rang", "Bolt for Ole", "2 piece Bolt for Ole",
    ]  # fmt: skip
