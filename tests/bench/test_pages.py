"""My bench, opening by a tag, the sheet's document, the stopped jobs."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.models import Entry
from shopapp.dampers.services import tags
from shopapp.due import services as due
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


def test_my_bench_shows_jobs_by_promise(bench: Bench, client_as: ClientAs) -> None:
    response = client_as(bench.technician).get("/bench/")
    assert response.status_code == 200
    assert [row.tag for row in response.context["rows"]] == [
        tags.show(job.damper.tag) for job in (bench.job, bench.other)
    ]
    assert {row.words for row in response.context["rows"]} == {"to be started"}


def test_my_bench_says_what_each_waits_for(bench: Bench, client_as: ClientAs) -> None:
    bench.unlock("strip")
    bench.do("strip-drain", "wait")
    bench.job = bench.other
    bench.do("release-zero", "proof", answer="does not move")
    rows = client_as(bench.owner).get("/bench/").context["rows"]
    assert rows[0].waits[0].words.startswith("Drain, ")
    stopped = rows[1]
    assert stopped.state == "stopped"
    assert stopped.waits[0].words == "stopped unsafe: DO NOT OPEN, waits for the owner"


def test_my_bench_asks_the_same_number_of_queries_for_more_rows(bench: Bench, client_as: ClientAs) -> None:
    client = client_as(bench.owner)
    client.get("/bench/")

    def count() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert client.get("/bench/").status_code == 200
        return len(seen)

    more(bench, 8)
    with_ten = count()
    more(bench, 10)
    assert count() == with_ten
    assert Job.objects.count() == 20


def more(bench: Bench, number: int) -> None:
    from shopapp.dampers import services as dampers
    from shopapp.orders import services as orders
    from shopapp.orders.services import DamperIn
    from shopapp.shop.services.acts import Call

    std = {"by": bench.desk, "at": bench.at}
    customer = bench.order.customer
    rows = [
        DamperIn(
            damper=dampers.add_damper(
                model=bench.job.damper.model, customer=customer, call=Call.fresh(), **std
            ),
            work_type=bench.job.work_type,
            technician=bench.technician,
        )
        for _number in range(number)
    ]
    orders.receive_order(
        customer=customer, vehicle=bench.order.vehicle, dampers=rows, call=Call.fresh(), **std
    )


def test_a_tag_opens_its_sheet(bench: Bench, client_as: ClientAs) -> None:
    client = client_as(bench.technician)
    tag = tags.show(bench.job.damper.tag)
    for typed in (tag, bench.job.damper.tag, f"https://bench.example.com/D/{bench.job.damper.tag}"):
        response = client.post("/bench/open", {"tag": typed})
        assert (response.status_code, response["Location"]) == (302, f"/bench/sheets/{bench.job.pk}")


def test_the_wrong_tag_is_refused_naming_order_vehicle_and_corner(bench: Bench, client_as: ClientAs) -> None:
    response = client_as(bench.technician).post(
        "/bench/open", {"tag": bench.other.damper.tag, "job": bench.job.pk}
    )
    assert response.status_code == 422
    assert response.context["form"].errors["tag"] == [
        f"Wrong damper. This tag belongs to order {bench.order.number}, Long-travel buggy, front right. "
        f"The sheet is for order {bench.order.number}, Long-travel buggy, front left."
    ]


@pytest.mark.parametrize(
    "tag", ["", "40822170", "hello", "\ud800".encode("utf-8", "surrogatepass"), "4" * 300, "0" * 8]
)
def test_a_tag_that_is_none_is_a_sentence(bench: Bench, client_as: ClientAs, tag: str) -> None:
    response = client_as(bench.technician).post("/bench/open", {"tag": tag})
    assert response.status_code == 422
    assert response.context["form"].errors["tag"]


@pytest.mark.parametrize("job", ["x", "-1", "9" * 40, "٣", ""])
def test_a_strange_job_beside_the_tag_does_no_harm(bench: Bench, client_as: ClientAs, job: str) -> None:
    response = client_as(bench.technician).post("/bench/open", {"tag": bench.job.damper.tag, "job": job})
    assert response.status_code == 302


def test_the_page_and_the_state_hold_the_same_document(bench: Bench, client_as: ClientAs) -> None:
    bench.through("settings-preload")
    client = client_as(bench.technician)
    page = client.get(f"/bench/sheets/{bench.job.pk}")
    document = client.get(f"/bench/sheets/{bench.job.pk}/state").json()
    shown = json.loads(json.dumps(page.context["sheet"]))
    document.pop("now"), shown.pop("now")
    assert document == shown
    assert document["job"]["place"] == "front left"
    assert document["stages"][2]["code"] == "settings"
    assert document["stages"][3]["locked_by"][0].startswith("Recorded first: ")


def test_the_document_names_no_customer_and_no_price(bench: Bench, client_as: ClientAs) -> None:
    text = client_as(bench.technician).get(f"/bench/sheets/{bench.job.pk}/state").content.decode()
    for secret in ("Dallimore", "64.5", "186", "price", "phone", "customer"):
        assert secret not in text, secret


def test_the_charges_limits_in_the_document_are_moved(bench: Bench, client_as: ClientAs) -> None:
    bench.unlock("charge")
    bench.do("charge-temperature", "reading", text="42 °C")
    document = client_as(bench.technician).get(f"/bench/sheets/{bench.job.pk}/state").json()
    step = next(row for row in document["steps"] if row["key"] == bench.step("charge-gas").key)
    assert (step["limits"]["target_text"], step["limits"]["moved_from"]) == ("151.9 psi", "20 °C")
    assert document["computed"]["charge"]["text"] == "151.9 psi"
    assert step["most_text"] == "200 psi"


def test_the_sheet_asks_the_same_number_of_queries_for_more_entries(
    bench: Bench, client_as: ClientAs
) -> None:
    client = client_as(bench.technician)
    place = f"/bench/sheets/{bench.job.pk}/state"
    client.get(place)

    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(place).status_code == 200
        return len(seen)

    for _again in range(10):
        bench.do("", "note", words="seen")
    with_ten = count()
    for _again in range(10):
        bench.do("", "note", words="seen")
    assert count() == with_ten


@pytest.mark.parametrize("pk", ["0", "99999", "9223372036854775807", "9" * 30])
def test_no_such_sheet(bench: Bench, client_as: ClientAs, pk: str) -> None:
    client = client_as(bench.technician)
    assert client.get(f"/bench/sheets/{pk}").status_code == 404
    assert client.get(f"/bench/sheets/{pk}/state").status_code == 404


def test_reading_a_sheet_writes_nothing(bench: Bench, client_as: ClientAs) -> None:
    client = client_as(bench.technician)
    with CaptureQueriesContext(connection) as seen:
        client.get(f"/bench/sheets/{bench.job.pk}")
        client.get("/bench/")
    assert not [q["sql"] for q in seen if q["sql"].split()[0] in ("INSERT", "UPDATE", "DELETE")]


class TestStopped:
    """The owner's page of stopped jobs."""

    def stop(self, bench: Bench) -> None:
        bench.do("release-zero", "proof", answer="does not move")

    def form(self, client: Client) -> dict[str, str]:
        _row, form = client.get("/owner/stopped").context["rows"][0]
        return {"act_key": form["act_key"].value(), "job": form["job"].value()}

    def test_none_is_said_in_words(self, bench: Bench, client_as: ClientAs) -> None:
        response = client_as(bench.owner).get("/owner/stopped")
        assert "No damper is stopped." in response.content.decode()

    def test_the_owner_releases_once(self, bench: Bench, client_as: ClientAs) -> None:
        self.stop(bench)
        client = client_as(bench.owner)
        data = {**self.form(client), "words": "Bled by R. Stenmark"}
        for _twice in range(2):
            response = client.post("/owner/stopped", data)
            assert (response.status_code, response["Location"]) == (302, "/owner/stopped")
        assert Entry.objects.filter(kind="release").count() == 1
        assert "Released: Bled by R. Stenmark" in client.get("/owner/stopped").content.decode()
        assert bench.fresh().state == Job.State.STOPPED

    @pytest.mark.parametrize("words", ["", "   ", "x" * 1001, "a\0b"])
    def test_without_words_nothing_is_released(self, bench: Bench, client_as: ClientAs, words: str) -> None:
        self.stop(bench)
        client = client_as(bench.owner)
        data = {**self.form(client), "words": words}
        response = client.post("/owner/stopped", data)
        assert response.status_code == 422
        assert data["act_key"] in response.content.decode()
        assert not Entry.objects.filter(kind="release").exists()

    @pytest.mark.parametrize(("job", "status"), [("999999", 404), ("x", 422), ("9" * 40, 422), ("", 422)])
    def test_a_strange_job(self, bench: Bench, client_as: ClientAs, job: str, status: int) -> None:
        self.stop(bench)
        client = client_as(bench.owner)
        response = client.post("/owner/stopped", {**self.form(client), "job": job, "words": "made safe"})
        assert response.status_code == status

    def test_a_job_that_is_not_stopped(self, bench: Bench, client_as: ClientAs) -> None:
        self.stop(bench)
        client = client_as(bench.owner)
        data = {**self.form(client), "job": bench.other.pk, "words": "made safe"}
        response = client.post("/owner/stopped", data)
        assert response.status_code == 422
        assert "not stopped" in response.content.decode()

    @pytest.mark.parametrize("who", ["desk", "technician"])
    def test_nobody_else_sees_it(self, bench: Bench, client_as: ClientAs, who: str) -> None:
        client = client_as(getattr(bench, who))
        assert client.get("/owner/stopped").status_code == 403
        assert client.post("/owner/stopped", {}).status_code == 403

    def test_a_late_job_says_so(self, bench: Bench, client_as: ClientAs) -> None:
        bench.order.promised = bench.at - dt.timedelta(days=1)
        bench.order.save(update_fields=["promised"])
        rows = client_as(bench.owner).get("/bench/").context["rows"]
        assert all(row.late for row in rows)

    def test_a_stop_after_the_hand_over_is_listed_until_it_is_released(
        self, bench: Bench, client_as: ClientAs
    ) -> None:
        bench.do("", "close", outcome="unrepaired", words="the customer declined")
        due.hand_over_jobs(
            order=bench.order,
            jobs=[bench.job],
            to_whom="Wyn Dallimore",
            by=bench.desk,
            at=bench.at,
            call=Call.fresh(),
        )
        client = client_as(bench.owner)
        bench.do("release-zero", "proof", answer="cap moves")
        assert "No damper is stopped." in client.get("/owner/stopped").content.decode()
        bench.do("release-zero", "proof", answer="does not move")
        page = client.get("/owner/stopped").content.decode()
        assert "to Wyn Dallimore. Tell whoever has it not to open or use it" in page
        assert "it does not move" in page
        assert bench.fresh().state == Job.State.DONE
        data = {**self.form(client), "words": "Came back, bled by R. Stenmark"}
        assert client.post("/owner/stopped", data).status_code == 302
        assert "No damper is stopped." in client.get("/owner/stopped").content.decode()
        assert books.differences() == []


def test_what_was_asked_of_one_damper_is_on_its_sheet_alone(bench: Bench, client_as: ClientAs) -> None:
    """Seen red with `wish` left out of the document."""
    Job.objects.filter(pk=bench.job.pk).update(wish="Softer in rebound")
    client = client_as(bench.technician)
    said = [
        client.get(f"/bench/sheets/{job.pk}/state").json()["job"]["wish"] for job in (bench.job, bench.other)
    ]
    assert said == ["Softer in rebound", ""]
