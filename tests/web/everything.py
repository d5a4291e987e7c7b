"""A shop that has something of everything, and the walk over its pages from link to link."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.test import Client
from django.urls import Resolver404, resolve

from shopapp.bench.models import Finding
from shopapp.bench.services import answers
from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.customers.services import NewContact
from shopapp.money import services as money
from shopapp.money.queries import CHARGE
from shopapp.orders import services as orders
from shopapp.people import rights
from shopapp.shop.models import Outbox
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.stock import services as stock
from tests.bench.make import FIGURES, Bench, figure
from tests.faults.whole_shop import make_shop
from tests.web.form_reading import Reader, read_page

FROM = (
    "/stock/?show=blocked",
    "/",
    "/desk",
    "/orders/",
    "/customers/",
    "/dampers/",
    "/stock/",
    "/tools/",
    "/due/",
    "/money/",
    "/bench/",
    "/owner/",
)
PAGES_OF_A_KIND = 5


def something_of_everything() -> Bench:
    """Make a shop in which each form is offered somewhere."""
    bench = make_shop()
    std = {"by": bench.desk, "at": bench.at}
    for number in range(3):
        bench.do("", "finding", part="rod", words="pitted", advice="replace", answer="should")
        row = Finding.objects.latest("pk")
        if number:
            answers.price_finding(
                finding=row,
                revision=1,
                what="New rod",
                price=Decimal(145),
                tax_category="S",
                call=Call.fresh(),
                **std,
            )
    answers.answer_finding(
        finding=row, yes=True, who="W", how="phone", amount=Decimal(900), call=Call.fresh(), **std
    )
    bench.do("", "note", words="Hose is pinched", answer="shift")
    money.take_payment(order=bench.order, amount=Decimal(50), how="cash", call=Call.fresh(), **std)
    bench.fresh_order()
    orders.add_bay(name="Bay 2", call=Call.fresh(), by=bench.owner, at=bench.at)
    shelf = orders.add_shelf(
        code="R2-4", rack="rack 2", shelf="4", call=Call.fresh(), by=bench.owner, at=bench.at
    )
    orders.lay_part(job=bench.job, part="tray", shelf=shelf, call=Call.fresh(), **std)
    bench.do("", "close", job=bench.fresh_order().pk, outcome="unsafe", words="does not let go")
    declined = bench.fresh_order()
    bench.do("", "close", job=declined.pk, outcome="unrepaired", words="declined")
    bench.do("", "close", job=bench.fresh_order().pk, outcome="unrepaired", words="not worth it")
    money.issue_invoice(order=declined.order, endings={declined.pk: CHARGE}, call=Call.fresh(), **std)
    orders.keep_here(job=declined, why="spares", who="W", how="phone", call=Call.fresh(), **std)
    Outbox.objects.update(state="failed", problem="no space left")
    specs.draft_spec(
        model=bench.job.damper.model, variant="tall", basis="shop", source="invented",
        figures=[figure(row) for row in FIGURES[:3]],
        call=Call.fresh(), by=bench.owner, at=bench.at,
    )  # fmt: skip
    stock.block_lot(lot=bench.lots["ring"], why="cut", call=Call.fresh(), **std)
    bench.do("spring-compressor", "tool", tool="C-01")
    _customers(bench)
    return bench


def _customers(bench: Bench) -> None:
    """Let one have an address for papers, two look like doubles, and one be a double already."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    known = Customer.objects.get(pk=bench.order.customer_id)
    contacts = [NewContact("email", "wyn@example.com")]
    customers.change_customer(
        customer=known, revision=known.revision, kind=known.kind, name=known.name, contacts=contacts,
        call=Call.fresh(), **std,
    )  # fmt: skip
    one, _other, double = (
        customers.add_customer(name="Sella Varn", contacts=contacts, call=Call.fresh(), **std) for _n in "123"
    )
    customers.merge_customers(double=double, into=one, call=Call.fresh(), **std)


def name_of(address: str) -> str:
    try:
        return resolve(address.partition("?")[0]).url_name or ""
    except Resolver404:
        return ""


def pages_of(client: Client, *first: str) -> Iterator[tuple[str, Reader]]:
    """Walk from link to link as the owner: each page with its address, a few of each kind."""
    waiting, seen, kinds = [*first, *FROM], {*first, *FROM}, Counter[str]()
    while waiting:
        address = waiting.pop(0)
        page = read_page(client, address)
        yield address, page
        for link in page.links:
            kind = name_of(link)
            if link not in seen and rights.may(frozenset({"owner"}), kind) and kinds[kind] < PAGES_OF_A_KIND:
                seen.add(link)
                kinds[kind] += 1
                waiting.append(link)
