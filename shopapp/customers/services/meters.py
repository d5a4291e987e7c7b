"""What a meter showed. A meter that runs backwards is refused in a sentence with the likely meaning."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.calc import units
from shopapp.calc.units import Measurement
from shopapp.customers import meters_read
from shopapp.customers.models import MeterReading, Vehicle
from shopapp.customers.queries import reading_after, reading_before
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.dampers.models import Damper
    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class MeterIn:
    """What a vehicle's meter shows now; `kind` is reading, or says that it was replaced or rolled over."""

    shown: Measurement
    kind: str = "reading"


OTHER_UNIT = {"mile": "km", "km": "mile"}
MOST_SECONDS = 200 * 366 * 86400.0
MOST_METRES = 1e10


def record_meter(
    *,
    vehicle: Vehicle | None = None,
    damper: Damper | None = None,
    distance: Measurement | None = None,
    running: Measurement | None = None,
    on: date,
    source: str,
    how_sure: str = "read",
    kind: str = "reading",
    replaces: MeterReading | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> MeterReading:
    """Record what a vehicle's or a damper's meter showed on a day: a distance or a running time.

    A reading below the one before it, or above a later one, is refused unless `kind` says that the meter was
    replaced or rolled over. `replaces` corrects an earlier reading, which then no longer counts.
    """
    with acts.doing("record_meter", call=call, by=by, at=at, within=within) as act:
        shown = _one_of(distance, running)
        row = MeterReading(
            vehicle=vehicle, damper=damper, kind=kind, on=on, source=source.strip(), how_sure=how_sure,
            by=by, stored_at=at, act_id=act.id, replaces=replaces,
        )  # fmt: skip
        row.distance, row.running = distance, running
        if kind == MeterReading.Kind.READING:
            _refuse_backwards(row, shown)
        try:
            with transaction.atomic():
                row.save(force_insert=True)
        except IntegrityError as broken:
            if replaces is None:
                raise
            raise Refused(
                _("This reading was corrected already. Correct the newer one."), field="meter"
            ) from broken
        if vehicle is not None:
            meters_read.tell(vehicle.pk)
        if within is None:
            act.about("vehicle" if vehicle else "damper", (vehicle or damper).pk)  # type: ignore[union-attr]
            act.result = {"reading": row.pk, "vehicle": vehicle.pk if vehicle else None}
        return row


def read_meter(
    *,
    vehicle: Vehicle,
    meter: MeterIn,
    source: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> MeterReading:
    """Record what a vehicle's meter shows on the day of `at`, whichever of distance and running time it counts."""
    distance = meter.shown if meter.shown.kind == "distance" else None
    running = meter.shown if distance is None else None
    return record_meter(
        vehicle=vehicle, distance=distance, running=running, on=timezone.localdate(at), source=source,
        kind=meter.kind, by=by, at=at, call=call, within=within,
    )  # fmt: skip


def _one_of(distance: Measurement | None, running: Measurement | None) -> Measurement:
    shown = distance or running
    if shown is None or (distance is not None and running is not None):
        raise Refused(
            _("A meter reading is a distance or a running time, such as 5980 mi or 412 h."), field="meter"
        )
    if shown.si > (MOST_METRES if shown.kind == "distance" else MOST_SECONDS):
        raise Refused(_("%s is more than any meter shows. Type it again.") % shown.text, field="meter")
    return shown


def _refuse_backwards(row: MeterReading, shown: Measurement) -> None:
    before = reading_before(row)
    if before is not None:
        last = before.distance or before.running
        if shown.si < last.si:
            raise Refused(_backwards(shown, last, before.on), field="meter")
    after = reading_after(row)
    if after is not None:
        later = after.distance or after.running
        if shown.si > later.si:
            words = _(
                "%(shown)s is more than the %(later)s of %(day)s, which is later. Look at the day and the figure."
            )
            raise Refused(
                words % {"shown": said(shown), "later": said(later), "day": day(after.on)}, field="meter"
            )


def _backwards(shown: Measurement, last: Measurement, on: date) -> str:
    words = _("%(shown)s is less than the %(last)s of %(day)s.") % {
        "shown": said(shown),
        "last": said(last),
        "day": day(on),
    }
    meant = likely(shown, last)
    if meant:
        return words + " " + _("Did you mean %s? Or was the meter replaced, or did it roll over?") % meant
    return words + " " + _("Look at the meter again. Or was it replaced, or did it roll over?")


def likely(shown: Measurement, last: Measurement) -> str:
    """Give the likely meaning of a figure that is too small: a digit left out, or the other unit; "" if neither.

    A figure counts as likely where it lies between the last one and half as much again.
    """
    reach = last.si * 1.5
    if last.si <= shown.si * 10 <= reach:
        return _figure(shown.to(shown.unit) * 10, shown.unit, shown.kind)
    other = OTHER_UNIT.get(shown.unit, "")
    if other:
        size = units.convert(shown.to(shown.unit), other, "m")
        if last.si <= size <= reach:
            return _figure(shown.to(shown.unit), other, shown.kind)
    return ""


def _figure(value: float, unit: str, kind: str) -> str:
    label = units.UNITS_BY_KIND[kind].get(unit, unit)
    places = 0 if float(value).is_integer() else 1
    return f"{formats.number_format(round(value, 1), decimal_pos=places, force_grouping=True)} {label}"


def said(reading: Measurement) -> str:
    """Say a reading in its own unit with its label, thousands set apart: `5,412 mi`."""
    return _figure(reading.to(reading.unit), reading.unit, reading.kind)


def day(on: date) -> str:
    """Say a day in words as the language does: `3 August 2026`."""
    return str(formats.date_format(on, "j F Y"))
