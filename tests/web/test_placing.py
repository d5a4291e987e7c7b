"""Laying parts down by scan: the label, then the shelf; each scan answered large; every slip a sentence.

Seen red: with a shelf taken before a part, with nothing said of the part that was not laid down, with the part's
letter not read out of the code.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.dampers.services import tags
from shopapp.orders import services as orders
from shopapp.orders.models import Job, Placing, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]
PLACE = "/bench/place"
ADDRESS = "HTTPS://DAMPERS.EXAMPLE.COM"


@pytest.fixture
def job(receive: Receive, owner: Person, now: dt.datetime) -> Job:
    for number in (4, 5):
        orders.add_shelf(
            code=f"R2-{number}", rack="rack 2", shelf=f"shelf {number}", by=owner, at=now, call=Call.fresh()
        )
    return receive("118834", "118835").jobs.get(number=1)


def scan(client: Client, text: str, held: str = "", **more: Any) -> Any:
    return client.post(PLACE, {"act_key": new_key(), "scan": text, "held": held, **more}, follow=True)


def test_two_scans_lay_a_part_down(job: Job, technician: Person, client_as: As) -> None:
    client = client_as(technician)
    page = scan(client, f"{ADDRESS}/D/{job.damper.tag}/S")
    held = page.context["held"]
    assert (held.tag, held.part) == (tags.show(job.damper.tag), "springs")
    assert "autofocus" in page.content.decode() and "In hand" in page.content.decode()
    page = scan(client, f"{ADDRESS}/S/R2-4", held.name)
    words = page.content.decode()
    assert "It lies there" in words and "R2-4" in words and page.context["held"] is None
    job.refresh_from_db()
    assert (job.shelf_body, job.shelf_springs) == ("", "R2-4")


def test_a_bare_tag_is_the_body_and_another_part_is_one_tap_away(
    job: Job, desk: Person, client_as: As
) -> None:
    page = scan(client_as(desk), tags.show(job.damper.tag))
    assert page.context["held"].part == "body"
    assert f"{PLACE}?held={job.damper.tag}.tray" in page.content.decode()


def test_a_place_in_words(job: Job, technician: Person, client_as: As) -> None:
    sent = {"act_key": new_key(), "words": "on the bench", "held": f"{job.damper.tag}.tray"}
    client = client_as(technician)
    assert client.post(PLACE, sent).status_code == 302
    assert client.post(PLACE, sent).status_code == 302
    assert Placing.objects.get().place == "on the bench"
    assert client.post(PLACE, sent | {"act_key": new_key(), "words": " "}).status_code == 422


@pytest.mark.parametrize(
    ("text", "held", "words"),
    [
        ("R2-4", "", "Scan the part first"),
        ("R9-9", "body", "no damper&#x27;s tag and no shelf&#x27;s code"),
        ("R9-9", "", "no damper&#x27;s tag and no shelf&#x27;s code"),
        ("4082 217-2", "", "check digit"),
        ("12", "", "eight digits"),
        ("", "body", "Scan a part"),
        ("<script>alert(1)</script>", "body", "no damper&#x27;s tag"),
        ("nul \0", "body", "Null"),
        ("9" * 5000, "", "at most 200"),
    ],
)
def test_a_slip_is_a_sentence(
    job: Job, technician: Person, client_as: As, text: str, held: str, words: str
) -> None:
    page = scan(client_as(technician), text, f"{job.damper.tag}.{held}" if held else "")
    said = page.content.decode()
    assert page.status_code == 422 and words in said and "<script>alert" not in said
    assert bool(page.context["held"]) == bool(held)
    assert not Placing.objects.exists()


def test_a_retired_shelf_takes_nothing(job: Job, owner: Person, now: dt.datetime, client_as: As) -> None:
    from shopapp.orders.models import Shelf

    orders.change_shelf(
        shelf=Shelf.objects.get(code="R2-4"), revision=1, rack="r", name="s", retired=True, by=owner, at=now,
        call=Call.fresh(),
    )  # fmt: skip
    page = scan(client_as(owner), "R2-4", f"{job.damper.tag}.body")
    assert page.status_code == 422 and "no longer used" in page.content.decode()


def test_a_damper_that_is_not_here_is_said_with_where_it_is(job: Job, std: Any, client_as: As) -> None:
    orders.void_job(job=job, why="sold", call=Call.fresh(), **std)
    page = scan(client_as(std["by"]), job.damper.tag)
    assert page.status_code == 422 and "is not here. Not noted as here" in page.content.decode()
    unknown = "0000000" + tags.check_digit("0000000")
    assert "No damper has the tag" in scan(client_as(std["by"]), unknown).content.decode()


def test_a_second_part_says_that_the_first_was_not_laid_down(job: Job, desk: Person, client_as: As) -> None:
    client = client_as(desk)
    other = Job.objects.get(order=job.order, number=2)
    page = scan(client, f"{ADDRESS}/D/{other.damper.tag}", f"{job.damper.tag}.body")
    assert page.context["held"].job == other and page.context["not_laid"].job == job
    assert "was not laid down" in page.content.decode()


def test_looking_writes_nothing_and_bad_addresses_are_empty_hands(
    job: Job, desk: Person, client_as: As
) -> None:
    client, before = client_as(desk), Act.objects.count()
    for query in (
        "held=x",
        "held=40822171.lid",
        "laid=9" * 40,
        "laid=x",
        f"held={job.damper.tag}.body&laid=1",
    ):
        assert client.get(f"{PLACE}?{query}").status_code == 200
    assert Act.objects.count() == before


def test_the_shelf_s_own_page(
    job: Job, technician: Person, std: Any, client_as: As, receive: Receive
) -> None:
    client = client_as(technician)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            assert client.get("/S/r2-4").status_code == 200
        return len(caught)

    def lay(some: list[Job]) -> None:
        for one in some:
            orders.lay_part(job=one, part="body", words="R2-4", call=Call.fresh(), **std)

    assert "Nothing lies here" in client.get("/S/R2-4").content.decode()
    lay(list(receive(*(f"a{n}" for n in range(10))).jobs.all()))
    first = queries()
    lay(list(receive(*(f"b{n}" for n in range(10))).jobs.all()))
    assert queries() == first
    page = client.get("/S/R2-4").content.decode()
    assert page.count("data-label") == 80 and "Wyn" not in page
    assert client.get("/S/R7-7").status_code == 404 and client.get("/S/%00").status_code == 400


def test_a_part_s_code_opens_its_damper(job: Job, desk: Person, client_as: As) -> None:
    client = client_as(desk)
    answer = client.get(f"/D/{job.damper.tag}/T", follow=True)
    assert answer.redirect_chain[-1][0] == reverse("damper", args=[job.damper_id])
    assert client.get(f"/D/{job.damper.tag}/X").status_code == 404


def test_rights_and_methods(job: Job, client_as: As, desk: Person) -> None:
    assert client_as(desk).delete(PLACE).status_code == 405
    assert Client().get(PLACE).status_code == 302
    assert client_as(desk).post("/S/R2-4").status_code == 405
