"""A shop in which one order went all the way: worked, closed, invoiced, paid, handed over, papers rendered."""

from __future__ import annotations

import datetime as dt
import io
import uuid
from decimal import Decimal

from shopapp.bench.models import Finding
from shopapp.bench.services import answers
from shopapp.bench.services.entry_in import PictureIn
from shopapp.bench.services.pictures import develop, keep_picture
from shopapp.due import services as due
from shopapp.money import services as money
from shopapp.money.models import Invoice, Payment
from shopapp.orders.models import Job
from shopapp.people.models import Device, Person
from shopapp.shop.models import Shop
from shopapp.shop.services import outbox
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench, make_bench
from tests.conftest import NOW, make_person
from tests.drawn_pictures import a_jpeg


def make_shop() -> Bench:
    """Set up a shop with its three people, its stores, its tools and one order of two dampers."""
    shop = Shop.objects.get_or_create(pk=1, defaults={"name": "Test Bench Works"})[0]
    owner = make_person("ada", "owner", initials="AO")
    money.add_tax_rate(
        category="S", name="Sales tax", rate=Decimal("8.25"), since=dt.date(2026, 1, 1), by=owner, at=NOW,
        call=Call.fresh(),
    )  # fmt: skip
    return make_bench(
        shop=shop,
        owner=owner,
        desk=make_person("pia", "desk", initials="PV"),
        technician=make_person("mo", "technician", initials="MO", skills=["charging"]),
        device=Device.objects.create(cookie_hash="d" * 64, first_seen=NOW, name="tablet"),
    )


def work_and_close(bench: Bench) -> Job:
    """Work one damper through every step and close it."""
    bench.through("final-leave")
    bench.do("", "close", outcome="done")
    return bench.fresh()


def find_and_agree(bench: Bench) -> None:
    """Find a worn bushing, give it a price and have the customer's yes."""
    entry = bench.do("", "finding", part="bushing", words="worn", advice="replace", answer="should")
    std = {"by": bench.desk, "at": bench.at}
    finding = answers.price_finding(
        finding=Finding.objects.get(entry=entry), revision=1, what="New bushing", price=Decimal("12.50"),
        tax_category="S", call=Call.fresh(), **std,
    )  # fmt: skip
    answers.answer_finding(
        finding=finding,
        yes=True,
        who="Wyn Dallimore",
        how="by phone",
        amount=Decimal(600),
        call=Call.fresh(),
        **std,
    )


def photograph(bench: Bench) -> None:
    """Take a picture of the damper as it came."""
    picture = keep_picture(
        job=bench.job, pk=uuid.uuid4(), developed=develop(io.BytesIO(a_jpeg())), by=bench.technician, at=bench.at,
        call=Call.fresh(),
    )  # fmt: skip
    bench.do("receive-pictures", "picture", pictures=(PictureIn(picture.pk, "oil at the wiper"),))


def invoice(bench: Bench, by: Person) -> Invoice:
    return money.issue_invoice(order=bench.order, jobs=[bench.job], by=by, at=bench.at, call=Call.fresh())


def pay(bench: Bench, of: Invoice, by: Person) -> Payment:
    return money.take_payment(
        order=bench.order, invoice=of, amount=of.gross, how="cash", by=by, at=bench.at, call=Call.fresh()
    )


def hand_over(bench: Bench, by: Person, call: Call | None = None) -> None:
    due.hand_over_jobs(
        order=bench.order,
        jobs=[bench.fresh()],
        to_whom="Wyn Dallimore",
        by=by,
        at=bench.at,
        call=call or Call.fresh(),
    )


def all_the_way() -> Bench:
    """Make the shop and take its first damper all the way."""
    bench = make_shop()
    photograph(bench)
    find_and_agree(bench)
    work_and_close(bench)
    pay(bench, invoice(bench, bench.desk), bench.desk)
    hand_over(bench, bench.desk)
    ended = outbox.sweep(at=bench.at + dt.timedelta(minutes=1))
    assert ended == {"sent": 2}, ended
    return bench
