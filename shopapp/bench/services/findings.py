"""The rules of two kinds of entry: what was found at a damper, and that a finding was put right."""

from __future__ import annotations

from django.db.models import Max
from django.utils.translation import gettext as _

from shopapp.bench.finding_words import ADVICE, GRADES, OTHER, PARTS, UNSAFE
from shopapp.bench.models import Entry, Finding
from shopapp.bench.services.draft import Recording
from shopapp.orders.models import Job
from shopapp.shop.services.acts import Refused


def record_finding(recording: Recording) -> None:
    """A finding: part, condition in words, advice, grade; a value as it was typed. It belongs to no step of its own.

    One that comes after the damper has left is kept as an entry out of order, and nothing follows from it.
    """
    entry = recording.entry
    _check(recording)
    recording.step = None
    recording.payload |= {
        "part": entry.part, "part_words": entry.part_words, "advice": entry.advice, "answer": entry.answer,
    }  # fmt: skip
    recording.fields["value_text"] = entry.text
    recording.fields["about"] = _begun_from(recording)
    recording.out_of_order = _is_over(recording.job)
    old = _old(recording)
    if old is not None and old.grade == UNSAFE and entry.answer != UNSAFE:
        _refuse_lower(recording, old)
    if not recording.out_of_order:
        recording.then.append(lambda row: _keep(recording, row, old))


def _check(recording: Recording) -> None:
    entry = recording.entry
    if entry.part not in PARTS:
        raise Refused(_("Choose the part that this is about."), field="part")
    if entry.part == OTHER and not entry.part_words:
        raise Refused(_("Say which part it is."), field="part_words")
    if not entry.words:
        raise Refused(_("Say what is wrong with it."), field="words")
    if entry.advice not in ADVICE:
        raise Refused(_("Choose what to advise: replace, repair, watch, or no advice."), field="advice")
    if entry.answer not in GRADES:
        raise Refused(_("Choose a grade: note, should be done, or unsafe to use."), field="answer")


def _begun_from(recording: Recording) -> Entry | None:
    """Find the answer or reading that a finding was begun from, where it names one."""
    wanted = recording.entry.about
    if wanted is None:
        return None
    found = next((row for row in recording.sheet.entries if row.pk == wanted), None)
    if found is None:
        raise Refused(
            _("What this finding was begun from is not on this sheet. Load the sheet again."), field="about"
        )
    return found


def _is_over(job: Job) -> bool:
    return job.state == Job.State.VOID or job.handed_over_at is not None


def _old(recording: Recording) -> Finding | None:
    if recording.replaces is None:
        return None
    return Finding.objects.filter(entry=recording.replaces).first()


def _refuse_lower(recording: Recording, old: Finding) -> None:
    """Let an unsafe finding be called less by whoever recorded it before the customer answered, else by the owner."""
    own = recording.replaces is not None and recording.replaces.by_id == recording.by.pk and not old.answer
    if not own and "owner" not in recording.by.roles:
        words = _(
            "Finding %s is unsafe to use. Only the owner calls it less, saying why; or whoever recorded it, before the "
            "customer has answered."
        )
        raise Refused(words % old.number, field="answer")
    if not recording.entry.reason:
        raise Refused(_("Say why it is not unsafe to use after all."), field="reason")


def _keep(recording: Recording, row: Entry, old: Finding | None) -> None:
    """Keep the finding beside its entry; a correction has the old number and the desk's price, but no answer yet."""
    entry, job = recording.entry, recording.job
    number = old.number if old is not None else _next_number(job)
    Finding.objects.create(
        entry=row, job=job, number=number, part=entry.part, part_words=entry.part_words,
        advice=entry.advice, grade=entry.answer, what=old.what if old else "",
        price=old.price if old else None, tax_category=old.tax_category if old else job.work_type.tax_category,
    )  # fmt: skip


def _next_number(job: Job) -> int:
    """Give the next finding's number in a job; the job's row lock keeps two from the same one."""
    return int(Finding.objects.filter(job=job).aggregate(last=Max("number"))["last"] or 0) + 1


def put_right(recording: Recording) -> None:
    """A finding was put right, and how: once, of a finding that nobody corrected since."""
    entry = recording.entry
    if not entry.words:
        raise Refused(_("Say what was done."), field="words")
    about = next((row for row in recording.sheet.entries if row.pk == entry.about), None)
    if about is None or about.kind != Entry.Kind.FINDING:
        raise Refused(_("Choose the finding that was put right."), field="about")
    if str(about.pk) in recording.sheet.replaced:
        raise Refused(
            _("Somebody corrected this finding. Load the sheet again and look at it."), field="about"
        )
    finding = Finding.objects.filter(entry=about).first()
    if finding is not None and finding.put_right_id is not None:
        raise Refused(_("This finding is put right already."), field="about")
    recording.step = None
    recording.fields["about"] = about
    recording.out_of_order = _is_over(recording.job) or finding is None
    if not recording.out_of_order:
        recording.then.append(_mark_right)


def _mark_right(row: Entry) -> None:
    Finding.objects.filter(entry=row.about_id, put_right__isnull=True).update(put_right=row)
