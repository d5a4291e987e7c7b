"""What a procedure of the shop's own keeps of the one that ships for its construction, whatever else is changed.

The proof of zero is the construction's own sign, the proofs before gas are those its body needs, and a caution at a
dangerous step stays: a shop adds words to them and takes none away. Pure: documents in, faults out.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from shopapp.specs.cautions import KINDS
from shopapp.specs.models import STAGES, Step
from shopapp.specs.services.procedure_rules import OPENS, Fault, Fields, faults_of

FOLDER = Path(__file__).resolve().parent.parent / "procedures"
DANGERS = ("gas", "spring", "nitrogen")
"""Cautions that a stage goes on to show where the shipped procedure shows them in it."""


@cache
def _shipped() -> tuple[dict[str, Any], ...]:
    return tuple(json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json")))


def shipped_for(work: str, construction: str) -> list[dict[str, Any]]:
    """Give the shipped procedures that one is held to: of its construction, or for any construction of its work."""
    return [
        document
        for document in _shipped()
        if document["construction"] == construction and (construction or document["work"] == work)
    ]


def stops_of(work: str, construction: str) -> list[dict[str, Any]]:
    """Give the steps with which a procedure begins: what locks, what is proved, and what its dangerous stages show."""
    found: dict[str, dict[str, Any]] = {}
    for document in shipped_for(work, construction):
        for step in document["steps"]:
            holds = step.get("locks") or step["kind"] == Step.Kind.PROOF or step.get("caution") in DANGERS
            if holds or step["stage"] in ("receive", "restore", "charge", "final"):
                found.setdefault(step["code"], step)
    return list(found.values())


def all_faults(document: Fields) -> Iterator[Fault]:
    """Give everything that is wrong with a procedure: the rules of any, then what its construction's own asks for."""
    yield from faults_of(document)
    steps = document.get("steps") or []
    for shipped in shipped_for(document.get("work", ""), document.get("construction", "")):
        yield from _check_proofs(steps, shipped["steps"])
        yield from _check_stages(steps, shipped["steps"])
    yield from (fault for step in steps for fault in faults_at(step, document))


def faults_at(step: Fields, document: Fields) -> Iterator[Fault]:
    """Give what one step lacks of the shipped step of its code: its caution, the skill it asks for."""
    for shipped in shipped_for(document.get("work", ""), document.get("construction", "")):
        for kept in shipped["steps"]:
            if kept["code"] == step.get("code"):
                yield from _check_kept(step, kept)


def _check_kept(step: Fields, kept: Fields) -> Iterator[Fault]:
    said = {"step": str(step.get("name"))[:120]}
    code, stage = step["code"], step.get("stage", "")
    if kept.get("caution") and step.get("caution") != kept["caution"]:
        words = _(
            "%(step)s: the caution “%(caution)s” came with this step and stays. Add words of your own to it."
        )
        yield Fault(words % {**said, "caution": KINDS[kept["caution"]]}, code, stage, stop=True)
    if kept.get("skill") and step.get("skill") != kept["skill"]:
        yield Fault(
            _("%(step)s: this is work for somebody trained for it. The skill stays.") % said,
            code,
            stage,
            stop=True,
        )


def _check_proofs(steps: Sequence[Fields], shipped: Sequence[Fields]) -> Iterator[Fault]:
    """Hold the construction's own proofs: of zero where it is opened, before gas where it is charged."""
    stages = {step.get("stage") for step in steps}
    opened, charged = any(stage in stages for stage in OPENS), "charge" in stages
    here = {step.get("code"): step for step in steps}
    for kept in shipped:
        if kept["kind"] != Step.Kind.PROOF:
            continue
        asked = {"strip": opened, "charge": charged}.get(
            kept.get("locks", ""), charged and kept["stage"] == "prove"
        )
        if asked:
            yield from _check_proof(here.get(kept["code"]), kept)


def _check_proof(step: Fields | None, kept: Fields) -> Iterator[Fault]:
    named = {"step": _(kept["name"])}
    if step is None:
        words = _("“%(step)s” is this construction's own proof and cannot be left out.")
        yield Fault(words % named, stage=kept["stage"], stop=True)
        return
    same = all(step.get(name) == kept.get(name, "") for name in ("kind", "stage"))
    locked = (step.get("locks") or "") == kept.get("locks", "") and step.get("required", True)
    if not (same and locked):
        words = _("“%(step)s” stays a required proof of its stage, and what it locks stays locked by it.")
        yield Fault(words % named, kept["code"], kept["stage"], stop=True)
    if kept.get("second_tap") and not step.get("second_tap"):
        yield Fault(_("“%(step)s” keeps its second tap.") % named, kept["code"], kept["stage"], stop=True)
    if not _answers(kept).items() <= _answers(step).items():
        words = _(
            "“%(step)s”: the answers that came with it stay, and each goes on to pass, to fail or to stop as it did."
        )
        yield Fault(words % named, kept["code"], kept["stage"], stop=True)


def _answers(step: Fields) -> Mapping[str, tuple[bool, bool]]:
    options = step.get("options") or []
    return {
        option.get("value"): (bool(option.get("passes")), bool(option.get("stops"))) for option in options
    }


def _check_stages(steps: Sequence[Fields], shipped: Sequence[Fields]) -> Iterator[Fault]:
    """Hold that a stage which shows a danger when it ships goes on to show it, wherever in it."""
    for stage, name in STAGES:
        here = {step.get("caution") for step in steps if step.get("stage") == stage}
        kept = [
            step["caution"] for step in shipped if step["stage"] == stage and step.get("caution") in DANGERS
        ]
        for caution in dict.fromkeys(kept):
            if here and caution not in here:
                words = _(
                    "“%(stage)s” showed the caution “%(caution)s” when it came. Some step of it shows it."
                )
                yield Fault(words % {"stage": name, "caution": KINDS[caution]}, stage=stage, stop=True)
