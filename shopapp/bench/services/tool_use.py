"""Tools at the bench: one that failed its check is refused; one past its date needs a reason, at worst the owner's."""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.services.draft import Recording
from shopapp.shop.services.acts import Refused
from shopapp.specs.models import SpecTool, Step
from shopapp.specs.queries import is_critical
from shopapp.tools import checkouts
from shopapp.tools import queries as tools
from shopapp.tools.models import Tool

PAST = ("overdue", "unchecked")


def use_tool(recording: Recording) -> None:
    """Name the tool of an entry and hold its standing; a critical reading does not go without one."""
    step, tag = recording.step, recording.entry.tool
    if step is None:
        return
    if not tag:
        _refuse_without(recording, step)
        return
    tool = Tool.objects.select_related("kind").filter(tag__iexact=tag).first()
    if tool is None:
        raise Refused(_("There is no tool with the tag %s. Scan or type it again.") % tag, field="tool")
    _refuse_other_kind(recording, step, tool)
    _hold_standing(recording, step, tool)
    recording.fields["tool"] = tool
    if step.step.kind == Step.Kind.TOOL and not recording.out_of_order:
        _take_out(recording, tool)


def _take_out(recording: Recording, tool: Tool) -> None:
    """Take the tool of a tool step out for the job; a corrected one is put back."""
    old = recording.replaces
    if old is not None and old.tool_id is not None and old.tool_id != tool.pk:
        for held in checkouts.out_now().filter(tool=old.tool_id, job=recording.job):
            checkouts.take_back_tool(
                checkout=held, by=recording.by, at=recording.at, call=recording.act.call, within=recording.act
            )
    checkouts.check_out_tool(
        tool=tool,
        job=recording.job,
        by=recording.by,
        at=recording.at,
        call=recording.act.call,
        within=recording.act,
    )


def _refuse_without(recording: Recording, step: SheetStep) -> None:
    """Refuse a critical reading without its tool, where the shop has such a tool to name."""
    if recording.out_of_order or not is_critical(step.step) or not step.step.tool_kind:
        return
    kind = Tool.objects.filter(kind__code=step.step.tool_kind).select_related("kind").first()
    if kind is not None:
        words = _("Name the tool it was read with: %s.")
        raise Refused(words % kind.kind.name.lower(), field="tool")


def _refuse_other_kind(recording: Recording, step: SheetStep, tool: Tool) -> None:
    if step.step.tool_kind and tool.kind.code != step.step.tool_kind:
        words = _("%(tag)s is a %(kind)s. This step wants another tool.")
        raise Refused(words % {"tag": tool.tag, "kind": tool.kind.name.lower()}, field="tool")
    narrow = narrowing(recording.sheet.job.spec_id, tool.kind_id)
    if narrow and step.step.tool_kind and tool.narrowing != narrow:
        words = _("%(tag)s is for %(has)s. The sheet asks for %(wants)s.")
        given = {"tag": tool.tag, "has": tool.narrowing or _("nothing named"), "wants": narrow}
        raise Refused(words % given, field="tool")


def narrowing(spec_id: int | None, kind_id: int) -> str:
    """Give what the sheet asks of this kind of tool (a thread, a range); "" for nothing, or for more than one."""
    if spec_id is None:
        return ""
    found = list(SpecTool.objects.filter(spec=spec_id, kind=kind_id).values_list("narrowing", flat=True))
    return found[0] if len(found) == 1 else ""


def _hold_standing(recording: Recording, step: SheetStep, tool: Tool) -> None:
    standing = tools.standing(tool, timezone.localdate(recording.at))
    recording.payload["tool standing"] = standing
    if recording.out_of_order:
        return
    if standing not in ("good", *PAST):
        raise Refused(_("%s may not be used: it failed its check. Take another.") % tool.tag, field="tool")
    if standing == "good":
        return
    critical = is_critical(step.step) or (step.step.kind == Step.Kind.TOOL and tool.kind.critical)
    if critical and "owner" not in recording.by.roles:
        words = _("%s is past its check. Here only the owner may let it pass, with a reason.")
        raise Refused(words % tool.tag, field="tool")
    if not recording.entry.reason:
        raise Refused(_("%s is past its check. Take another, or say why.") % tool.tag, field="reason")
