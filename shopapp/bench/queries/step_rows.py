"""The steps of a sheet document: what the page shows and judges each step by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import formats

from shopapp.bench.limits import Limits
from shopapp.bench.locks import AS_FOUND
from shopapp.bench.queries.parts import PartNeed, good_lots, parts_of
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.skilled import asked_to_sign
from shopapp.bench.queries.springs import bind_row
from shopapp.bench.queries.stacks import step_stack
from shopapp.bench.queries.steps import SheetStep
from shopapp.specs import cautions
from shopapp.specs.models import SpecTool, Step
from shopapp.specs.queries import is_critical
from shopapp.stock.models import Item, Lot
from shopapp.tools import queries as tools
from shopapp.tools.models import Tool

TENTHS = 10


@dataclass(frozen=True)
class Shelf:
    """What the steps of one sheet may take, read once: parts with lots, tools by kind with their standing."""

    parts: dict[str, PartNeed]
    lots: dict[int, list[Lot]]
    tools: dict[str, list[tuple[Tool, str]]]


def shelf_of(sheet: Sheet, on: date) -> Shelf:
    """Read parts, lots and tools for a sheet."""
    needs = parts_of(sheet.job)
    items = {pk for need in needs.values() for line in need.lines for pk in line.item_ids}
    kinds = {step.step.tool_kind for step in sheet.steps if step.step.tool_kind}
    return Shelf(needs, good_lots(items, on) if items else {}, _tools(sheet, kinds, on))


def _tools(sheet: Sheet, kinds: Iterable[str], on: date) -> dict[str, list[tuple[Tool, str]]]:
    """List the tools of each kind that fit the sheet (its thread or range), each with its standing."""
    narrow: dict[int, set[str]] = {}
    for kind, words in SpecTool.objects.filter(spec=sheet.job.spec_id).values_list("kind", "narrowing"):
        narrow.setdefault(kind, set()).add(words)
    rows = Tool.objects.filter(kind__code__in=set(kinds)).exclude(state=Tool.State.RETIRED)
    found: dict[str, list[tuple[Tool, str]]] = {}
    for tool in rows.select_related("kind").order_by("tag"):
        wanted = narrow.get(tool.kind_id, {""}) - {""}
        if len(wanted) != 1 or tool.narrowing in wanted:
            found.setdefault(tool.kind.code, []).append((tool, tools.standing(tool, on)))
    return found


def step_row(sheet: Sheet, row: SheetStep, shelf: Shelf) -> dict[str, Any]:
    """Give one step of the document."""
    step = row.step
    try:
        limits = sheet.limits_now(row)
    except ValueError:
        limits = row.limits
    return {
        "key": row.key, "id": step.pk, "position": row.position, "stage": step.stage, "kind": step.kind,
        "name": row.name, "text": step.text, "figure": step.figure, "phase": step.phase,
        "unit_kind": row.unit_kind, "default_unit": row.default_unit, "signed": row.signed,
        **limit_rows(limits),
        "options": step.options, "minutes": step.minutes, "locks": step.locks, "required": step.required,
        "second_tap": step.second_tap, "caution": cautions.said_at(step.caution, step.own_caution),
        "parts": part_rows(shelf, step), "tools": tool_rows(shelf, step), "computed": step.computed,
        "needs": list(row.needs), "must_read": row.must_read, "skill": step.skill,
        "signed_by": asked_to_sign(step), "open": row.key in sheet.standing.open_steps,
        "as_found": step.phase in AS_FOUND, "bind": bind_row(sheet, row), **step_stack(sheet, row),
    }  # fmt: skip


def limit_rows(limits: Limits | None) -> dict[str, Any]:
    """Give the limits of a step, and apart from them what is absolute whatever the sheet says."""
    if limits is None:
        return {"limits": None, "most": None, "most_text": "", "least": None, "least_text": ""}
    shown = None
    if limits.gives_figures or limits.words:
        shown = {
            "low": limits.low, "target": limits.target, "high": limits.high, "low_text": limits.low_text,
            "target_text": limits.target_text, "high_text": limits.high_text, "absolute": limits.absolute,
            "words": limits.words, "moved_from": limits.moved_from,
        }  # fmt: skip
    return {
        "limits": shown, "most": limits.most, "most_text": limits.most_text,
        "least": limits.least, "least_text": limits.least_text,
    }  # fmt: skip


def part_rows(shelf: Shelf, step: Step) -> list[dict[str, Any]]:
    """Give the lines of a part step with the lots that may be taken, first to expire first."""
    need = shelf.parts.get(step.purpose) if step.kind == Step.Kind.PART else None
    if need is None:
        return []
    return [
        {
            "line": line.line, "item": line.item.code, "name": line.item.name, "place": line.position,
            "quantity": _shown(line.item, line.quantity), "unit": _unit(line.item),
            "lots": [_lot_row(lot) for pk in _own_first(line.item, line.item_ids) for lot in shelf.lots.get(pk, [])],
        }
        for line in need.lines
    ]  # fmt: skip


def _own_first(item: Item, item_ids: frozenset[int]) -> list[int]:
    return sorted(item_ids, key=lambda pk: (pk != item.pk, pk))


def _lot_row(lot: Lot) -> dict[str, Any]:
    return {
        "id": lot.pk, "batch": lot.batch, "on_hand": _shown(lot.item, lot.level.on_hand),
        "expires": _day(lot.expires),
    }  # fmt: skip


def _shown(item: Item, quantity: int) -> int | float:
    """Give a quantity as people count it: oil in millilitres, all else in its smallest unit."""
    if item.unit != Item.Unit.TENTH_ML:
        return quantity
    return quantity // TENTHS if quantity % TENTHS == 0 else quantity / TENTHS


def _unit(item: Item) -> str:
    return "ml" if item.unit == Item.Unit.TENTH_ML else str(item.get_unit_display())


def _day(day: date | None) -> str:
    return formats.date_format(day, "j M Y") if day is not None else ""


def tool_rows(shelf: Shelf, step: Step) -> list[dict[str, Any]]:
    """Give the tools that a step may name, each with its standing today."""
    return [
        {
            "tag": tool.tag, "name": f"{tool.kind.name} {tool.narrowing}".strip(),
            "checked_until": _day(tool.checked_until), "standing": standing,
            "critical": is_critical(step) or (step.kind == Step.Kind.TOOL and tool.kind.critical),
        }
        for tool, standing in shelf.tools.get(step.tool_kind, [])
    ]  # fmt: skip
