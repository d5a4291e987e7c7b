"""What an act changed, told in words: the field, what it was and what it is, each as people say it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.orders.models import Bay
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.web.change_words import CODES, FIELDS, YES_NO, Words

NAMED_ROWS = ("technician", "bay")
"""Fields of which an act keeps the row's number alone."""
A_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d")
A_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True)
class Told:
    """One change in words; `old` and `new` are empty where nothing was or where the act keeps no value."""

    what: str
    old: str
    new: str


def told(rows: Iterable[Act]) -> list[Act]:
    """Give the acts, each with `told`: its changes in words. The queries do not grow with them."""
    acts = list(rows)
    names = _names(acts)
    for act in acts:
        act.told = [_told(change, names) for change in act.changed]  # type: ignore[attr-defined]
    return acts


def _names(acts: list[Act]) -> dict[str, dict[str, str]]:
    """Read who and which bay is meant by the numbers in these acts: at most two queries."""
    wanted: dict[str, set[int]] = {name: set() for name in NAMED_ROWS}
    for act in acts:
        for change in act.changed:
            if change["field"] in wanted:
                keys = (str(change.get("old")), str(change.get("new")))
                wanted[change["field"]] |= {int(key) for key in keys if key.isdecimal()}
    found: dict[str, dict[str, str]] = {}
    if wanted["technician"]:
        rows = Person.objects.filter(pk__in=wanted["technician"]).values_list("pk", "initials")
        found["technician"] = {str(pk): initials for pk, initials in rows}
    if wanted["bay"]:
        bays = Bay.objects.filter(pk__in=wanted["bay"]).values_list("pk", "name")
        found["bay"] = {str(pk): name for pk, name in bays}
    return found


def _told(change: Mapping[str, Any], names: Mapping[str, Mapping[str, str]]) -> Told:
    field, what = _field(change["field"])
    codes = names.get(field) or CODES.get(field, {})
    old, new = (_value(change.get(side), codes) for side in ("old", "new"))
    return Told(what, old, new)


def _field(name: str) -> tuple[str, str]:
    """Give the field whose codes count, and its words: `job 3` is an outcome, `drain: text` a field of that step."""
    if re.fullmatch(r"job \d+", name):
        return "outcome", _("job %s") % name[4:]
    if name.startswith("consent "):
        channel = CODES["channel"].get(name[8:], name[8:])
        return "consent", _("may be written to by %s") % channel
    step, colon, field = name.rpartition(": ")
    words = str(FIELDS.get(field, field.replace("_", " ")))
    return field, f"{step}{colon}{words}"


def _value(value: Any, codes: Mapping[str, Words]) -> str:
    """Say a stored value: nothing for None, lists one after the other, codes and days in words."""
    text = "" if value is None else str(value)
    if text in ("", "None", "[]", "{}"):
        return ""
    if text[0] in "[{":
        return _several(text, codes)
    if text in codes:
        return str(codes[text])
    number, colon, code = text.partition(": ")
    if colon and code in YES_NO and number.isdecimal():
        return f"{number}: {YES_NO[code]}"
    if text in YES_NO:
        return str(YES_NO[text])
    return _day(text)


def _several(text: str, codes: Mapping[str, Words]) -> str:
    try:
        value = ast.literal_eval(text)
    except (ValueError, SyntaxError):
        return text
    if isinstance(value, dict):
        return ", ".join(f"{key} {one}" for key, one in sorted(value.items()))
    return ", ".join(str(codes.get(str(one), one)) for one in value)


def _day(text: str) -> str:
    """Write a day or a moment as the pages write it; any other text stays."""
    if not (A_MOMENT.match(text) or A_DAY.fullmatch(text)):
        return text
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return text
    if A_DAY.fullmatch(text):
        return formats.date_format(moment.date(), "j M Y")
    if timezone.is_aware(moment):
        moment = timezone.localtime(moment)
    return formats.date_format(moment, "j M Y H:i")
