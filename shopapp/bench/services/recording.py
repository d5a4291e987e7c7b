"""Record one entry: a fact, stored whatever its order. What is refused is what cannot be one, and passing a stop."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.bench import locks, projections
from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import Sheet, job_of, read_sheet
from shopapp.bench.queries.steps import CHARGE, DEPTH, TEMPERATURE
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.entry_in import EntryIn
from shopapp.bench.services.kinds import KIND_RULES
from shopapp.bench.services.signing import mark_trainee, refuse_own_check, refuse_unskilled
from shopapp.orders.models import Job
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

BENCH_ROLES = frozenset({"technician", "owner"})
STEP_KINDS = {
    "do": "do", "reading": "reading", "unreadable": "reading", "proof": "proof", "wait": "wait",
    "wait end": "wait", "part": "part", "tool": "tool", "choice": "choice", "picture": "picture",
}  # fmt: skip
HOLDS_GAS = (CHARGE, DEPTH, TEMPERATURE)
CHARGING = "charging"
TICK = timedelta(microseconds=1)


def record_entry(
    *, job: Job, entry: EntryIn, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Entry:
    """Record one entry in its own transaction, with what follows from it: stock, order lines, waits, the job's state.

    The entry is stored out of order where its stage is shut; then it satisfies nothing and moves no stock.
    """
    with acts.doing("record_entry", call=call, by=by, at=at, within=within) as act:
        if not BENCH_ROLES & by.roles:
            raise Refused(_("Only technicians and the owner record at the bench."))
        sheet = read_sheet(_locked(job))
        recording = Recording(act=act, sheet=sheet, entry=entry, by=by, at=_moment(sheet, at))
        _place(recording)
        KIND_RULES[entry.kind](recording)
        row = _store(recording)
        keep_projections(recording, row)
        for follow in recording.then:
            follow(row)
        act.about("job", sheet.job.pk)
        act.result = {"entry": str(row.pk), "job": sheet.job.pk}
        return row


def _moment(sheet: Sheet, at: datetime) -> datetime:
    """Give the moment of storing: after every entry of the job and after its hand-over, so that the order is plain."""
    before = [entry.stored_at for entry in sheet.entries[-1:]]
    if sheet.job.handed_over_at is not None:
        before.append(sheet.job.handed_over_at)
    return max([at, *(moment + TICK for moment in before)])


def _locked(job: Job) -> Job:
    """Take the job's row lock, so that entries of one job are judged one after the other on both databases."""
    Job.objects.filter(pk=job.pk).update(revision=F("revision") + 1)
    found = job_of(job.pk)
    if found is None:
        raise Refused(_("There is no such job."), field="job")
    return found


def _place(recording: Recording) -> None:
    """Find the step and what is corrected; say whether the entry comes in order."""
    entry, sheet = recording.entry, recording.sheet
    wanted = STEP_KINDS.get(entry.kind)
    if entry.kind == Entry.Kind.PICTURE and entry.step is None:
        wanted = None
    if entry.step is not None:
        recording.step = sheet.by_key.get(entry.key)
        if recording.step is None:
            raise Refused(_("This step is not on this job's sheet. Load the sheet again."), field="step")
    if wanted and (recording.step is None or recording.step.step.kind != wanted):
        raise Refused(_("This step asks for something else. Load the sheet again."), field="kind")
    corrects = ""
    if entry.replaces is not None:
        recording.replaces = _corrected(recording, entry)
        if entry.kind == Entry.Kind.READING:
            corrects = str(entry.replaces)
            _refuse_slip_of_another(recording, corrects)
    shut = sheet.job.state == Job.State.VOID or sheet.job.handed_over_at is not None
    if wanted:
        late = locks.out_of_order(sheet.rules, sheet.records, entry.key, corrects)
        recording.out_of_order = shut or late or entry.key not in sheet.standing.open_steps
    if wanted and recording.step is not None:
        refuse_unskilled(recording, recording.step)
        refuse_own_check(recording, recording.step)
    mark_trainee(recording)


def _corrected(recording: Recording, entry: EntryIn) -> Entry:
    """Find the entry that this one corrects: of the same step and sort, not corrected before."""
    old = next((row for row in recording.sheet.entries if row.pk == entry.replaces), None)
    if old is None:
        raise Refused(_("What this corrects is not on this sheet. Load the sheet again."), field="replaces")
    if str(old.pk) in recording.sheet.replaced:
        raise Refused(
            _("Somebody corrected this entry already. Load the sheet again and look at it."), field="replaces"
        )
    same_sort = STEP_KINDS.get(old.kind, old.kind) == STEP_KINDS.get(entry.kind, entry.kind)
    same_place = (old.step_id, old.position) == (entry.step, entry.position if entry.step is not None else "")
    if (
        old.kind in ("release", "close", "wait end", "taken", "countersign")
        or not same_sort
        or not same_place
    ):
        raise Refused(_("This entry cannot be corrected by that one. Record it anew."), field="replaces")
    return old


def _refuse_slip_of_another(recording: Recording, corrects: str) -> None:
    """Let a slip of the pen in what holds the gas be corrected by whoever made it, or by somebody trained to charge."""
    step, old, sheet = recording.step, recording.replaces, recording.sheet
    if step is None or old is None or step.step.figure not in HOLDS_GAS:
        return
    slip = locks.is_slip(sheet.rules, sheet.records, step.key, corrects)
    if slip and old.by_id != recording.by.pk and CHARGING not in recording.by.skills:
        words = _(
            "Only %s, or somebody trained for charging, corrects this reading. Ask them, or read it anew."
        )
        raise Refused(words % old.by.name, field="replaces")


def _store(recording: Recording) -> Entry:
    entry, step = recording.entry, recording.step
    _refuse_used_counter(recording)
    return Entry.objects.create(
        id=entry.id,
        job=recording.job,
        step=step.step if step else None,
        kind=entry.kind,
        phase=step.step.phase if step else "",
        name=step.step.figure if step else "",
        position=step.position if step else "",
        words=entry.words,
        reason=entry.reason,
        payload=recording.payload,
        out_of_order=recording.out_of_order,
        replaces=recording.replaces,
        by=recording.by,
        device=recording.act.call.device,
        typed_at=entry.typed_at,
        clock_offset_ms=entry.offset_ms,
        stored_at=recording.at,
        counter=entry.counter,
        act_id=recording.act.id,
        **recording.fields,
    )


def _refuse_used_counter(recording: Recording) -> None:
    device = recording.act.call.device
    if device is None:
        return
    for row in recording.sheet.entries:
        if (
            row.device_id == device.pk
            and row.counter == recording.entry.counter
            and row.pk != recording.entry.id
        ):
            raise Refused(
                _("This tablet sent another entry under the same number. Record it once more."),
                field="counter",
            )


def keep_projections(recording: Recording, row: Entry) -> None:
    """Write what now follows for the job; of a void job, or one that was handed over, nothing changes."""
    recording.sheet = Sheet(
        job=recording.job, shop=recording.sheet.shop, figures=recording.sheet.figures,
        steps=recording.sheet.steps, entries=[*recording.sheet.entries, row],
    )  # fmt: skip
    job = recording.job
    if job.state == Job.State.VOID or job.handed_over_at is not None:
        return
    found = projections.derive(recording.sheet)
    job.state, job.stage, job.outcome = found.state, found.stage, found.outcome
    job.closed_at, job.is_open, job.comeback_cause = found.closed_at, found.is_open, found.comeback_cause
    if job.technician is None and "technician" in recording.by.roles:
        job.technician = recording.by
    if job.state != Job.State.DONE:
        job.next_due = None
    job.save(
        update_fields=[
            "state",
            "stage",
            "outcome",
            "closed_at",
            "is_open",
            "technician",
            "next_due",
            "comeback_cause",
        ]
    )
