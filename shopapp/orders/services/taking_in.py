"""The new-order sheet in one act: customer, vehicle, meter, dampers and the order, all of it or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.queries import same
from shopapp.customers.services import MeterIn, NewContact
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.queries import owner_of, twin_of
from shopapp.orders.models import Job, Terms, WorkOrder, WorkType
from shopapp.orders.services.receiving import DamperIn, name_of, receive_order
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class NewCustomer:
    """A customer who is not in the books yet."""

    name: str
    kind: str = "person"
    contacts: Sequence[NewContact] = ()


@dataclass(frozen=True, slots=True)
class NewVehicle:
    """A vehicle that is not in the books yet."""

    description: str
    plate: str = ""
    vin: str = ""
    use: str = ""
    hard_use: bool = False


@dataclass(frozen=True, slots=True)
class DamperRow:
    """One row of the sheet: a known damper, or the serial and model of one that may be new."""

    work_type: WorkType
    damper: Damper | None = None
    serial: str = ""
    model: DamperModel | None = None
    maker: str = ""
    place: str = ""
    place_words: str = ""
    place_number: int = 1
    condition: str = ""
    shelf: str = ""
    comeback_of: Job | None = None
    under_warranty: bool = False
    wish: str = ""


@dataclass(frozen=True, slots=True)
class Agreed:
    """What was said and agreed at the counter; `limit_gross` includes tax."""

    complaint: str = ""
    comes_by: str = "counter"
    comes_carrier: str = ""
    leaves_by: str = "counter"
    leaves_carrier: str = ""
    promised: datetime | None = None
    limit_gross: Decimal | None = None
    terms: Terms | None = None
    terms_accepted_how: str = ""


@dataclass(frozen=True)
class Taking:
    """Who takes in, when, and in which act: what every service below is handed."""

    by: Person
    at: datetime
    call: Call
    within: Doing = field(repr=False)


def take_in(
    *,
    customer: Customer | NewCustomer,
    vehicle: Vehicle | NewVehicle | None,
    meter: MeterIn | None,
    rows: Sequence[DamperRow],
    agreed: Agreed,
    changed_hands: bool = False,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkOrder:
    """Take in everything of one sheet in one act.

    A row whose serial and maker are known becomes that damper, never a second one. A damper of another customer is
    refused unless `changed_hands` says that it was sold on.
    """
    with acts.doing("take_in", call=call, by=by, at=at, within=within) as act:
        std = Taking(by=by, at=at, call=call, within=act)
        owner = _customer(customer, std)
        off = _vehicle(vehicle, owner, std)
        if meter is not None:
            _meter(meter, off, std)
        received = [damper_in(row, owner, off, changed_hands, std) for row in rows]
        return receive_order(
            customer=owner, vehicle=off, dampers=received, complaint=agreed.complaint,
            comes_by=agreed.comes_by, comes_carrier=agreed.comes_carrier, leaves_by=agreed.leaves_by,
            leaves_carrier=agreed.leaves_carrier, promised=agreed.promised, limit_gross=agreed.limit_gross,
            terms=agreed.terms, terms_accepted_how=agreed.terms_accepted_how, **vars(std),
        )  # fmt: skip


def _customer(customer: Customer | NewCustomer, std: Taking) -> Customer:
    if isinstance(customer, Customer):
        return customer
    return customers.add_customer(
        kind=customer.kind, name=customer.name, contacts=customer.contacts, **vars(std)
    )


def _vehicle(vehicle: Vehicle | NewVehicle | None, owner: Customer, std: Taking) -> Vehicle | None:
    if vehicle is None or isinstance(vehicle, Vehicle):
        return vehicle
    return customers.add_vehicle(
        customer=owner, description=vehicle.description, plate=vehicle.plate, vin=vehicle.vin,
        use=vehicle.use, hard_use=vehicle.hard_use, **vars(std),
    )  # fmt: skip


def _meter(meter: MeterIn, vehicle: Vehicle | None, std: Taking) -> None:
    if vehicle is None:
        raise Refused(
            _("A meter reading needs the vehicle it was read on. Choose or add one."), field="meter"
        )
    customers.read_meter(
        vehicle=vehicle, meter=meter, source=_("read when the order was received"), **vars(std)
    )


def damper_in(
    row: DamperRow, owner: Customer, vehicle: Vehicle | None, changed_hands: bool, std: Taking
) -> DamperIn:
    maker = row.model.maker if row.model is not None else row.maker
    known = row.damper or twin_of(maker, row.serial)
    if known is None:
        known = dampers.add_damper(
            maker=row.maker, serial=row.serial, model=row.model, customer=owner, **vars(std)
        )
    else:
        _keep_owner(known, owner, changed_hands, std)
    number = row.place_number
    if vehicle is not None and row.place:
        number = _number_at(known, vehicle, row)
        dampers.fit_damper(
            damper=known, vehicle=vehicle, place=row.place, place_words=row.place_words, number=number,
            on=None, **vars(std),
        )  # fmt: skip
    return DamperIn(
        damper=known, work_type=row.work_type, place=row.place, place_number=number,
        condition=row.condition, shelf_body=row.shelf, comeback_of=row.comeback_of,
        under_warranty=row.under_warranty, wish=row.wish,
    )  # fmt: skip


def _number_at(damper: Damper, vehicle: Vehicle, row: DamperRow) -> int:
    """Keep the number of a damper that sits in this place already: only the second of a corner may have come."""
    here = damper.fittings.filter(current=True, vehicle=vehicle, place=row.place).first()
    return here.number if here is not None else row.place_number


def _keep_owner(damper: Damper, owner: Customer, changed_hands: bool, std: Taking) -> None:
    now = owner_of(damper)
    if now is not None and same(now.customer, owner):
        return
    if now is not None and not changed_hands:
        words = _(
            "%(damper)s belongs to %(other)s. Tick “changed hands” if it is %(owner)s's now, or correct the serial."
        )
        names = {"damper": name_of(damper), "other": now.customer.name, "owner": owner.name}
        raise Refused(words % names, field="changed_hands")
    dampers.set_owner(damper=damper, customer=owner, on=timezone.localdate(std.at), **vars(std))
