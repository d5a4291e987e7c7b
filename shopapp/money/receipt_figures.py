"""What the receipt of an order's intake holds: what was taken in, how it came, what was agreed; worded once."""

from __future__ import annotations

import zoneinfo
from datetime import date, datetime
from typing import Any

from django.utils import formats, timezone, translation
from django.utils.translation import gettext as _

from shopapp.bench.queries.sheet import place_words
from shopapp.bench.report_record import with_unit
from shopapp.customers.models import MeterReading
from shopapp.dampers.services import tags
from shopapp.money.amounts import shown
from shopapp.money.queries import OrderMoney, order_money, shop_day
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import kinds
from shopapp.shop.models import Shop

KIND = "intake receipt"
TEMPLATE = "papers/intake_receipt.html"


def figures(order: WorkOrder, jobs: list[Job], shop: Shop, *, on: date, language: str) -> dict[str, Any]:
    """Give the paper's figures, in the customer's language; the same order gives the same ones on the same rates.

    `on` is the day whose tax rates count. Nothing tells when it was printed: the paper itself does.
    """
    with translation.override(language):
        money = order_money(order, on=on)
        received = shop_moment(order.received_at, shop)
        return {
            "title": _("Receipt of dampers"),
            "lead": _lead(order, jobs, received),
            "block": _block(order, jobs, shop, received),
            "dampers": [_damper(job) for job in jobs],
            "complaint": order.complaint,
            "agreed": _agreed(order, money, shop, language),
            "terms": _terms(order),
            "particulars": _particulars(order, jobs, money, shop, language),
        }


def shop_moment(at: datetime, shop: Shop) -> str:
    """Write a moment in the shop's zone: "25 Nov 2026, 14:32"."""
    return formats.date_format(timezone.localtime(at, zoneinfo.ZoneInfo(shop.zone)), "j M Y, H:i")


def _lead(order: WorkOrder, jobs: list[Job], received: str) -> str:
    said = {"n": len(jobs), "customer": order.customer.name, "at": received, "by": order.received_by.name}
    if len(jobs) == 1:
        return _("Taken in from %(customer)s on %(at)s by %(by)s: one damper.") % said
    return _("Taken in from %(customer)s on %(at)s by %(by)s: %(n)s dampers.") % said


def _block(order: WorkOrder, jobs: list[Job], shop: Shop, received: str) -> dict[str, str]:
    return {
        "shop": shop.name,
        "address": ", ".join(shop.address.split("\n")),
        "contact": " · ".join(part for part in (shop.phone, shop.email) if part),
        "order": str(order.number),
        "dampers": str(len(jobs)),
        "customer": order.customer.name,
        "vehicle": _vehicle(order),
        "meter": _meter(order, shop),
        "received": received,
        "by": order.received_by.name,
        "promised": shop_moment(order.promised, shop) if order.promised else "–",
    }


def _vehicle(order: WorkOrder) -> str:
    if order.vehicle is None:
        return _("loose dampers")
    return " · ".join(part for part in (order.vehicle.description, order.vehicle.plate) if part)


def _meter(order: WorkOrder, shop: Shop) -> str:
    """Give what the vehicle's meter showed when the order was received, or last before that."""
    if order.vehicle_id is None:
        return "–"
    day = shop_day(order.received_at, shop)
    rows = MeterReading.objects.filter(vehicle=order.vehicle_id, replaced_by__isnull=True, on__lte=day)
    last = rows.order_by("-on", "-stored_at", "-pk").first()
    measured = (last.distance or last.running) if last is not None else None
    if last is None or measured is None:
        return _("not read")
    words = with_unit(measured.text, measured.unit, measured.kind)
    return f"{words}, {formats.date_format(last.on, 'j M Y')}"


def _damper(job: Job) -> dict[str, str]:
    damper = job.damper
    name = str(damper.model or damper.maker) or _("maker unknown")
    return {
        "number": str(job.number),
        "place": place_words(str(job.get_place_display()) if job.place else "", job.place_number) or _("loose"),
        "damper": name,
        "serial": damper.serial or _("no serial"),
        "tag": tags.show(damper.tag),
        "work": job.work_type.name,
        "free": _("under warranty") if job.under_warranty else "",
        "wish": job.wish,
        "condition": job.condition or _("nothing noted"),
    }  # fmt: skip


def _agreed(order: WorkOrder, money: OrderMoney, shop: Shop, language: str) -> list[list[str]]:
    """Say what was agreed, caption by caption."""
    limit = _("no limit was agreed")
    if order.limit_gross is not None:
        limit = shown(order.limit_gross, shop.currency, language)
    rows = [
        *_expected_rows(order, money, shop, language),
        [_("Not past, with tax"), limit],
        [_("Promised"), shop_moment(order.promised, shop) if order.promised else _("no day was promised")],
        [_("Comes by"), _way(str(order.get_comes_by_display()), order.comes_carrier)],
        [_("Leaves by"), _way(str(order.get_leaves_by_display()), order.leaves_carrier)],
    ]
    signed = order.signatures.filter(what="brought").values_list("name", flat=True).first()
    if signed:
        rows.append([_("Signed by"), signed])
    if money.paid:
        rows.insert(2, [_("Paid so far"), shown(money.paid, shop.currency, language)])
    return rows


def _expected_rows(order: WorkOrder, money: OrderMoney, shop: Shop, language: str) -> list[list[str]]:
    """Say what the order was said to come to as it was received; where that changed since, what it comes to now too."""
    now = _expected(money, shop, language)
    if order.expected_gross is None:
        return [[_("Expected, with tax"), now]]
    said = {
        "gross": shown(order.expected_gross, shop.currency, language),
        "net": shown(order.expected_net or order.expected_gross, shop.currency, language),
    }
    if money.gross == order.expected_gross:
        return [[_("Expected, with tax"), f"{now} ({_('%(net)s without tax') % said})"]]
    then = _("%(gross)s (%(net)s without tax)") % said
    return [[_("Expected when received, with tax"), then], [_("As it stands now, with tax"), now]]


def _expected(money: OrderMoney, shop: Shop, language: str) -> str:
    amount = shown(money.gross, shop.currency, language)
    if not money.without_rate:
        return amount
    return _("%(amount)s, tax of %(kinds)s not worked out yet") % {
        "amount": amount,
        "kinds": ", ".join(money.without_rate),
    }


def _way(how: str, carrier: str) -> str:
    return f"{how}, {carrier}" if carrier else how


def _terms(order: WorkOrder) -> dict[str, str]:
    if order.terms is None:
        return {"name": "", "text": "", "said": _("No terms were accepted.")}
    version = {"version": order.terms.version, "how": order.terms_accepted_how or _("at the counter")}
    return {
        "name": _("Terms, issue %s") % order.terms.version,
        "text": order.terms.text,
        "said": _("Issue %(version)s of the terms was accepted: %(how)s.") % version,
    }


def _particulars(
    order: WorkOrder, jobs: list[Job], money: OrderMoney, shop: Shop, language: str
) -> list[list[str]]:
    """Sum the paper up for its page."""
    return [
        [_("Order"), str(order.number)],
        [_("Customer"), order.customer.name],
        [_("Dampers"), ", ".join(tags.show(job.damper.tag) for job in jobs)],
        [_("Received"), f"{shop_moment(order.received_at, shop)}, {order.received_by.name}"],
        *_agreed(order, money, shop, language)[:2],
        [_("Terms"), _("issue %s") % order.terms.version if order.terms else _("not accepted")],
    ]


def file_name(figures: dict[str, Any]) -> str:
    """Name the file: receipt-1187."""
    return kinds.plain_name("receipt", figures["block"]["order"])
