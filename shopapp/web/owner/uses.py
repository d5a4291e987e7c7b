"""What the owner's things are in use for now: "in 14 open jobs". Asked for a page of rows at once.

Whatever is in use may be retired all the same: what has it keeps it, and nothing new is offered it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext_lazy

from shopapp.dampers.models import Damper
from shopapp.orders.models import Job, Shelf
from shopapp.specs.models import SpecKit, SpecTool
from shopapp.stock.models import KitLine
from shopapp.tools.models import Checkout, Tool

JOBS = ngettext_lazy("in %(n)d open job", "in %(n)d open jobs", "n")
SHEETS = ngettext_lazy("on %(n)d sheet", "on %(n)d sheets", "n")
DAMPERS = ngettext_lazy("%(n)d damper", "%(n)d dampers", "n")
KITS = ngettext_lazy("in %(n)d kit", "in %(n)d kits", "n")
TOOLS = ngettext_lazy("%(n)d tool", "%(n)d tools", "n")

Pks = Sequence[int]
Uses = dict[int, list[str]]


def uses_of(slug: str, pks: Pks) -> Mapping[int, str]:
    """Say of each row of a thing what it is in use for; a row that is in use for nothing is left out."""
    found: Uses = defaultdict(list)
    for source in SOURCES.get(slug, ()):
        for pk, words in source(pks):
            found[pk].append(words)
    return {pk: ", ".join(words) for pk, words in found.items()}


Source = Callable[[Pks], Iterable[tuple[int, str]]]


def _counted(rows: QuerySet[Any], field: str, words: Any) -> Source:
    """Count rows by what they name in `field`; `words` are lazy and have a plural by `n`."""

    def source(pks: Pks) -> Iterable[tuple[int, str]]:
        counts = rows.filter(**{f"{field}__in": pks}).order_by().values_list(field).annotate(n=Count("pk"))
        return [(pk, words % {"n": n}) for pk, n in counts]

    return source


def _open_jobs(field: str) -> Source:
    return _counted(Job.objects.filter(is_open=True), field, JOBS)


def _lies_on(pks: Pks) -> Iterable[tuple[int, str]]:
    """Count the open jobs of which a part lies on the shelves; they keep the code in words."""
    codes = dict(Shelf.objects.filter(pk__in=pks).values_list("code", "pk"))
    on = Q(shelf_body__in=codes) | Q(shelf_springs__in=codes) | Q(shelf_tray__in=codes)
    rows = Job.objects.filter(on, is_open=True).values_list("shelf_body", "shelf_springs", "shelf_tray")
    counts = Counter(codes[code] for places in rows for code in set(places) if code in codes)
    return [(pk, JOBS % {"n": n}) for pk, n in counts.items()]


def _out(pks: Pks) -> Iterable[tuple[int, str]]:
    rows = Checkout.objects.filter(tool__in=pks, in_at__isnull=True)
    return [(pk, _("out now")) for pk in rows.values_list("tool", flat=True)]


SOURCES: dict[str, Sequence[Source]] = {
    "people": [_open_jobs("technician")],
    "work-types": [_open_jobs("work_type")],
    "shelves": [_lies_on],
    "bays": [_open_jobs("bay")],
    "models": [
        _counted(Damper.objects.filter(retired_at__isnull=True), "model", DAMPERS),
        _open_jobs("damper__model"),
    ],
    "specs": [_open_jobs("spec")],
    "items": [
        _counted(KitLine.objects.filter(kit__retired_at__isnull=True), "item", KITS),
        _counted(SpecKit.objects.all(), "item", SHEETS),
    ],
    "kits": [_counted(SpecKit.objects.all(), "kit", SHEETS)],
    "tool-kinds": [
        _counted(Tool.objects.exclude(state="retired"), "kind", TOOLS),
        _counted(SpecTool.objects.all(), "kind", SHEETS),
    ],
    "tools": [_out],
}
