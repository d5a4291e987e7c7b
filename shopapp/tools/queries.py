"""What pages and other subjects read of the tool crib."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shopapp.tools.models import Check, Tool

Standing = Literal["good", "overdue", "failed", "unchecked"]

NOT_IN_USE = (Tool.State.REPAIR, Tool.State.RETIRED)


def standing(tool: Tool, on: date) -> Standing:
    """Say how a tool stands on a day: good through its date, overdue after it, unchecked without one.

    A tool in repair or retired stands as failed: it is not used. A kind that needs no check is good.
    """
    if tool.state != Tool.State.GOOD:
        return "failed"
    if not tool.kind.checked:
        return "good"
    if tool.checked_until is None:
        return "unchecked"
    return "good" if tool.checked_until >= on else "overdue"


def tools() -> QuerySet[Tool]:
    """List the tools by kind and tag, retired ones left out."""
    return Tool.objects.exclude(state=Tool.State.RETIRED).select_related("kind").order_by("kind__name", "tag")


@dataclass(frozen=True)
class ToolRow:
    """One tool of the schedule: how it stands, in words, and by how many days it is late."""

    tool: Tool
    standing: Standing
    words: str
    days_late: int = 0


def tool_rows(page: Iterable[Tool], on: date) -> list[ToolRow]:
    """Give the rows of a page of tools."""
    return [_row(tool, on) for tool in page]


def _row(tool: Tool, on: date) -> ToolRow:
    stands = standing(tool, on)
    late = (on - tool.checked_until).days if stands == "overdue" and tool.checked_until else 0
    words = {
        "good": _("good") if tool.kind.checked else _("needs no check"),
        "overdue": _("%(days)d days past its date") % {"days": late},
        "failed": _("in repair")
        if tool.state == Tool.State.REPAIR
        else _("failed its check: not to be used"),
        "unchecked": _("never checked"),
    }[stands]
    return ToolRow(tool, stands, _("1 day past its date") if late == 1 else words, late)


@dataclass(frozen=True)
class FromChecks:
    """What follows for a tool from its checks alone."""

    failed: bool
    until: date | None


def from_checks(tool_id: int) -> FromChecks:
    """Derive a tool's standing from its newest check of each kind: one failed fails it, the earliest date counts."""
    newest: dict[str, Check] = {}
    for check in Check.objects.filter(tool_id=tool_id).order_by("on", "pk"):
        newest[check.kind] = check
    if any(not check.passed for check in newest.values()):
        return FromChecks(True, None)
    dates = [check.until for check in newest.values() if check.until is not None]
    return FromChecks(False, min(dates, default=None))
