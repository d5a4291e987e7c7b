"""A tool named at its step is out for that job: seen by whoever waits for it, back at the closing or by a tap."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.bench.queries.waiting import waits_of
from shopapp.orders.models import Bay, Job
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from shopapp.tools import checkouts
from shopapp.tools import services as tools
from shopapp.tools.models import Checkout
from tests.bench.make import TOOLS, Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def puller(bench: Bench) -> str:
    """Take the one puller of the thread out for the first job, in bay 2."""
    bay = Bay.objects.create(name="Bay 2")
    Job.objects.filter(pk=bench.job.pk).update(bay=bay)
    step = next(row for row in bench.steps if row.step.kind == "tool" and row.step.tool_kind == "ifp puller")
    bench.through(step.step.code)
    return TOOLS["ifp puller"]


def out(bench: Bench) -> list[tuple[str, int]]:
    return [(row.tool.tag, row.job_id) for row in checkouts.out_now()]


def lines(bench: Bench, job: Job) -> list[str]:
    return [line.words for line in waits_of([bench.fresh(job)], bench.at)[job.pk]]


def test_it_is_out_for_the_job_and_the_other_one_waits_for_it(bench: Bench, puller: str) -> None:
    """Seen red with no check-out at the step, and without the job's bay."""
    assert (puller, bench.job.pk) in out(bench)
    row = checkouts.out_now().get(tool__tag=puller)
    assert (row.person, row.bay.name if row.bay else "") == (bench.technician, "Bay 2")
    waits = [words for words in lines(bench, bench.other) if puller in words]
    assert waits == [f"{row.tool.kind.name} {puller}: {bench.technician.initials}, Bay 2"]
    assert not [words for words in lines(bench, bench.job) if puller in words]


def test_it_holds_up_only_who_stands_before_it(bench: Bench, puller: str) -> None:
    """Seen red with every such wait holding up, and with none."""
    (line,) = [
        one for one in waits_of([bench.fresh(bench.other)], bench.at)[bench.other.pk] if puller in one.words
    ]
    assert not line.holds_up
    Job.objects.filter(pk=bench.other.pk).update(state="in work", stage="strip")
    (line,) = [
        one for one in waits_of([bench.fresh(bench.other)], bench.at)[bench.other.pk] if puller in one.words
    ]
    assert line.holds_up


def test_another_that_fits_is_no_wait_and_one_of_another_thread_does_not_fit(
    bench: Bench, puller: str
) -> None:
    """Seen red with the sheet's thread not asked for, and with free tools not looked at."""
    kind = bench.tools["ifp puller"].kind
    for tag, thread, waits in (("P-03", "M12", True), ("P-04", "M10", False)):
        tools.add_tool(kind=kind, tag=tag, narrowing=thread, by=bench.owner, at=bench.at, call=Call.fresh())
        assert bool([words for words in lines(bench, bench.other) if puller in words]) is waits


def test_the_closing_puts_back_what_is_out_for_the_job(bench: Bench, puller: str) -> None:
    """And nothing else. Seen red with no giving back, and with every tool given back."""
    held = checkouts.out_now().get(tool__tag=puller)
    wrench = bench.tools["torque wrench"]
    checkouts.check_out_tool(
        tool=wrench, job=bench.other, by=bench.technician, at=bench.at, call=Call.fresh()
    )
    bench.do("", "close", outcome="uncharged", words="declined")
    held.refresh_from_db()
    assert held.in_at is not None and held.took_back == bench.technician
    assert out(bench) == [(wrench.tag, bench.other.pk)] and books.differences() == []


def test_a_stop_keeps_it_out_until_the_job_is_closed(bench: Bench, puller: str) -> None:
    """Seen red with the giving back before the stop."""
    bench.do("", "close", outcome="unsafe", words="hisses")
    assert (puller, bench.job.pk) in out(bench)


def test_who_takes_it_for_another_job_has_it_and_it_came_back_before(bench: Bench, puller: str) -> None:
    """Seen red with the one that is out left where it is, with a second check-out by the same hand, and with
    a job that waits for what it has."""
    tool = bench.tools["ifp puller"]
    checkouts.check_out_tool(tool=tool, job=bench.other, by=bench.owner, at=bench.at, call=Call.fresh())
    assert (puller, bench.other.pk) in out(bench) and (puller, bench.job.pk) not in out(bench)
    assert not [words for words in lines(bench, bench.other) if puller in words], "it has it itself"
    again = Checkout.objects.count()
    checkouts.check_out_tool(tool=tool, job=bench.other, by=bench.owner, at=bench.at, call=Call.fresh())
    assert Checkout.objects.count() == again


def test_a_corrected_tool_is_put_back(bench: Bench, puller: str) -> None:
    """Seen red with the old tool left out."""
    kind = bench.tools["ifp puller"].kind
    tools.add_tool(kind=kind, tag="P-09", narrowing="M10", by=bench.owner, at=bench.at, call=Call.fresh())
    step = next(row for row in bench.steps if row.step.kind == "tool" and row.step.tool_kind == "ifp puller")
    old = bench.sheet().satisfying(step.key)
    assert old is not None
    bench.do(step.step.code, "tool", tool="P-09", replaces=old.pk)
    assert ("P-09", bench.job.pk) in out(bench) and puller not in dict(out(bench))


def test_anybody_puts_a_forgotten_tool_back_once(
    bench: Bench, puller: str, client_as: Callable[[Person], Client]
) -> None:
    """Seen red with what is back given back again, and with a GET let through by table and view."""
    client = client_as(bench.desk)
    held = checkouts.out_now().get(tool__tag=puller)
    page = client.get(reverse("tools")).content.decode()
    assert f"Put {puller} back" in page and f"{bench.technician.initials}, Bay 2" in page
    address = reverse("tool-back", args=[held.pk])
    assert client.get(address).status_code == 405
    for _twice in range(2):
        assert client.post(address, {"act_key": "back-1"}).status_code == 302
    held.refresh_from_db()
    assert held.took_back == bench.desk
    assert Act.objects.filter(verb="take_back_tool").count() == 1
    late = client.post(address, {"act_key": "back-2"})
    assert late.status_code == 422 and "is back already" in late.content.decode()
    with pytest.raises(Refused):
        checkouts.take_back_tool(checkout=held, by=bench.desk, at=bench.at, call=Call.fresh())


def test_my_bench_gives_back_what_one_has_out(
    bench: Bench, puller: str, client_as: Callable[[Person], Client]
) -> None:
    """Once, and the page says so. Seen red with a fresh key for each press, and with what others have out listed."""
    client, held = client_as(bench.technician), checkouts.out_now().get(tool__tag=puller)
    wrench = bench.tools["torque wrench"]
    checkouts.check_out_tool(tool=wrench, job=bench.other, by=bench.owner, at=bench.at, call=Call.fresh())
    Job.objects.filter(pk=bench.other.pk).update(technician=None)
    page = client.get("/bench/").content.decode()
    assert f"Put {puller} back" in page and f"Put {wrench.tag} back" not in page
    assert "order" in page and "front left" in page and "since" in page
    address = reverse("bench-tool-back", args=[held.pk])
    assert address in page and client.get(address).status_code == 405
    assert client_as(bench.desk).post(address, {"act_key": "back-0"}).status_code == 403
    for _twice in range(2):
        answer = client.post(address, {"act_key": "back-1"})
        assert (answer.status_code, answer["Location"]) == (302, "/bench/")
    page = client.get("/bench/").content.decode()
    assert f"{puller} is back in the crib." in page and f"Put {puller} back" not in page
    held.refresh_from_db()
    assert held.took_back == bench.technician
    assert Act.objects.filter(verb="take_back_tool").count() == 1
    late = client.post(address, {"act_key": "back-2"})
    assert late.status_code == 422 and "is back already" in late.content.decode()
    assert client.post(address, {"act_key": ""}).status_code == 422
    assert client.post(reverse("bench-tool-back", args=[held.pk + 999]), {"act_key": "x"}).status_code == 404


def test_my_bench_names_who_has_the_tool_of_ones_job(
    bench: Bench, puller: str, client_as: Callable[[Person], Client]
) -> None:
    """Seen red with one's own check-outs alone listed."""
    checkouts.check_out_tool(
        tool=bench.tools["ifp puller"], job=bench.job, by=bench.owner, at=bench.at, call=Call.fresh()
    )
    page = client_as(bench.technician).get("/bench/").content.decode()
    assert f"Put {puller} back" in page and f", with {bench.owner.initials}" in page


def test_my_bench_asks_as_often_for_ten_tools_as_for_one(
    bench: Bench, puller: str, client_as: Callable[[Person], Client]
) -> None:
    """Seen red without the order and the damper joined."""
    client = client_as(bench.technician)
    client.get("/bench/")
    with CaptureQueriesContext(connection) as one:
        client.get("/bench/")
    kind = bench.tools["ifp puller"].kind
    for number in range(9):
        tool = tools.add_tool(kind=kind, tag=f"P-2{number}", by=bench.owner, at=bench.at, call=Call.fresh())
        checkouts.check_out_tool(
            tool=tool, job=bench.job, by=bench.technician, at=bench.at, call=Call.fresh()
        )
    with CaptureQueriesContext(connection) as ten:
        assert client.get("/bench/").content.decode().count("Put P-2") == 9
    assert len(one) == len(ten)


def test_the_database_holds_one_checkout_a_tool_and_its_order_in_time(bench: Bench, puller: str) -> None:
    """Seen red with each of the three constraints made idle in the migration."""
    held = checkouts.out_now().get(tool__tag=puller)
    for changed in (
        {"pk": None},
        {"in_at": held.out_at.replace(year=2020), "took_back": held.person},
        {"in_at": held.out_at, "took_back": None},
    ):
        row = Checkout.objects.get(pk=held.pk)
        for name, value in changed.items():
            setattr(row, name, value)
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()


def test_the_book_finds_a_tool_that_is_out_for_a_job_that_is_over(bench: Bench, puller: str) -> None:
    """Seen red with void jobs alone looked at."""
    bench.do("", "close", outcome="uncharged", words="declined")
    Checkout.objects.filter(tool__tag=puller).update(in_at=None, took_back=None)
    assert [(one.book, one.stored) for one in books.differences()] == [("tools out", "out")]


def test_as_many_queries_for_two_jobs_as_for_one(bench: Bench, puller: str) -> None:
    """Seen red with entries read job by job."""
    job = bench.fresh(bench.other)
    with CaptureQueriesContext(connection) as one:
        waits_of([job], bench.at)
    jobs = [bench.fresh(bench.other), bench.fresh(bench.fresh_order())]
    with CaptureQueriesContext(connection) as two:
        waits_of(jobs, bench.at)
    assert len(one) == len(two)
