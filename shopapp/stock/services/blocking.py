"""A lot blocked, so that nothing of it is issued any more; and free again, on the owner's word."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.shop.models import Act
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.stock.models import Lot, LotBlock, StockLevel
from shopapp.stock.services import levels

if TYPE_CHECKING:
    from shopapp.people.models import Person


def block_lot(
    *, lot: Lot, why: str, by: Person | None, at: datetime, call: Call, within: Doing | None = None
) -> Lot:
    """Block a lot: nothing of it is issued any more. Refused where some of it is held for a job."""
    with acts.doing("block_lot", call=call, by=by, at=at, within=within) as act:
        if not why.strip():
            raise Refused(_("Say why the lot is blocked."), field="why")
        there = levels.hold(lot)
        if not Lot.objects.filter(pk=lot.pk, blocked_at__isnull=True).update(
            blocked_at=at, blocked_why=why.strip()[:200]
        ):
            raise Refused(_("Lot %(lot)s is blocked already.") % {"lot": lot.batch})
        free = StockLevel.objects.filter(item=lot.item, on_hand__gte=F("reserved") + F("blocked") + there)
        if not free.update(blocked=F("blocked") + there):
            raise Refused(_("Some of it is held for jobs. Let those go first, then block it."))
        _keep(act, lot, True, why)
        lot.refresh_from_db()
        if within is None:
            act.about("item", lot.item_id)
            act.result = {"lot": lot.pk}
    return lot


def unblock_lot(
    *, lot: Lot, why: str, by: Person | None, at: datetime, call: Call, within: Doing | None = None
) -> Lot:
    """Let a blocked lot be issued again, saying why; the act takes the blocking one back. Who may is in the rights."""
    with acts.doing("unblock_lot", call=call, by=by, at=at, within=within) as act:
        if not why.strip():
            raise Refused(_("Say why the lot is good after all."), field="why")
        there = levels.hold(lot)
        if not Lot.objects.filter(pk=lot.pk, blocked_at__isnull=False).update(
            blocked_at=None, blocked_why=""
        ):
            raise Refused(_("Lot %(lot)s is not blocked.") % {"lot": lot.batch})
        StockLevel.objects.filter(item=lot.item).update(blocked=F("blocked") - there)
        act.takes_back = _blocking_act(lot)
        _keep(act, lot, False, why)
        lot.refresh_from_db()
        if within is None:
            act.about("item", lot.item_id)
            act.result = {"lot": lot.pk}
    return lot


def _blocking_act(lot: Lot) -> Act | None:
    """Give the act that blocked the lot, where it did nothing else: a wider one is not taken back for one lot."""
    last = lot.blocks.filter(blocked=True).select_related("act").order_by("-pk").first()
    return last.act if last is not None and last.act.verb == "block_lot" else None


def _keep(act: Doing, lot: Lot, blocked: bool, why: str) -> None:
    LotBlock.objects.create(
        lot=lot, blocked=blocked, words=why.strip()[:200], by=act.by, at=act.at, act_id=act.id
    )
