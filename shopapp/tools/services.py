"""What people do with tools: kinds and tools added and changed, checks recorded."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import IntegrityError, models, transaction
from django.db.models import F
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.tools.kinds import SHIPPED
from shopapp.tools.models import Check, Tool, ToolKind
from shopapp.tools.queries import from_checks

if TYPE_CHECKING:
    from shopapp.people.models import Person

TAG = re.compile(r"[^\W_](?:[\w.-]{0,18}[^\W_])?")
LONGEST_READING = 200


def ensure_kinds() -> None:
    """Make the kinds that the shipped procedures name, where they are missing; what the owner changed stays.

    They are the program's own data and nobody's act: no Act is written.
    """
    have = set(ToolKind.objects.values_list("code", flat=True))
    with translation.override(settings.LANGUAGE_CODE):
        ToolKind.objects.bulk_create(
            ToolKind(code=kind.code, name=str(kind.name), checked=kind.checked, critical=kind.critical)
            for kind in SHIPPED
            if kind.code not in have
        )


def _insert(row: models.Model, sentence: str, field: str) -> None:
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as problem:
        raise Refused(sentence, field=field) from problem


def add_tool_kind(
    *,
    code: str,
    name: str,
    checked: bool = False,
    critical: bool = False,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> ToolKind:
    """Add a kind of tool; `critical` ones past their date need the owner's reason where it matters."""
    with acts.doing("add_tool_kind", call=call, by=by, at=at, within=within) as act:
        code, name = code.strip(), _kind_name(name)
        if not code:
            raise Refused(_("Give the kind a short name, as steps name it."), field="code")
        kind = ToolKind(code=code, name=name, checked=checked or critical, critical=critical)
        _insert(kind, _("There is a kind “%(code)s” already.") % {"code": code}, "code")
        if within is None:
            act.about("tool kind", kind.pk)
            act.result = {"tool_kind": kind.pk}
    return kind


def _kind_name(name: str) -> str:
    if not name.strip():
        raise Refused(_("Give the kind a name."), field="name")
    return name.strip()


def change_tool_kind(
    *,
    kind: ToolKind,
    revision: int,
    name: str,
    checked: bool,
    critical: bool,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> ToolKind:
    """Change a kind of tool; its code stays, for steps name it."""
    with acts.doing("change_tool_kind", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(kind, revision, what=kind.name)
        values = {"name": _kind_name(name), "checked": checked or critical, "critical": critical}
        for field, value in values.items():
            act.change(field, getattr(kind, field), value)
            setattr(kind, field, value)
        kind.save(update_fields=list(values))
        if within is None:
            act.about("tool kind", kind.pk)
            act.result = {"tool_kind": kind.pk}
    return kind


def add_tool(
    *,
    kind: ToolKind,
    tag: str,
    narrowing: str = "",
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Tool:
    """Add a tool by its tag; one of a kind that is checked stands as never checked until its first check."""
    with acts.doing("add_tool", call=call, by=by, at=at, within=within) as act:
        tag = tag.strip()
        if not TAG.fullmatch(tag):
            raise Refused(
                _("A tag is up to 20 letters, digits, hyphens or points, such as G-04."), field="tag"
            )
        if Tool.objects.filter(tag__iexact=tag).exists():
            raise Refused(_("There is a tool %(tag)s already.") % {"tag": tag}, field="tag")
        tool = Tool(kind=kind, tag=tag, narrowing=narrowing.strip())
        _insert(tool, _("There is a tool %(tag)s already.") % {"tag": tag}, "tag")
        if within is None:
            act.about("tool", tool.pk)
            act.result = {"tool": tool.pk}
    return tool


def change_tool(
    *,
    tool: Tool,
    revision: int,
    narrowing: str = "",
    state: str | None = None,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Tool:
    """Change what narrows a tool, send it to repair, retire it, or take it back into use.

    Whether it failed follows from its checks alone: a tool whose last check failed comes back by a passed check.
    """
    with acts.doing("change_tool", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(tool, revision, what=tool.tag)
        tool.refresh_from_db()
        state = state or tool.state
        if state not in Tool.State.values:
            raise Refused(_("A tool is in use, in repair or retired."), field="state")
        if state in (Tool.State.GOOD, Tool.State.FAILED):
            failed = from_checks(tool.pk).failed
            if failed and state == Tool.State.GOOD:
                raise Refused(_("Its last check failed. Record a check that it passes."), field="state")
            if not failed and state == Tool.State.FAILED:
                raise Refused(_("A tool fails by a check. Record the check that it failed."), field="state")
        for field, value in {"narrowing": narrowing.strip(), "state": state}.items():
            act.change(field, getattr(tool, field), value)
            setattr(tool, field, value)
        tool.save(update_fields=["narrowing", "state"])
        if within is None:
            act.about("tool", tool.pk)
            act.result = {"tool": tool.pk}
    return tool


def _hold(tool: Tool) -> None:
    """Take the lock on a tool's row and read it again: its state follows from what is there now.

    Whoever has the tool open meanwhile saw another state: its revision is raised.
    """
    Tool.objects.filter(pk=tool.pk).update(revision=F("revision") + 1)
    tool.refresh_from_db()


def record_check(
    *,
    tool: Tool,
    kind: str,
    on: date,
    until: date | None,
    passed: bool,
    operations: int | None = None,
    readings: Sequence[str] = (),
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Check:
    """Record a calibration or an inspection; the tool's state and date follow from its newest checks.

    A check of an earlier day than the newest is kept and changes nothing. A passed check brings a tool back from
    repair.
    """
    with acts.doing("record_check", call=call, by=by, at=at, within=within) as act:
        _hold(tool)
        _refuse_check(tool, kind=kind, on=on, until=until, passed=passed, at=at)
        if operations is not None and not 0 <= operations <= 2_000_000_000:
            raise Refused(_("The count of operations is zero or more."), field="operations")
        check = Check.objects.create(
            tool=tool, kind=kind, on=on, until=until if passed else None, passed=passed, operations=operations,
            readings=[text.strip()[:LONGEST_READING] for text in readings if text.strip()], by=by, act_id=act.id,
        )  # fmt: skip
        _keep_standing(tool)
        if within is None:
            act.about("tool", tool.pk)
            act.result = {"check": check.pk, "tool": tool.pk}
    return check


def _refuse_check(tool: Tool, *, kind: str, on: date, until: date | None, passed: bool, at: datetime) -> None:
    if tool.state == Tool.State.RETIRED:
        raise Refused(_("%(tag)s is retired. Take it back into use first.") % {"tag": tool.tag})
    if kind not in ("calibration", "inspection"):
        raise Refused(_("A check is a calibration or an inspection."), field="kind")
    if on > timezone.localdate(at):
        raise Refused(_("A check cannot have been made on a day to come."), field="on")
    if passed and until is None and tool.kind.checked:
        raise Refused(_("Say until when the tool is good."), field="until")
    if passed and until is not None and until <= on:
        raise Refused(_("It must be good for some days after the check."), field="until")


def _keep_standing(tool: Tool) -> None:
    follows = from_checks(tool.pk)
    tool.state = Tool.State.FAILED if follows.failed else Tool.State.GOOD
    tool.checked_until = follows.until
    tool.save(update_fields=["state", "checked_until"])
