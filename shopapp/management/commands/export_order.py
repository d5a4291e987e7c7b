"""Print one order whole as JSON, by the schema in static/schemas/order-1.schema.json."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shopapp.orders.queries import order_numbered
from shopapp.shop.queries import this_shop
from shopapp.web.exports import order_document
from shopapp.web.exports.values import written


class Command(BaseCommand):
    help = "Print one order whole: dampers, bench sheets, lines, answers, money, papers, history."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("number", type=int, help="the order's number")
        parser.add_argument("--format", choices=["json"], default="json")

    def handle(self, *args: Any, **options: Any) -> None:
        order = order_numbered(options["number"])
        if order is None:
            raise CommandError(f"There is no order {options['number']}.")
        document = order_document(order, shop=this_shop(), at=timezone.now())
        self.stdout.write(written(document), ending="")
