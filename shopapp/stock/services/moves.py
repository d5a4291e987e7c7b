"""Stock moves: lots received, parts issued to a job and given back, lots counted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db.models import Max, Sum
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.stock.models import Item, Lot, StockMove
from shopapp.stock.quantities import MOST, show_quantity
from shopapp.stock.queries import IssueLine
from shopapp.stock.services import levels

if TYPE_CHECKING:
    from shopapp.orders.models import Job
    from shopapp.people.models import Person


def write_move(
    act: Doing, *, lot: Lot, quantity: int, kind: str, job: Job | None, position: str, reason: str
) -> StockMove:
    """Write the move into the ledger; its line goes on where the act's last move ended."""
    last = StockMove.objects.filter(act_id=act.id).aggregate(last=Max("line"))["last"] or 0
    return StockMove.objects.create(
        item=lot.item, lot=lot, quantity=quantity, kind=kind, job=job, position=position, reason=reason[:200],
        by=act.by, at=act.at, act_id=act.id, line=last + 1,
    )  # fmt: skip


def _some(quantity: int) -> int:
    if isinstance(quantity, bool) or not isinstance(quantity, int) or not 1 <= quantity <= MOST:
        raise Refused(
            _("Say how much: a whole number of the smallest unit, more than nothing."), field="quantity"
        )
    return quantity


def receive_lot(
    *,
    item: Item,
    batch: str,
    quantity: int,
    received: date,
    cured: date | None = None,
    expires: date | None = None,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Lot:
    """Receive a lot; more of a batch that is there already is added to it where its dates are the same."""
    with acts.doing("receive_lot", call=call, by=by, at=at, within=within) as act:
        batch = batch.strip()
        _check_received(item, batch, _some(quantity), received=received, cured=cured, expires=expires, at=at)
        lot, new = levels.lot_of(item, batch)
        if new:
            lot.received, lot.cured, lot.expires = received, cured, expires
            lot = levels.insert_lot(lot)
        if (lot.cured, lot.expires) != (cured, expires):
            raise Refused(
                _(
                    "Batch %(batch)s is here already with other dates. Compare the labels; one batch has one date."
                )
                % {"batch": batch},
                field="batch",
            )
        levels.put(lot, quantity)
        write_move(act, lot=lot, quantity=quantity, kind="receive", job=None, position="", reason="")
        if within is None:
            act.about("item", item.pk)
            act.result = {"lot": lot.pk, "item": item.pk}
        lot.refresh_from_db()
    return lot


def _check_received(
    item: Item,
    batch: str,
    quantity: int,
    *,
    received: date,
    cured: date | None,
    expires: date | None,
    at: datetime,
) -> None:
    if item.retired_at is not None:
        raise Refused(_("%(item)s is no longer kept. Receive another item.") % {"item": item}, field="item")
    if not batch:
        raise Refused(
            _("Give the batch as it stands on the label, or the date where it has none."), field="batch"
        )
    if received > timezone.localdate(at):
        raise Refused(_("It cannot be received on a day to come."), field="received")
    if cured is not None and cured > received:
        raise Refused(_("It cannot have been cured after it was received."), field="cured")
    if expires is not None and expires < received:
        raise Refused(
            _("It was past its date when it came. Send it back, or check the date."), field="expires"
        )


def issue(
    *,
    lines: Sequence[IssueLine],
    job: Job,
    reason: str = "",
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> list[StockMove]:
    """Issue parts to a job, all of them or none; give the moves in the order of the lines.

    Refused where a lot is short, past its date or blocked. Lots are taken in one order whatever the order of the
    lines, so that two people issuing the same parts cannot block each other.
    """
    with acts.doing("issue", call=call, by=by, at=at, within=within) as act:
        if not lines:
            raise Refused(_("There is nothing to issue. Name at least one part with its lot."))
        on = timezone.localdate(at)
        for line in sorted(lines, key=lambda line: (line.item.pk, line.lot.pk)):
            _check_line(line, on)
            levels.take(line.lot, line.quantity)
            # Asked after the level's row is ours: whoever blocks a lot takes that row first.
            if levels.is_blocked(line.lot):
                raise Refused(_("Lot %(lot)s is blocked. Take another lot.") % {"lot": line.lot.batch})
        moves = [
            write_move(act, lot=line.lot, quantity=-line.quantity, kind="issue", job=job, position=line.position,
                   reason=reason)
            for line in lines
        ]  # fmt: skip
        if within is None:
            act.about("job", job.pk)
            act.result = {"moves": [move.pk for move in moves]}
    return moves


def _check_line(line: IssueLine, on: date) -> None:
    _some(line.quantity)
    if line.lot.item_id != line.item.pk:
        raise Refused(
            _("Lot %(lot)s is not a lot of %(item)s.") % {"lot": line.lot.batch, "item": line.item.name},
            field="lot",
        )
    if line.lot.expires is not None and line.lot.expires < on:
        raise Refused(
            _("Lot %(lot)s of %(item)s is past its date, %(date)s. Take another lot.")
            % {"lot": line.lot.batch, "item": line.item.name, "date": line.lot.expires.isoformat()}
        )


def give_back(
    *,
    moves: Sequence[StockMove],
    job: Job,
    reason: str = "",
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> list[StockMove]:
    """Put back what these moves issued to the job; never more than went out of each lot to that position."""
    with acts.doing("give_back", call=call, by=by, at=at, within=within) as act:
        if not moves:
            raise Refused(_("There is nothing to give back."))
        back: dict[int, StockMove] = {}
        for move in sorted(moves, key=lambda move: (move.item_id, move.lot_id)):
            if move.kind != StockMove.Kind.ISSUE or move.job_id != job.pk:
                raise Refused(_("Only what was issued to this job can come back from it."))
            levels.hold(move.lot)
            _refuse_more_back(move, job)
            levels.put(move.lot, -move.quantity)
            back[move.pk] = write_move(
                act, lot=move.lot, quantity=-move.quantity, kind="return", job=job, position=move.position,
                reason=reason,
            )  # fmt: skip
        returned = [back[move.pk] for move in moves]
        if within is None:
            act.about("job", job.pk)
            act.result = {"moves": [move.pk for move in returned]}
    return returned


def _refuse_more_back(move: StockMove, job: Job) -> None:
    if still_out(job, move.lot, move.position) < -move.quantity:
        raise Refused(_("This part has come back already."))


def still_out(job: Job, lot: Lot, position: str) -> int:
    """Give how much of a lot is out for a job at a position, in the item's smallest unit: issued, not given back."""
    moves = StockMove.objects.filter(job=job, lot=lot, position=position, kind__in=["issue", "return"])
    return -(moves.aggregate(net=Sum("quantity"))["net"] or 0)


def count_lot(
    *,
    lot: Lot,
    counted: int,
    reason: str,
    booked: int | None = None,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> StockMove | None:
    """Set a lot to what was counted on the shelf; None where it agrees with the books.

    `booked` is what the books said when the count began: where something was moved since, it is counted again.
    """
    with acts.doing("count_lot", call=call, by=by, at=at, within=within) as act:
        if isinstance(counted, bool) or not 0 <= counted <= MOST:
            raise Refused(_("A count is zero or more."), field="counted")
        if not reason.strip():
            raise Refused(_("Say how it was counted, or why it differs."), field="reason")
        seen = levels.hold(lot)
        if booked is not None and booked != seen:
            raise Refused(_("Some of it was moved while it was counted. Count it again."), field="counted")
        move = None
        if counted != seen:
            levels.correct(lot, seen, counted)
            move = write_move(
                act,
                lot=lot,
                quantity=counted - seen,
                kind="count",
                job=None,
                position="",
                reason=reason.strip(),
            )
        if within is None:
            act.about("item", lot.item_id)
            act.result = {"lot": lot.pk, "move": move.pk if move else None}
            act.change("on hand", show_quantity(lot.item, seen), show_quantity(lot.item, counted))
    return move
