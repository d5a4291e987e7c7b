"""The rules that a procedure keeps before it is released: whoever follows it must pass every safety stop.

Pure: a document as it ships (and as a page hands it in), no database. Each rule says in a sentence which step is wrong
and what would be right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext as _

from shopapp.dampers.models import Construction
from shopapp.shop.services.acts import Refused
from shopapp.specs.cautions import CAUTIONS
from shopapp.specs.figures import NAMES
from shopapp.specs.models import STAGES, Step

Fields = Mapping[str, Any]
Rule = Callable[[Sequence[Fields]], None]

ORDER = [code for code, _name in STAGES]
OPENS = ("strip", "reseal", "rod", "fill", "close", "ifp")
"""Stages that only a damper which was opened goes through."""
OF_GAS = ("release", *OPENS, "charge")
"""Stages in which gas is let out, kept out or let in: the sign of zero is the construction's own."""
SKILLS = ("charging", "bladders", "releasing")
COMPUTED = {"charge": "charge", "ifp": "ifp depth", "preload turns": "preload"}
FIELDS = frozenset({field.name for field in Step._meta.concrete_fields} - {"id", "procedure", "order"})
OPTION = frozenset({"value", "words", "passes", "stops"})
LONGEST = {"code": 40, "name": 120, "text": 600, "position": 40, "purpose": 20, "tool_kind": 40}


def check_procedure(document: Fields) -> None:
    """Hold every rule of a procedure; raise `Refused` for the first that is broken."""
    construction = document.get("construction", "")
    if not document.get("name") or not document.get("work"):
        _refuse(_("A procedure needs a name, and the kind of work that it is for."))
    if construction not in ("", *Construction.values):
        _refuse(_("There is no construction called “%s”.") % construction)
    steps = document.get("steps") or []
    if not steps:
        _refuse(_("A procedure without a step proves nothing. Give it its steps."))
    for step in steps:
        for check in OF_ONE_STEP:
            check(step)
    for rule in OF_ALL_STEPS:
        rule(steps)
    if not construction:
        _check_any_construction(steps)


def _refuse(sentence: str) -> None:
    raise Refused(sentence, field="steps")


def _named(step: Fields) -> str:
    return str(step.get("name") or step.get("code") or "?")[:120]


def _check_known(step: Fields) -> None:
    """Hold that every field and every name is one that the program knows."""
    said = {"step": _named(step)}
    unknown = sorted(set(step) - FIELDS)
    if unknown:
        _refuse(_("%(step)s: “%(field)s” is not a part of a step.") % {**said, "field": unknown[0]})
    if not step.get("code") or not step.get("name"):
        _refuse(_("%(step)s: a step needs a short name of its own and its words.") % said)
    for name, most in LONGEST.items():
        if len(step.get(name) or "") > most:
            _refuse(_("%(step)s: this is longer than %(most)d characters.") % {**said, "most": most})
    choices = {
        "stage": ORDER, "kind": Step.Kind.values, "phase": ["", *Step.Phase.values],
        "repeat": Step.Repeat.values, "figure": ["", *NAMES], "caution": ["", *CAUTIONS],
        "skill": ["", *SKILLS], "computed": ["", *COMPUTED], "locks": ["", *ORDER],
    }  # fmt: skip
    for name, known in choices.items():
        if step.get(name, "") not in known:
            words = _("%(step)s: “%(value)s” is not in the registry (%(field)s).")
            _refuse(words % {**said, "value": step.get(name), "field": name})


def _check_kind(step: Fields) -> None:
    """Hold what each kind of step needs."""
    said, kind = {"step": _named(step)}, step["kind"]
    if (kind == Step.Kind.READING) != bool(step.get("figure")):
        _refuse(_("%(step)s: a reading names its figure, and nothing else does.") % said)
    if kind == Step.Kind.READING and not step.get("phase"):
        _refuse(_("%(step)s: say whether it is read as received, as removed or as built.") % said)
    if (kind == Step.Kind.WAIT) != bool(step.get("minutes")):
        _refuse(_("%(step)s: a wait has its minutes, and nothing else does.") % said)
    if kind == Step.Kind.TOOL and not step.get("tool_kind"):
        _refuse(_("%(step)s: say which kind of tool.") % said)
    if kind == Step.Kind.PART and not step.get("purpose"):
        _refuse(_("%(step)s: say what the part is for: kit or oil.") % said)
    computed = step.get("computed")
    if computed and step.get("figure") != COMPUTED[computed]:
        _refuse(_("%(step)s: what is worked out there belongs to another figure.") % said)
    repeat = step.get("repeat")
    if repeat in (Step.Repeat.ADJUSTERS, Step.Repeat.FASTENERS) and not step.get("figure"):
        _refuse(
            _("%(step)s: repeated over what the sheet lists, it needs the figure that lists them.") % said
        )
    if repeat and step.get("position"):
        _refuse(_("%(step)s: a repeated step gets its positions from the sheet.") % said)


def _check_answers(step: Fields) -> None:
    """Hold that a proof can fail, that a choice is one, and that only what is chosen has answers."""
    said, options = {"step": _named(step)}, step.get("options") or []
    if step["kind"] not in (Step.Kind.PROOF, Step.Kind.CHOICE):
        if options:
            _refuse(_("%(step)s: only a proof or a choice has answers.") % said)
        return
    values = [option.get("value") for option in options]
    whole = all(set(option) == OPTION and option["value"] and option["words"] for option in options)
    if len(options) < 2 or not whole or len(set(values)) != len(values):
        _refuse(_("%(step)s: give two answers or more, each with a value of its own and its words.") % said)
    if not any(option["passes"] for option in options):
        _refuse(_("%(step)s: no answer passes, so nobody could go on.") % said)
    if any(option["passes"] and option["stops"] for option in options):
        _refuse(_("%(step)s: an answer that stops the job cannot pass.") % said)
    fails = any(not option["passes"] for option in options)
    if not fails and (step["kind"] == Step.Kind.PROOF or step.get("locks") == "charge"):
        _refuse(_("%(step)s: every answer passes, so it proves nothing.") % said)


def _check_lock(step: Fields) -> None:
    """Hold that a step locks a stage after its own, and that what locks is asked for."""
    locks = step.get("locks")
    if not locks:
        return
    said = {"step": _named(step)}
    if ORDER.index(locks) <= ORDER.index(step["stage"]):
        _refuse(_("%(step)s locks its own stage or one before it: it could never be done.") % said)
    if step["kind"] == Step.Kind.PROOF and not step.get("required", True):
        _refuse(_("%(step)s: a proof that locks a stage is required.") % said)


def _check_order(steps: Sequence[Fields]) -> None:
    """Hold that codes stand once and stages follow each other."""
    codes = [step["code"] for step in steps]
    twice = next((code for code in codes if codes.count(code) > 1), "")
    if twice:
        _refuse(_("The short name “%s” stands twice. Each step has its own.") % twice)
    for before, after in pairwise(steps):
        if ORDER.index(after["stage"]) < ORDER.index(before["stage"]):
            _refuse(
                _("%s stands after a step of a later stage. Stages follow in their order.") % _named(after)
            )


def _check_settings(steps: Sequence[Fields]) -> None:
    """Hold that no spring comes off before the arrival settings are recorded, and that they are restored."""
    if not _of(steps, "spring off"):
        return
    recorded = [step for step in _of(steps, "settings") if step.get("required", True)]
    if not any(step["kind"] == Step.Kind.READING for step in recorded):
        _refuse(_("The spring comes off, but nothing is read on arrival: it could not be put back."))
    for step in recorded:
        if step.get("locks") != "spring off":
            _refuse(
                _("%s must lock “Take the spring off”: it is lost once the spring is off.") % _named(step)
            )
    built = {_place(step) for step in _of(steps, "restore") if step.get("phase") == "built"}
    for step in recorded:
        if step["kind"] == Step.Kind.READING and _place(step) not in built:
            _refuse(
                _("%s is read on arrival and never again: read it again when it is restored.") % _named(step)
            )


def _place(step: Fields) -> tuple[str, str, str]:
    return step["figure"], step.get("position", ""), step.get("repeat", "")


def _check_zero(steps: Sequence[Fields]) -> None:
    """Hold that nothing is opened before zero is proved by an answer that otherwise stops the job."""
    if not any(_of(steps, stage) for stage in OPENS):
        return
    proofs = [step for step in _proofs(steps, "strip") if step["stage"] == "release"]
    if not proofs:
        _refuse(_("The damper is opened, but no proof of zero in “Release the gas” locks “Strip”."))
    for step in proofs:
        if not any(option["stops"] for option in step["options"]):
            _refuse(_("%s: the answer for a damper still under pressure must stop the job.") % _named(step))


def _check_gas(steps: Sequence[Fields]) -> None:
    """Hold what stands before gas is let in, how it is let in, and what is proved after it."""
    charging = _of(steps, "charge")
    if not charging:
        return
    before = [step for step in _proofs(steps, "charge") if step["stage"] in ("close", "ifp")]
    if not before:
        _refuse(
            _("Gas is let in, but no proof before gas, in “Close the body” or “Set the IFP”, locks “Charge”.")
        )
    readings = [step for step in charging if step.get("phase") == "built" and step.get("required", True)]
    asked = [step.get("figure") for step in readings]
    if "charge" not in asked or "body temperature" not in asked[: asked.index("charge")]:
        _refuse(_("In “Charge” the body's temperature is read, and after it the charge, both as built."))
    if not any(
        step["kind"] == Step.Kind.PROOF and step.get("required", True) for step in _of(steps, "prove")
    ):
        _refuse(_("What is charged is proved on the bench afterwards: give “Prove on the bench” a proof."))


def _check_set_ifp(steps: Sequence[Fields]) -> None:
    """Hold that an IFP which is set has its depth read as built, and that the depth locks the charge."""
    if not _of(steps, "ifp"):
        return
    depth = [s for s in _of(steps, "ifp") if (s.get("figure"), s.get("phase")) == ("ifp depth", "built")]
    if not any(step.get("locks") == "charge" and step.get("required", True) for step in depth):
        _refuse(_("The IFP is set, but its depth as built does not lock “Charge”."))


def _check_end(steps: Sequence[Fields]) -> None:
    """Hold that the work ends with its own final check, asked for."""
    if not any(step.get("required", True) for step in _of(steps, "final")):
        _refuse(_("“Final check” has no step that is asked for: the work would end unseen."))
    if not any(step.get("required", True) for step in _of(steps, "receive")):
        _refuse(_("“Receive” has no step that is asked for: the tag would not be read."))


def _check_cautions(steps: Sequence[Fields]) -> None:
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
            _refuse(words % {"stage": dict(STAGES)[stage], "caution": caution})


def _check_any_construction(steps: Sequence[Fields]) -> None:
    """Hold that a procedure for any construction lets no gas out or in and opens nothing."""
    for step in steps:
        if step["stage"] in OF_GAS:
            words = _(
                "%s: gas and what is opened belong to one construction. Say which, or leave the step out."
            )
            _refuse(words % _named(step))


def _of(steps: Sequence[Fields], stage: str) -> list[Fields]:
    return [step for step in steps if step["stage"] == stage]


def _proofs(steps: Sequence[Fields], locks: str) -> list[Fields]:
    return [step for step in steps if step["kind"] == Step.Kind.PROOF and step.get("locks") == locks]


OF_ONE_STEP: tuple[Callable[[Fields], None], ...] = (_check_known, _check_kind, _check_answers, _check_lock)
OF_ALL_STEPS: tuple[Rule, ...] = (
    _check_order, _check_settings, _check_zero, _check_gas, _check_set_ifp, _check_end, _check_cautions,
)  # fmt: skip
