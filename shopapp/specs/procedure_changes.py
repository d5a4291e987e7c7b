"""How two versions of a procedure differ, in words: added, removed, changed, moved. Pure: documents in, lines out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.specs import cautions, figures
from shopapp.specs.models import STAGES, Step

Document = Mapping[str, Any]
STAGE_NAMES: dict[str, str | Promise] = dict(STAGES)

FIELD_NAMES: dict[str, str | Promise] = {
    "stage": _lazy("sheet"),
    "kind": _lazy("kind"),
    "name": _lazy("words"),
    "text": _lazy("how it is done"),
    "figure": _lazy("figure"),
    "position": _lazy("place"),
    "phase": _lazy("read"),
    "repeat": _lazy("repeated over"),
    "options": _lazy("answers"),
    "minutes": _lazy("minutes"),
    "purpose": _lazy("part for"),
    "locks": _lazy("holds locked"),
    "required": _lazy("asked for"),
    "second_tap": _lazy("second tap"),
    "tool_kind": _lazy("tool"),
    "skill": _lazy("skill"),
    "computed": _lazy("worked out"),
    "caution": _lazy("caution"),
    "own_caution": _lazy("words added to the caution"),
}


@dataclass(frozen=True)
class Change:
    """One line: `kind` is added, removed, changed or moved; `details` hold field, before, after."""

    kind: str
    words: str
    stage: str
    step: str
    details: tuple[tuple[str, str, str], ...] = ()


def changes(before: Document, after: Document) -> list[Change]:
    """List how `after` differs from `before`: a step is known by its short name, whatever it is called now."""
    old = {step["code"]: step for step in before["steps"]}
    new = {step["code"]: step for step in after["steps"]}
    moved = _moved([code for code in old if code in new], [code for code in new if code in old])
    found = []
    for code, step in new.items():
        if code not in old:
            found.append(_line("added", step))
            continue
        details = _details(old[code], step)
        if details:
            found.append(_line("changed", step, details))
        if code in moved and old[code]["stage"] == step["stage"]:
            found.append(_line("moved", step))
    found += [_line("removed", step) for code, step in old.items() if code not in new]
    return found


def _line(kind: str, step: Mapping[str, Any], details: Sequence[tuple[str, str, str]] = ()) -> Change:
    words = {
        "added": _("added"),
        "removed": _("taken out"),
        "changed": _("changed"),
        "moved": _("stands in another order"),
    }
    return Change(kind, words[kind], str(STAGE_NAMES[step["stage"]]), step["name"], tuple(details))


def _moved(old: Sequence[str], new: Sequence[str]) -> set[str]:
    """Give the steps that stand in another order: the fewest whose leaving makes both orders alike."""
    place = {code: number for number, code in enumerate(old)}
    best: list[list[str]] = []
    for code in new:
        chains = [chain for chain in best if place[chain[-1]] < place[code]]
        best.append([*_longest(chains), code])
    kept = set(_longest(best))
    return {code for code in new if code not in kept}


def _longest(chains: Sequence[list[str]]) -> list[str]:
    return max(chains, key=lambda chain: len(chain), default=[])


def _details(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    return [
        (str(name), shown(field, old.get(field)), shown(field, new.get(field)))
        for field, name in FIELD_NAMES.items()
        if old.get(field) != new.get(field)
    ]


def shown(field: str, value: Any) -> str:
    """Say a field's value in words; "–" for none."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if field == "options":
        return "; ".join(f"{option['words']} ({answer_does(option)})" for option in value or []) or "–"
    known = _known(field)
    return str(known.get(value, value)) if value not in (None, "", 0) else "–"


def _known(field: str) -> Mapping[Any, Any]:
    tables: dict[str, Mapping[Any, Any]] = {
        "stage": STAGE_NAMES,
        "locks": STAGE_NAMES,
        "kind": dict(Step.Kind.choices),
        "phase": dict(Step.Phase.choices),
        "repeat": dict(Step.Repeat.choices),
        "caution": cautions.KINDS,
        "figure": {name: figure.label for name, figure in figures.NAMES.items()},
    }
    return tables.get(field, {})


def answer_does(option: Mapping[str, Any]) -> str:
    """Say what an answer does."""
    if option.get("stops"):
        return _("stops the job")
    return _("passes") if option.get("passes") else _("does not pass")
