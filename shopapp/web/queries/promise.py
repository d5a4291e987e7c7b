"""Whether a promised day is likely: the bays' load until then, and the kits that the dampers want.

What comes out is a sentence for whoever promises. It is stored nowhere and refuses nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.db.models import Exists, OuterRef, Prefetch
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders.models import Job, WorkType
from shopapp.orders.queries import bays
from shopapp.shop.models import Shop
from shopapp.specs.models import ServiceSpec, SpecKit
from shopapp.specs.queries import spec_for, spec_of_model
from shopapp.stock.models import Kit, KitLine, StockMove
from shopapp.stock.queries import free_by_item
from shopapp.web.queries.the_day import GOING, span, work_left

OPENS, CLOSES = time(9), time(17)
WORKDAYS = range(5)
LOOK_AHEAD = 120
"""So many days on a likely day is looked for."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One damper that is to be received: its work, and what it is as far as that is known."""

    work_type: WorkType
    damper: Damper | None = None
    model: DamperModel | None = None


def unlikely(wanted: Sequence[Wanted], *, promised: datetime, now: datetime, shop: Shop | None) -> list[str]:
    """Say, in sentences with what to do, why a promise is unlikely; nothing where nothing speaks against it."""
    found = _load(wanted, promised, now, shop)
    return [*([found] if found else []), *_missing_kits(wanted, promised)]


def hours_until(until: datetime, *, now: datetime, closed: frozenset[str] = frozenset()) -> timedelta:
    """Give the hours that one bay works until a moment: 9 to 17 on weekdays, closed days left out."""
    total, day = timedelta(), timezone.localdate(now)
    while day <= timezone.localdate(until):
        if day.weekday() in WORKDAYS and day.isoformat() not in closed:
            opens, closes = (timezone.make_aware(datetime.combine(day, at)) for at in (OPENS, CLOSES))
            total += max(min(closes, until) - max(opens, now), timedelta())
        day += timedelta(days=1)
    return total


def _closed(shop: Shop | None) -> frozenset[str]:
    """Give the shop's closed days as ISO dates."""
    rows = shop.closures if shop and isinstance(shop.closures, list) else []
    return frozenset(row for row in rows if isinstance(row, str))


def _load(wanted: Sequence[Wanted], promised: datetime, now: datetime, shop: Shop | None) -> str:
    count = max(bays().count(), 1)
    open_jobs = Job.objects.filter(is_open=True, state__in=GOING, order__promised__isnull=False)
    lefts = [(job.order.promised, work_left(job)) for job in open_jobs.select_related("order", "work_type")]
    new = sum((timedelta(minutes=row.work_type.minutes) for row in wanted), timedelta())
    closed = _closed(shop)

    def before(moment: datetime) -> timedelta:
        return sum((left for at, left in lefts if at is not None and at <= moment), timedelta())

    def room(moment: datetime) -> timedelta:
        return hours_until(moment, now=now, closed=closed) * count

    if not new or before(promised) + new <= room(promised):
        return ""
    said = {
        "day": formats.date_format(timezone.localtime(promised), "D j M, H:i"), "room": span(room(promised)),
        "open": span(before(promised)), "new": span(new),
        "bays": ngettext("%d bay works", "%d bays work", count) % count,
    }  # fmt: skip
    words = _(
        "This promise is unlikely: until %(day)s %(bays)s %(room)s in all (9 to 17 on weekdays). Open jobs promised by "
        "then want %(open)s, these dampers %(new)s."
    )
    likely = next((day for day in _days_after(promised) if before(day) + new <= room(day)), None)
    if likely is None:
        return f"{words % said} {_('Give no day, or take work off the bays first.')}"
    advice = _("Promise %s, or say that it may be later.") % formats.date_format(likely, "D j M")
    return f"{words % said} {advice}"


def _days_after(promised: datetime) -> list[datetime]:
    first = timezone.localdate(promised)
    days = (first + timedelta(days=ahead) for ahead in range(1, LOOK_AHEAD))
    return [timezone.make_aware(datetime.combine(day, CLOSES)) for day in days if day.weekday() in WORKDAYS]


def _missing_kits(wanted: Sequence[Wanted], promised: datetime) -> list[str]:
    """Name the kits that the free stock does not make, after what open jobs want before."""
    asked: Counter[int] = Counter()
    specs = [_spec(row) for row in wanted if row.work_type.kit_rule == "spec"]
    for row in _kits_of([spec.pk for spec in specs if spec is not None]):
        asked[_kit(row)] += sum(1 for spec in specs if spec is not None and spec.pk == row.spec_id)
    if not asked:
        return []
    before = _wanted_before()
    kits = _with_lines({*asked, *before})
    free = free_by_item(timezone.localdate(promised))
    for pk, count in before.items():
        _take(kits[pk], count, free)
    found = []
    for pk, count in sorted(asked.items(), key=lambda row: kits[row[0]].code):
        made = min(_makes(kits[pk], free), count)
        _take(kits[pk], count, free)
        if made < count:
            found.append(_kit_words(kits[pk], count, made, promised))
    return found


def _kit_words(kit: Kit, count: int, made: int, promised: datetime) -> str:
    said = {"kit": f"{kit.code} {kit.name}", "made": made, "wanted": count, "missing": count - made}
    words = _(
        "This promise is unlikely: of kit %(kit)s %(wanted)s are wanted here, and after the open jobs before %(made)s "
        "can be made from good stock. Order %(missing)s, and promise a day after they come."
    )
    return words % said


def _spec(row: Wanted) -> ServiceSpec | None:
    if row.damper is not None:
        return spec_for(row.damper)
    return spec_of_model(row.model.pk) if row.model is not None else None


def _kits_of(specs: Sequence[int]) -> list[SpecKit]:
    return list(SpecKit.objects.filter(spec__in=specs, kit__isnull=False))


def _kit(row: SpecKit) -> int:
    """Give the kit of a row that has one, by key."""
    return int(row.kit_id or 0)


def _wanted_before() -> Counter[int]:
    """Count the kits that open jobs still want: those to which nothing was issued yet."""
    issued = StockMove.objects.filter(job=OuterRef("pk"), kind=StockMove.Kind.ISSUE)
    waiting = Job.objects.filter(
        ~Exists(issued), is_open=True, state__in=GOING, work_type__kit_rule="spec", spec__isnull=False
    )
    of_spec = Counter(waiting.values_list("spec", flat=True))
    found: Counter[int] = Counter()
    for row in _kits_of(list(of_spec)):
        found[_kit(row)] += of_spec[row.spec_id]
    return found


def _with_lines(pks: set[int]) -> dict[int, Kit]:
    lines = Prefetch("lines", queryset=KitLine.objects.order_by("pk"), to_attr="parts")
    return {kit.pk: kit for kit in Kit.objects.filter(pk__in=pks).prefetch_related(lines)}


def _per_item(kit: Kit) -> Counter[int]:
    found: Counter[int] = Counter()
    for line in kit.parts:  # type: ignore[attr-defined]
        found[line.item_id] += line.quantity
    return found


def _makes(kit: Kit, free: dict[int, int]) -> int:
    """Say how many of a kit the free stock makes; one without parts entered is not judged."""
    return min(
        (max(free.get(item, 0), 0) // quantity for item, quantity in _per_item(kit).items()), default=10**6
    )


def _take(kit: Kit, count: int, free: dict[int, int]) -> None:
    for item, quantity in _per_item(kit).items():
        free[item] = free.get(item, 0) - quantity * count
