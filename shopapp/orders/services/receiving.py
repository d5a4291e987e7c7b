"""Receiving an order: its number, one job a damper, one line a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.queries import same
from shopapp.customers.services import hold_customer
from shopapp.dampers.models import Damper
from shopapp.dampers.services import tags
from shopapp.orders.comebacks import warranty_of
from shopapp.orders.models import Bay, Job, OrderLine, Placing, Shelf, Terms, WorkConsent, WorkOrder, WorkType
from shopapp.orders.queries import done_before, open_job_of
from shopapp.orders.second_person import asks_for_second_person
from shopapp.orders.services.shelves import lay_part
from shopapp.orders.services.staying import go_on, leave_stay
from shopapp.orders.shelves import shelf_of
from shopapp.shop.services import acts, search_terms
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.shop.services.counters import next_number
from shopapp.specs import queries as specs

if TYPE_CHECKING:
    from shopapp.people.models import Person
    from shopapp.specs.models import Procedure

FIRST_NUMBER = 1001


@dataclass(frozen=True, slots=True)
class DamperIn:
    """One damper as it is received: the work, where it sat, how it came, where its parts lie.

    `comeback_of`: the job that it comes back from; `under_warranty`: what is done now costs the customer nothing.
    """

    damper: Damper
    work_type: WorkType
    place: str = ""
    place_number: int = 1
    condition: str = ""
    shelf_body: str = ""
    shelf_springs: str = ""
    shelf_tray: str = ""
    technician: Person | None = None
    bay: Bay | None = None
    comeback_of: Job | None = None
    under_warranty: bool = False
    wish: str = ""


def receive_order(
    *,
    customer: Customer,
    vehicle: Vehicle | None = None,
    dampers: Sequence[DamperIn],
    complaint: str = "",
    comes_by: str = "counter",
    comes_carrier: str = "",
    leaves_by: str = "counter",
    leaves_carrier: str = "",
    promised: datetime | None = None,
    limit_gross: Decimal | None = None,
    terms: Terms | None = None,
    terms_accepted_how: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkOrder:
    """Receive what one customer brings at once, under the next order number.

    Each damper becomes a job with the sheet that holds now and the procedure of its construction; a damper in an open
    job is refused with the order it belongs to, unless it stays here after it. `limit_gross` is the most the customer
    will pay, tax included.
    """
    with acts.doing("receive_order", call=call, by=by, at=at, within=within) as act:
        hold_customer(customer)
        _refuse_unfit(customer, vehicle, dampers)
        order = WorkOrder.objects.create(
            number=next_number("order", start=FIRST_NUMBER), customer=customer, vehicle=vehicle,
            comes_by=comes_by, comes_carrier=comes_carrier.strip(), leaves_by=leaves_by,
            leaves_carrier=leaves_carrier.strip(), complaint=complaint.strip(), accepted_at=at,
            received_at=at, received_by=by, promised=promised, limit_gross=limit_gross, terms=terms,
            terms_accepted_how=terms_accepted_how.strip() if terms else "",
        )  # fmt: skip
        for number, row in enumerate(dampers, 1):
            add_job(order, number, row, act)
        _keep_consents(order, terms_accepted_how.strip() or _("at the counter"), act, by)
        keep_terms(order)
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number}
        return order


def _keep_consents(order: WorkOrder, how: str, act: Doing, by: Person) -> None:
    """Keep what the customer said yes to when the order was received: the terms and the first limit."""
    said = {
        "order": order, "yes": True, "who": order.customer.name, "how": how, "at": order.received_at,
        "taken_by": by, "act_id": act.id,
    }  # fmt: skip
    if order.terms is not None:
        WorkConsent.objects.create(about="terms", about_id=str(order.terms.version), **said)
    if order.limit_gross is not None:
        WorkConsent.objects.create(about="limit", amount=order.limit_gross, **said)


def terms_of(order: WorkOrder) -> list[tuple[str, str, int]]:
    """Give by what an order is found: its number."""
    return [("order", str(order.number), 95)]


def keep_terms(order: WorkOrder) -> None:
    """Keep an order's search terms as its row says."""
    search_terms.keep_terms(target_kind="order", target_id=order.pk, terms=terms_of(order))


def _refuse_unfit(customer: Customer, vehicle: Vehicle | None, dampers: Sequence[DamperIn]) -> None:
    if vehicle is not None and not same(vehicle.customer, customer):
        raise Refused(
            _("This vehicle belongs to somebody else. Choose one of %s.") % customer.name, field="vehicle"
        )
    if not dampers:
        raise Refused(
            _("An order has at least one damper. Enter its serial, or choose a model."), field="dampers"
        )
    seen: set[int] = set()
    for row in dampers:
        if row.damper.pk in seen:
            raise Refused(
                _("%s stands twice in this order. Enter it once.") % name_of(row.damper), field="dampers"
            )
        seen.add(row.damper.pk)


def name_of(damper: Damper) -> str:
    """Name a damper in a sentence: maker, serial and tag."""
    return f"{damper} ({tags.show(damper.tag)})"


def _refuse_open(damper: Damper) -> None:
    taken = open_job_of(damper)
    if taken is not None:
        words = _("%(damper)s is in order %(number)s, which is still open. Hand it over there first.")
        raise Refused(words % {"damper": name_of(damper), "number": taken.order.number}, field="dampers")


def procedure_for(row: DamperIn) -> Procedure | None:
    """Give the work type's procedure for the construction of the damper's model.

    Without one of its own only a procedure that serves any construction does, and so for a damper whose model is not
    known: the proof of zero of another construction would be the wrong one.
    """
    model = row.damper.model
    return specs.procedure_for(row.work_type.procedure_name, model.construction if model is not None else "")


def _refuse_comeback(order: WorkOrder, row: DamperIn) -> None:
    """Refuse what is no comeback: another damper's job, one still here, a warranty that is over."""
    first = row.comeback_of
    if first is None:
        if row.under_warranty:
            raise Refused(
                _("Say which order the damper comes back from, or take its price."), field="dampers"
            )
        return
    if first.damper_id != row.damper.pk or first.handed_over_at is None:
        words = _("%s does not come back from that order: it was not handed over there.")
        raise Refused(words % name_of(row.damper), field="dampers")
    covered = warranty_of(row.damper, timezone.localdate(order.received_at)) if row.under_warranty else None
    if row.under_warranty and (covered is None or covered.job.pk != first.pk):
        words = _("The warranty on %s is over. Take the price of the work.")
        raise Refused(words % name_of(row.damper), field="dampers")


def add_job(order: WorkOrder, number: int, row: DamperIn, act: Doing) -> Job:
    """Add a job for a damper with its line; one that stayed here after another order goes on from where it lies."""
    _refuse_comeback(order, row)
    before = leave_stay(row.damper, act)
    _refuse_open(row.damper)
    work_type = row.work_type
    shelves = {part: shelf_of(_said(row, part)) for part in Placing.Part.values}
    try:
        with transaction.atomic():
            job = Job.objects.create(
                order=order, number=number, damper=row.damper, work_type=work_type,
                spec=specs.spec_for(row.damper), procedure=procedure_for(row), place=row.place,
                place_number=row.place_number, rebuild=done_before(row.damper) + 1,
                condition=row.condition.strip(), **_places(row, before, shelves), technician=row.technician,
                bay=row.bay,
                comeback_of=row.comeback_of, under_warranty=row.under_warranty, wish=row.wish.strip(),
                second_person=asks_for_second_person(
                    order=order.number, job=number, every=work_type.second_person_every
                ),
            )  # fmt: skip
    except IntegrityError:
        _refuse_open(row.damper)  # another order took it between the look and the write
        raise
    if before is not None:
        go_on(before, job)
    _lay(job, shelves, act)
    OrderLine.objects.create(
        order=order, job=job, what=line_words(row), quantity=Decimal(1), unit="piece",
        price=Decimal(0) if row.under_warranty else work_type.price,
        tax_category=work_type.tax_category, comes_from=OrderLine.From.WORK_TYPE,
    )  # fmt: skip
    return job


def _places(row: DamperIn, before: Job | None, shelves: Mapping[str, Shelf | None]) -> dict[str, str]:
    """Give where the parts lie: in words as said, else where they lay in the job from which the damper goes on.

    Where a shelf is said, the part is laid there once the job is (`_lay`).
    """
    places = {}
    for part in Placing.Part.values:
        name, words = f"shelf_{part}", _said(row, part)
        brought = str(getattr(before, name)) if before is not None else ""
        places[name] = words if words and shelves[part] is None else brought
    return places


def _said(row: DamperIn, part: str) -> str:
    return str(getattr(row, f"shelf_{part}")).strip()


def _lay(job: Job, shelves: Mapping[str, Shelf | None], act: Doing) -> None:
    """Lay what was said to lie on a shelf there, as a scan would: a row of its own, on the shelf itself."""
    for part, shelf in shelves.items():
        if shelf is not None and act.by is not None and getattr(job, f"shelf_{part}") != shelf.code:
            lay_part(job=job, part=part, shelf=shelf, by=act.by, at=act.at, call=act.call, within=act)
            setattr(job, f"shelf_{part}", shelf.code)


def line_words(row: DamperIn) -> str:
    """Name the work on the order; free under warranty it says from which order the damper came back."""
    if not row.under_warranty or row.comeback_of is None:
        return row.work_type.name
    words = _("%(work)s, warranty of order %(number)s")
    return (words % {"work": row.work_type.name, "number": row.comeback_of.order.number})[:200]
