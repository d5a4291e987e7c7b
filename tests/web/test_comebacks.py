"""A damper that comes back: offered at intake, linked, free under warranty, its cause asked and shown."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.models import Entry
from shopapp.bench.services import LotIn
from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.services import MeterIn
from shopapp.dampers.services import tags
from shopapp.orders import services as orders
from shopapp.orders.comebacks import warranty_of
from shopapp.orders.models import Job, OrderLine
from shopapp.orders.services import DamperIn
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.forms import new_key
from shopapp.shop.services.acts import Call, Refused
from tests.bench.make import Bench, make_bench

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


@pytest.fixture
def bench(shop: Any, desk: Person, technician: Person, owner: Person, device: Any) -> Bench:
    made = make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)
    work = made.job.work_type
    work.warranty_days, work.warranty_distance = 180, units.parse("1000 mi", "distance")
    work.save()
    return made


def send_home(bench: Bench) -> Job:
    """Let the first job's damper leave as done, without its forty entries."""
    Job.objects.filter(pk=bench.job.pk).update(
        state="done", outcome="done", closed_at=bench.at, handed_over_at=bench.at, is_open=False
    )
    return bench.fresh()


def receive(bench: Bench, first: Job | None, *, free: bool = True, days: int = 20) -> Job:
    bench.at += dt.timedelta(days=days)
    row = DamperIn(
        damper=bench.job.damper, work_type=bench.job.work_type, comeback_of=first, under_warranty=free
    )
    order = orders.receive_order(
        customer=bench.order.customer, dampers=[row], by=bench.desk, at=bench.at, call=Call.fresh()
    )
    bench.job = order.jobs.get()
    return bench.job


def close(bench: Bench, **given: Any) -> Entry:
    return bench.do("", "close", outcome="unrepaired", words="nothing found", **given)


class TestWarranty:
    """By days, and by distance where both sides were read."""

    def on(self, bench: Bench, days: int) -> bool:
        return warranty_of(bench.job.damper, bench.at.date() + dt.timedelta(days=days)) is not None

    def test_it_lasts_through_its_last_day(self, bench: Bench) -> None:
        assert not self.on(bench, 1)
        send_home(bench)
        assert [self.on(bench, days) for days in (0, 180, 181)] == [True, True, False]

    def test_a_kind_of_work_without_one_gives_none(self, bench: Bench) -> None:
        send_home(bench)
        bench.job.work_type.warranty_days = 0
        bench.job.work_type.save()
        assert not self.on(bench, 1)

    def test_what_was_not_done_has_none(self, bench: Bench) -> None:
        send_home(bench)
        Job.objects.filter(pk=bench.job.pk).update(outcome="unrepaired")
        assert not self.on(bench, 1)

    @pytest.mark.parametrize(("miles", "covered"), [("5900 mi", True), ("6001 mi", True), ("6100 mi", False)])
    def test_the_distance_since_counts_where_it_was_read(
        self, bench: Bench, miles: str, covered: bool
    ) -> None:
        send_home(bench)

        def read(text: str, days: int) -> None:
            customers.read_meter(
                vehicle=bench.order.vehicle, meter=MeterIn(units.parse(text, "distance"), "reading"), source="read",
                by=bench.desk, at=bench.at + dt.timedelta(days=days), call=Call.fresh(),
            )  # fmt: skip

        read("5002 mi", -1)
        read(miles, 20)
        assert self.on(bench, 21) is covered


class TestReceiving:
    """Linked to the first job; free where the warranty covers it."""

    def test_free_under_warranty_and_linked(self, bench: Bench) -> None:
        first = send_home(bench)
        job = receive(bench, first)
        line = OrderLine.objects.get(job=job)
        assert (job.comeback_of_id, job.under_warranty, line.price) == (first.pk, True, 0)
        assert line.what == f"Rebuild, warranty of order {first.order.number}"

    def test_at_its_price_where_the_desk_says_so(self, bench: Bench) -> None:
        job = receive(bench, send_home(bench), free=False)
        assert (job.under_warranty, OrderLine.objects.get(job=job).price) == (False, Decimal("186.00"))

    def test_not_free_once_the_warranty_is_over(self, bench: Bench) -> None:
        with pytest.raises(Refused, match=r"warranty on .* is over"):
            receive(bench, send_home(bench), days=181)
        assert receive(bench, Job.objects.get(handed_over_at__isnull=False), free=False).comeback_of_id

    def test_not_of_another_dampers_job_nor_of_one_still_here(self, bench: Bench) -> None:
        first = send_home(bench)
        with pytest.raises(Refused, match="does not come back from that order"):
            receive(bench, bench.other, free=False)
        with pytest.raises(Refused, match="Say which order"):
            receive(bench, None, free=True)
        assert first.pk

    def test_parts_fitted_under_warranty_cost_nothing(self, bench: Bench) -> None:
        receive(bench, send_home(bench))
        bench.unlock("strip")
        bench.do("reseal-kit", "part")
        assert {line.price for line in OrderLine.objects.filter(job=bench.job)} == {Decimal(0)}

    def test_the_database_holds_a_cause_and_a_warranty_to_comebacks(self, bench: Bench) -> None:
        for given in ({"under_warranty": True}, {"comeback_cause": "lot"}):
            with pytest.raises(IntegrityError), transaction.atomic():
                Job.objects.filter(pk=bench.job.pk).update(**given)


class TestSheet:
    """At the counter: offered, proposed free, confirmed by the desk."""

    def sent(self, bench: Bench, **more: str) -> dict[str, str]:
        return {
            "act_key": new_key(), "customer": str(bench.order.customer_id), "comes_by": "counter",
            "leaves_by": "counter", "new_kind": "person", "meter_kind": "reading",
            "r1_tag": tags.show(bench.job.damper.tag),
            "r1_work": str(bench.job.work_type_id), **more,
        }  # fmt: skip

    def home_today(self, bench: Bench) -> Job:
        first = send_home(bench)
        Job.objects.filter(pk=first.pk).update(handed_over_at=dt.datetime.now(dt.UTC) - dt.timedelta(days=20))
        return first

    def test_it_is_offered_free_first_and_asked_for(self, bench: Bench, client_as: ClientAs) -> None:
        first = self.home_today(bench)
        client = client_as(bench.desk)
        more: dict[str, str]
        for more in ({"look_up": "1"}, {}):
            response = client.post("/orders/new", self.sent(bench, **more))
            choices = response.context["form"]["r1_back"].field.choices
            assert [value for value, _words in choices] == ["free", "priced", "new"]
            assert f"from {first.order.number}: no charge" in response.content.decode()
        assert "Say whether it comes back from there." in response.content.decode()
        assert response.status_code == 422
        assert Job.objects.filter(damper=bench.job.damper).count() == 1

    @pytest.mark.parametrize(
        ("back", "linked", "free"), [("free", True, True), ("priced", True, False), ("new", False, False)]
    )
    def test_what_the_desk_says_is_kept(
        self, bench: Bench, client_as: ClientAs, back: str, linked: bool, free: bool
    ) -> None:
        first = self.home_today(bench)
        response = client_as(bench.desk).post("/orders/new", self.sent(bench, r1_back=back))
        assert response.status_code == 302, response.context["form"].errors
        job = Job.objects.exclude(pk=first.pk).get(damper=bench.job.damper)
        assert (job.comeback_of_id == first.pk, job.under_warranty) == (linked, free)

    @pytest.mark.parametrize("back", ["x", "9" * 200, "FREE"])
    def test_a_strange_answer_is_a_sentence(self, bench: Bench, client_as: ClientAs, back: str) -> None:
        self.home_today(bench)
        assert client_as(bench.desk).post("/orders/new", self.sent(bench, r1_back=back)).status_code == 422

    def test_a_damper_without_warranty_is_not_asked_for(self, bench: Bench, client_as: ClientAs) -> None:
        self.home_today(bench)
        bench.job.work_type.warranty_days = 0
        bench.job.work_type.save()
        assert client_as(bench.desk).post("/orders/new", self.sent(bench)).status_code == 302


class TestCause:
    """Asked when the job is closed, with the stage or the lot by name."""

    def came_back(self, bench: Bench) -> Job:
        bench.unlock("strip")
        bench.do("reseal-kit", "part")
        return receive(bench, send_home(bench))

    @pytest.mark.parametrize(
        ("given", "words"),
        [
            ({}, "Say why the damper came back from order 1001"),
            ({"cause": "weather"}, "Say why"),
            ({"cause": "stage"}, "Name the stage"),
            ({"cause": "stage", "stage": "lunch"}, "Name the stage"),
            ({"cause": "lot"}, "Name the lot"),
            ({"cause": "lot", "lots": (LotIn(1, 987654),)}, "Name the lot"),
        ],
    )
    def test_without_it_the_job_is_not_closed(self, bench: Bench, given: dict[str, Any], words: str) -> None:
        self.came_back(bench)
        with pytest.raises(Refused, match=words):
            close(bench, **given)
        assert bench.fresh().state != "done"

    def test_a_lot_of_another_damper_is_refused(self, bench: Bench) -> None:
        self.came_back(bench)
        with pytest.raises(Refused, match="one of those fitted the first time"):
            close(bench, cause="lot", lots=(LotIn(1, bench.lots["oil"].pk),))

    def test_the_lot_is_kept_and_shown_on_both_orders_and_to_the_owner(
        self, bench: Bench, client_as: ClientAs
    ) -> None:
        job = self.came_back(bench)
        close(bench, cause="lot", lots=(LotIn(1, bench.lots["wiper"].pk),))
        assert bench.fresh().comeback_cause == "lot"
        report = Paper.objects.filter(kind="rebuild report").latest("issued_at")
        assert f"{bench.order.number}/1" in json.dumps(report.figures)
        desk, owner = client_as(bench.desk), client_as(bench.owner)
        first = desk.get(f"/orders/{bench.order.number}").content.decode()
        later = desk.get(f"/orders/{job.order.number}").content.decode()
        mine = owner.get("/owner/comebacks").content.decode()
        for page in (first, later, mine):
            assert "a lot of parts or oil: Wiper, B-wiper" in page
        assert f"{job.order.number}/1</a> after 20 days" in " ".join(first.split())
        assert f"{bench.order.number}/1</a> after 20 days" in " ".join(later.split())

    def test_the_stage_is_kept(self, bench: Bench, client_as: ClientAs) -> None:
        self.came_back(bench)
        close(bench, cause="stage", stage="fill")
        page = client_as(bench.owner).get("/owner/comebacks").content.decode()
        assert "a stage of the work: Fill and purge" in page

    def test_a_first_job_takes_no_cause(self, bench: Bench) -> None:
        with pytest.raises(Refused, match="did not come back"):
            close(bench, cause="other")

    def test_a_stop_is_not_asked_for_it(self, bench: Bench) -> None:
        self.came_back(bench)
        bench.do("", "close", outcome="unsafe", words="it hisses")
        assert bench.fresh().state == "stopped"

    def test_the_books_derive_the_cause(self, bench: Bench) -> None:
        self.came_back(bench)
        close(bench, cause="other")
        mine = [d for d in books.differences() if "comeback_cause" in d.row]
        assert mine == []
        Job.objects.filter(pk=bench.job.pk).update(comeback_cause="customer")
        mine = [d for d in books.differences() if "comeback_cause" in d.row]
        assert [(d.stored, d.derived) for d in mine] == [("customer", "other")]

    def test_the_sheet_offers_what_may_be_named(self, bench: Bench, client_as: ClientAs) -> None:
        job = self.came_back(bench)
        asked = client_as(bench.technician).get(f"/bench/sheets/{job.pk}/state").json()["closing"]["comeback"]
        assert asked["order"] == str(bench.order.number)
        assert {lot["words"] for lot in asked["lots"]} == {"Wiper, B-wiper", "O-ring 210, B-ring"}
        assert len(asked["stages"]) == 16

    def test_the_owners_page_is_the_owners(self, bench: Bench, client_as: ClientAs) -> None:
        for person in (bench.desk, bench.technician):
            assert client_as(person).get("/owner/comebacks").status_code == 403
        assert client_as(bench.owner).post("/owner/comebacks").status_code == 405
        assert "No damper came back." in client_as(bench.owner).get("/owner/comebacks").content.decode()

    def test_as_many_queries_for_twenty_as_for_ten(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.owner)

        def again(times: int) -> None:
            for _again in range(times):
                receive(bench, send_home(bench), free=False, days=2)
                close(bench, cause="other")

        def count() -> int:
            with CaptureQueriesContext(connection) as seen:
                assert client.get("/owner/comebacks").status_code == 200
            return len(seen)

        again(10)
        client.get("/owner/comebacks")
        with_ten = count()
        again(10)
        assert count() == with_ten


def test_a_void_comeback_is_none(bench: Bench) -> None:
    from shopapp.web.queries.comebacks import comebacks

    job = receive(bench, send_home(bench))
    assert list(comebacks()) == [job]
    orders.void_job(job=job, why="entered twice", by=bench.desk, at=bench.at, call=Call.fresh())
    assert list(comebacks()) == []
