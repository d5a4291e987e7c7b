"""What the packing slip of a parcel holds: what is in it, for whom, how it was packed, how the gas in it goes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from shopapp.bench import tag
from shopapp.bench.queries.bodies import gas_words
from shopapp.bench.queries.sheet import place_words
from shopapp.bench.report_record import Record
from shopapp.customers.models import Contact
from shopapp.dampers.services import tags
from shopapp.due import packing
from shopapp.due.models import Parcel
from shopapp.money.receipt_figures import shop_moment
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import kinds
from shopapp.shop.models import Shop
from shopapp.specs.cautions import words as caution

KIND = "packing slip"
TEMPLATE = "papers/packing_slip.html"
CAUTIONS = ("shipping", "gas", "limits")


def figures(
    parcel: Parcel, order: WorkOrder, records: Sequence[Record], shop: Shop, *, language: str
) -> dict[str, Any]:
    """Give the paper's figures, in the customer's language."""
    with translation.override(language):
        sent = shop_moment(parcel.at, shop)
        carrier = f"{parcel.carrier}, {parcel.consignment}"
        return {
            "title": _("Packing slip"),
            "lead": _lead(parcel, records, order.customer.name),
            "block": {
                "shop": shop.name,
                "address": ", ".join(shop.address.split("\n")),
                "contact": " · ".join(part for part in (shop.phone, shop.email) if part),
                "order": str(order.number),
                "parcel": str(parcel.number),
                "carrier": parcel.carrier,
                "consignment": parcel.consignment,
                "customer": order.customer.name,
                "vehicle": order.vehicle.description if order.vehicle else _("loose dampers"),
                "sent": sent,
                "by": parcel.by.name,
            },
            "to": {"name": order.customer.name, "address": _address(order)},
            "dampers": [_damper(record) for record in records],
            "packed": packing.words_of(parcel.packed),
            "gas": {"answer": str(parcel.get_gas_display()), "rule": parcel.rule, "by": parcel.confirmed},
            "cautions": [caution(code) for code in CAUTIONS],
            "particulars": [
                [_("Order"), str(order.number)],
                [_("Carrier"), carrier],
                [_("Dampers"), ", ".join(tags.show(record.job.damper.tag) for record in records)],
                [_("Gas"), f"{parcel.get_gas_display()}. {parcel.rule}".strip()],
                [_("Answered for by"), parcel.confirmed],
                [_("Sent"), f"{sent}, {parcel.by.name}"],
            ],
        }


def _lead(parcel: Parcel, records: Sequence[Record], name: str) -> str:
    said = {"n": len(records), "name": name, "carrier": parcel.carrier, "number": parcel.consignment}
    if len(records) == 1:
        return _("For %(name)s, with %(carrier)s, consignment %(number)s: one damper.") % said
    return _("For %(name)s, with %(carrier)s, consignment %(number)s: %(n)s dampers.") % said


def _address(order: WorkOrder) -> str:
    """Give the customer's address for post, or else the one that is billed to."""
    posts = order.customer.contacts.filter(kind=Contact.Kind.POST, stopped_at__isnull=True)
    row = posts.order_by("pk").first()
    return row.value if row is not None else order.customer.bill_to


def _damper(record: Record) -> dict[str, Any]:
    """Say of one damper what it is, how its job ended, and what is known of the gas in it."""
    job = record.job
    big, lead = tag.ending_words(record)
    return {
        "number": str(job.number),
        "place": place_words(str(job.get_place_display()) if job.place else "", job.place_number) or _("loose"),
        "damper": str(job.damper.model or job.damper.maker) or _("maker unknown"),
        "serial": job.damper.serial or _("no serial"),
        "tag": tags.show(job.damper.tag),
        "ending": big,
        "words": lead,
        "gas": gas_words(record.sheet)[0],
        "stop": job.outcome != Job.Outcome.DONE,
    }  # fmt: skip


def file_name(figures: dict[str, Any]) -> str:
    """Name the file: packing-slip-1187-1."""
    return kinds.plain_name("packing-slip", figures["block"]["order"], figures["block"]["parcel"])
