"""Handing over done jobs, and noting when their dampers want service next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import short_words
from shopapp.bench.queries.made_safe import DO_NOT_OPEN, releases
from shopapp.due.models import Signature
from shopapp.due.queries import unsafe_to_use
from shopapp.due.services.noting import note_due
from shopapp.orders.models import Job, WorkOrder
from shopapp.orders.queries import brought_along
from shopapp.orders.services.changing import keep_remark
from shopapp.orders.services.locking import lock_order
from shopapp.orders.services.staying import end_stays
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class SignedAtTheDoor:
    """What was signed as dampers went: `unsafe` is the name, as typed, under the statement about one unsafe to use.

    `strokes`: what was written beside the names (due/strokes.py), by what it says: "fetched" and "unsafe".
    """

    unsafe: str = ""
    strokes: Mapping[str, Sequence[object]] = field(default_factory=dict)


NOTHING_SIGNED = SignedAtTheDoor()


def hand_over_jobs(
    *,
    order: WorkOrder,
    jobs: Iterable[Job],
    to_whom: str,
    signed: SignedAtTheDoor = NOTHING_SIGNED,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> list[Job]:
    """Hand over closed jobs of an order, some before the rest if need be.

    What was stopped unsafe stays here until the owner released it and it was closed; then it goes under its tag, and
    the act names the release that says who made it safe and how. Each serviced damper's next due is noted from its
    job where the job sets one, or an earlier one that went on into it. A damper with a finding that is unsafe to use
    goes only once the customer signed the statement about it. The name is kept as a remark of the act, which names
    the findings; what was written is kept with the act.
    """
    with acts.doing("hand_over_jobs", call=call, by=by, at=at, within=within) as act:
        lock_order(order)
        name = to_whom.strip()[:LONGEST_NAME]
        if not name:
            raise Refused(_("Say who takes them: a name, or the carrier with its number."), field="to_whom")
        chosen = sorted({job.pk for job in jobs})
        if not chosen:
            raise Refused(_("Choose at least one job to hand over."), field="jobs")
        handed = [_hand_over(order, pk, name, at) for pk in chosen]
        end_stays(chosen, act)
        # Looked at under the jobs' row locks: a finding that comes at this moment comes before or after.
        unsafe = unsafe_to_use(chosen)
        sign = signed.unsafe.strip()[:LONGEST_NAME]
        if unsafe and not sign:
            raise Refused(_unsigned(unsafe), field="signed")
        for job in [*reversed(brought_along(chosen)), *handed]:
            _note_due(job)
        act.about("order", order.pk)
        act.result = {"order": order.pk, "jobs": chosen}
        made_safe = {str(pk): str(row.pk) for pk, row in releases(chosen).items()}
        if made_safe:
            act.result |= {"tag": DO_NOT_OPEN, "made_safe": made_safe}
        if unsafe:
            _keep_signature(order, act, unsafe, sign)
        _keep_strokes(order, act, by, {"fetched": name, "unsafe": sign if unsafe else ""}, signed.strokes)
        return handed


def _unsigned(unsafe: dict[int, list[Finding]]) -> str:
    found = ", ".join(short_words(row) for rows in unsafe.values() for row in rows)
    return (
        _(
            "This damper is unsafe to use (finding %s). It goes only with the customer's signature under the statement "
            "on its report: type the name of who signed."
        )
        % found
    )


def _keep_signature(order: WorkOrder, act: Doing, unsafe: dict[int, list[Finding]], sign: str) -> None:
    """Name the findings in the act, and who signed for them apart from it: an act holds no personal data."""
    act.result["unsafe"] = {str(pk): [str(row.entry_id) for row in rows] for pk, rows in unsafe.items()}
    found = ", ".join(short_words(row) for rows in unsafe.values() for row in rows)
    words = _("%(who)s signed that it is unsafe to use: finding %(found)s") % {"who": sign, "found": found}
    keep_remark(order, act, words)


def _keep_strokes(
    order: WorkOrder,
    act: Doing,
    by: Person,
    names: Mapping[str, str],
    strokes: Mapping[str, Sequence[object]],
) -> None:
    """Keep what was written beside a typed name; a line that nobody wrote on, or without a name, is left out."""
    for what, name in names.items():
        if name and strokes.get(what):
            Signature.objects.create(
                order=order, what=what, name=name, strokes=strokes[what], by=by, at=act.at, act_id=act.id
            )


def _hand_over(order: WorkOrder, pk: int, name: str, at: datetime) -> Job:
    """Hand over one job by a conditional UPDATE; where it does not hit, say why."""
    ready = Job.objects.filter(
        pk=pk, order=order, state=Job.State.DONE, is_open=True, handed_over_at__isnull=True
    )
    if pk not in releases([pk]):
        ready = ready.exclude(outcome=Job.Outcome.UNSAFE)
    hit = ready.update(handed_over_at=at, handed_over_to=name, is_open=False, revision=F("revision") + 1)
    job = Job.objects.filter(pk=pk, order=order).select_related("damper", "order").first()
    if job is None:
        raise Refused(_("A job of another order cannot be handed over here."), field="jobs")
    if hit != 1:
        raise Refused(_why_not(job), field="jobs")
    return job


def _why_not(job: Job) -> str:
    said = {"job": f"{job.order.number}/{job.number}", "damper": str(job.damper)}
    if job.handed_over_at is None and (job.outcome == Job.Outcome.UNSAFE or job.state == Job.State.STOPPED):
        return (
            _(
                "Job %(job)s (%(damper)s) was stopped unsafe. It stays in the shop under its tag DO NOT OPEN until the "
                "owner releases it and it is closed as unsafe."
            )
            % said
        )
    if job.handed_over_at is not None:
        return _("Job %(job)s (%(damper)s) is handed over already.") % said
    return (
        _("Job %(job)s (%(damper)s) is not done. It is closed at the bench before it is handed over.") % said
    )


def _note_due(job: Job) -> None:
    """Note when a serviced damper is due next; a job that sets no date (an inspection) leaves what stood there."""
    if job.outcome == Job.Outcome.DONE and job.next_due is not None:
        note_due(job)
