"""Record a stack of shims: read as typed, kept whole, held against its own order and against what was taken out."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.bench.lock_rules import AS_FOUND
from shopapp.bench.models import Entry
from shopapp.bench.queries import stacks as laid
from shopapp.bench.queries.restoring import is_setting
from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.tool_use import use_tool
from shopapp.calc import stacks, units
from shopapp.calc.stacks import Place, Stack
from shopapp.shop.services.acts import Refused

MOST_NAMED = 3


def read_stack(recording: Recording, step: SheetStep) -> None:
    """Read a stack from the words as typed; its height is the value. What is odd in what is built needs a reason."""
    stack = _typed(recording, step)
    height = sum(shim.thickness.si for shim in stack)
    recording.fields |= {
        "value_kind": "length", "value_si": height, "value_unit": step.default_unit,
        "value_text": short_words(stack, height, recording),
    }  # fmt: skip
    recording.payload["shims"] = laid.shim_rows(stack)
    use_tool(recording)
    odd = laid.problems(recording.sheet, step.step.figure, stack)
    if odd:
        recording.payload["problems"] = odd
    if odd and step.step.phase not in AS_FOUND:
        recording.fields["outside"] = Entry.Outside.ADVISORY
    _ask_for_reason(recording, step, stack, odd)


def _typed(recording: Recording, step: SheetStep) -> Stack:
    text = recording.entry.words or recording.entry.text
    shop = recording.sheet.shop
    try:
        stack = stacks.read(
            text, default_unit=step.default_unit, decimal_comma=bool(shop and shop.decimal_comma)
        )
    except ValueError as problem:
        raise Refused(str(problem), field="words") from problem
    if not stack:
        words = _(
            "Write the shims from the piston face outwards, such as 40x0.20 36x0.20; where there is none, record "
            "“not readable” and say why."
        )
        raise Refused(words, field="words")
    return stack


def short_words(stack: Stack, height_m: float, recording: Recording) -> str:
    """Say a stack in a few words: "5 shims, 1.10 mm"."""
    shop = recording.sheet.shop
    comma = bool(shop and shop.decimal_comma)
    height = units.fmt(height_m, "mm", "length", places=2, decimal_comma=comma)
    words = ngettext("%(count)d shim, %(height)s", "%(count)d shims, %(height)s", len(stack))
    return words % {"count": len(stack), "height": height}


def _ask_for_reason(recording: Recording, step: SheetStep, stack: Stack, odd: list[str]) -> None:
    """Refuse without a reason what is odd in what is built, and whatever makes out and back differ."""
    if recording.out_of_order or recording.entry.reason:
        return
    as_found = step.step.phase in AS_FOUND
    if odd and not as_found:
        words = _("%s Look again, or say why it is built so.")
        raise Refused(words % " ".join(odd[:MOST_NAMED]), field="reason")
    different = _differences(recording, step, stack, as_found=as_found)
    if different:
        told = "; ".join(place.sentence() for place in different[:MOST_NAMED])
        words = _("What goes back is not what was taken out (%s). Look again, or say what was agreed.")
        raise Refused(words % told, field="reason")


def explain(recording: Recording) -> None:
    """Say afterwards why a stack or a setting is not as it came, or was not read again; that is no work."""
    if not recording.entry.words:
        raise Refused(_("Say why."), field="words")
    old = next((row for row in recording.sheet.entries if row.pk == recording.entry.about), None)
    known = old is not None and (laid.is_stack(old) or is_setting(old))
    if old is None or not known or str(old.pk) in recording.sheet.replaced:
        words = _(
            "A reason afterwards is for a stack or a setting on this sheet. Another reason stands in the entry "
            "it is for."
        )
        raise Refused(words, field="about")
    recording.fields["about"] = old


def _differences(recording: Recording, step: SheetStep, stack: Stack, *, as_found: bool) -> tuple[Place, ...]:
    other = laid.latest(recording.sheet, step.step.figure, as_found=not as_found)
    if other is None or not laid.is_stack(other):
        return ()
    out, back = (stack, laid.stack_of(other)) if as_found else (laid.stack_of(other), stack)
    return stacks.changes(stacks.compare(out, back))
