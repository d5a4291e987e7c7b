"""The stacks of shims on a sheet: what was taken out, what goes back, and how they differ place by place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from shopapp.bench.lock_rules import AS_FOUND
from shopapp.bench.lock_stacks import Asked, Laid, unsettled
from shopapp.bench.models import Entry
from shopapp.calc import stacks
from shopapp.calc.shims import order_problems
from shopapp.calc.stacks import Place, Shim, Stack
from shopapp.calc.units import Measurement
from shopapp.drawings.stack import StackWords
from shopapp.specs import figures
from shopapp.specs.models import SpecFigure
from shopapp.specs.queries import middle

if TYPE_CHECKING:
    from shopapp.bench.queries.reading import Sheet
    from shopapp.bench.queries.steps import SheetStep

SIDE_OF: dict[str, stacks.Side] = {"compression stack": "compression", "rebound stack": "rebound"}
NOWHERE_M = 1e-6
"""Stands for a seat or a clamp that the sheet does not give: every shim covers it and reaches past it."""


def is_stack(entry: Entry) -> bool:
    """Say whether an entry holds a stack that was read."""
    return entry.kind == Entry.Kind.READING and entry.name in SIDE_OF


def stack_of(entry: Entry) -> Stack:
    """Give the shims of an entry as they were typed; none where it is not one of a stack."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    return tuple(_shim(row) for row in payload.get("shims", ()))


def _shim(row: dict[str, Any]) -> Shim:
    lengths = [Measurement(kind="length", **row[name]) for name in ("diameter", "thickness")]
    return Shim(lengths[0], lengths[1], row["text"], crossover=bool(row["crossover"]))


def shim_rows(stack: Stack) -> list[dict[str, Any]]:
    """Give shims as an entry keeps them: each length by SI value, unit and text."""
    return [
        {
            "diameter": _length(shim.diameter), "thickness": _length(shim.thickness), "text": shim.text,
            "crossover": shim.crossover,
        }
        for shim in stack
    ]  # fmt: skip


def _length(length: Measurement) -> dict[str, Any]:
    return {"si": length.si, "unit": length.unit, "text": length.text}


def entry_stack(entry: Entry) -> dict[str, Any]:
    """Give what the page shows of a stack that was read; nothing for another entry."""
    if not is_stack(entry):
        return {}
    shims = [
        {
            "diameter": shim.diameter.si, "thickness": shim.thickness.si, "label": stacks.label(shim),
            "crossover": shim.crossover,
        }
        for shim in stack_of(entry)
    ]  # fmt: skip
    return {"shims": shims, "problems": list(entry.payload.get("problems", ()))}


def step_stack(sheet: Sheet, step: SheetStep) -> dict[str, Any]:
    """Give what the page judges a stack by: which side, and what the sheet says of seat and clamp; else nothing."""
    side = SIDE_OF.get(step.step.figure)
    if side is None:
        return {}
    return {
        "side": side, "stack_name": str(figures.NAMES[step.step.figure].label),
        "seat": _given(sheet, f"{side} seat"), "clamp": _given(sheet, f"{side} clamp"),
    }  # fmt: skip


def _given(sheet: Sheet, name: str) -> float | None:
    row: SpecFigure | None = sheet.figures.get((name, ""))
    return middle(row.low_si, row.target_si, row.high_si) if row is not None else None


def problems(sheet: Sheet, figure: str, stack: Stack) -> list[str]:
    """Say what does not make sense in the order of a stack, by what the sheet gives of seat and clamp."""
    side = SIDE_OF[figure]
    seat, clamp = _given(sheet, f"{side} seat"), _given(sheet, f"{side} clamp")
    return order_problems(
        stacks.plates(stack), clamp_diameter_m=clamp or NOWHERE_M, seat_diameter_m=seat or NOWHERE_M,
        crossovers=stacks.crossovers(stack), decimal_comma=bool(sheet.shop and sheet.shop.decimal_comma),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Side:
    """One side of the piston on a sheet: the latest entries of either phase, and their places beside each other."""

    figure: str
    side: stacks.Side
    out: Entry | None
    back: Entry | None
    after: str = ""

    @property
    def places(self) -> tuple[Place, ...]:
        """Lay both beside each other; no place where one of them was not read."""
        if self.out is None or self.back is None or not (is_stack(self.out) and is_stack(self.back)):
            return ()
        return stacks.compare(stack_of(self.out), stack_of(self.back))

    @property
    def differences(self) -> tuple[Place, ...]:
        """Give the places that differ."""
        return stacks.changes(self.places)

    @property
    def why(self) -> str:
        """Give the reason that stands for what differs: the later entry's, and what was said afterwards."""
        both = [entry for entry in (self.out, self.back) if entry is not None]
        last = max(both, key=lambda entry: entry.stored_at).reason if both else ""
        return " ".join(part for part in (last, self.after) if part)


def sides(sheet: Sheet) -> list[Side]:
    """List the sides that the steps of a sheet ask for, in their order."""
    asked = dict.fromkeys(row.step.figure for row in sheet.steps if row.step.figure in SIDE_OF)
    return [_side(sheet, name) for name in asked]


def _side(sheet: Sheet, name: str) -> Side:
    out, back = latest(sheet, name, as_found=True), latest(sheet, name, as_found=False)
    both = {entry.pk for entry in (out, back) if entry is not None}
    after = [
        entry.words
        for entry in sheet.entries
        if entry.kind == Entry.Kind.REASON and entry.about_id in both and str(entry.pk) not in sheet.replaced
    ]
    return Side(name, SIDE_OF[name], out, back, " ".join(after))


def latest(sheet: Sheet, figure: str, *, as_found: bool) -> Entry | None:
    """Give the latest entry of a stack in a phase that no entry corrects, in order or not."""
    keys = {
        (row.step.pk, row.position)
        for row in sheet.steps
        if row.step.figure == figure and (row.step.phase in AS_FOUND) == as_found
    }
    found = [
        entry
        for entry in sheet.entries
        if (entry.step_id, entry.position) in keys
        and entry.kind in (Entry.Kind.READING, Entry.Kind.UNREADABLE)
        and str(entry.pk) not in sheet.replaced
    ]
    return found[-1] if found else None


def asked_of(steps: Sequence[SheetStep]) -> list[Asked]:
    """Give what the judge of stacks needs of the steps."""
    return [Asked(row.key, row.step.figure, row.step.phase) for row in steps if row.step.figure in SIDE_OF]


def laid_of(entries: Sequence[Entry]) -> list[Laid]:
    """Give what the judge of stacks needs of the entries."""
    return [
        Laid(
            id=str(entry.pk), key=f"{entry.step_id}:{entry.position}", kind=entry.kind,
            shims=tuple(stacks.plates(stack_of(entry))), reason=entry.reason,
            replaces=str(entry.replaces_id or ""), about=str(entry.about_id or ""),
        )
        for entry in entries
        if entry.name in SIDE_OF or entry.kind == Entry.Kind.REASON
    ]  # fmt: skip


def unsettled_words(sheet: Sheet) -> list[str]:
    """Say which stacks stand in the way of *done*, and what would settle them."""
    held = unsettled(asked_of(sheet.steps), laid_of(sheet.entries))
    said = []
    for side in sides(sheet):
        name = str(figures.NAMES[side.figure].label)
        if held.get(side.figure) == "missing":
            said.append(
                _("%s: taken out, and not read as built. Read what goes back, or say why not.") % name
            )
        elif held.get(side.figure) == "unlike":
            first = side.differences[0].sentence()
            words = _("%(stack)s: not as taken out (%(place)s). Say what was agreed.")
            said.append(words % {"stack": name, "place": first})
    return said


def stack_words() -> StackWords:
    """Give the words of the drawings in the language that is active."""
    return StackWords(
        title=_("Shim stacks on the piston"),
        compression=_("Compression"),
        rebound=_("Rebound"),
        empty=_("no shims recorded"),
        clamp=_("clamp"),
        crossover=_("crossover shim"),
        thicker=_("thickness drawn {factor} times true"),
        to_scale=_("drawn to scale"),
        out=_("out"),
        back=_("back"),
        left_out=_("left out"),
        added=_("added"),
        alike=_("alike"),
        awaited=_("not yet entered"),
        instead=_("in place of"),
        difference=_("difference"),
        place=_("Place"),
    )
