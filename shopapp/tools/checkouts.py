"""Who has which tool: taken out for a job by naming it at the bench, given back at the job's closing or by a tap.

A record of where things are, never a lock: whoever names a tool at the bench has it in the hand, whatever stands here.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F, QuerySet
from django.utils.translation import gettext as _

from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.tools.models import Checkout, Tool

if TYPE_CHECKING:
    from shopapp.orders.models import Job
    from shopapp.people.models import Person


def out_now() -> QuerySet[Checkout]:
    """List the tools that are out, each with who has it, for which job and in which bay."""
    rows = Checkout.objects.filter(in_at__isnull=True)
    return rows.select_related("tool__kind", "person", "bay", "job__order").order_by("out_at", "pk")


def who_words(checkout: Checkout) -> str:
    """Say who has a tool: the initials and the bay."""
    return ", ".join(
        part for part in (checkout.person.initials, checkout.bay.name if checkout.bay else "") if part
    )


def check_out_tool(
    *, tool: Tool, job: Job, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Checkout:
    """Take a tool out for a job; taken from another job or another hand, it comes back from there first.

    The tool's row is held, so that of two who take it at once one has it in the end and the other had it before.
    """
    with acts.doing("check_out_tool", call=call, by=by, at=at, within=within) as act:
        Tool.objects.filter(pk=tool.pk).update(state=F("state"))
        held = Checkout.objects.filter(tool=tool, in_at__isnull=True).first()
        if held is not None and (held.job_id, held.person_id) == (job.pk, by.pk):
            return held
        if held is not None:
            _give_back(held, by, at)
        found = Checkout.objects.create(
            tool=tool, person=by, job=job, bay_id=job.bay_id, out_at=at, act_id=act.id
        )
        if within is None:
            act.about("tool", tool.pk)
            act.result = {"tool": tool.pk, "checkout": found.pk}
        return found


def _give_back(held: Checkout, by: Person, at: datetime) -> bool:
    """Close a checkout where it is open still; say whether it was."""
    rows = Checkout.objects.filter(pk=held.pk, in_at__isnull=True)
    return bool(rows.update(in_at=max(at, held.out_at), took_back=by))


def take_back_tool(
    *, checkout: Checkout, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Checkout:
    """Put a tool back, whoever took it out: one that was forgotten is put back by whoever finds it."""
    with acts.doing("take_back_tool", call=call, by=by, at=at, within=within) as act:
        if not _give_back(checkout, by, at):
            raise Refused(_("%s is back already. Load the page again.") % checkout.tool.tag)
        checkout.refresh_from_db()
        if within is None:
            act.about("tool", checkout.tool_id)
            act.result = {"tool": checkout.tool_id, "checkout": checkout.pk}
        return checkout


def give_back_of(*, job: Job, by: Person, at: datetime) -> None:
    """Put back what is out for a job: called within the act that closes it."""
    for held in list(Checkout.objects.filter(job=job, in_at__isnull=True)):
        _give_back(held, by, at)


def out_of(tools: Iterable[Tool]) -> dict[int, Checkout]:
    """Give by tool who has it now; one query."""
    return {row.tool_id: row for row in out_now().filter(tool__in=list(tools))}
