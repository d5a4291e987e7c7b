"""The outbox: what is to be done after a commit. A sweeper finds what is due; Celery only wakes it.

Kinds are registered by the subjects (`shop/outbox_kinds.py`). A kind that can be repeated without harm (a paper) goes
back to planned when its worker dies; one that cannot (a mail) becomes *unknown*, is shown, and is never sent again by
itself.
"""

from __future__ import annotations

import logging
import uuid
from datetime import datetime, timedelta
from typing import Any

from django.db import DatabaseError, transaction
from django.db.models import F, Q
from django.utils.translation import gettext as _

from shopapp.shop import outbox_kinds
from shopapp.shop.models import Outbox

LEASE = timedelta(minutes=5)
RETRY_AFTER = (timedelta(seconds=10), timedelta(minutes=2), timedelta(minutes=20), timedelta(hours=2))
logger = logging.getLogger(__name__)


def plan(*, kind: str, key: str, ids: dict[str, Any], at: datetime, due: datetime | None = None) -> Outbox:
    """Write a row with the business change, inside its transaction; the unique key makes a second one harmless."""
    if kind not in outbox_kinds.REGISTRY:
        raise ValueError(f"no outbox kind {kind!r} is registered")
    row, _made = Outbox.objects.get_or_create(
        key=key, defaults={"kind": kind, "ids": ids, "due": due or at, "made_at": at}
    )
    transaction.on_commit(_wake, robust=True)
    return row


def _wake() -> None:
    """Tell Celery that something is due, where a broker is set; a broker that is down changes nothing."""
    from shopapp.shop.wake import wake

    wake("shop.sweep_outbox")


def due_rows(*, at: datetime, limit: int = 50) -> list[int]:
    """List what is due: planned rows whose time has come, oldest first."""
    return list(
        Outbox.objects.filter(state=Outbox.State.PLANNED, due__lte=at)
        .order_by("due", "pk")
        .values_list("pk", flat=True)[:limit]
    )


def free_lost(*, at: datetime) -> int:
    """Take back rows whose worker was lost: repeatable kinds are planned again, the others become *unknown*."""
    lost = Outbox.objects.filter(state=Outbox.State.CLAIMED, lease__lt=at)
    again = [kind for kind, entry in outbox_kinds.REGISTRY.items() if entry.repeatable]
    freed = lost.filter(kind__in=again).update(state=Outbox.State.PLANNED, lease=None, lease_token="", due=at)
    freed += lost.exclude(kind__in=again).update(
        state=Outbox.State.UNKNOWN, lease=None, lease_token="", problem=_("the worker was lost while sending")
    )
    return freed


def claim(pk: int, *, at: datetime) -> str:
    """Claim one row for LEASE; give its token, or "" where another worker has it."""
    token = uuid.uuid4().hex
    hit = Outbox.objects.filter(pk=pk, state=Outbox.State.PLANNED).update(
        state=Outbox.State.CLAIMED, lease=at + LEASE, lease_token=token, attempt=F("attempt") + 1
    )
    return token if hit else ""


def deliver(pk: int, *, at: datetime) -> str:
    """Do one due row: claim it, call its kind, note how it ended; give the state it ended in ("" if not ours).

    The work itself runs outside any transaction; each database write of its own is short.
    """
    token = claim(pk, at=at)
    if not token:
        return ""
    row = Outbox.objects.get(pk=pk)
    try:
        message_id = outbox_kinds.REGISTRY[row.kind].deliver(row.ids, at) or ""
    except DatabaseError:
        raise
    except Exception as problem:
        logger.exception("outbox row %s (%s) failed", row.pk, row.kind)
        return _failed(row, token, problem, at=at)
    mine = Q(pk=pk, state=Outbox.State.CLAIMED, lease_token=token)
    Outbox.objects.filter(mine).update(
        state=Outbox.State.SENT, lease=None, lease_token="", done_at=at, message_id=message_id, problem=""
    )
    return Outbox.State.SENT


def _failed(row: Outbox, token: str, problem: Exception, *, at: datetime) -> str:
    kind = outbox_kinds.REGISTRY[row.kind]
    state = Outbox.State.FAILED
    due = row.due
    if row.attempt <= len(RETRY_AFTER) and (kind.repeatable or isinstance(problem, outbox_kinds.NotSent)):
        state, due = Outbox.State.PLANNED, at + RETRY_AFTER[row.attempt - 1]
    elif not kind.repeatable and not isinstance(problem, outbox_kinds.NotSent):
        state = Outbox.State.UNKNOWN
    words = f"{type(problem).__name__}: {problem}"[:300]
    Outbox.objects.filter(pk=row.pk, state=Outbox.State.CLAIMED, lease_token=token).update(
        state=state, due=due, lease=None, lease_token="", problem=words
    )
    return state


def sweep(*, at: datetime, limit: int = 50) -> dict[str, int]:
    """Do what is due, one row a transaction; give how many rows ended in which state."""
    free_lost(at=at)
    ended: dict[str, int] = {}
    for pk in due_rows(at=at, limit=limit):
        state = deliver(pk, at=at)
        if state:
            ended[state] = ended.get(state, 0) + 1
    return ended
