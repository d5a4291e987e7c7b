"""The day at the desk: what is open, in three parts, and what to do next about each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import NamedTuple

from django.urls import reverse
from django.utils import formats, timezone
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from shopapp.bench.finding_words import UNSAFE
from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import short_words, unanswered
from shopapp.bench.queries.waiting import WaitLine, clock, waits_of
from shopapp.money.amounts import shown
from shopapp.orders.models import Job, WorkOrder
from shopapp.orders.queries import DONE, PLANNED, STOPPED, WAITING, job_state, jobs, late_by, stays
from shopapp.orders.shelves import lies
from shopapp.shop.models import Shop
from shopapp.specs.models import STAGES
from shopapp.web.queries.sums import ZERO, Sums, sums_of

MOST = 200
NOT_FETCHED = 7
"""After how many days somebody rings about a damper that is ready and not fetched."""
GOING = (Job.State.PLANNED, Job.State.IN_WORK)
ORDER_OF_STAGES = [stage for stage, _name in STAGES]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the day: its state, whose it is, and the next thing to do with the page where it is done."""

    mark: str
    words: str
    order: WorkOrder
    late: int
    where: str
    dampers: str
    todo: str
    detail: str = ""
    url: str = ""


@dataclass(frozen=True)
class Part:
    """A part of the day with its lines."""

    name: str
    rows: list[Row] = field(default_factory=list)


class Day(NamedTuple):
    """The day's parts; `in_work` of `bays` bays are busy; `left_out` jobs did not fit on the sheet."""

    parts: list[Part]
    in_work: int
    promised_today: int
    left_out: int


def the_day(*, at: datetime, shop: Shop | None) -> Day:
    """Read the open jobs of the day, the earliest promised first, and say what each order waits for."""
    open_jobs = jobs().filter(is_open=True).order_by("order__promised", "order__number", "number")
    shown_jobs = list(open_jobs[: MOST + 1])
    left_out = max(open_jobs.count() - MOST, 0) if len(shown_jobs) > MOST else 0
    by_order: dict[int, list[Job]] = {}
    for job in shown_jobs[:MOST]:
        by_order.setdefault(job.order_id, []).append(job)
    orders = [of_order[0].order for of_order in by_order.values()]
    today = timezone.localdate(at)
    sums = sums_of(orders, on=today, shop=shop)
    sheet = _Sheet(
        at=at,
        today=today,
        currency=shop.currency if shop else "USD",
        findings=unanswered(shown_jobs[:MOST]),
        waits=waits_of(shown_jobs[:MOST], at),
        to_work={pk: sum((work_left(job) for job in some), timedelta()) for pk, some in by_order.items()},
    )
    parts = [Part(_("At the desk now")), Part(_("In the bays")), Part(_("Waiting"))]
    for of_order in by_order.values():
        parts[0].rows.extend(sheet.desk_rows(of_order, sums[of_order[0].order_id]))
        for job in of_order:
            row = sheet.bay_row(job)
            if row is not None:
                parts[2 if job.state == Job.State.PLANNED else 1].rows.append(row)
    busy = {job.bay_id for job in shown_jobs if job.bay_id and job.state == Job.State.IN_WORK}
    promised = sum(1 for o in orders if o.promised and timezone.localdate(o.promised) == today)
    return Day(parts, len(busy), promised, left_out)


def dampers_said(some: Iterable[Job]) -> str:
    """Say how many dampers of which model: `4 Keldmark K25`."""
    rows = list(some)
    names = {str(job.damper.model or job.damper.maker or _("damper")) for job in rows}
    if len(names) == 1:
        return f"{len(rows)} {names.pop()}"
    return ngettext("%d damper", "%d dampers", len(rows)) % len(rows)


def work_left(job: Job) -> timedelta:
    """Say how much bench time a job still wants: its kind of work's minutes, less the stages that lie behind it."""
    if job.state not in GOING:
        return timedelta()
    behind = ORDER_OF_STAGES.index(job.stage) if job.stage in ORDER_OF_STAGES else 0
    return timedelta(minutes=job.work_type.minutes) * (1 - behind / len(ORDER_OF_STAGES))


def span(time: timedelta) -> str:
    """Write a length of time as people say it at a counter: `50 min`, `2 h 20 min`, `3 days`."""
    minutes = round(time.total_seconds() / 60)
    if minutes < 60:
        return _("%d min") % minutes
    if minutes < 48 * 60:
        return _("%(hours)d h %(minutes)02d min") % {"hours": minutes // 60, "minutes": minutes % 60}
    return ngettext("%d day", "%d days", minutes // 1440) % (minutes // 1440)


@dataclass(frozen=True)
class _Sheet:
    """The moment, the day and the currency in which the lines are worded."""

    at: datetime
    today: date
    currency: str
    findings: Mapping[int, Sequence[Finding]]
    waits: Mapping[int, Sequence[WaitLine]]
    to_work: Mapping[int, timedelta]

    def desk_rows(self, of_order: list[Job], sums: Sums) -> Iterator[Row]:
        """Give the lines that the front desk has to act on: a yes, a stop, unassigned dampers, a hand-over."""
        if sums.past_limit:
            yield self._row(of_order, WAITING, _("wants a yes"), *self._ask(sums))
        yield from (row for job in of_order for row in self._found(job))
        for job in of_order:
            if job_state(job)[0] == STOPPED and not stays(job):
                closed = job.state == Job.State.DONE
                asks = _("%s is made safe: hand it over under its tag, or scrap it")
                words = (asks if closed else _("Tell the owner: %s is stopped unsafe")) % job.damper
                yield self._row(
                    [job], STOPPED, _("stopped unsafe"), words, _("Set aside, tagged DO NOT OPEN")
                )
        free = [job for job in of_order if job.state == Job.State.PLANNED and job.technician_id is None]
        if free:
            yield self._row(free, PLANNED, *self._give_out(free))
        yield from (row for job in of_order for row in self._stayed(job))
        ready = [job for job in of_order if job_state(job)[0] == DONE and not stays(job)]
        if ready:
            yield self._row(ready, DONE, job_state(ready[0])[1], *self._hand_over(ready, len(of_order), sums))

    def _stayed(self, job: Job) -> Iterator[Row]:
        """Give the line of a damper that stays here past the day that was said."""
        until = job.stay_until if stays(job) else None  # type: ignore[attr-defined]
        if until is not None and until < self.today:
            words = _("Ask about %(damper)s: it was to stay until %(day)s")
            said = {"damper": job.damper, "day": formats.date_format(until, "j M")}
            yield self._row([job], DONE, job_state(job)[1], words % said, lies(job))

    def _found(self, job: Job) -> Iterator[Row]:
        """Give the line of a job whose findings want a price or the customer's answer: the gravest one is named."""
        found = self.findings.get(job.pk, ())
        if not found or job.state not in (Job.State.PLANNED, Job.State.IN_WORK):
            return
        first = next((row for row in found if row.grade == UNSAFE), found[0])
        words = _("Give finding %s a price") if first.price is None else _("Ask for a yes to finding %s")
        said = [str(first.get_grade_display())]
        if len(found) > 1:
            said.append(ngettext("%d more", "%d more", len(found) - 1) % (len(found) - 1))
        yield self._row([job], WAITING, _("wants a yes"), words % short_words(first), ", ".join(said))

    def _ask(self, sums: Sums) -> tuple[str, str]:
        gross, limit = (
            shown(value, self.currency, get_language() or "en") for value in (sums.gross, sums.limit or ZERO)
        )
        return _("Ask for a yes to %s") % gross, _("Past the limit of %s") % limit

    def _give_out(self, free: list[Job]) -> tuple[str, str, str]:
        parcel = free[0].order.comes_by == "parcel"
        state = _("parcel here") if parcel else _("received")
        words = ngettext(
            "Give %d damper to a technician", "Give %d dampers to a technician", len(free)
        ) % len(free)
        return state, words, _("Hang the tags on body, springs and tray first")

    def _hand_over(self, ready: list[Job], of_all: int, sums: Sums) -> tuple[str, str]:
        words = ngettext("Hand over %d", "Hand over %d", len(ready)) % len(ready)
        days = self._lain(ready)
        if days >= NOT_FETCHED:
            words = ngettext(
                "Ring: not fetched for %(days)d day", "Ring: not fetched for %(days)d days", days
            ) % {"days": days}
        if sums.to_take:
            words += ", " + _("take %s") % shown(sums.to_take, self.currency, get_language() or "en")
        shelves = ", ".join(sorted(filter(None, map(lies, ready))))
        detail = [_("invoice not issued yet")] if sums.open_lines else []
        detail += [shelves] if shelves else []
        if len(ready) < of_all:
            detail.append(_("%d of this order are not ready") % (of_all - len(ready)))
        return words, "; ".join(detail)

    def bay_row(self, job: Job) -> Row | None:
        """Give the line of a job that a technician has: at work, waiting for a clock, or not begun."""
        mark, words = job_state(job)
        if job.state not in GOING or (job.state == Job.State.PLANNED and job.technician_id is None):
            return None
        who = str(job.technician or "")
        if job.state == Job.State.PLANNED:
            who = _("%s begins it") % job.technician
        held = self._held_up(job)
        if held:
            mark, words = WAITING, _("waits")
        todo = held
        if not todo and mark == WAITING:
            todo = self._clock(job.wait_ends)  # type: ignore[attr-defined]
        told = self._told(job, held)
        details = "; ".join(filter(None, [todo if told else "", who, lies(job)]))
        return self._row(
            [job], mark, words, told or todo or _("Nothing to do"), details, link=bool(told or held)
        )

    def _clock(self, ends: datetime) -> str:
        """Say until when nothing is done, or that the clock has run out and somebody goes on."""
        words = _("Nothing before %s") if ends > self.at else _("Go on: the wait is over since %s")
        return words % clock(ends)

    def _held_up(self, job: Job) -> str:
        """Say what else than a clock the work cannot go on without: a part, a tool, a yes."""
        for line in self.waits.get(job.pk, ()):
            if line.holds_up and line.ends is None:
                return line.words[:1].upper() + line.words[1:]
        return ""

    def _told(self, job: Job, held: str) -> str:
        """Say what the customer is to be told: it is late; or at risk, by what is left to do and what holds it up."""
        promised = job.order.promised
        if promised is None:
            return ""
        if late_by(promised, self.at):
            return _("Tell the customer: it will be late")
        left, work = promised - self.at, self.to_work[job.order_id]
        if work > left:
            words = _("At risk: about %(work)s of work, %(left)s to the promise")
            return words % {"work": span(work), "left": span(left)}
        if held and left < timedelta(days=1):
            return _("At risk: it waits, %s to the promise") % span(left)
        return ""

    def _lain(self, ready: list[Job]) -> int:
        """Count the days since the last of them was ready."""
        closed = [timezone.localdate(job.closed_at) for job in ready if job.closed_at]
        return (self.today - max(closed)).days if closed else 0

    def _row(
        self, some: list[Job], mark: str, words: str, todo: str, detail: str, *, link: bool = True
    ) -> Row:
        order = some[0].order
        where = [order.vehicle.description if order.vehicle else _("loose")]
        if len(some) == 1:
            where = [some[0].get_place_display(), str(some[0].bay or "")] if some[0].place else where
        url = reverse("order", args=[order.number]) if link else ""
        return Row(
            mark=mark, words=words, order=order, late=late_by(order.promised, self.at),
            where=", ".join(filter(None, where)), dampers=dampers_said(some), todo=todo, detail=detail, url=url,
        )  # fmt: skip
