"""Hostile text in every entry of every form that the pages offer: a sentence or the text itself, never a fault.

The forms are read out of the pages of a shop that has something of everything, from link to link; an address that
takes a form and was not reached fails the test. Seen red: with `int(request.POST["why"])` in a view (500), and with
pages that nothing led to (one's own page, a list without a row: not reached).
"""

from __future__ import annotations

import random
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve, reverse

from shopapp.bench.models import Finding
from shopapp.bench.services import answers
from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.customers.services import NewContact
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.people import rights
from shopapp.shop.models import Outbox
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.stock import services as stock
from tests.bench.make import FIGURES, Bench, figure
from tests.conftest import ALL, SEED, times
from tests.faults.whole_shop import make_shop
from tests.specs.drafts import begun
from tests.web.form_reading import PageForm, read_page
from tests.web.hostile import FORM, HOSTILE, encoded

pytestmark = pytest.mark.django_db
TESTED_BY_THEMSELVES = {
    "sign-in", "sign-out",  # tests/people: without a log-in; sends nothing
    "tool-back", "bench-tool-back",  # tests/bench/test_tools_out.py: their forms carry the key alone
    "set-up",  # tests/people: opens only before there is an owner
    "bench-entries", "bench-picture-new",  # tests/bench: sent by the sheet's script, JSON and a file
}  # fmt: skip
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
PAGES_OF_A_KIND = 4
SURROGATE = "a lone surrogate"


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
    bench.do("", "close", job=bench.fresh_order().pk, outcome="unsafe", words="does not let go")
    bench.do("", "close", job=bench.fresh_order().pk, outcome="unrepaired", words="declined")
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


def forms_of(client: Client, *first: str) -> dict[tuple[str, frozenset[str]], PageForm]:
    """Walk from link to link and give each form once, by its address's name and its fields."""
    waiting, seen, kinds = [*first, *FROM], {*first, *FROM}, Counter[str]()
    found: dict[tuple[str, frozenset[str]], PageForm] = {}
    while waiting:
        page = read_page(client, waiting.pop(0))
        for form in page.forms:
            found.setdefault((name_of(form.action), frozenset(form.names())), form)
        for link in page.links:
            kind = name_of(link)
            if link not in seen and rights.may(frozenset({"owner"}), kind) and kinds[kind] < PAGES_OF_A_KIND:
                seen.add(link)
                kinds[kind] += 1
                waiting.append(link)
    return found


def sent(client: Client, form: PageForm, name: str, what: str) -> Any:
    """Send a form with one hostile entry, and take back whatever it stored."""
    with transaction.atomic():
        if what == SURROGATE:
            response = client.generic(
                "POST", form.action, encoded(form.fields | {name: ""}, name), content_type=FORM
            )
        else:
            response = client.post(form.action, form.fields | {name: HOSTILE[what]})
        transaction.set_rollback(True)
    return response


PARTS = times(1, 6)
"""In full the forms are sent part by part: one test of them all would take some minutes."""


def test_hostile_text_in_every_form_that_is_offered(client_as: Any) -> None:
    walk(client_as, 0)


@pytest.mark.full
@pytest.mark.parametrize("part", range(1, 6))
def test_hostile_text_in_the_forms_that_are_left(client_as: Any, part: int) -> None:
    walk(client_as, part)


def walk(client_as: Any, part: int) -> None:
    """Send hostile text in every entry of this part of the forms."""
    bench = something_of_everything()
    client = client_as(bench.owner)
    client.raise_request_exception = False
    draft = begun(bench.owner)
    forms = forms_of(client, reverse("owner-procedure", args=[draft.pk]))
    takers = {name for name, right in rights.RIGHTS.items() if "POST" in right.methods}
    assert sorted(takers - {name for name, _fields in forms} - TESTED_BY_THEMSELVES) == []
    rng, wrong = random.Random(SEED), []
    for (kind, fields), form in list(forms.items())[part::PARTS]:
        names = sorted(fields) if ALL or len(fields) <= 6 else rng.sample(sorted(fields), 6)
        for name in names:
            for what in rng.sample([*HOSTILE, SURROGATE], times(1, 5)):
                response = sent(client, form, name, what)
                allowed = (302, 400, 404, 422) if name in form.fields else (200, 302, 400, 404, 422)
                if response.status_code not in allowed:
                    wrong.append((kind, name, what, response.status_code))
                if b"<script>alert" in response.content or b"<img src=x" in response.content:
                    wrong.append((kind, name, what, "stands as markup"))
    assert wrong == []
