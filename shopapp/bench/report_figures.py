"""What a rebuild report holds of one job, worded once, from its title block to its cautions."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _

from shopapp.bench import (
    report_computed,
    report_findings,
    report_log,
    report_pictures,
    report_readings,
    report_section,
    report_stacks,
)
from shopapp.bench.models import Entry
from shopapp.bench.queries.next_service import meter_limits
from shopapp.bench.queries.steps import CHARGE, SheetStep
from shopapp.bench.queries.went_back import back_words
from shopapp.bench.report_record import Record, with_unit
from shopapp.customers.models import MeterReading
from shopapp.dampers.services import tags
from shopapp.orders.models import Job
from shopapp.specs import cautions
from shopapp.specs.models import ServiceSpec, Step

SHOWN_CAUTIONS = ("gas", "spring", "shipping", "limits")


def outcome_words(outcome: str) -> tuple[str, str]:
    """Word how a job ended: the heading of the report and the sentence under it."""
    return (
        {
            Job.Outcome.DONE: (
                _("Report"),
                _("Rebuilt, charged and proved on the bench."),
            ),
            Job.Outcome.UNREPAIRED: (
                _("Report: returned unrepaired"),
                _(
                    "Returned unrepaired. This damper was not rebuilt, and nothing here says that it is fit to use."
                ),
            ),
            Job.Outcome.UNCHARGED: (
                _("Report: returned uncharged"),
                _(
                    "Returned uncharged. There is no gas charge in this damper: do not fit or use it before it is "
                    "charged."
                ),
            ),
            Job.Outcome.NOT_SERVICEABLE: (
                _("Report: not serviceable"),
                _("Not serviceable. This damper was not rebuilt and cannot be: do not use it any more."),
            ),
            Job.Outcome.UNSAFE: (
                _("Report: stopped unsafe"),
                _(
                    "Stopped unsafe. DO NOT OPEN: this damper may be under pressure. The work was ended for that "
                    "reason."
                ),
            ),
        }.get(Job.Outcome(outcome), ("", ""))
        if outcome
        else (_("Report of work so far"), _("The work is not closed."))
    )


def _head(record: Record) -> tuple[str, str]:
    """Word the heading, by the kind of work, and what is under it.

    "Rebuilt, charged and proved" only where the sheet shows each of them.
    """
    title, lead = outcome_words(record.job.outcome)
    if record.job.outcome != Job.Outcome.DONE:
        return title, lead
    work = {"work": str(record.job.work_type)}
    title = _("%(work)s report") % work
    if _proved(record):
        return title, lead
    if record.sheet.steps and not _opened(record):
        return title, _("%(work)s. Nothing was opened or charged; what was found stands below.") % work
    if record.sheet.steps:
        return title, _("%(work)s. What was read and proved stands below, and nothing more.") % work
    return title, _("%(work)s: no bench sheet was kept.") % work


def _proved(record: Record) -> bool:
    """Say whether a charge as built was read and every proof of the stage *prove* stands."""
    charged = [row for row in record.steps_of(CHARGE, "", (Step.Phase.BUILT,)) if _was_read(record, row)]
    proofs = [
        row for row in record.sheet.steps if row.step.stage == "prove" and row.step.kind == Step.Kind.PROOF
    ]
    return bool(charged) and bool(proofs) and all(record.stands(row) is not None for row in proofs)


def _opened(record: Record) -> bool:
    """Say whether the work opens the damper or lets gas in."""
    return any(row.step.stage in ("strip", "charge") for row in record.sheet.steps)


def _as_found_only(record: Record) -> bool:
    """Say whether nothing is built here (an inspection): then the report has no column for it."""
    return not any(row.step.phase == Step.Phase.BUILT for row in record.sheet.steps)


def _was_read(record: Record, row: SheetStep) -> bool:
    entry = record.stands(row)
    return entry is not None and entry.kind == Entry.Kind.READING


def figures(record: Record, at: datetime) -> dict[str, Any]:
    """Gather everything the report shows; call it in the language that the paper shall have."""
    title, lead = _head(record)
    block = _block(record, title)
    found = report_findings.rows(record)
    return {
        "title": title,
        "lead": lead,
        "outcome": record.job.outcome,
        "why": _closing_words(record),
        "summary": _summary(record),
        "block": block,
        "identity": _identity(block),
        "particulars": _particulars(block, record),
        "particulars_of_job": _of_job(record),
        "spec": _spec(record),
        "section": report_section.numbers(record),
        "findings": found,
        "finding_pictures": report_pictures.found(record),
        "pictures": report_pictures.of_steps(record),
        "unsafe": report_findings.unsafe(found),
        "readings": report_readings.rows(record),
        "as_found_only": _as_found_only(record),
        "stacks": report_stacks.found(record),
        "moved": report_readings.moved_sentences(record),
        "counted": report_readings.counted_sentence(record),
        "computed": report_computed.computed(record),
        "fitted": report_log.fitted(record),
        "given_back": _given_back(record),
        "tools": report_log.tools(record),
        "proofs": report_log.proofs(record),
        "remarks": report_log.remarks(record),
        "corrections": report_log.corrections(record),
        "waits": report_log.waits(record),
        "log": report_log.log(record),
        "people": report_log.people(record),
        "next_due": _next_due(record),
        "cautions": _cautions(),
        "footer": record.shop.report_footer if record.shop else "",
        "printed": record.moment(at),
    }


def _block(record: Record, title: str) -> dict[str, str]:
    job, shop = record.job, record.shop
    damper = job.damper
    name = str(damper.model) if damper.model else damper.maker
    contact = " · ".join(part for part in ((shop.phone, shop.email) if shop else ()) if part)
    return {
        "shop": shop.name if shop else "",
        "address": ", ".join((shop.address if shop else "").split("\n")),
        "contact": contact,
        "title": title,
        "order": str(job.order.number),
        "job": str(job.number),
        "rebuild": str(job.rebuild),
        "place": _place(job),
        "damper": name or _("maker unknown"),
        "serial": damper.serial or _("no serial"),
        "tag": tags.show(damper.tag),
        "customer": job.order.customer.name,
        "vehicle": str(job.order.vehicle or _("loose damper")),
        "meter": _meter(record),
        "measured_by": report_log.measured_by(record),
        "received": record.day(job.order.received_at),
        "closed": record.day(job.closed_at),
        "days": _days(record),
        "sheet": _sheet_name(job.spec) if job.spec else _("no sheet of figures"),
    }


def _sheet_name(spec: ServiceSpec) -> str:
    """Name a sheet of figures shortly: the maker stands beside the damper already."""
    return _("%(sheet)s, issue %(issue)s") % {
        "sheet": f"{spec.model.name} {spec.variant}".strip(),
        "issue": spec.issue,
    }


def _days(record: Record) -> str:
    """Write the days of receiving and closing together: "16 Nov · 28 Nov 2026"."""
    came, went = record.day(record.job.order.received_at), record.day(record.job.closed_at)
    alike = came[-4:] == went[-4:]
    return f"{came[:-5] if alike else came} · {went or '–'}"


def _place(job: Job) -> str:
    words = job.get_place_display() if job.place else _("not fitted")
    return f"{words} {job.place_number}" if job.place_number > 1 else words


def _meter(record: Record) -> str:
    """Give the last meter reading up to the closing: of the vehicle, else of the damper itself."""
    job = record.job
    shown = MeterReading.objects.filter(replaced_by__isnull=True)
    of = (
        shown.filter(vehicle=job.order.vehicle_id)
        if job.order.vehicle_id
        else shown.filter(damper=job.damper)
    )
    if job.closed_at is not None:
        of = of.filter(on__lte=job.closed_at.astimezone(record.zone).date())
    last = of.order_by("-on", "-stored_at", "-pk").first()
    if last is None:
        return _("not read")
    measured = last.distance or last.running
    text = with_unit(measured.text, measured.unit, measured.kind) if measured else ""
    return f"{text}, {formats.date_format(last.on, 'j M Y')}"


def _identity(block: dict[str, str]) -> str:
    """Name the damper in one line, for who reads without the title block."""
    words = _(
        "Order %(order)s, %(place)s. Damper %(damper)s, serial %(serial)s, tag %(tag)s, "
        "rebuild %(rebuild)s. %(customer)s, %(vehicle)s."
    )
    return words % block


def _particulars(block: dict[str, str], record: Record) -> list[list[str]]:
    """Sum the paper up for its page."""
    return [
        [_("Order"), block["order"]],
        [_("Damper"), f"{block['damper']}, {block['serial']}"],
        [_("Tag"), block["tag"]],
        [_("Place"), block["place"]],
        [_("Customer"), block["customer"]],
        [_("Outcome"), str(record.job.get_outcome_display() or _("not closed"))],
        [_("Sheet of figures"), block["sheet"]],
        [_("Closed"), block["closed"] or _("not closed")],
    ]


def _order_of(job: Job) -> str:
    """Name a job by its order and its number in it."""
    return f"{job.order.number}/{job.number}"


def _of_job(record: Record) -> list[list[str]]:
    """Give what the customer said and how the damper came."""
    job = record.job
    rows = [
        [_("Work"), str(job.work_type)],
        [_("Complaint and wish"), job.order.complaint],
        [_("Asked of this one"), job.wish],
        [_("Condition on arrival"), job.condition],
        [_("Comeback of"), _order_of(job.comeback_of) if job.comeback_of else ""],
    ]
    return [row for row in rows if row[1].strip()]


def _spec(record: Record) -> dict[str, str]:
    spec = record.job.spec
    if spec is None:
        return {"name": "", "words": _("No sheet of figures was at hand: nothing was held against limits.")}
    day = formats.date_format(spec.sheet_date, "j M Y") if spec.sheet_date else ""
    said = {"name": str(spec), "basis": str(spec.get_basis_display()), "source": spec.source}
    words = _("Limits from %(name)s (%(basis)s): %(source)s") % said
    return {"name": str(spec), "words": f"{words}, {day}." if day else f"{words}."}


def _summary(record: Record) -> str:
    """Count the readings outside limits, on arrival and as built."""
    out = {"found": 0, "built": 0}
    for row in report_readings.rows(record):
        for side in out:
            out[side] += row[side]["verdict"] in ("below", "above")
    if not record.sheet.figures or not any(entry.kind == Entry.Kind.READING for entry in record.entries):
        return ""
    if _as_found_only(record):
        return _("Readings outside limits: %(found)d on arrival.") % out
    return _("Readings outside limits: %(found)d on arrival, %(built)d as built.") % out


def _closing_words(record: Record) -> str:
    """Give what was written when the job was closed, and who made a stopped one safe and how."""
    parts = [entry.words or entry.reason for entry in record.current if entry.kind == Entry.Kind.CLOSE]
    released = [entry for entry in record.current if entry.kind == Entry.Kind.RELEASE]
    parts += [
        _("Made safe (%(who)s): %(how)s") % {"who": entry.by.initials, "how": entry.words}
        for entry in released
    ]
    return " ".join(part for part in parts if part)


def _given_back(record: Record) -> str:
    """Say what was issued and not used: it is not in the damper."""
    words = back_words(entry for entry in record.current if entry.kind == Entry.Kind.CLOSE)
    return _("Issued and not used: %s.") % "; ".join(words) if words else ""


def _next_due(record: Record) -> str:
    job = record.job
    if job.next_due is None:
        return _("Next service: as the maker's sheet says, and at once when it leaks.")
    said = {"day": day_words(job.next_due), "limits": _(" or ").join(meter_limits(job))}
    if said["limits"]:
        return _("Next service due by %(day)s or after %(limits)s, and at once when it leaks.") % said
    return _("Next service due by %s, and at once when it leaks.") % said["day"]


def day_words(day: date) -> str:
    """Write a day: "25 Nov 2026"."""
    return str(formats.date_format(day, "j M Y"))


def _cautions() -> list[list[str]]:
    """Give the cautions that go with the damper: heading and sentences."""
    found = []
    for code in SHOWN_CAUTIONS:
        head, _dot, rest = cautions.words(code).partition(". ")
        found.append([f"{head}.", rest])
    return found
