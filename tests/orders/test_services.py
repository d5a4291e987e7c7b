"""Orders: received whole, changed with a reason, one damper in one open order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders import queries
from shopapp.orders import services as orders
from shopapp.orders.models import Bay, Job, OrderLine, Remark, Terms, WorkConsent, WorkOrder, WorkType
from shopapp.orders.services import Agreed, DamperIn, DamperRow
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale
from shopapp.specs.queries import procedure_for

pytestmark = pytest.mark.django_db
ZERO = Decimal(0)
PROCEDURE = "Rebuild, reservoir with IFP"
Receive = Callable[..., WorkOrder]


def test_an_order_has_a_number_a_job_a_damper_and_a_line_a_job(receive: Receive, now: dt.datetime) -> None:
    order = receive("1", "2", complaint="knocks", limit_gross=Decimal("900"))
    assert (order.number, order.accepted_at, order.revision) == (1001, now, 1)
    assert [(j.number, j.state, j.is_open, j.rebuild) for j in order.jobs.order_by("number")] == [
        (1, "planned", True, 1), (2, "planned", True, 1),
    ]  # fmt: skip
    assert [(line.what, line.price, line.quantity) for line in order.lines.all()] == [
        ("Rebuild", Decimal("186.00"), 1)
    ] * 2
    assert receive("3").number == 1002
    assert list(queries.orders(text="1001")) == [order]
    assert list(queries.orders(text="dalli", state="open")) == [WorkOrder.objects.get(number=1002), order]
    assert list(queries.orders(state="closed")) == []


def test_a_damper_in_an_open_order_is_refused_with_that_order(
    receive: Receive, rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    order = receive("1")
    damper = order.jobs.get().damper
    rows = [DamperIn(damper=damper, work_type=rebuild)]
    with pytest.raises(Refused, match="is in order 1001, which is still open"):
        orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)
    assert WorkOrder.objects.count() == 1
    with pytest.raises(Refused, match="stands twice"):
        orders.receive_order(customer=wyn, dampers=rows * 2, call=Call.fresh(), **std)
    with pytest.raises(Refused, match="at least one damper"):
        orders.receive_order(customer=wyn, dampers=[], call=Call.fresh(), **std)


def test_the_rebuild_is_counted_from_what_was_done(
    receive: Receive, rebuild: WorkType, std: dict[str, Any]
) -> None:
    order = receive("1")
    now = std["at"]
    shut = {"state": "done", "outcome": "done", "closed_at": now, "handed_over_at": now, "is_open": False}
    order.jobs.update(procedure=procedure_for(PROCEDURE, "reservoir"), **shut)
    rows = [DamperIn(damper=order.jobs.get().damper, work_type=rebuild)]
    again = orders.receive_order(customer=order.customer, dampers=rows, call=Call.fresh(), **std)
    assert again.jobs.get().rebuild == 2
    again.jobs.update(procedure=None, **shut)
    third = orders.receive_order(customer=order.customer, dampers=rows, call=Call.fresh(), **std)
    assert third.jobs.get().rebuild == 2, "a job without a procedure is no rebuild"


@pytest.mark.parametrize(
    ("construction", "fits"), [("reservoir", True), ("emulsion", False), ("bladder", False), (None, False)]
)
def test_a_procedure_goes_to_its_own_construction_alone(
    receive: Receive, rebuild: WorkType, model: DamperModel, construction: str | None, fits: bool,
    wyn: Customer, std: dict[str, Any],
) -> None:  # fmt: skip
    """The proof of zero of one construction is no proof of another."""
    WorkType.objects.update(procedure_name=PROCEDURE)
    rebuild.refresh_from_db()
    DamperModel.objects.update(construction=construction or "reservoir")
    model.refresh_from_db()
    damper = dampers.add_damper(
        maker="Keldmark", model=model if construction else None, serial="7", customer=wyn, call=Call.fresh(),
        **std,
    )  # fmt: skip
    rows = [DamperIn(damper=damper, work_type=rebuild)]
    order = orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)
    assert order.jobs.get().procedure == (procedure_for(PROCEDURE, "reservoir") if fits else None)


def test_somebody_elses_vehicle_is_refused(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    other = customers.add_customer(name="O. Pereira", call=Call.fresh(), **std)
    truck = customers.add_vehicle(customer=other, description="truck", call=Call.fresh(), **std)
    rows = [DamperIn(damper=new_damper("1"), work_type=rebuild)]
    with pytest.raises(Refused, match="belongs to somebody else"):
        orders.receive_order(customer=wyn, vehicle=truck, dampers=rows, call=Call.fresh(), **std)


def test_terms_are_kept_with_how_they_were_accepted(
    receive: Receive, std: dict[str, Any], now: dt.datetime
) -> None:
    first = orders.issue_terms(text="One.", since=now.date(), call=Call.fresh(), **std)
    terms = orders.issue_terms(text="Two.", since=now.date(), call=Call.fresh(), **std)
    assert (first.version, terms.version) == (1, 2)
    assert queries.terms_on(now.date()) == terms
    assert queries.terms_on(now.date() - dt.timedelta(days=1)) is None
    order = receive("1", terms=terms, terms_accepted_how="signed")
    consent = WorkConsent.objects.get()
    assert (order.terms, consent.about, consent.about_id, consent.how) == (terms, "terms", "2", "signed")


def test_the_same_sheet_twice_is_one_order(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    call = Call.once("sheet")
    rows = [DamperIn(damper=new_damper("1"), work_type=rebuild)]
    order = orders.receive_order(customer=wyn, dampers=rows, call=call, **std)
    with pytest.raises(AlreadyDone) as done:
        orders.receive_order(customer=wyn, dampers=rows, call=call, **std)
    assert done.value.act.result == {"order": order.pk, "number": order.number}


def change(order: WorkOrder, revision: int, std: dict[str, Any], why: str = "parts late") -> WorkOrder:
    return orders.change_order(
        order=order, revision=revision, promised=std["at"], limit_gross=Decimal("850"), complaint="knocks",
        why=why, call=Call.fresh(), **std,
    )  # fmt: skip


def test_until_work_starts_a_change_needs_no_reason(receive: Receive, std: dict[str, Any]) -> None:
    """A void job is no work begun. Seen red with any job but a planned one counted as begun."""
    order = receive("1", "2")
    void = order.jobs.get(number=2)
    orders.void_job(job=void, why="not his", call=Call.fresh(), **std)
    order.refresh_from_db()
    kept = change(order, order.revision, std, why="")
    assert kept.complaint == "knocks"
    assert not Remark.objects.filter(act__verb="change_order").exists()


@pytest.mark.parametrize(("who", "why", "field"), [("", "", "who"), ("W", " ", "why"), (" ", "late", "who")])
def test_from_then_on_it_says_who_asked_and_why(
    receive: Receive, std: dict[str, Any], who: str, why: str, field: str
) -> None:
    """Seen red without the look at the jobs, and with one of the two enough."""
    order = receive("1")
    order.jobs.update(state="in work")
    asked = {"order": order, "promised": None, "limit_gross": None, "complaint": "x", "revision": 1, **std}
    with pytest.raises(Refused, match="Work on this order has started") as no:
        orders.change_order(**asked, who=who, why=why, call=Call.fresh())
    assert no.value.field == field
    orders.change_order(**asked, who="Wyn", why="bought tyres", call=Call.fresh())
    assert Remark.objects.get().words == "bought tyres (asked for by Wyn)"


def test_the_way_it_leaves_may_change_and_a_carrier_is_not_kept_in_the_act(
    receive: Receive, std: dict[str, Any]
) -> None:
    order = receive("1")
    way = orders.Way("counter", "", "parcel", " Dray and Sons ")
    orders.change_order(
        order=order, revision=1, promised=None, limit_gross=None, complaint="", way=way, call=Call.fresh(),
        **std,
    )  # fmt: skip
    kept = WorkOrder.objects.get()
    assert (kept.leaves_by, kept.leaves_carrier) == ("parcel", "Dray and Sons")
    changed = Act.objects.get(verb="change_order").changed
    assert {"field": "leaves_by", "old": "counter", "new": "parcel"} in changed
    assert "Dray" not in str(changed) and {"field": "leaves_carrier"} in changed


def test_a_change_stands_in_the_history(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1", limit_gross=Decimal("900"))
    change(order, 1, std)
    changed = Act.objects.get(verb="change_order").changed
    assert {"field": "limit_gross", "old": "900", "new": "850"} in changed
    assert {"field": "why"} in changed
    assert Remark.objects.get().words == "parts late"
    with pytest.raises(Stale, match="Order 1001 was changed"):
        change(WorkOrder.objects.get(), 1, std)


def test_a_yes_to_a_limit_sets_it_and_a_no_does_not(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1", limit_gross=Decimal("900"))
    ask = {"order": order, "who": "N. Castellan", "how": "by phone"}
    orders.record_work_consent(yes=False, amount=Decimal("1114"), call=Call.fresh(), **ask, **std)
    assert WorkOrder.objects.get().limit_gross == 900
    orders.record_work_consent(yes=True, amount=Decimal("1114"), call=Call.fresh(), **ask, **std)
    again = WorkOrder.objects.get()
    assert (again.limit_gross, again.revision) == (1114, 2)
    with pytest.raises(Refused, match="up to what amount"):
        orders.record_work_consent(yes=True, call=Call.fresh(), **ask, **std)
    with pytest.raises(Refused, match="who answered"):
        orders.record_work_consent(
            yes=True, amount=Decimal(1), call=Call.fresh(), **{**ask, "who": " "}, **std
        )


def test_a_job_goes_to_technicians_alone(
    receive: Receive, technician: Person, desk: Person, std: dict[str, Any]
) -> None:
    job = receive("1").jobs.get()
    bay = orders.add_bay(name="Bay 2", call=Call.fresh(), **std)
    orders.assign_job(job=job, technician=technician, bay=bay, call=Call.fresh(), **std)
    again = Job.objects.get()
    assert (again.technician, again.bay) == (technician, bay)
    with pytest.raises(Refused, match="not a technician"):
        orders.assign_job(job=job, technician=desk, bay=bay, call=Call.fresh(), **std)
    stale = Job.objects.get()
    orders.assign_job(job=again, technician=None, bay=bay, call=Call.fresh(), **std)
    with pytest.raises(Stale, match="Job 1001/1"):
        orders.assign_job(job=stale, technician=technician, bay=None, call=Call.fresh(), **std)
    assert Job.objects.get().technician is None
    for shut in ({"state": "stopped"}, {"state": "done", "outcome": "unrepaired", "closed_at": std["at"]}):
        Job.objects.update(**shut)
        with pytest.raises(Refused, match="stopped or closed"):
            orders.assign_job(job=job, technician=None, bay=None, call=Call.fresh(), **std)


def test_a_line_is_added_and_removed_until_it_is_invoiced(receive: Receive, std: dict[str, Any]) -> None:
    order = receive("1")
    new = {"order": order, "job": None, "price": Decimal("12.50"), "unit": "piece"}
    line = orders.add_order_line(what="bump stop", quantity=Decimal(2), call=Call.fresh(), **new, **std)
    orders.remove_order_line(order=order, line=line, call=Call.fresh(), **std)
    with pytest.raises(Refused, match="removed already"):
        orders.remove_order_line(order=order, line=line, call=Call.fresh(), **std)
    OrderLine.objects.update(invoiced=True)
    with pytest.raises(Refused, match="invoiced"):
        orders.remove_order_line(order=order, line=OrderLine.objects.get(), call=Call.fresh(), **std)
    for bad in ({"what": " ", "quantity": Decimal(1)}, {"what": "x", "quantity": Decimal(0)}):
        with pytest.raises(Refused):
            orders.add_order_line(call=Call.fresh(), **bad, **new, **std)
    foreign = {**new, "job": receive("2").jobs.get(), "what": "x", "quantity": Decimal(1)}
    with pytest.raises(Refused, match="another order"):
        orders.add_order_line(call=Call.fresh(), **foreign, **std)


@pytest.mark.parametrize(
    ("fields", "mark", "words"),
    [
        ({}, "planned", "planned"),
        ({"state": "in work", "stage": "settings"}, "in work", "record settings"),
        ({"state": "stopped"}, "stopped", "stopped unsafe"),
        ({"state": "done", "outcome": "done"}, "done", "ready"),
        ({"state": "done", "outcome": "unrepaired"}, "done", "returned unrepaired"),
        ({"state": "done", "outcome": "unsafe"}, "stopped", "stopped unsafe"),
        ({"state": "void"}, "void", "void"),
        (
            {"state": "in work", "wait_ends": dt.datetime(2026, 3, 2, 14, 54, tzinfo=dt.UTC)},
            "waiting",
            "waits until 14:54",
        ),
    ],
)
def test_the_state_of_a_job_is_a_mark_with_words(fields: dict[str, Any], mark: str, words: str) -> None:
    job = Job()
    for name, value in fields.items():
        setattr(job, name, value)
    assert queries.job_state(job) == (mark, words)


def test_work_types_and_bays_are_named_once(rebuild: WorkType, std: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="is taken"):
        orders.add_work_type(code="rebuild", name="x", price=Decimal(1), call=Call.fresh(), **std)
    with pytest.raises(Refused, match="zero or more"):
        orders.add_work_type(code="new", name="x", price=Decimal(-1), call=Call.fresh(), **std)
    orders.change_work_type(
        work_type=rebuild,
        revision=1,
        name="Rebuild",
        price=Decimal(200),
        retired=True,
        call=Call.fresh(),
        **std,
    )
    assert list(queries.work_types()) == []
    bay = orders.add_bay(name="Bay 1", call=Call.fresh(), **std)
    with pytest.raises(Refused, match="already"):
        orders.add_bay(name="Bay 1", call=Call.fresh(), **std)
    orders.change_bay(bay=bay, revision=1, name="Bay A", retired=True, call=Call.fresh(), **std)
    assert list(queries.bays()) == []


@pytest.mark.parametrize(
    ("add", "field", "words"),
    [
        (
            lambda std: orders.add_work_type(code=" ", name="x", price=ZERO, **std),
            "code",
            "a code and a name",
        ),
        (
            lambda std: orders.add_work_type(code="x", name=" ", price=ZERO, **std),
            "name",
            "a code and a name",
        ),
        (lambda std: orders.issue_terms(text=" ", since=std["at"].date(), **std), "text", "Write the terms"),
        (lambda std: orders.add_bay(name="  ", **std), "name", "A bay needs a name"),
    ],
)
def test_what_the_owner_sets_is_not_left_empty(
    std: dict[str, Any], add: Callable[[dict[str, Any]], Any], field: str, words: str
) -> None:
    """Seen red without each refusal, and with the code or the name alone asked for."""
    with pytest.raises(Refused, match=words) as no:
        add({**std, "call": Call.fresh()})
    assert no.value.field == field
    assert not (WorkType.objects.exists() or Terms.objects.exists() or Bay.objects.exists())


def test_what_the_owner_changes_is_not_left_empty(rebuild: WorkType, std: dict[str, Any]) -> None:
    """Seen red without the refusals of `_keep` and `_keep_bay`."""
    bay = orders.add_bay(name="Bay 1", call=Call.fresh(), **std)
    with pytest.raises(Refused, match="A bay needs a name"):
        orders.change_bay(bay=bay, revision=1, name=" ", call=Call.fresh(), **std)
    with pytest.raises(Refused, match="a code and a name") as no:
        orders.change_work_type(work_type=rebuild, revision=1, name=" ", price=ZERO, call=Call.fresh(), **std)
    assert no.value.field == "name"
    assert (Bay.objects.get().name, WorkType.objects.get().name) == ("Bay 1", "Rebuild")


def test_take_in_recognises_a_serial_however_it_is_spelled(
    new_damper: Callable[..., Damper],
    model: DamperModel,
    rebuild: WorkType,
    wyn: Customer,
    std: dict[str, Any],
) -> None:
    known = new_damper("KM25-118834")
    row = DamperRow(work_type=rebuild, serial="km25 118834", model=model)
    order = orders.take_in(
        customer=wyn, vehicle=None, meter=None, rows=[row], agreed=Agreed(), call=Call.fresh(), **std
    )
    assert order.jobs.get().damper == known
    assert Damper.objects.count() == 1


@pytest.mark.parametrize(
    ("first", "asked", "goes"),
    [("900", "900", True), ("900", "899.99", True), (None, "1", True), ("900", "900.01", False), ("900", None, False)],
)  # fmt: skip
def test_a_limit_goes_down_alone_without_the_customer(
    receive: Receive, std: dict[str, Any], first: str | None, asked: str | None, goes: bool
) -> None:
    order = receive("1", limit_gross=Decimal(first) if first else None)
    wanted = Decimal(asked) if asked else None
    new = {"revision": 1, "promised": None, "complaint": "", "why": "asked", "limit_gross": wanted}
    if goes:
        orders.change_order(order=order, call=Call.fresh(), **new, **std)
        assert WorkOrder.objects.get().limit_gross == wanted
        return
    with pytest.raises(Refused, match="answer to a new limit"):
        orders.change_order(order=order, call=Call.fresh(), **new, **std)
    assert WorkOrder.objects.get().limit_gross == Decimal("900")


def test_the_first_limit_is_a_yes_of_the_customer(receive: Receive, std: dict[str, Any]) -> None:
    receive("1", limit_gross=Decimal("900"))
    yes = WorkConsent.objects.get()
    assert (yes.about, yes.yes, yes.amount, yes.who, yes.how) == (
        "limit", True, 900, "Wyn Dallimore", "at the counter",
    )  # fmt: skip
    receive("2")
    assert WorkConsent.objects.count() == 1
