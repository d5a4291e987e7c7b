"""The tag that hangs on a damper whose job has ended or was stopped: what may be done with it, read from afar."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils import translation
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shopapp import drawings
from shopapp.bench import report_record
from shopapp.bench.models import Entry
from shopapp.bench.queries.findings import keeps_gas_out, short_words
from shopapp.bench.queries.sheet import place_words
from shopapp.bench.queries.steps import CHARGE
from shopapp.bench.queries.stopped import stop_words
from shopapp.bench.report_record import Record, typed
from shopapp.dampers.services import tags
from shopapp.orders.models import Job
from shopapp.papers import kinds
from shopapp.papers import services as papers
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.specs.models import Step

if TYPE_CHECKING:
    from shopapp.papers.models import Paper
    from shopapp.people.models import Person

KIND = "job tag"
TEMPLATE = "papers/job_tag.html"
SIZES = ((6, 60), (8, 46), (11, 34), (16, 24))
SMALLEST = 17
MARKS = {"unsafe": "stopped", "done": "done"}


def print_tag(*, job: Job, by: Person, at: datetime, call: Call, within: Doing | None = None) -> Paper:
    """Freeze a tag of a job that has ended or is stopped, as it stands now; a further one is marked as a reprint.

    In the shop's language: it is read by who works there, not by the customer.
    """
    with acts.doing("print_tag", call=call, by=by, at=at, within=within) as act:
        record = report_record.read(job.pk)
        if not has_tag(record.job):
            raise Refused(_("This job has not ended yet: the tag says how it ended."))
        language = translation.get_language() or "en"
        paper = papers.issue_paper(
            kind=KIND, subject_kind="job", subject_id=job.pk, figures=figures(record, by, at), act=act, at=at,
            language=language,
        )  # fmt: skip
        act.about("job", job.pk)
        act.result = {"job": job.pk, "paper": str(paper.pk)}
        return paper


def has_tag(job: Job) -> bool:
    """Say whether there is a tag to print: the job is closed, or it is stopped as unsafe."""
    return job.state in (Job.State.DONE, Job.State.STOPPED) and bool(job.outcome)


def figures(record: Record, by: Person, at: datetime) -> dict[str, Any]:
    """Gather what the tag says."""
    job = record.job
    big, lead = _words(record)
    vehicle = job.order.vehicle
    return {
        "title": " ".join(big),
        "big": big,
        "lead": lead,
        "mark": MARKS.get(job.outcome, "void"),
        "state": str(job.get_outcome_display()),
        "facts": [row for row in _facts(record) if row[1]],
        "tag": tags.show(job.damper.tag),
        "order": f"{job.order.number}/{job.number}",
        "place": place_words(str(job.get_place_display() if job.place else ""), job.place_number) or _("loose"),
        "damper": ", ".join(part for part in (str(job.damper.model or job.damper.maker), job.damper.serial) if part),
        "customer": job.order.customer.name,
        "vehicle": vehicle.description if vehicle else "",
        "shop": record.shop.name if record.shop else "",
        "printed": _("Printed %(at)s, %(by)s") % {"at": record.moment(at), "by": by.initials},
        "particulars": [
            [_("Order"), f"{job.order.number}/{job.number}"],
            [_("Tag"), tags.show(job.damper.tag)],
            [_("Says"), " ".join(big)],
            *_facts(record),
        ],
    }  # fmt: skip


def _words(record: Record) -> tuple[list[str], str]:
    """Give the big words, line by line, and the sentence under them."""
    kept_out = [row for row in record.sheet.findings if keeps_gas_out(row)]
    outcome = record.job.outcome
    if outcome == Job.Outcome.UNSAFE:
        return _big(_("DO NOT|OPEN")), _(
            "It may be under pressure. Nobody opens, drills, heats or cuts it. Only the owner releases it."
        )
    if kept_out:
        return _big(_("UNSAFE|TO USE")), _(
            "There is no gas charge in this damper. Do not fit it, do not use it."
        )
    return {
        Job.Outcome.DONE: _ready(record),
        Job.Outcome.UNREPAIRED: (
            _big(_("NOT|REPAIRED")),
            _("Returned unrepaired: nothing here says that it is fit to use. It may still hold gas."),
        ),
        Job.Outcome.UNCHARGED: (
            _big(_("NO GAS")),
            _("Returned uncharged. Do not fit it and do not use it before it is charged."),
        ),
        Job.Outcome.NOT_SERVICEABLE: (
            _big(_("DO NOT|USE")),
            _("Not serviceable: it was not rebuilt and cannot be. It may still hold gas."),
        ),
    }[Job.Outcome(outcome)]


def ending_words(record: Record) -> tuple[str, str]:
    """Say how a job ended as its tag does, for other papers: the big words in one line, and the sentence."""
    big, lead = _words(record)
    return " ".join(big), lead


def _ready(record: Record) -> tuple[list[str], str]:
    work = {"work": str(record.job.work_type)}
    if _charged(record) is not None:
        return _big(_("READY")), _("%(work)s: done. It holds gas under pressure.") % work
    return _big(_("READY")), _("%(work)s: done.") % work


def _big(words: str) -> list[str]:
    return words.split("|")


def _charged(record: Record) -> Entry | None:
    """Give the charge as built that counts."""
    return record.reading(CHARGE, Step.Phase.BUILT)


def _facts(record: Record) -> list[list[str]]:
    """Give caption and words of what stands under the sentence."""
    job = record.job
    if job.outcome == Job.Outcome.UNSAFE:
        return _of_stop(record)
    closed = [entry for entry in record.current if entry.kind == Entry.Kind.CLOSE][-1:]
    unsafe = [short_words(row) for row in record.sheet.findings if keeps_gas_out(row)]
    charge = _charged(record)
    return [
        [_("Unsafe"), "; ".join(unsafe)],
        [_("Why"), " ".join(entry.words for entry in closed)],
        [_("Charge"), typed(charge) if charge is not None and job.outcome == Job.Outcome.DONE else ""],
        [
            _("Closed"),
            f"{record.day(job.closed_at)}, {closed[0].by.name}" if closed else record.day(job.closed_at),
        ],
    ]


def _of_stop(record: Record) -> list[list[str]]:
    """Say who stopped it, when and why, the pressure that was found, and who made it safe where somebody did."""
    stops = [entry for entry in record.entries if stop_words(entry)]
    stop = stops[0] if stops else None
    found = record.reading(CHARGE, *report_record.FOUND)
    released = [entry for entry in record.current if entry.kind == Entry.Kind.RELEASE]
    made_safe = [
        _("%(how)s (%(who)s)") % {"how": entry.words, "who": entry.by.initials} for entry in released
    ]
    return [
        [_("Stopped by"), f"{stop.by.name}, {record.moment(stop.stored_at)}" if stop else ""],
        [_("Why"), _why(stop) if stop else ""],
        [_("Found pressure"), typed(found) if found is not None else _("not read")],
        [_("Made safe"), " ".join(made_safe) or _("not yet")],
    ]


def _why(stop: Entry) -> str:
    words = stop_words(stop)
    return f"{words} {stop.words}".strip() if stop.kind != Entry.Kind.CLOSE else words


def size_of(lines: list[str]) -> int:
    """Give in points how big the big words may be so that the longest line keeps within the tag's width."""
    longest = max((len(line) for line in lines), default=1)
    return next((size for most, size in SIZES if longest <= most), SMALLEST)


def draw(figures: dict[str, Any]) -> dict[str, Any]:
    """Draw the line type of the state; say how big the big words are."""
    mark = drawings.state_mark(figures["mark"], width=220, height=22)
    # Drawn by our own code from one of five words: no text of anybody stands in it.
    return {"mark": mark_safe(mark), "size": size_of(figures["big"])}


def file_name(figures: dict[str, Any]) -> str:
    """Name the tag's file: tag-1187-1-do-not-open."""
    return kinds.plain_name("tag", figures["order"], figures["title"])


def register() -> None:
    """Register the tag as a kind of paper (called at start by the bench's handlers)."""
    kinds.register(
        KIND,
        title=gettext_lazy("Tag"),
        template=TEMPLATE,
        pdf_variant="pdf/ua-1",
        file_name=file_name,
        drawings=draw,
    )
