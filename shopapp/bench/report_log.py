"""What was fitted, used, proved, waited for, corrected and remarked on, and by whom: the record of a job in words."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _

from shopapp.bench import report_stacks
from shopapp.bench.finding_words import GRADES, part_words
from shopapp.bench.models import Entry, Wait
from shopapp.bench.queries.restoring import came_with
from shopapp.bench.report_readings import label
from shopapp.bench.report_record import Record, answer, typed
from shopapp.specs.models import STAGES
from shopapp.stock.models import Item, StockMove
from shopapp.tools.models import Check, Tool


def phase_words(phase: str) -> str:
    """Word a phase in the reader's language."""
    return {"received": _("as received"), "removed": _("as removed"), "built": _("as built")}.get(phase, "")


def name_of(entry: Entry) -> str:
    """Name what an entry is about: its step, or its figure with the phase."""
    if entry.step is not None and entry.step.repeat == "" and entry.step.name:
        return entry.step.name
    if entry.name:
        return ", ".join(
            filter(None, [label(entry.name, entry.position).removesuffix(" *"), phase_words(entry.phase)])
        )
    return str(entry.step) if entry.step else str(entry.get_kind_display())


def said(entry: Entry) -> str:
    """Say what an entry records, in words."""
    kind = Entry.Kind(entry.kind)
    words = {
        Entry.Kind.READING: lambda: report_stacks.said(entry) or typed(entry),
        Entry.Kind.UNREADABLE: lambda: _("not readable: %s") % entry.words,
        Entry.Kind.PROOF: lambda: answer(entry),
        Entry.Kind.CHOICE: lambda: answer(entry),
        Entry.Kind.CLOSE: lambda: answer(entry),
        Entry.Kind.FINDING: lambda: _found(entry),
        Entry.Kind.TOOL: lambda: f"{entry.tool.kind} {entry.tool.tag}" if entry.tool else "",
    }.get(kind, lambda: entry.words or str(entry.get_kind_display()))()
    return str(words)


def _found(entry: Entry) -> str:
    """Word a finding: "rod: pitted (unsafe to use)"."""
    said: dict[str, str] = entry.payload
    part = part_words(said.get("part", ""), said.get("part_words", ""))
    return f"{part}: {entry.words} ({GRADES.get(said.get('answer', ''), '')})"


def _clock(record: Record, entry: Entry) -> str:
    return record.moment(entry.stored_at)


def fitted(record: Record) -> list[dict[str, str]]:
    """List the parts that went into the damper by lot and position, what was given back taken off."""
    moves = StockMove.objects.filter(job=record.job, kind__in=["issue", "return"]).select_related(
        "item", "lot"
    )
    sums: dict[tuple[int, int, str], int] = {}
    rows: dict[tuple[int, int, str], StockMove] = {}
    for move in moves.order_by("at", "line", "pk"):
        key = (move.item_id, move.lot_id, move.position)
        sums[key] = sums.get(key, 0) - move.quantity
        rows.setdefault(key, move)
    return [
        {
            "code": rows[key].item.code,
            "name": rows[key].item.name,
            "position": rows[key].position,
            "lot": rows[key].lot.batch,
            "quantity": quantity(rows[key].item, left),
            "expires": _day(rows[key].lot.expires),
        }
        for key, left in sums.items()
        if left > 0
    ]


def _day(day: date | None) -> str:
    return formats.date_format(day, "j M Y") if day else ""


def quantity(item: Item, smallest: int) -> str:
    """Write a quantity of an item as people say it: pieces, millilitres, millimetres."""
    if item.unit == Item.Unit.TENTH_ML:
        amount = (Decimal(smallest) / 10).normalize()
        return f"{amount:f} mL"
    if item.unit == Item.Unit.MM:
        return f"{smallest} mm"
    return str(smallest)


def tools(record: Record) -> list[dict[str, str]]:
    """List the tools used with the date until which each was checked on the day of its use."""
    used: dict[int, Entry] = {}
    for entry in record.current:
        if entry.tool_id and entry.tool is not None:
            used[entry.tool_id] = entry
    return [_tool(record, entry, entry.tool) for entry in used.values() if entry.tool is not None]


def _tool(record: Record, entry: Entry, tool: Tool) -> dict[str, str]:
    day = entry.stored_at.astimezone(record.zone).date()
    check = Check.objects.filter(tool=tool, on__lte=day, passed=True).order_by("-on", "-pk").first()
    until = check.until if check else tool.checked_until
    words = _("no check is asked for")
    if until is not None:
        shown = formats.date_format(until, "j M Y")
        words = (
            _("checked until %s") % shown if until >= day else _("past its date: checked until %s") % shown
        )
    elif tool.kind.checked:
        words = _("not checked")
    return {
        "tag": tool.tag,
        "name": str(tool.kind),
        "narrowing": tool.narrowing,
        "words": words,
        "reason": entry.reason,
    }


def proofs(record: Record) -> list[dict[str, str]]:
    """List what was proved or chosen, by whom and when."""
    return [
        {"name": name_of(e), "words": answer(e), "by": record.by(e), "at": _clock(record, e)}
        for e in record.current
        if e.kind in (Entry.Kind.PROOF, Entry.Kind.CHOICE)
    ]


def remarks(record: Record) -> list[dict[str, str]]:
    """List what was out of order, outside limits, past its date or not as it came, each with the reason given."""
    found = []
    came = came_with(record.sheet)
    for entry in record.entries:
        what = _remark(record, entry, came.get(str(entry.pk), ""))
        if what:
            why = [entry.reason, *(r.words for r in record.entries if r.about_id == entry.pk and r.words)]
            found.append(
                {
                    "name": name_of(entry),
                    "what": f"{said(entry)}: {what}",
                    "why": " ".join(part for part in why if part) or _("no reason given"),
                    "by": record.by(entry),
                    "at": _clock(record, entry),
                }
            )
    return found


def _remark(record: Record, entry: Entry, came: str) -> str:
    parts = []
    if record.unsigned(entry):
        parts.append(_("recorded by a trainee and not countersigned"))
    if entry.out_of_order:
        parts.append(_("entered out of order, it counts for nothing"))
    if entry.outside == Entry.Outside.ABSOLUTE:
        parts.append(_("outside a limit that nobody lifts"))
    elif entry.outside == Entry.Outside.ADVISORY:
        parts.append(report_stacks.odd(entry) or _("outside limits"))
    if came:
        parts.append(_("it came with %s") % came)
    if entry.reason and not entry.outside and entry.kind in (Entry.Kind.TOOL, Entry.Kind.WAIT_END):
        parts.append(_("not as it should be"))
    return ", ".join(parts)


def corrections(record: Record) -> list[dict[str, str]]:
    """List what was corrected: the old entry as it was, and the new one, with who and when."""
    return [
        {
            "name": name_of(old),
            "old": said(old),
            "old_by": record.by(old),
            "old_at": _clock(record, old),
            "new": said(record.replaced[old.pk]),
            "new_by": record.by(record.replaced[old.pk]),
            "new_at": _clock(record, record.replaced[old.pk]),
            "why": record.replaced[old.pk].reason,
        }
        for old in record.entries
        if old.pk in record.replaced
    ]


def waits(record: Record) -> list[dict[str, str]]:
    """List the waits: begun, due to end, ended by whom."""
    found = []
    for entry in record.current:
        wait: Wait | None = getattr(entry, "wait", None)
        if wait is None:
            continue
        ended = wait.ended_by
        early = ended is not None and ended.stored_at < wait.ends
        words = _("not ended") if ended is None else f"{record.moment(ended.stored_at)}, {ended.by.initials}"
        found.append(
            {
                "name": name_of(entry),
                "begun": f"{_clock(record, entry)}, {entry.by.initials}",
                "due": record.moment(wait.ends),
                "ended": f"{words} ({_('before its time')})" if early else words,
            }
        )
    return found


def log(record: Record) -> list[dict[str, Any]]:
    """List every entry in its order: when, who, at which stage, what; a corrected one is marked to be struck.

    A countersignature stands with the entry that it signs, as the second initials.
    """
    stages = dict(STAGES)
    return [
        {
            "at": _clock(record, entry),
            "by": record.by(entry),
            "stage": str(stages.get(entry.step.stage, "")) if entry.step else "",
            "name": name_of(entry),
            "said": said(entry),
            "struck": entry.pk in record.replaced,
            "corrects": entry.replaces_id is not None,
            "out_of_order": entry.out_of_order,
            "reason": entry.reason,
        }
        for entry in record.entries
        if entry.kind not in (Entry.Kind.COUNTERSIGN, Entry.Kind.TAKEN)
    ]


def people(record: Record) -> list[list[str]]:
    """List who stands behind the initials."""
    seen = {entry.by_id: [entry.by.initials, entry.by.name] for entry in record.entries}
    return sorted(seen.values())


def measured_by(record: Record) -> str:
    """Name who took the readings; the initials where there are more than two."""
    taken = {e.by_id: e.by for e in record.entries if e.kind == Entry.Kind.READING}
    names = [person.name for person in taken.values()]
    return ", ".join(names if len(names) < 3 else [person.initials for person in taken.values()])
