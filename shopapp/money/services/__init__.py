"""What people do with money: rates, invoices, payments."""

from shopapp.money.services.invoices import issue_invoice
from shopapp.money.services.payments import reverse_payment, take_payment
from shopapp.money.services.rates import add_tax_rate
from shopapp.money.services.receipts import issue_receipt
from shopapp.money.services.sending import send_paper

__all__ = ["add_tax_rate", "issue_invoice", "issue_receipt", "reverse_payment", "send_paper", "take_payment"]
