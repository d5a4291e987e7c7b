"""The rules of each kind of entry: each a small function that completes a Recording, or refuses it in a sentence."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.bench import figures, limits
from shopapp.bench.limits import Limits
from shopapp.bench.locks import AS_FOUND
from shopapp.bench.models import Entry, Wait
from shopapp.bench.queries.steps import DEPTH, TEMPERATURE, SheetStep
from shopapp.bench.services.closing import close, release
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.findings import put_right, record_finding
from shopapp.bench.services.notes import note, taken
from shopapp.bench.services.parts import fit_part
from shopapp.bench.services.pictures import show_pictures
from shopapp.bench.services.signing import countersign
from shopapp.bench.services.stacks import explain, read_stack
from shopapp.bench.services.tool_use import use_tool
from shopapp.calc import units
from shopapp.shop.services.acts import Refused
from shopapp.specs.figures import STACK

COLDEST_BODY_K, HOTTEST_BODY_K = 233.15, 423.15


def _step(recording: Recording) -> SheetStep:
    if recording.step is None:
        raise Refused(_("This entry needs a step. Load the sheet again."), field="step")
    return recording.step


def do(recording: Recording) -> None:
    """Something was done; a tool may be named."""
    if recording.entry.tool:
        use_tool(recording)


def _need_words(recording: Recording, sentence: str) -> None:
    if not recording.entry.words:
        raise Refused(sentence, field="words")


def answer(recording: Recording) -> None:
    """A proof or a choice: one of the answers that the step offers. An answer that stops, stops at once."""
    offered = [option["value"] for option in _step(recording).step.options]
    if recording.entry.answer not in offered:
        raise Refused(_("Choose one of the answers of this step."), field="answer")
    recording.payload["answer"] = recording.entry.answer


def tool(recording: Recording) -> None:
    """A tool step names one tool by its tag."""
    if not recording.entry.tool:
        raise Refused(_("Scan or type the tag of the tool."), field="tool")
    use_tool(recording)


def unreadable(recording: Recording) -> None:
    """Not readable, and why. A figure that could hurt somebody must be read all the same: then it satisfies nothing."""
    _need_words(recording, _("Say why it is not readable."))


def reading(recording: Recording) -> None:
    """A reading as typed: kept as typed, judged against the limits that hold now."""
    step = _step(recording)
    if step.unit_kind == STACK:
        read_stack(recording, step)
        return
    shop = recording.sheet.shop
    try:
        value = units.parse(
            recording.entry.text, step.unit_kind, step.default_unit,
            decimal_comma=bool(shop and shop.decimal_comma), signed=step.signed,
        )  # fmt: skip
    except units.UnitError as problem:
        raise Refused(str(problem), field="text") from problem
    _refuse_no_body(step, value.si, value.text)
    recording.fields |= {
        "value_kind": value.kind, "value_si": value.si, "value_unit": value.unit, "value_text": value.text,
    }  # fmt: skip
    use_tool(recording)
    _judge(recording, step, value)


def _refuse_no_body(step: SheetStep, si: float, text: str) -> None:
    if step.step.figure == TEMPERATURE and not COLDEST_BODY_K <= si <= HOTTEST_BODY_K:
        words = _("A body at the bench lies between −40 and 150 °C, not at %s. Read it again.")
        raise Refused(words % text, field="text")


def _judge(recording: Recording, step: SheetStep, value: units.Measurement) -> None:
    """Mark where it lies. Past an advisory limit in what is built it needs a reason; absolute is an attempt."""
    try:
        held = recording.sheet.limits_now(step)
    except ValueError as problem:
        raise Refused(str(problem), field="text") from problem
    verdict = limits.judge(held, value.si)
    never = _never(recording, step, value.si)
    recording.fields["outside"] = "absolute" if never else verdict.outside
    if recording.out_of_order or never:
        return
    if limits.asks_for_reason(verdict, step.step.phase) and not recording.entry.reason:
        words = limits.sentence(verdict, held or Limits(), name=step.name, text=value.text)
        raise Refused(_("%s Read it again, or say why it is recorded.") % words, field="reason")


def _never(recording: Recording, step: SheetStep, si: float) -> str:
    """Say why a depth can never be built: nobody lifts that the IFP meets cap or floor."""
    if step.step.figure != DEPTH or step.step.phase in AS_FOUND:
        return ""
    return figures.meets_cap_or_floor(recording.sheet.job.spec, si, recording.sheet.shop)


def wait(recording: Recording) -> None:
    """Begin a wait; it ends by itself after the step's minutes, and somebody records its end."""
    step = _step(recording)
    running = _running(recording)
    if running is not None and recording.replaces is None and not recording.out_of_order:
        words = _("This wait runs already, until %s.")
        raise Refused(words % _clock(running.wait.ends), field="kind")
    if recording.out_of_order:
        return
    ends = recording.typed_at + timedelta(minutes=step.step.minutes)

    def begin(row: Entry) -> None:
        if recording.replaces is not None:
            # The corrected beginning is over; the wait runs from the new one.
            Wait.objects.filter(entry=recording.replaces, ended_by__isnull=True).update(ended_by=row)
        Wait.objects.create(entry=row, ends=ends)

    recording.then.append(begin)


def wait_end(recording: Recording) -> None:
    """End a wait that runs; before its time with a reason."""
    running = _running(recording)
    if recording.out_of_order:
        return
    if running is None or recording.entry.about not in (None, running.pk):
        raise Refused(_("No such wait runs here. Load the sheet again."), field="about")
    if recording.typed_at < running.wait.ends and not recording.entry.reason:
        words = _("This wait runs until %s. Wait, or say why it is ended before.")
        raise Refused(words % _clock(running.wait.ends), field="reason")
    recording.fields["about"] = running
    recording.then.append(lambda row: _end(running, row))


def _end(running: Entry, row: Entry) -> None:
    Wait.objects.filter(entry=running, ended_by__isnull=True).update(ended_by=row)


def _running(recording: Recording) -> Entry | None:
    """Give the entry that began the wait which runs for this step."""
    key = recording.entry.key
    if key not in recording.sheet.standing.waiting:
        return None
    begun = [e for e in recording.sheet.current(key) if e.kind == "wait" and not e.out_of_order]
    return begun[-1] if begun else None


def _clock(moment: object) -> str:
    return formats.time_format(timezone.localtime(moment), "H:i")  # type: ignore[arg-type]


KIND_RULES: dict[str, Callable[[Recording], None]] = {
    "do": do,
    "reading": reading,
    "unreadable": unreadable,
    "proof": answer,
    "choice": answer,
    "picture": show_pictures,
    "wait": wait,
    "wait end": wait_end,
    "part": fit_part,
    "tool": tool,
    "note": note,
    "taken": taken,
    "countersign": countersign,
    "reason": explain,
    "finding": record_finding,
    "put right": put_right,
    "release": release,
    "close": close,
}
