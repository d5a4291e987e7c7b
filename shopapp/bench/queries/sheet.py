"""The sheet document: one job's whole bench sheet as data. No name, phone or price of a customer stands in it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.bench import figures, lock_findings
from shopapp.bench.models import Entry, Wait
from shopapp.bench.queries import findings
from shopapp.bench.queries.causes import cause_row
from shopapp.bench.queries.closing import held_words, nothing_proves, outcome_words, why_not
from shopapp.bench.queries.issued import issued_rows
from shopapp.bench.queries.pictures import document_pictures
from shopapp.bench.queries.reading import Sheet, key_of, read_sheet
from shopapp.bench.queries.skilled import asked_to_sign, initials_of
from shopapp.bench.queries.springs import coil_bind_of
from shopapp.bench.queries.stacks import entry_stack
from shopapp.bench.queries.step_rows import Shelf, shelf_of, step_row
from shopapp.bench.queries.steps import CHARGE, DEPTH, PRELOAD
from shopapp.calc import units
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job
from shopapp.specs import cautions
from shopapp.specs.models import STAGES
from shopapp.specs.queries import figure, middle

if TYPE_CHECKING:
    from shopapp.people.models import Person

OUTCOMES = ("done", "unrepaired", "uncharged", "not serviceable", "unsafe")
OFFERED = {
    "length": ["in", "mm"], "pressure": ["psi", "bar", "kPa"], "temperature": ["degC", "degF"],
    "torque": ["lbf*ft", "N*m", "lbf*in"], "volume": ["mL", "US fl oz"], "spring_rate": ["lbf/in", "N/mm"],
    "count": ["1", "click", "turn"], "distance": ["mile", "km"], "running_time": ["h"], "mass": ["kg", "lb"],
    "force": ["N", "lbf"], "angle": ["degree"], "viscosity": ["cSt"],
}  # fmt: skip


def sheet_document(*, job: Job, person: Person, at: datetime) -> dict[str, Any]:
    """Give the document of a job's sheet for a person (the job as `job_of` gives it)."""
    return document_of(read_sheet(job), person, at)


def document_of(sheet: Sheet, person: Person, at: datetime) -> dict[str, Any]:
    """Give the document of a sheet that was read."""
    shelf = shelf_of(sheet, timezone.localdate(at))
    shop = sheet.shop
    return {
        "job": job_row(sheet.job, sheet),
        "person": person_row(person),
        "skilled": initials_of(
            asked for step in sheet.steps for asked in (step.step.skill, asked_to_sign(step.step))
        ),
        "units": unit_rows(shop.default_units if shop else {}),
        "tables": units.browser_tables(),
        "decimal_comma": bool(shop and shop.decimal_comma),
        "now": at.isoformat(),
        "stages": stage_rows(sheet),
        "steps": [step_row(sheet, step, shelf) for step in sheet.steps],
        "entries": [entry_row(sheet, entry) for entry in sheet.entries],
        "findings": findings.document_rows(sheet.findings),
        "found": findings.choices(sheet.steps),
        "waits": wait_rows(sheet),
        "computed": computed_rows(sheet),
        "closing": closing_row(sheet),
    }


def person_row(person: Person) -> dict[str, Any]:
    """Give who has the page open: what they are trained for, and whether their entries are countersigned."""
    return {
        "initials": person.initials, "name": person.name, "roles": sorted(person.roles),
        "skills": list(person.skills), "trainee": person.countersign_needed,
    }  # fmt: skip


def job_row(job: Job, sheet: Sheet) -> dict[str, Any]:
    """Give what the title block shows."""
    vehicle = job.order.vehicle
    place = job.get_place_display() if job.place else ""
    return {
        "id": job.pk, "damper_id": job.damper_id, "second_person": job.second_person,
        "tag": job.damper.tag, "tag_text": show(job.damper.tag), "order": str(job.order.number),
        "vehicle": vehicle.description if vehicle else "", "place": place_words(place, job.place_number),
        "damper": str(job.damper), "bay": job.bay.name if job.bay else "",
        "technician": job.technician.name if job.technician else "", "rebuild": job.rebuild, "wish": job.wish,
        "state": job.state,
        "stage": sheet.standing.stage, "outcome": job.outcome, "stopped": sheet.standing.stopped,
        "spec": str(job.spec) if job.spec else "", "procedure": str(job.procedure) if job.procedure else "",
    }  # fmt: skip


def place_words(place: str, number: int) -> str:
    """Say a corner, with its number where there is more than one damper."""
    return f"{place} {number}" if place and number > 1 else place


def unit_rows(defaults: dict[str, str]) -> dict[str, Any]:
    """Give for each kind the unit offered first and those that a key changes to."""
    rows = {}
    for kind, offered in OFFERED.items():
        first = defaults.get(kind) or offered[0]
        rows[kind] = {"default": first, "offered": list(dict.fromkeys([first, *offered]))}
    return rows


def stage_rows(sheet: Sheet) -> list[dict[str, Any]]:
    """Give the sheets of the job: one a stage that has steps."""
    standing, found = sheet.standing, []
    names = dict(STAGES)
    codes = [code for code, _name in STAGES if any(step.step.stage == code for step in sheet.steps)]
    for number, code in enumerate(codes, 1):
        steps = [step for step in sheet.steps if step.step.stage == code]
        said = dict.fromkeys(step.step.caution for step in steps if step.step.caution)
        own = dict.fromkeys(step.step.own_caution for step in steps if step.step.own_caution)
        found.append({
            "code": code, "name": str(names[code]), "number": number, "steps": [step.key for step in steps],
            "open": code in standing.open, "state": standing.states.get(code, "planned"),
            "locked_by": locked_by(sheet, code), "cautions": [*(cautions.words(caution) for caution in said), *own],
        })  # fmt: skip
    return found


def locked_by(sheet: Sheet, code: str) -> list[str]:
    """Say in sentences what keeps a stage shut, and who can open it."""
    standing = sheet.standing
    if standing.closed:
        return [_("This job is closed.")]
    if standing.stopped:
        return [
            _("This damper is stopped as unsafe: nothing more is done to it. Only the owner releases it.")
        ]
    held = held_words(sheet) if lock_findings.shuts(sheet.found, code) else []
    rows = [sheet.by_key[key] for key in standing.locked_by.get(code, ())]
    signs = [row for row in rows if standing.satisfied.get(row.key) in sheet.unsigned]
    names = [row for row in rows if row not in signs]
    proofs = [row.name for row in names if row.step.kind == "proof"]
    others = [row.name for row in names if row.step.kind != "proof"]
    said = [_("%s is not proved. Only the proof opens this; nobody can pass it.") % name for name in proofs]
    said += [
        _("%s waits to be countersigned: somebody trained for it looks at the damper.") % row.name
        for row in signs
    ]
    if others:
        said.append(_("Recorded first: %s.") % ", ".join(others))
    return held + said


def entry_row(sheet: Sheet, entry: Entry) -> dict[str, Any]:
    """Give one entry as the page shows it."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    replaced_by = getattr(entry, "replaced_by", None)
    key = key_of(entry)
    return {
        "id": str(entry.pk), "step": entry.step_id, "key": key, "position": entry.position, "kind": entry.kind,
        "phase": entry.phase, "figure": entry.name, "text": entry.value_text, "si": entry.value_si,
        "unit": entry.value_unit, "words": entry.words,
        "answer": payload.get("outcome") or payload.get("answer") or "", "outside": entry.outside,
        "reason": entry.reason, "out_of_order": entry.out_of_order, "by": entry.by.name,
        "who": entry.by.initials, "to_countersign": entry.to_countersign,
        "typed_at": entry.typed_at.isoformat(), "stored_at": entry.stored_at.isoformat(),
        "replaces": str(entry.replaces_id) if entry.replaces_id else None,
        "about": str(entry.about_id) if entry.about_id else None, "shift": bool(payload.get("shift")),
        "replaced_by": str(replaced_by.pk) if replaced_by else None,
        "tool": entry.tool.tag if entry.tool else "", "lots": payload.get("lots", []),
        "back": payload.get("back", []), "billed": payload.get("billed", []),
        "satisfies": sheet.standing.satisfied.get(key) == str(entry.pk), **entry_stack(entry),
        "pictures": document_pictures(entry),
    }  # fmt: skip


def wait_rows(sheet: Sheet) -> list[dict[str, Any]]:
    """Give the waits of the job, those that ended too."""
    rows = Wait.objects.filter(entry__job=sheet.job).select_related("entry").order_by("ends", "pk")
    return [
        {
            "entry": str(wait.entry_id), "key": key_of(wait.entry), "ends": wait.ends.isoformat(),
            "ended": wait.ended_by_id is not None,
        }
        for wait in rows
    ]  # fmt: skip


def computed_rows(sheet: Sheet) -> dict[str, Any]:
    """Give the computed figures as they stand now."""
    wanted = {step.step.computed for step in sheet.steps}
    found = {}
    if "charge" in wanted:
        found["charge"] = _plain(charge_of(sheet))
    if "ifp" in wanted:
        found["ifp"] = _plain(figures.ifp(sheet.job.spec, sheet.value(DEPTH, "built"), sheet.shop))
    if "preload turns" in wanted:
        found["preload turns"] = _plain(turns_of(sheet))
    if "coil bind" in wanted:
        found["coil bind"] = _plain(coil_bind_of(sheet))
    return found


def _plain(computed: figures.Computed) -> dict[str, Any]:
    return {
        "words": computed.words, "si": computed.si, "unit": computed.unit, "text": computed.text,
        "lines": list(computed.lines), "trouble": computed.trouble,
    }  # fmt: skip


def charge_of(sheet: Sheet) -> figures.Computed:
    """Give the gauge reading to set at the body's temperature."""
    for step in sheet.steps:
        if step.step.figure == CHARGE and step.step.computed == "charge":
            return figures.charge(step.limits, sheet.body_k(step), sheet.shop)
    return figures.charge(None, None, sheet.shop)


def turns_of(sheet: Sheet) -> figures.Computed:
    """Give the turns from the preload as it stands to the one that was received."""
    row = figure(sheet.job.spec, "collar pitch") if sheet.job.spec else None
    pitch = middle(row.low_si, row.target_si, row.high_si) if row else None
    received = sheet.reading(PRELOAD, "received")
    wanted, unit = (received.value_si, received.value_unit) if received is not None else (None, "")
    return figures.preload_turns(sheet.value(PRELOAD, "built"), wanted, pitch, sheet.shop, unit=unit)


def closing_row(sheet: Sheet) -> dict[str, Any]:
    """Say how the job may end now, and why it is not done."""
    outcomes = [value for value in OUTCOMES if not why_not(sheet, value)]
    return {
        "may": bool(outcomes),
        "never_done": nothing_proves(sheet.job),
        "why": why_not(sheet, "done"),
        "comeback": cause_row(sheet.job),
        "issued": issued_rows(sheet),
        "outcomes": [{"value": value, "words": outcome_words(value)} for value in outcomes],
    }


__all__ = ["Shelf", "document_of", "sheet_document"]
