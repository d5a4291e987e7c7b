"""What pages read of the shop itself: its row, the history of a row, what waits in the outbox."""

from __future__ import annotations

from django.db.models import Case, QuerySet, When

from shopapp.shop.models import Act, Outbox, Shop


def this_shop() -> Shop | None:
    """Give the shop's one row, or None before it is set up."""
    return Shop.objects.filter(pk=1).first()


def history(kind: str, *pks: object) -> QuerySet[Act]:
    """List what was done to a row, or to several that are one, newest first."""
    rows = Act.objects.filter(subject_kind=kind, subject_id__in=[str(pk) for pk in pks])
    return rows.select_related("by").order_by("-at", "-id")


def outbox_trouble() -> QuerySet[Outbox]:
    """List outbox rows that a person must look at: failed, or unknown whether sent."""
    return Outbox.objects.filter(state__in=[Outbox.State.FAILED, Outbox.State.UNKNOWN]).order_by("-due")


def outbox_rows() -> QuerySet[Outbox]:
    """List the outbox: what needs a person first, then what waits, then what is done, newest first."""
    rank = Case(When(state__in=["failed", "unknown"], then=0), When(state="sent", then=2), default=1)
    return Outbox.objects.annotate(rank=rank).order_by("rank", "-due", "-pk")
