"""Print all that is held about one customer as JSON, by the schema in static/schemas/customer-1.schema.json."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shopapp.customers.models import Customer
from shopapp.shop.queries import this_shop
from shopapp.web.exports import customer_document
from shopapp.web.exports.values import written


class Command(BaseCommand):
    help = (
        "Print all that is held about one customer: contacts, consents, vehicles, dampers, every order whole."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("customer", type=int, help="the number at the end of the customer's page")
        parser.add_argument("--format", choices=["json"], default="json")

    def handle(self, *args: Any, **options: Any) -> None:
        key = options["customer"]
        customer = Customer.objects.filter(pk=key).first() if 0 < key < 2**63 else None
        if customer is None:
            raise CommandError(f"There is no customer {key}.")
        document = customer_document(customer, shop=this_shop(), at=timezone.now())
        self.stdout.write(written(document), ending="")
