"""Money of the past: the invoice of an order with its paper's figures, what was paid and what was not."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from shopapp.calc import money
from shopapp.demo.bulk import Bulk
from shopapp.money import invoice_figures
from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, InvoiceLine, Payment, TaxRate
from shopapp.money.queries import CHARGE, line_amount, shop_day
from shopapp.money.services.endings import ending_of, worded
from shopapp.money.services.invoices import SERIES
from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.papers import canonical
from shopapp.papers.models import Paper
from shopapp.papers.queries import outbox_key
from shopapp.papers.services import OUTBOX_KIND
from shopapp.people.models import Person
from shopapp.shop.models import Outbox, Shop

NEVER_PAID, DEPOSIT = 0.05, 0.06
FOUR_PLACES = Decimal("0.0001")
BETWEEN_PAPERS = timedelta(seconds=4)
"""The sweeper makes the files of old invoices one after the other, so that a new paper never waits for long."""


@dataclass
class Till:
    """The drawer: invoices under running numbers, payments of people at once and of firms later or never."""

    bulk: Bulk
    rng: random.Random
    shop: Shop
    rates: dict[str, TaxRate]
    by: Person
    until: datetime
    papers_from: datetime
    number: int
    papers: int = 0

    def issue(self, order: WorkOrder, lines: Sequence[OrderLine], email: str, at: datetime) -> Invoice:
        """Invoice all lines of an order whose jobs are closed; raise its limit so that it covers them."""
        places = places_of(self.shop.currency)
        nets = [line_amount(line, places) for line in lines]
        basis: money.TaxBasis = "line" if self.shop.tax_basis == "line" else "rate"
        rates = [self.rates[line.tax_category] for line in lines]
        pairs = [(net, rate.rate) for net, rate in zip(nets, rates, strict=True)]
        totals = money.totals(pairs, tax_basis=basis, places=places)
        order.limit_gross = (totals.gross * Decimal("1.08") // 10 + 2) * 10
        paid = self._deposit(order, totals.gross)
        self.number += 1
        day = shop_day(at, self.shop)
        act_id = self.bulk.new_id()
        invoice: Invoice = self.bulk.add(
            Invoice(
                series=SERIES, number=self.number, order=order, issued_on=day, issued_at=at,
                due_on=day + timedelta(days=self.shop.payment_days), currency=self.shop.currency, tax_basis=basis,
                buyer=invoice_figures.buyer_at(order.customer, email), seller=invoice_figures.seller(self.shop),
                net=totals.net, tax=totals.tax, gross=totals.gross, tax_by_rate=invoice_figures.tax_rows(totals),
                act_id=act_id,
            )
        )  # fmt: skip
        rows = [
            self._line(invoice, number, line, net, rate)
            for number, (line, net, rate) in enumerate(zip(lines, nets, rates, strict=True), 1)
        ]
        paper = self._paper(invoice, rows, paid, {rate.rate: rate.name for rate in rates})
        ended = [job for job in {line.job for line in lines if line.job} if job.outcome != Job.Outcome.DONE]
        self.bulk.act(
            "issue_invoice", by=self.by, at=at, about=("order", order.pk), pk=act_id,
            result={"invoice": invoice.pk, "paper": str(paper.pk), "order": order.pk},
            changed=[{"field": f"job {job.number}", "old": job.outcome, "new": CHARGE} for job in ended],
        )  # fmt: skip
        terms = [("invoice", str(invoice), 5), ("invoice", str(invoice.number), 4)]
        self.bulk.find_by("invoice", invoice, lambda _row: terms)
        self._pay(invoice, totals.gross - paid, at)
        return invoice

    def _line(
        self, invoice: Invoice, number: int, line: OrderLine, net: Decimal, rate: TaxRate
    ) -> InvoiceLine:
        line.invoiced = True
        ending = ending_of(line, {line.job.pk: CHARGE} if line.job else {})
        row: InvoiceLine = self.bulk.add(
            InvoiceLine(
                invoice=invoice, number=number, order_line=line, job=line.job,
                what=worded(line, ending, invoice.order.customer.language), quantity=line.quantity, unit=line.unit,
                price=line.price, tax_category=rate.category, rate=rate.rate, net=net.quantize(FOUR_PLACES),
            )
        )  # fmt: skip
        return row

    def _paper(
        self, invoice: Invoice, rows: Sequence[InvoiceLine], before: Decimal, names: dict[Decimal, str]
    ) -> Paper:
        language = invoice.order.customer.language
        frozen = canonical.plain(
            invoice_figures.figures_of(
                invoice, self.shop, rows, before=before, rate_names=names, language=language
            )
        )
        paper: Paper = self.bulk.add(
            Paper(
                id=self.bulk.new_id(), kind=invoice_figures.KIND, subject_kind="invoice", subject_id=str(invoice.pk),
                figures=frozen, figures_hash=canonical.figures_hash(frozen), language=language, act_id=invoice.act_id,
                issued_at=invoice.issued_at,
            )
        )  # fmt: skip
        due = self.papers_from + self.papers * BETWEEN_PAPERS
        self.papers += 1
        self.bulk.add(
            Outbox(
                kind=OUTBOX_KIND, key=outbox_key(paper.pk), ids={"paper": str(paper.pk)}, due=due,
                made_at=invoice.issued_at,
            )
        )  # fmt: skip
        return paper

    def _deposit(self, order: WorkOrder, gross: Decimal) -> Decimal:
        """Let a few pay something when they bring it in."""
        amount = Decimal(100)
        if gross < 2 * amount or self.rng.random() > DEPOSIT:
            return Decimal(0)
        self._payment(order, None, amount, "cash", order.received_at)
        return amount

    def _pay(self, invoice: Invoice, owed: Decimal, at: datetime) -> None:
        """Take what a person pays when fetching it; what a firm sends after some weeks, if it does."""
        if owed <= 0 or self.rng.random() < NEVER_PAID:
            return
        if invoice.order.customer.kind == "person":
            how = self.rng.choice(("card", "card", "cash"))
            self._payment(invoice.order, invoice, owed, how, at + timedelta(minutes=4))
            return
        when = at + timedelta(days=self.rng.randint(4, 38), hours=self.rng.randint(0, 3))
        if when < self.until:
            self._payment(invoice.order, invoice, owed, "transfer", when)

    def _payment(
        self, order: WorkOrder, invoice: Invoice | None, amount: Decimal, how: str, at: datetime
    ) -> None:
        act_id = self.bulk.new_id()
        row = self.bulk.add(
            Payment(
                order=order, invoice=invoice, amount=amount, how=how, at=at, by=self.by, act_id=act_id,
                reference=f"transfer, {invoice}" if how == "transfer" else "",
            )
        )  # fmt: skip
        result = {"payment": row.pk, "order": order.pk}
        self.bulk.act("take_payment", by=self.by, at=at, about=("order", order.pk), pk=act_id, result=result)
