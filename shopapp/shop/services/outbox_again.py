"""Let a row of the outbox that failed, or whose end is unknown, be tried again: a person decides, never the sweeper."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.shop.models import Outbox
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def plan_again(*, row: int, by: Person, at: datetime, call: Call, within: Doing | None = None) -> None:
    """Plan a failed or unknown row again; the conditional UPDATE lets only one of two people do it."""
    with acts.doing("plan_again", call=call, by=by, at=at, within=within) as act:
        hit = Outbox.objects.filter(pk=row, state__in=[Outbox.State.FAILED, Outbox.State.UNKNOWN]).update(
            state=Outbox.State.PLANNED, due=at, attempt=0, problem=""
        )
        if not hit:
            raise Refused(_("This row is not one that failed. Load the page again."))
        if within is None:
            act.about("outbox", row)
            act.result = {"outbox": row}
