"""Taking money, and taking a payment back by one that names it."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.calc import money
from shopapp.money.amounts import places_of, shown
from shopapp.money.models import Invoice, Payment
from shopapp.money.queries import open_of, order_money, shop_day
from shopapp.orders.models import WorkOrder
from shopapp.orders.services.locking import lock_order
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.shop.services.the_shop import hold_currency

if TYPE_CHECKING:
    from shopapp.people.models import Person

LONGEST_REFERENCE = 80


def take_payment(
    *,
    order: WorkOrder,
    invoice: Invoice | None = None,
    amount: Decimal,
    how: str,
    reference: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Payment:
    """Take money for an order, in part or whole; without `invoice` it is a deposit that later invoices use up.

    More than the order comes to, or than the invoice still asks, is refused with the amounts.
    """
    with acts.doing("take_payment", call=call, by=by, at=at, within=within) as act:
        lock_order(order)
        shop = this_shop()
        currency = shop.currency if shop else "USD"
        if shop is not None:
            hold_currency(shop)
        _check_amount(amount, currency)
        if how not in Payment.How.values:
            raise Refused(_("Say how it was paid: cash, card or transfer."), field="how")
        if invoice is not None and invoice.order_id != order.pk:
            raise Refused(_("This invoice belongs to another order."), field="invoice")
        state = order_money(order, on=shop_day(at, shop))
        _hold_total(amount, state.gross - state.paid, state.paid, currency)
        if invoice is not None:
            _hold_invoice(amount, invoice, currency)
        payment = Payment.objects.create(
            order=order,
            invoice=invoice,
            amount=amount,
            how=how,
            reference=reference.strip()[:LONGEST_REFERENCE],
            at=at,
            by=by,
            act_id=act.id,
        )
        act.about("order", order.pk)
        act.result = {"payment": payment.pk, "order": order.pk}
        return payment


def _check_amount(amount: Decimal, currency: str) -> None:
    places = places_of(currency)
    if not amount.is_finite() or amount <= 0:
        raise Refused(
            _("A payment is more than nothing. Money given back is a payment taken back."), field="amount"
        )
    if amount >= Decimal(10) ** 8:
        raise Refused(_("This is more than one payment can be. Look at the figure again."), field="amount")
    if amount != money.rounded(amount, places):
        words = _("%(currency)s has %(places)d decimals. Write the amount with no more.")
        raise Refused(words % {"currency": currency, "places": places}, field="amount")


def _hold_total(amount: Decimal, left: Decimal, paid: Decimal, currency: str) -> None:
    """Refuse more than the whole order comes to."""
    if amount <= left:
        return
    words = _(
        "%(amount)s is more than is left to pay: "
        "the order's lines come to %(gross)s, %(paid)s is paid, %(left)s is left."
    )
    figures = {"amount": amount, "gross": left + paid, "paid": paid, "left": left}
    raise Refused(words % {name: shown(value, currency) for name, value in figures.items()}, field="amount")


def _hold_invoice(amount: Decimal, invoice: Invoice, currency: str) -> None:
    """Refuse more than the invoice still asks, deposits counted."""
    left = open_of([invoice.order_id])[invoice.pk]
    if amount <= left:
        return
    words = _("%(amount)s is more than invoice %(invoice)s still asks: %(left)s.")
    said = {"amount": shown(amount, currency), "invoice": str(invoice), "left": shown(left, currency)}
    raise Refused(words % said, field="amount")


def reverse_payment(
    *,
    payment: Payment,
    why: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Payment:
    """Take a payment back by one of the same amount below nothing that names it; once, and not that one again.

    `why` is its reference; neither row is ever deleted.
    """
    with acts.doing("reverse_payment", call=call, by=by, at=at, within=within) as act:
        if not why.strip():
            raise Refused(_("Say why the payment is taken back."), field="why")
        lock_order(payment.order)
        if payment.reverses_id is not None:
            raise Refused(_("This line takes a payment back already. Enter the payment anew instead."))
        if Payment.objects.filter(reverses=payment).exists():
            raise Refused(_("This payment was taken back already."))
        row = Payment.objects.create(
            order=payment.order,
            invoice=payment.invoice,
            amount=-payment.amount,
            how=payment.how,
            reference=why.strip()[:LONGEST_REFERENCE],
            reverses=payment,
            at=at,
            by=by,
            act_id=act.id,
        )
        act.about("order", payment.order_id)
        act.result = {"payment": row.pk, "order": payment.order_id}
        return row
