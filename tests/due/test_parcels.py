"""A parcel: packed point by point, the gas in it answered for by name, found by its number, with a slip that stays.

Seen red: with one point fewer asked for; with "not charged" believed of a damper that the bench charged; with
the name of who answers kept in the act; with a book that does not look into the parcel.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from shopapp.due import packing
from shopapp.due import services as due
from shopapp.due.handlers import parcel_book
from shopapp.due.models import Parcel
from shopapp.orders.models import Job, Remark
from shopapp.papers import canonical
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.web.queries.where_now import where_is
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_findings import agree, find

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
WHO = "Ossian Quaye-Fell"
RULE = "packing rule 12 of the carrier, booked as 4471"


def close(found: Bench, outcome: str = "unrepaired") -> Job:
    if outcome == "done":
        found.through(found.steps[-1].step.code)
        found.do("", "close", outcome="done")
    else:
        found.do("", "close", outcome=outcome, words="declined")
    return found.fresh()


def send(found: Bench, **more: Any) -> Parcel:
    said: dict[str, Any] = {
        "jobs": [found.job], "carrier": "Harbour Freightways", "consignment": "HF 0071-2",
        "packed": list(packing.POINTS), "gas": "charged", "rule": RULE, "confirmed": WHO, "call": Call.fresh(),
    }  # fmt: skip
    return due.send_parcel(order=found.order, by=found.desk, at=found.at, **said | more)


def post(client: Client, found: Bench, **more: Any) -> HttpResponse:
    said: dict[str, Any] = {
        "act_key": new_key(), "jobs": [found.job.pk], "carrier": "Harbour Freightways", "consignment": "HF 0071-2",
        "packed": list(packing.POINTS), "gas": "charged", "rule": RULE, "confirmed": WHO,
    }  # fmt: skip
    return client.post(reverse("parcel-new", args=[found.order.number]), said | more)


def test_one_of_two_goes_and_is_found_by_its_number(bench: Bench) -> None:  # noqa: F811
    close(bench)
    parcel = send(bench)
    job = bench.fresh()
    assert (job.parcel, job.is_open, job.handed_over_to) == (parcel, False, "Harbour Freightways HF 0071-2")
    assert Job.objects.get(pk=bench.other.pk).is_open
    assert (parcel.number, parcel.gas, parcel.rule, parcel.confirmed) == (1, "charged", RULE, WHO)
    words = where_is(job.damper, at=bench.at, names=False).first
    assert words.endswith("with Harbour Freightways, consignment HF 0071-2") and words.startswith("Sent on")
    act = Act.objects.get(verb="send_parcel")
    assert WHO not in str(act.result) + str(act.changed) and RULE not in str(act.result)
    assert WHO in Remark.objects.get(act=act).words
    assert list(parcel_book()) == []


def test_the_slip_says_what_is_in_it_and_stays(bench: Bench) -> None:  # noqa: F811
    close(bench)
    parcel = send(bench)
    slip = Paper.objects.get(kind="packing slip")
    assert (slip.subject_kind, slip.subject_id) == ("parcel", str(parcel.pk))
    figures = slip.figures
    (row,) = figures["dampers"]
    assert (row["ending"], row["stop"]) == ("NOT REPAIRED", True)
    assert "It may still hold gas" in row["words"] and "treat it as under gas" in row["gas"]
    assert figures["gas"] == {"answer": "charged, as the carrier allows", "rule": RULE, "by": WHO}
    assert figures["packed"] == [str(words) for words in packing.POINTS.values()]
    assert any("dangerous goods: the carrier's rules decide" in words for words in figures["cautions"])
    assert any("Limits of this program" in words for words in figures["cautions"])
    assert slip.figures_hash == canonical.figures_hash(figures)
    with pytest.raises(DatabaseError), transaction.atomic():
        Parcel.objects.update(consignment="another")


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"carrier": " "}, "carrier", "which carrier"),
        ({"consignment": ""}, "consignment", "consignment number"),
        ({"packed": list(packing.POINTS)[1:]}, "packed", "gas valve capped"),
        ({"packed": []}, "packed", "Not looked at yet"),
        ({"gas": "perhaps"}, "gas", "how the gas goes"),
        ({"rule": " "}, "rule", "their rules decide"),
        ({"gas": "let out", "rule": ""}, "rule", "who let the gas out"),
        ({"confirmed": ""}, "confirmed", "who answers"),
        ({"gas": "none", "rule": ""}, "gas", "does not go as not charged"),
        ({"jobs": []}, "jobs", "at least one"),
    ],
)
def test_nothing_is_left_open(bench: Bench, change: dict[str, Any], field: str, words: str) -> None:  # noqa: F811
    close(bench)
    with pytest.raises(Refused, match=words) as no:
        send(bench, **change)
    assert no.value.field == field
    assert not Parcel.objects.exists() and not Paper.objects.filter(kind="packing slip").exists()
    assert bench.fresh().is_open


def test_what_the_bench_charged_does_not_go_as_not_charged(bench: Bench) -> None:  # noqa: F811
    close(bench, "done")
    with pytest.raises(Refused, match="under gas: charged"):
        send(bench, gas="none", rule="")
    send(bench)
    (row,) = Paper.objects.get(kind="packing slip").figures["dampers"]
    assert (row["ending"], row["gas"]) == ("READY", "under gas: charged")


def test_what_is_proved_empty_goes_as_not_charged(bench: Bench) -> None:  # noqa: F811
    bench.through("release-zero")
    close(bench, "uncharged")
    send(bench, gas="none", rule="")
    (row,) = Paper.objects.get(kind="packing slip").figures["dampers"]
    assert (row["ending"], row["gas"]) == ("NO GAS", "no gas: zero is proved")


def test_an_unsafe_damper_wants_its_signature_here_too(bench: Bench) -> None:  # noqa: F811
    agree(bench, find(bench), yes=False, amount=None)
    close(bench)
    with pytest.raises(Refused, match="unsafe to use"):
        send(bench)
    assert not Parcel.objects.exists()
    send(bench, signed=due.SignedAtTheDoor("W. Dallimore"))
    (row,) = Paper.objects.get(kind="packing slip").figures["dampers"]
    assert row["ending"] == "UNSAFE TO USE"


def test_done_twice(bench: Bench) -> None:  # noqa: F811
    close(bench)
    call = Call("k", request_hash="h")
    send(bench, call=call)
    with pytest.raises(AlreadyDone):
        send(bench, call=call)
    with pytest.raises(Refused, match="handed over already"):
        send(bench)
    assert Parcel.objects.count() == 1


@pytest.mark.parametrize("fault", ["empty", "slip"])
def test_the_book_finds_a_planted_fault(bench: Bench, fault: str) -> None:  # noqa: F811
    close(bench)
    parcel = send(bench)
    if fault == "empty":
        Job.objects.update(parcel=None)
    else:
        other = Act.objects.exclude(pk=parcel.act_id).first()
        Parcel.objects.create(
            order=bench.order, number=2, carrier="c", consignment="n", packed=[], gas="none", confirmed="w",
            by=bench.desk, at=bench.at, act=other,
        )  # fmt: skip
    assert list(parcel_book()) != []


def test_the_form_leads_to_the_slip(bench: Bench, client_as: As) -> None:  # noqa: F811
    close(bench)
    client = client_as(bench.desk)
    page = client.get(reverse("parcel-new", args=[bench.order.number])).content.decode()
    assert "dangerous goods" in page and "Hand it to the carrier" in page
    answer = post(client, bench)
    slip = Paper.objects.get(kind="packing slip")
    assert (answer.status_code, answer["Location"]) == (302, reverse("paper", args=[slip.pk]))
    order = client.get(reverse("order", args=[bench.order.number])).content.decode()
    assert "Packing slip" in order and "HF 0071-2" in order


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("packed", ["valve"], "Not looked at yet"), ("packed", [], "Look at each point"),
        ("packed", ["<script>alert(1)</script>"], "no such point"), ("gas", "x", "no such answer"),
        ("carrier", "x" * 5000, "at most 60"), ("rule", "nul \0", "Null"), ("jobs", "9" * 40, "handed over already"),
        ("gas", "none", "does not go as not charged"), ("confirmed", " ", "required"),
    ],
)  # fmt: skip
def test_a_refused_form_is_kept_with_a_sentence(
    bench: Bench,  # noqa: F811
    client_as: As,
    field: str,
    text: Any,
    words: str,
) -> None:
    close(bench)
    answer = post(client_as(bench.desk), bench, **{field: text})
    page = answer.content.decode()
    assert answer.status_code == 422 and words in page and "<script>alert" not in page
    assert ('value="HF 0071-2"' in page) and not Parcel.objects.exists()


def test_rights_and_methods(bench: Bench, client_as: As) -> None:  # noqa: F811
    url = reverse("parcel-new", args=[bench.order.number])
    assert client_as(bench.technician).get(url).status_code == 403
    assert client_as(bench.desk).delete(url).status_code == 405
    assert Client().post(url).status_code == 302
    assert "nothing to pack" in client_as(bench.desk).get(url).content.decode()
