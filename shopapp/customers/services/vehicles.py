"""Adding and changing vehicles."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from shopapp.calc import vin as vins
from shopapp.customers import meters_read
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.services.customers import hold_customer, hold_unerased
from shopapp.customers.services.meters import MeterIn, read_meter
from shopapp.shop.services import acts, search_terms
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def add_vehicle(
    *,
    customer: Customer,
    description: str,
    plate: str = "",
    vin: str = "",
    counts_distance: bool = True,
    counts_hours: bool = False,
    use: str = "",
    hard_use: bool = False,
    meter: MeterIn | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Vehicle:
    """Add a vehicle to a customer. A VIN that does not check out is kept as typed and marked so."""
    with acts.doing("add_vehicle", call=call, by=by, at=at, within=within) as act:
        hold_customer(customer)
        vehicle = Vehicle(customer=customer)
        wanted = _wanted(description, plate, vin, counts_distance, counts_hours, use, hard_use)
        _save(vehicle, wanted)
        _finish(vehicle, meter, act, by=by, named=within is None)
        return vehicle


def change_vehicle(
    *,
    vehicle: Vehicle,
    revision: int,
    description: str,
    plate: str = "",
    vin: str = "",
    counts_distance: bool = True,
    counts_hours: bool = False,
    use: str = "",
    hard_use: bool = False,
    meter: MeterIn | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Vehicle:
    """Change what is written about a vehicle."""
    with acts.doing("change_vehicle", call=call, by=by, at=at, within=within) as act:
        hold_unerased(
            vehicle.customer_id, _("Whose vehicle this was is erased: nothing more is written about it.")
        )
        acts.raise_revision(vehicle, revision, what=vehicle.description, about="vehicle")
        wanted = _wanted(description, plate, vin, counts_distance, counts_hours, use, hard_use)
        for field, value in wanted.items():
            act.change(field, getattr(vehicle, field), value, personal=field.startswith(("plate", "vin")))
        harder = vehicle.hard_use != wanted["hard_use"]
        _save(vehicle, wanted)
        if harder:
            meters_read.tell(vehicle.pk)
        _finish(vehicle, meter, act, by=by, named=within is None)
        return vehicle


def _finish(vehicle: Vehicle, meter: MeterIn | None, act: Doing, *, by: Person, named: bool) -> None:
    """Read the meter where it was read, and name the vehicle in an act of its own."""
    if meter is not None:
        read_meter(
            vehicle=vehicle, meter=meter, source=_("at the desk"), by=by, at=act.at, call=act.call, within=act
        )
    if named:
        act.about("vehicle", vehicle.pk)
        act.result = {"vehicle": vehicle.pk, "customer": vehicle.customer_id}


def _wanted(
    description: str,
    plate: str,
    vin: str,
    counts_distance: bool,
    counts_hours: bool,
    use: str,
    hard_use: bool,
) -> dict[str, Any]:
    if not description.strip():
        raise Refused(
            _("Say what vehicle it is, for example: long-travel buggy, 2 seats."), field="description"
        )
    checked = vins.check(vin)
    return {
        "description": description.strip(),
        "plate": plate.strip(),
        "plate_folded": search_terms.fold_number(plate)[:20],
        "vin": checked.text if checked.valid else vin.strip(),
        "vin_valid": checked.valid,
        "counts_distance": counts_distance,
        "counts_hours": counts_hours,
        "use": use.strip(),
        "hard_use": hard_use,
    }


def _save(vehicle: Vehicle, wanted: dict[str, Any]) -> None:
    for field, value in wanted.items():
        setattr(vehicle, field, value)
    try:
        with transaction.atomic():
            if vehicle.pk:
                vehicle.save(update_fields=list(wanted))
            else:
                vehicle.save(force_insert=True)
    except IntegrityError as broken:
        other = Vehicle.objects.filter(vin=vehicle.vin, vin_valid=True).exclude(pk=vehicle.pk).first()
        if other is None:
            raise
        words = _(
            "This VIN belongs to %(vehicle)s of %(customer)s already. Choose that vehicle, or correct it."
        )
        raise Refused(
            words % {"vehicle": other.description, "customer": other.customer.name}, field="vin"
        ) from broken
    keep_terms(vehicle)


def terms_of(vehicle: Vehicle) -> list[tuple[str, str, int]]:
    """Give the words and numbers by which a vehicle is found."""
    terms = [("name", vehicle.description, 30)]
    if vehicle.plate:
        terms.append(("plate", vehicle.plate, 70))
    if vehicle.vin:
        terms.append(("vin", vehicle.vin, 60))
    return terms


def keep_terms(vehicle: Vehicle) -> None:
    """Keep a vehicle's search terms as its row says."""
    search_terms.keep_terms(target_kind="vehicle", target_id=vehicle.pk, terms=terms_of(vehicle))
