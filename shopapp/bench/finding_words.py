"""What a finding may name: the damper's parts, conditions seen often, the advice, the grade; in the shop's words."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

PARTS: Mapping[str, Promise] = {
    "eyelet": _("eyelet, bearing"),
    "main spring": _("main spring"),
    "tender spring": _("tender spring"),
    "divider": _("divider"),
    "retainer": _("spring retainer"),
    "bump stop": _("bump stop"),
    "preload adjuster": _("preload adjuster"),
    "lock ring": _("lock ring, set screw"),
    "body": _("body, bore"),
    "reservoir": _("reservoir"),
    "reservoir cap": _("reservoir cap, its ring"),
    "hose": _("hose, bridge"),
    "gas valve": _("gas valve, core"),
    "bladder": _("bladder"),
    "ifp": _("IFP, its ring and band"),
    "bleed screw": _("bleed screw"),
    "rod": _("rod"),
    "seal head": _("seal head, wiper"),
    "rod seal": _("rod seal, O-rings"),
    "bushing": _("bushing"),
    "piston": _("piston"),
    "piston band": _("piston’s wear band"),
    "spacer": _("spacer"),
    "shims": _("shims"),
    "piston nut": _("piston nut"),
    "compression adjuster": _("compression adjuster"),
    "rebound adjuster": _("rebound adjuster"),
    "oil": _("oil"),
    "other": _("other"),
}
OTHER = "other"
NO_PLACE = frozenset({"oil", OTHER})
"""Parts that a drawing has no place for."""

CONDITIONS: tuple[Promise, ...] = (
    _("worn"), _("bent"), _("pitted"), _("scored"), _("cracked"), _("leaks"), _("loose"), _("corroded"),
    _("metal in it"), _("torn"), _("hard, aged"), _("missing"),
)  # fmt: skip

ADVICE: Mapping[str, Promise] = {
    "replace": _("replace"),
    "repair": _("repair"),
    "watch": _("watch"),
    "none": _("no advice"),
}
COSTS = frozenset({"replace", "repair"})
"""Advice that asks for the customer's answer."""

NOTE, SHOULD, UNSAFE = "note", "should", "unsafe"
GRADES: Mapping[str, Promise] = {
    NOTE: _("note"),
    SHOULD: _("should be done"),
    UNSAFE: _("unsafe to use"),
}

PART_OF_STEP: Mapping[str, str] = {
    "inspect-rod": "rod",
    "inspect-bores": "body",
    "inspect-body": "body",
    "inspect-bands": "piston band",
    "inspect-bushings": "bushing",
    "inspect-hose": "hose",
    "inspect-valve": "gas valve",
    "inspect-bladder": "bladder",
    "inspect-springs": "main spring",
    "inspect-seats": "retainer",
    "settings-springs": "main spring",
    "settings-divider": "divider",
    "strip-nut": "piston nut",
    "strip-oil": "oil",
}
"""The part that a finding begun from an answer of this step is likely about, by the step's code."""


def part_words(part: str, own: str = "") -> str:
    """Name a part: by the shop's word, or by what was typed for one that has none."""
    return own if part == OTHER and own else str(PARTS.get(part, part))


def asks(grade: str, advice: str) -> bool:
    """Say whether a finding asks for the customer's answer: an unsafe one always, others where the advice costs."""
    return grade == UNSAFE or (grade == SHOULD and advice in COSTS)


def holds(grade: str, answer: str, *, put_right: bool) -> bool:
    """Say whether a finding keeps the gas out: unsafe to use, and not both agreed and put right."""
    return grade == UNSAFE and not (answer == "yes" and put_right)
