"""What pages read of the shop itself: its row, the history of a row, what waits in the outbox."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import connection
from django.db.models import Case, QuerySet, When
from django.utils import timezone

from shopapp.shop.models import Act, Outbox, Shop

MOST_ACTS = 1000
"""So many acts a list goes back from its newest; what is older is reached by a day."""


def this_shop() -> Shop | None:
    """Give the shop's one row, or None before it is set up."""
    return Shop.objects.filter(pk=1).first()


def history(kind: str, *pks: object) -> QuerySet[Act]:
    """List what was done to a row, or to several that are one, newest first."""
    rows = Act.objects.filter(subject_kind=kind, subject_id__in=[str(pk) for pk in pks])
    return rows.select_related("by").order_by("-at", "-id")


def acts(*, verb: str = "", until: date | None = None) -> QuerySet[Act]:
    """List what was done, newest first, MOST_ACTS at most; one verb, and up to a day of the shop's, where asked."""
    rows = Act.objects.select_related("by").order_by("-at", "-id")
    if verb:
        rows = rows.filter(verb=verb)
    if until is not None and until < date.max:
        rows = rows.filter(at__lt=_begin_of(until + timedelta(days=1)))
    return rows[:MOST_ACTS]


def _begin_of(day: date) -> datetime:
    """Give when a day of the shop's begins."""
    return timezone.make_aware(datetime(day.year, day.month, day.day))


def verbs() -> list[str]:
    """List the verbs of all acts: from one to the next in their index, whatever the number of acts."""
    table = connection.ops.quote_name(Act._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(
            f"WITH RECURSIVE found (verb) AS (SELECT MIN(verb) FROM {table} UNION ALL "
            f"SELECT (SELECT MIN(verb) FROM {table} WHERE verb > found.verb) FROM found "
            "WHERE found.verb IS NOT NULL) SELECT verb FROM found WHERE verb IS NOT NULL"
        )
        return [verb for (verb,) in cursor.fetchall()]


def outbox_trouble() -> QuerySet[Outbox]:
    """List outbox rows that a person must look at: failed, or unknown whether sent."""
    return Outbox.objects.filter(state__in=[Outbox.State.FAILED, Outbox.State.UNKNOWN]).order_by("-due")


def outbox_rows() -> QuerySet[Outbox]:
    """List the outbox: what needs a person first, then what waits, then what is done, newest first."""
    rank = Case(When(state__in=["failed", "unknown"], then=0), When(state="sent", then=2), default=1)
    return Outbox.objects.annotate(rank=rank).order_by("rank", "-due", "-pk")
