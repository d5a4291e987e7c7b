"""What needs the owner's eye today: one line each, counted, with the page where it is dealt with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.bench.queries.stopped import stopped_jobs
from shopapp.due import queries as due
from shopapp.money import queries as money
from shopapp.orders.models import WorkOrder
from shopapp.stock import queries as stock
from shopapp.tools import queries as tools


@dataclass(frozen=True, slots=True)
class Look:
    """One line: what it is about, how it stands in words, whether that is trouble."""

    name: str
    url: str
    words: str
    trouble: bool


def to_look_at(at: datetime) -> list[Look]:
    """Count what could go wrong, what could hurt somebody first; the queries do not grow with the shop."""
    today = timezone.localdate(at)
    return [_stopped(), _late(at), _kits(today), _items(), _due(today), _unpaid(today), _tools(today)]


def _look(name: str, url: str, count: int, words: str, none: str) -> Look:
    return Look(name, url, words if count else none, bool(count))


def _stopped() -> Look:
    count = stopped_jobs().count()
    words = ngettext("%(n)d, DO NOT OPEN", "%(n)d, DO NOT OPEN", count) % {"n": count}
    return _look(_("Dampers stopped unsafe"), reverse("owner-stopped"), count, words, _("none"))


def _late(at: datetime) -> Look:
    count = WorkOrder.objects.filter(jobs__is_open=True, promised__lt=at).distinct().count()
    words = ngettext("%(n)d order past its promise", "%(n)d orders past their promise", count) % {"n": count}
    return _look(_("Promises"), reverse("desk"), count, words, _("all kept so far"))


def _kits(today: date) -> Look:
    rows = stock.kit_rows(today)
    empty = [row.kit.code for row in rows if not row.makes]
    words = ngettext("%(n)d cannot be made up: %(kits)s", "%(n)d cannot be made up: %(kits)s", len(empty))
    said = words % {"n": len(empty), "kits": ", ".join(empty[:4]) + (" …" if len(empty) > 4 else "")}
    return _look(_("Kits"), reverse("stock"), len(empty), said, _("each can be made up"))


def _items() -> Look:
    count = stock.items(shown=stock.Shown.LOW).count()
    words = ngettext("%(n)d item under its minimum", "%(n)d items under their minimum", count) % {"n": count}
    return _look(_("Stock"), reverse("stock") + "?show=low", count, words, _("nothing under its minimum"))


def _due(today: date) -> Look:
    rows = due.due_dampers(until=today)
    owned = rows.filter(damper__ownerships__current=True)
    kept = Coalesce("damper__ownerships__customer__merged_into", "damper__ownerships__customer")
    owners, dampers = owned.values(kept=kept).distinct().count(), rows.count()
    whose = ngettext("%(n)d customer", "%(n)d customers", owners) % {"n": owners}
    which = ngettext("%(n)d damper", "%(n)d dampers", dampers) % {"n": dampers}
    said = _("%(customers)s overdue, with %(dampers)s") % {"customers": whose, "dampers": which}
    return _look(_("Customers overdue for service"), reverse("due") + "?ahead=0", dampers, said, _("none"))


def _unpaid(today: date) -> Look:
    count = money.invoices(unpaid=True).filter(due_on__lt=today).count()
    words = ngettext("%(n)d past its day", "%(n)d past their day", count) % {"n": count}
    return _look(
        _("Invoices unpaid"), reverse("invoices") + "?unpaid=on", count, words, _("none past its day")
    )


def _tools(today: date) -> Look:
    held = tools.tools().filter(kind__checked=True, state="good")
    count = held.filter(Q(checked_until__lt=today) | Q(checked_until__isnull=True)).count()
    words = ngettext("%(n)d past its date", "%(n)d past their date", count) % {"n": count}
    return _look(_("Tools to check"), reverse("tools"), count, words, _("none past its date"))
