"""The desk and a finding: a price, the customer's answer, an answer taken back; and who of two desks is heard."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from shopapp.bench.handlers import FINDINGS
from shopapp.bench.models import Finding
from shopapp.bench.queries.waiting import waits_of
from shopapp.bench.services import answers
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, Remark, WorkConsent, WorkOrder
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.bench.make import Bench
from tests.bench.test_findings import LAST, agree, find

pytestmark = pytest.mark.django_db
PRICE = Decimal("145.00")


def price(bench: Bench, finding: Finding, **given: Any) -> Finding:
    asked = {
        "revision": finding.revision, "what": "New rod, fitted", "price": PRICE, "tax_category": "S", "by": bench.desk,
        "at": bench.at, "call": Call.fresh(),
    } | given  # fmt: skip
    return answers.price_finding(finding=finding, **asked)


def back(bench: Bench, finding: Finding, **given: Any) -> Finding:
    asked = {"why": "changed his mind", "by": bench.desk, "at": bench.at, "call": Call.fresh()} | given
    return answers.take_back_answer(finding=finding, **asked)


def limit(bench: Bench, amount: str) -> None:
    WorkOrder.objects.filter(pk=bench.order.pk).update(limit_gross=Decimal(amount))


def agreed_limit(bench: Bench) -> Decimal | None:
    return WorkOrder.objects.get(pk=bench.order.pk).limit_gross


def differences() -> list[Any]:
    return list(books.REGISTRY[FINDINGS]())


def test_a_yes_makes_the_line_that_names_the_finding(bench: Bench) -> None:
    """Seen red without the line's `entry_id`."""
    row = agree(bench, find(bench))
    line = OrderLine.objects.get(comes_from="finding")
    assert (line.entry_id, line.job, line.what, line.price) == (
        row.entry_id,
        bench.job,
        "New rod, fitted",
        PRICE,
    )
    consent = WorkConsent.objects.get(about="finding")
    assert (consent.about_id, consent.yes, consent.who, consent.how) == (
        str(row.entry_id),
        True,
        "W. Dallimore",
        "by phone",
    )
    assert (consent.amount, consent.taken_by, consent.order) == (Decimal("600.00"), bench.desk, bench.order)
    assert differences() == []


def test_a_no_makes_no_line(bench: Bench) -> None:
    row = agree(bench, find(bench), yes=False, amount=None)
    assert row.answer == "no"
    assert not OrderLine.objects.filter(comes_from="finding").exists()
    assert differences() == []


def test_a_yes_raises_a_lower_limit_and_taken_back_gives_it_back(bench: Bench) -> None:
    """Seen red without `_raise_limit`, and without `_lower_limit`."""
    limit(bench, "400.00")
    row = agree(bench, find(bench))
    assert agreed_limit(bench) == Decimal("600.00")
    back(bench, row)
    assert agreed_limit(bench) == Decimal("400.00")
    assert not OrderLine.objects.filter(comes_from="finding").exists()
    assert differences() == []


def test_a_limit_agreed_since_stays(bench: Bench) -> None:
    limit(bench, "400.00")
    row = agree(bench, find(bench))
    limit(bench, "700.00")
    back(bench, row)
    assert agreed_limit(bench) == Decimal("700.00")


def test_where_there_was_no_limit_a_yes_makes_none(bench: Bench) -> None:
    agree(bench, find(bench))
    assert agreed_limit(bench) is None


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"amount": None}, "up to what amount"),
        ({"amount": Decimal("399.99")}, "more than that already"),
        ({"who": " "}, "who answered"),
        ({"how": ""}, "who answered"),
        ({"when": dt.datetime(2031, 1, 1, tzinfo=dt.UTC)}, "day and hour"),
        ({"when": dt.datetime(2001, 1, 1, tzinfo=dt.UTC)}, "day and hour"),
    ],
)
def test_an_answer_that_says_too_little_is_refused(bench: Bench, given: dict[str, Any], word: str) -> None:
    limit(bench, "400.00")
    row = find(bench)
    with pytest.raises(Refused) as no:
        agree(bench, row, **given)
    assert word in no.value.sentence
    row.refresh_from_db()
    assert (row.answer, WorkConsent.objects.filter(about="finding").count()) == ("", 0)
    assert differences() == []


def test_a_yes_needs_a_price(bench: Bench) -> None:
    with pytest.raises(Refused) as no:
        answers.answer_finding(
            finding=find(bench), yes=True, who="W", how="phone", amount=PRICE, by=bench.desk, at=bench.at,
            call=Call.fresh(),
        )  # fmt: skip
    assert "price first" in no.value.sentence


def test_the_moment_of_the_answer_is_kept(bench: Bench) -> None:
    row = find(bench)
    when = bench.at - dt.timedelta(seconds=30)
    agree(bench, row, when=when)
    assert WorkConsent.objects.get(about="finding").at == when


def test_an_answer_stands_until_it_is_taken_back(bench: Bench) -> None:
    """Seen red with the UPDATE not asking for an empty answer."""
    row = agree(bench, find(bench), yes=False, amount=None)
    with pytest.raises(Refused) as no:
        agree(bench, row)
    assert "answered already: no" in no.value.sentence
    back(bench, row)
    again = agree(bench, row)
    assert again.answer == "yes"
    taken = Act.objects.get(verb="take_back_answer")
    assert taken.takes_back == WorkConsent.objects.filter(about="finding").earliest("pk").act
    assert Remark.objects.get(act=taken).words == "changed his mind"
    assert "changed his mind" not in str(taken.result) + str(taken.changed)
    assert differences() == []


def test_taken_back_twice_is_once(bench: Bench) -> None:
    row = agree(bench, find(bench))
    call = Call.fresh()
    back(bench, row, call=call)
    with pytest.raises(AlreadyDone):
        back(bench, row, call=call)
    with pytest.raises(Refused):
        back(bench, row)


def test_what_is_invoiced_or_put_right_stays(bench: Bench) -> None:
    row = agree(bench, find(bench))
    OrderLine.objects.filter(entry_id=row.entry_id).update(invoiced=True)
    with pytest.raises(Refused) as no:
        back(bench, row)
    assert "invoiced" in no.value.sentence
    OrderLine.objects.filter(entry_id=row.entry_id).update(invoiced=False)
    bench.do("", "put right", about=row.entry_id, words="new rod")
    with pytest.raises(Refused) as no:
        back(bench, row)
    assert "put right" in no.value.sentence


def test_its_line_is_not_removed_behind_the_answer(bench: Bench) -> None:
    """Seen red with the line removed like any other."""
    row = agree(bench, find(bench))
    line = OrderLine.objects.get(entry_id=row.entry_id)
    with pytest.raises(Refused) as no:
        orders.remove_order_line(order=bench.order, line=line, by=bench.desk, at=bench.at, call=Call.fresh())
    assert "take the answer back" in no.value.sentence
    assert differences() == []


def test_after_a_correction_the_customer_is_asked_again(bench: Bench) -> None:
    """The earlier line stays until the new answer takes its place. Seen red without `_drop_lines_before`."""
    old = agree(bench, find(bench, answer="should"))
    new = find(bench, replaces=old.entry_id, words="bent as well", answer="unsafe")
    with pytest.raises(Refused):
        agree(bench, old)
    assert OrderLine.objects.filter(comes_from="finding").count() == 1
    agree(bench, new, yes=False, amount=None)
    assert not OrderLine.objects.filter(comes_from="finding").exists()
    assert differences() == []


def test_nothing_is_agreed_for_a_closed_job(bench: Bench) -> None:
    row = find(bench)
    bench.do("", "close", outcome="unrepaired", words="declined")
    assert bench.fresh().state == Job.State.DONE
    for attempt in (lambda: price(bench, row), lambda: agree(bench, row), lambda: back(bench, row)):
        with pytest.raises(Refused) as no:
            attempt()
        assert "closed" in no.value.sentence


def test_a_price_is_not_changed_under_an_answer_or_another_hand(bench: Bench) -> None:
    row = find(bench)
    price(bench, row, revision=1)
    with pytest.raises(Refused) as no:
        price(bench, row, revision=1, price=Decimal(1))
    assert "somebody else" in no.value.sentence
    for wrong in ({"what": " "}, {"price": Decimal(-1)}):
        with pytest.raises(Refused):
            price(bench, row, revision=2, **wrong)
    agree(bench, row)
    with pytest.raises(Refused):
        price(bench, row, revision=3)


def test_a_technician_prices_and_answers_nothing(bench: Bench) -> None:
    row = find(bench)
    with pytest.raises(Refused):
        price(bench, row, by=bench.technician)
    price(bench, row)
    for attempt in (
        lambda: answers.answer_finding(
            finding=row, yes=False, who="W", how="phone", by=bench.technician, at=bench.at, call=Call.fresh()
        ),
        lambda: back(bench, row, by=bench.technician),
    ):
        with pytest.raises(Refused):
            attempt()
    assert agree(bench, row).answer == "yes"


def test_a_job_waits_for_a_price_then_for_a_yes_then_for_nothing(bench: Bench) -> None:
    """Derived each time. Seen red with the priced ones taken for answered."""

    def waits() -> list[str]:
        return [
            line.words
            for line in waits_of([bench.fresh()], bench.at)[bench.job.pk]
            if "finding" in line.words
        ]

    find(bench, answer="note", advice="watch")
    assert waits() == []
    row = find(bench, answer="should")
    assert waits() == ["a price for finding 2 rod: pitted"]
    price(bench, row)
    assert waits() == ["a yes to finding 2 rod: pitted"]
    agree(bench, row)
    assert waits() == []


def test_past_the_limit_the_job_waits_for_a_yes(bench: Bench) -> None:
    """Seen red with the source not registered."""
    limit(bench, "400.00")
    bench.through(
        "receive-tags"
        if any(s.step.code == "receive-tags" for s in bench.steps)
        else bench.steps[0].step.code
    )
    said = [line.words for line in waits_of([bench.fresh()], bench.at)[bench.job.pk]]
    assert not any("more than was agreed" in words for words in said)
    limit(bench, "100.00")
    said = [line.words for line in waits_of([bench.fresh()], bench.at)[bench.job.pk]]
    assert "a yes: the order comes to more than was agreed" in said
    assert not any("100" in words or "372" in words for words in said)


def test_done_stays_shut_while_the_answer_is_taken_back(bench: Bench) -> None:
    bench.through("ifp-proof-rod")
    row = agree(bench, find(bench))
    back(bench, row)
    assert "charge" not in bench.sheet().standing.open
    assert LAST not in {bench.sheet().by_key[key].step.code for key in bench.sheet().standing.open_steps}
