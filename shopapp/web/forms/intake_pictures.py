"""Pictures of how dampers come: kept on the disk when a sheet is sent, named by a signed word until it is stored.

A refused sheet must not lose them, and a browser sends no file twice by itself. Files that no order names in the end
are swept (papers/orphans.py).
"""

from __future__ import annotations

import contextlib
from dataclasses import asdict
from typing import Any

from django import forms
from django.core import signing
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.bench.services.pictures import Developed, develop
from shopapp.papers import store
from shopapp.papers.pictures import SUFFIX
from shopapp.shop.services.acts import Refused

SALT = "shopapp.web.intake_pictures"
MOST = 6
"""So many pictures a damper: each of them may stand on the report."""
DAY = 24 * 3600
"""How long they are kept for a sheet that is not stored; the sweep takes files after two days."""


class PicturesInput(forms.FileInput):
    """An entry that takes several pictures at once."""

    allow_multiple_selected = True

    def __init__(self) -> None:
        super().__init__({"accept": "image/jpeg,image/png,image/webp", "multiple": True})


class PicturesField(forms.FileField):
    """The entry of a row's pictures; the view has read them before the form is made (`take`)."""

    widget = PicturesInput

    def __init__(self, *, label: str) -> None:
        super().__init__(label=label, required=False)

    def clean(self, data: Any, initial: Any = None) -> None:
        """Give nothing: what was sent lies in the row's signed word."""


def take(files: MultiValueDict[str, Any], sent: QueryDict, *, too_large: bool) -> dict[int, str]:
    """Put the pictures of each row on the disk and their names into its signed word; give what is wrong, by row.

    A row whose pictures are to be left out loses them.
    """
    problems: dict[int, str] = {}
    for number in _rows(files, sent):
        name = f"r{number}_kept"
        held = [] if sent.get(f"r{number}_drop") else _read(sent.get(name, ""))
        if held is None:
            problems[number], held = _("The pictures lay too long. Choose them again."), []
        for file in files.getlist(f"r{number}_pictures"):
            if len(held) >= MOST:
                problems[number] = _("At most %d pictures a damper. The others are left out.") % MOST
                break
            try:
                held.append(develop(file))
            except Refused as no:
                problems[number] = no.sentence
        sent[name] = signing.dumps([asdict(one) for one in held], salt=SALT, compress=True) if held else ""
        sent[f"r{number}_drop"] = ""
    if too_large:
        problems[0] = _("A picture is too large: at most 20 MB. Take it with the camera's smaller setting.")
    return problems


def _rows(files: MultiValueDict[str, Any], sent: QueryDict) -> list[int]:
    names = {*files, *(name for name in sent if sent.get(name))}
    return [n for n in range(1, 100) if {f"r{n}_pictures", f"r{n}_kept", f"r{n}_drop"} & names]


def _read(word: Any) -> list[Developed] | None:
    """Give the pictures of a signed word; None for one that is not ours, or is too old."""
    if not word:
        return []
    try:
        rows = signing.loads(str(word), salt=SALT, max_age=DAY)
        return [Developed(**row) for row in rows]
    except (signing.BadSignature, TypeError, ValueError):
        return None


def kept(word: Any) -> list[Developed] | None:
    """Give the pictures of a signed word whose files are there still, made young again; None where one is missing."""
    rows = _read(word)
    if rows is None:
        return None
    with contextlib.suppress(store.Missing, store.Damaged):
        for row in rows:
            store.put(store.get(row.place, row.sha256), suffix=SUFFIX)
        return rows
    return None


def words_of(word: Any) -> str:
    """Say how many pictures a row has, "" where it has none."""
    count = len(_read(word) or [])
    return ngettext("%d picture kept", "%d pictures kept", count) % count if count else ""
