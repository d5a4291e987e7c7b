"""The rules that a procedure keeps before it is released: whoever follows it must pass every safety stop.

Pure: a document as it ships (and as a draft stands), no database. Each rule says in a sentence which step is wrong
and what would be right; a rule is a generator, so that a draft's page can say all of them, each at its step.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext as _

from shopapp.dampers.models import Construction
from shopapp.shop.services.acts import Refused
from shopapp.specs.cautions import CAUTIONS, KINDS
from shopapp.specs.figures import NAMES
from shopapp.specs.models import STAGES, Step

Fields = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, as a sentence; `code` names the step, `stage` the stage, where it is about one.

    `stop` marks a fault by which one of the safety stops would be missing: a draft cannot be changed into it.
    """

    sentence: str
    code: str = ""
    stage: str = ""
    stop: bool = False


Rule = Callable[[Sequence[Fields]], Iterator[Fault]]

ORDER = [code for code, _name in STAGES]
OPENS = ("strip", "reseal", "rod", "fill", "close", "ifp")
"""Stages that only a damper which was opened goes through."""
OF_GAS = ("release", *OPENS, "charge")
"""Stages in which gas is let out, kept out or let in: the sign of zero is the construction's own."""
SKILLS = ("charging", "bladders", "releasing")
COMPUTED = {
    "charge": "charge",
    "ifp": "ifp depth",
    "preload turns": "preload",
    "coil bind": "spring fitted length",
}
FIELDS = frozenset({field.name for field in Step._meta.concrete_fields} - {"id", "procedure", "order"})
OPTION = frozenset({"value", "words", "passes", "stops"})
LONGEST = {"code": 40, "name": 120, "text": 600, "position": 40, "purpose": 20, "tool_kind": 40,
    "own_caution": 300}  # fmt: skip


def check_procedure(document: Fields) -> None:
    """Hold every rule of a procedure; raise `Refused` for the first that is broken."""
    for fault in faults_of(document):
        raise Refused(fault.sentence, field="steps")


def faults_of(document: Fields) -> Iterator[Fault]:
    """Give everything that is wrong with a procedure, step by step; what no page can draw is said alone."""
    construction = document.get("construction", "")
    if not document.get("name") or not document.get("work"):
        yield Fault(_("A procedure needs a name, and the kind of work that it is for."))
    if construction not in ("", *Construction.values):
        yield Fault(_("There is no construction called “%s”.") % construction)
    steps = document.get("steps") or []
    if not steps:
        yield Fault(_("A procedure without a step proves nothing. Give it its steps."))
        return
    unknown = False
    for step in steps:
        found = list(known_faults(step))
        unknown = unknown or bool(found)
        yield from found or (fault for check in OF_ONE_STEP for fault in check(step))
    if unknown:
        return
    for rule in OF_ALL_STEPS:
        yield from rule(steps)
    if not construction:
        yield from _check_any_construction(steps)


def _at(step: Fields, sentence: str, *, stop: bool = False) -> Fault:
    return Fault(sentence, code=str(step.get("code") or ""), stage=str(step.get("stage") or ""), stop=stop)


def _named(step: Fields) -> str:
    return str(step.get("name") or step.get("code") or "?")[:120]


def known_faults(step: Fields) -> Iterator[Fault]:
    """Hold that every field and every name is one that the program knows."""
    said = {"step": _named(step)}
    unknown = sorted(set(step) - FIELDS)
    if unknown:
        yield _at(step, _("%(step)s: “%(field)s” is not a part of a step.") % {**said, "field": unknown[0]})
    if not step.get("code") or not step.get("name"):
        yield _at(step, _("%(step)s: a step needs a short name of its own and its words.") % said)
        return
    for name, most in LONGEST.items():
        if len(step.get(name) or "") > most:
            yield _at(step, _("%(step)s: this is longer than %(most)d characters.") % {**said, "most": most})
    choices = {
        "stage": ORDER, "kind": Step.Kind.values, "phase": ["", *Step.Phase.values],
        "repeat": Step.Repeat.values, "figure": ["", *NAMES], "caution": ["", *CAUTIONS],
        "skill": ["", *SKILLS], "computed": ["", *COMPUTED], "locks": ["", *ORDER],
    }  # fmt: skip
    for name, known in choices.items():
        if step.get(name, "") not in known:
            words = _("%(step)s: “%(value)s” is not in the registry (%(field)s).")
            yield _at(step, words % {**said, "value": step.get(name), "field": name})


def _check_kind(step: Fields) -> Iterator[Fault]:
    """Hold what each kind of step needs."""
    said, kind = {"step": _named(step)}, step["kind"]
    if (kind == Step.Kind.READING) != bool(step.get("figure")):
        yield _at(step, _("%(step)s: a reading names its figure, and nothing else does.") % said)
    if kind == Step.Kind.READING and not step.get("phase"):
        yield _at(step, _("%(step)s: say whether it is read as received, as removed or as built.") % said)
    if (kind == Step.Kind.WAIT) != bool(step.get("minutes")):
        yield _at(step, _("%(step)s: a wait has its minutes, and nothing else does.") % said)
    if kind == Step.Kind.TOOL and not step.get("tool_kind"):
        yield _at(step, _("%(step)s: say which kind of tool.") % said)
    if kind == Step.Kind.PART and not step.get("purpose"):
        yield _at(step, _("%(step)s: say what the part is for: kit or oil.") % said)
    computed = step.get("computed")
    if computed and step.get("figure") != COMPUTED[computed]:
        yield _at(step, _("%(step)s: what is worked out there belongs to another figure.") % said)
    repeat = step.get("repeat")
    if repeat in (Step.Repeat.ADJUSTERS, Step.Repeat.FASTENERS) and not step.get("figure"):
        yield _at(
            step,
            _("%(step)s: repeated over what the sheet lists, it needs the figure that lists them.") % said,
        )
    if repeat and step.get("position"):
        yield _at(step, _("%(step)s: a repeated step gets its positions from the sheet.") % said)


def _check_answers(step: Fields) -> Iterator[Fault]:
    """Hold that a proof can fail, that a choice is one, and that only what is chosen has answers."""
    said, options = {"step": _named(step)}, step.get("options") or []
    if step["kind"] not in (Step.Kind.PROOF, Step.Kind.CHOICE):
        if options:
            yield _at(step, _("%(step)s: only a proof or a choice has answers.") % said)
        return
    values = [option.get("value") for option in options]
    whole = all(set(option) == OPTION and option["value"] and option["words"] for option in options)
    if len(options) < 2 or not whole or len(set(values)) != len(values):
        yield _at(
            step, _("%(step)s: give two answers or more, each with a value of its own and its words.") % said
        )
    if not any(option["passes"] for option in options):
        yield _at(step, _("%(step)s: no answer passes, so nobody could go on.") % said)
    if any(option["passes"] and option["stops"] for option in options):
        yield _at(step, _("%(step)s: an answer that stops the job cannot pass.") % said)
    fails = any(not option["passes"] for option in options)
    if not fails and (step["kind"] == Step.Kind.PROOF or step.get("locks") == "charge"):
        yield _at(step, _("%(step)s: every answer passes, so it proves nothing.") % said)


def _check_lock(step: Fields) -> Iterator[Fault]:
    """Hold that a step locks a stage after its own, and that what locks is asked for."""
    locks = step.get("locks")
    if not locks:
        return
    said = {"step": _named(step)}
    if ORDER.index(locks) <= ORDER.index(step["stage"]):
        yield _at(step, _("%(step)s locks its own stage or one before it: it could never be done.") % said)
    if step["kind"] == Step.Kind.PROOF and not step.get("required", True):
        yield _at(step, _("%(step)s: a proof that locks a stage is required.") % said)


def _check_order(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that codes stand once and stages follow each other."""
    codes = [step["code"] for step in steps]
    twice = next((code for code in codes if codes.count(code) > 1), "")
    if twice:
        yield Fault(_("The short name “%s” stands twice. Each step has its own.") % twice, code=twice)
    for before, after in pairwise(steps):
        if ORDER.index(after["stage"]) < ORDER.index(before["stage"]):
            words = _("%s stands after a step of a later stage. Stages follow in their order.")
            yield _at(after, words % _named(after))


def _check_settings(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that no spring comes off before the arrival settings are recorded, and that they are restored."""
    if not _of(steps, "spring off"):
        return
    recorded = [step for step in _of(steps, "settings") if step.get("required", True)]
    if not any(step["kind"] == Step.Kind.READING for step in recorded):
        words = _("The spring comes off, but nothing is read on arrival: it could not be put back.")
        yield Fault(words, stage="settings", stop=True)
    for step in recorded:
        if step.get("locks") != "spring off":
            words = _("%s must lock “Take the spring off”: it is lost once the spring is off.")
            yield _at(step, words % _named(step), stop=True)
    built = {_place(step) for step in _of(steps, "restore") if step.get("phase") == "built"}
    for step in recorded:
        if step["kind"] == Step.Kind.READING and _place(step) not in built:
            words = _("%s is read on arrival and never again: read it again when it is restored.")
            yield _at(step, words % _named(step), stop=True)


def _place(step: Fields) -> tuple[str, str, str]:
    return step.get("figure", ""), step.get("position", ""), step.get("repeat", "")


def _check_zero(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that nothing is opened before zero is proved by an answer that otherwise stops the job."""
    if not any(_of(steps, stage) for stage in OPENS):
        return
    proofs = [step for step in _proofs(steps, "strip") if step["stage"] == "release"]
    if not proofs:
        words = _("The damper is opened, but no proof of zero in “Release the gas” locks “Strip”.")
        yield Fault(words, stage="release", stop=True)
    for step in proofs:
        if not any(option.get("stops") for option in step.get("options") or []):
            words = _("%s: the answer for a damper still under pressure must stop the job.")
            yield _at(step, words % _named(step), stop=True)


def _check_gas(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold what stands before gas is let in, how it is let in, and what is proved after it."""
    charging = _of(steps, "charge")
    if not charging:
        return
    before = [step for step in _proofs(steps, "charge") if step["stage"] in ("close", "ifp")]
    if not before:
        words = _(
            "Gas is let in, but no proof before gas, in “Close the body” or “Set the IFP”, locks “Charge”."
        )
        yield Fault(words, stage="charge", stop=True)
    readings = [step for step in charging if step.get("phase") == "built" and step.get("required", True)]
    asked = [step.get("figure") for step in readings]
    if "charge" not in asked or "body temperature" not in asked[: asked.index("charge")]:
        words = _("In “Charge” the body's temperature is read, and after it the charge, both as built.")
        yield Fault(words, stage="charge", stop=True)
    if not any(
        step["kind"] == Step.Kind.PROOF and step.get("required", True) for step in _of(steps, "prove")
    ):
        words = _("What is charged is proved on the bench afterwards: give “Prove on the bench” a proof.")
        yield Fault(words, stage="prove", stop=True)


def _check_set_ifp(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that an IFP which is set has its depth read as built, and that the depth locks the charge."""
    if not _of(steps, "ifp"):
        return
    depth = [s for s in _of(steps, "ifp") if (s.get("figure"), s.get("phase")) == ("ifp depth", "built")]
    if not any(step.get("locks") == "charge" and step.get("required", True) for step in depth):
        yield Fault(
            _("The IFP is set, but its depth as built does not lock “Charge”."), stage="ifp", stop=True
        )


def _check_end(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that the work ends with its own final check, asked for."""
    if not any(step.get("required", True) for step in _of(steps, "final")):
        words = _("“Final check” has no step that is asked for: the work would end unseen.")
        yield Fault(words, stage="final")
    if not any(step.get("required", True) for step in _of(steps, "receive")):
        words = _("“Receive” has no step that is asked for: the tag would not be read.")
        yield Fault(words, stage="receive")


def _check_cautions(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that the stages which can hurt somebody show their caution."""
    for stage, caution in (
        ("spring off", "spring"),
        ("release", "gas"),
        ("strip", "gas"),
        ("charge", "nitrogen"),
    ):
        found = _of(steps, stage)
        if found and caution not in {step.get("caution") for step in found}:
            words = _("“%(stage)s” shows no caution of the kind “%(caution)s”.")
            yield Fault(
                words % {"stage": dict(STAGES)[stage], "caution": KINDS[caution]}, stage=stage, stop=True
            )


def _check_any_construction(steps: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that a procedure for any construction lets no gas out or in and opens nothing."""
    for step in steps:
        if step["stage"] in OF_GAS:
            words = _(
                "%s: gas and what is opened belong to one construction. Say which, or leave the step out."
            )
            yield _at(step, words % _named(step))


def _of(steps: Sequence[Fields], stage: str) -> list[Fields]:
    return [step for step in steps if step["stage"] == stage]


def _proofs(steps: Sequence[Fields], locks: str) -> list[Fields]:
    return [step for step in steps if step["kind"] == Step.Kind.PROOF and step.get("locks") == locks]


OF_ONE_STEP: tuple[Callable[[Fields], Iterator[Fault]], ...] = (_check_kind, _check_answers, _check_lock)
OF_ALL_STEPS: tuple[Rule, ...] = (
    _check_order, _check_settings, _check_zero, _check_gas, _check_set_ifp, _check_end, _check_cautions,
)  # fmt: skip
