"""What was issued to a job and not used goes back into its lots: a part of it too, never more than went out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.stock.models import Lot, StockMove
from shopapp.stock.quantities import show_quantity
from shopapp.stock.services import levels
from shopapp.stock.services.moves import still_out, write_move

if TYPE_CHECKING:
    from shopapp.orders.models import Job
    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class Back:
    """How much of a lot goes back that was issued to one position; smallest units."""

    lot: Lot
    position: str
    quantity: int


def give_back_unused(
    *,
    backs: Sequence[Back],
    job: Job,
    reason: str = "",
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> list[StockMove]:
    """Put back into its lots what a job did not use, all of it or nothing; into a blocked lot it stays blocked.

    Lots are taken in the one order in which parts are issued, so that two people cannot block each other.
    """
    with acts.doing("give_back_unused", call=call, by=by, at=at, within=within) as act:
        if not backs or any(back.quantity < 1 for back in backs):
            raise Refused(_("There is nothing to give back."))
        found = []
        for back in sorted(backs, key=lambda back: (back.lot.item_id, back.lot.pk, back.position)):
            levels.hold(back.lot)
            _refuse_more_than_out(back, job)
            levels.put(back.lot, back.quantity)
            move = write_move(
                act,
                lot=back.lot,
                quantity=back.quantity,
                kind="return",
                job=job,
                position=back.position,
                reason=reason,
            )
            found.append(move)
        if within is None:
            act.about("job", job.pk)
            act.result = {"moves": [move.pk for move in found]}
    return found


def _refuse_more_than_out(back: Back, job: Job) -> None:
    """Asked after the lot's level is ours: whoever gives some of it back at the same time has written it by then."""
    out = still_out(job, back.lot, back.position)
    if back.quantity > out:
        words = _("Only %(out)s of %(item)s is still out for this job. Load the sheet again.")
        raise Refused(words % {"out": show_quantity(back.lot.item, out), "item": back.lot.item.name})
