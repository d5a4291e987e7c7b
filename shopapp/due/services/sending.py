"""Sending dampers by a carrier: packed point by point, the gas in them accounted for, with a slip in the parcel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.bench import report_record
from shopapp.bench.queries.bodies import gas_words
from shopapp.bench.report_record import Record
from shopapp.dampers.services import tags
from shopapp.due import packing, slip_figures
from shopapp.due.models import Parcel
from shopapp.due.services.handing_over import NOTHING_SIGNED, SignedAtTheDoor, hand_over_jobs
from shopapp.orders.models import Job, WorkOrder
from shopapp.orders.services.changing import keep_remark
from shopapp.orders.services.locking import lock_order
from shopapp.papers import services as papers
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

LONGEST = {"carrier": 60, "consignment": 60, "rule": 200, "confirmed": 120}


def send_parcel(
    *,
    order: WorkOrder,
    jobs: Iterable[Job],
    carrier: str,
    consignment: str,
    packed: Sequence[str],
    gas: str,
    rule: str = "",
    confirmed: str,
    signed: SignedAtTheDoor = NOTHING_SIGNED,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Parcel:
    """Hand closed jobs of an order to a carrier, as `hand_over_jobs` does, and freeze the slip that goes with them.

    Every point of `packed` is looked at, and somebody answers by name (`confirmed`) for how the gas goes: charged by a
    `rule` of the carrier's, let out (`rule` says by whom and when), or none is in, and the bench's records bear it out.
    """
    with acts.doing("send_parcel", call=call, by=by, at=at, within=within) as act:
        lock_order(order)
        said = {"carrier": carrier, "consignment": consignment, "rule": rule, "confirmed": confirmed}
        said = {name: " ".join(text.split())[: LONGEST[name]] for name, text in said.items()}
        _refuse_unsaid(said, packed, gas)
        # Handed over first: what may not leave is refused there, and the rows are locked.
        to_whom = f"{said['carrier']} {said['consignment']}"
        handed = hand_over_jobs(
            order=order, jobs=jobs, to_whom=to_whom, signed=signed, by=by, at=at, call=call,
            within=act,
        )  # fmt: skip
        records = [report_record.read(job.pk) for job in handed]
        _refuse_gas(records, gas)
        number = order.parcels.count() + 1
        parcel = Parcel.objects.create(
            order=order, number=number, packed=list(packed), gas=gas, by=by, at=at, act_id=act.id, **said
        )
        Job.objects.filter(pk__in=[job.pk for job in handed]).update(parcel=parcel)
        paper = _freeze_slip(parcel, records, act)
        _keep_words(order, parcel, act)
        act.result |= {"number": order.number, "parcel": parcel.pk, "paper": str(paper)}
        return parcel


def _refuse_unsaid(said: Mapping[str, str], packed: Sequence[str], gas: str) -> None:
    """Refuse what was left open: carrier, number, a point of the packing, how the gas goes, who answers for it."""
    if not said["carrier"]:
        raise Refused(_("Say which carrier takes the parcel."), field="carrier")
    if not said["consignment"]:
        raise Refused(
            _("Write the carrier's consignment number: by it the parcel is found."), field="consignment"
        )
    left = packing.missing(list(packed))
    if left:
        words = _("Not looked at yet: %s. Look, then tick it.") % "; ".join(left)
        raise Refused(words, field="packed")
    if gas not in Parcel.Gas.values:
        raise Refused(_("Say how the gas goes: charged, let out, or none in it."), field="gas")
    if gas == Parcel.Gas.CHARGED and not said["rule"]:
        words = _("Say by which rule or number of the carrier's it goes charged: their rules decide.")
        raise Refused(words, field="rule")
    if gas == Parcel.Gas.LET_OUT and not said["rule"]:
        raise Refused(_("Say who let the gas out, and when."), field="rule")
    if not said["confirmed"]:
        raise Refused(_("Type the name of who answers for it."), field="confirmed")


def _refuse_gas(records: Sequence[Record], gas: str) -> None:
    """Refuse to call a damper not charged of which the bench does not say that there is no gas in it."""
    if gas != Parcel.Gas.NONE:
        return
    for record in records:
        words, heavy = gas_words(record.sheet)
        if heavy:
            said = {"tag": tags.show(record.job.damper.tag), "gas": words}
            raise Refused(
                _(
                    "%(tag)s: %(gas)s. It does not go as not charged: say by which rule it goes, or who let it out."
                )
                % said,
                field="gas",
            )


def _freeze_slip(parcel: Parcel, records: Sequence[Record], act: Doing) -> object:
    shop = this_shop()
    if shop is None:
        raise Refused(_("The shop's details are not entered yet. The owner enters them first."))
    order = WorkOrder.objects.select_related("customer", "vehicle").get(pk=parcel.order_id)
    language = order.customer.language or "en"
    found = slip_figures.figures(parcel, order, records, shop, language=language)
    paper = papers.issue_paper(
        kind=slip_figures.KIND, subject_kind="parcel", subject_id=parcel.pk, figures=found, act=act, at=act.at,
        language=language,
    )  # fmt: skip
    return paper.pk


def _keep_words(order: WorkOrder, parcel: Parcel, act: Doing) -> None:
    """Keep with the act, in words, who answered for how the gas goes."""
    said = {"who": parcel.confirmed, "gas": parcel.get_gas_display(), "rule": parcel.rule}
    words = (
        _("%(who)s answers for it: %(gas)s")
        if not parcel.rule
        else _("%(who)s answers for it: %(gas)s; %(rule)s")
    )
    keep_remark(order, act, words % said)
