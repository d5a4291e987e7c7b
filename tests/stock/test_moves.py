"""Lots received, issued, given back, counted, blocked: what is on hand follows, and never falls below nothing."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services import acts
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused
from shopapp.stock import queries
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Lot, LotLevel, StockLevel, StockMove
from shopapp.stock.services import levels as stock_levels

from .shelf import NOW, TODAY, a_job, a_lot, an_item, issue, levels

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


def test_what_is_received_is_on_hand_in_lot_and_item() -> None:
    item = an_item()
    lot = a_lot(item, 12, expires=TODAY + 90 * DAY)
    assert (levels(item), lot.level.on_hand) == ((12, 0, 0), 12)
    move = StockMove.objects.get()
    assert (move.kind, move.quantity, move.line, move.at) == ("receive", 12, 1, NOW)
    assert move.act.result == {"lot": lot.pk, "item": item.pk}


def test_more_of_a_batch_is_added_to_its_lot_and_other_dates_are_refused() -> None:
    item = an_item()
    lot = a_lot(item, 5, expires=TODAY + DAY)
    assert a_lot(item, 3, expires=TODAY + DAY) == lot
    assert levels(item) == (8, 0, 0)
    with pytest.raises(Refused, match="other dates") as no:
        a_lot(item, 3, expires=TODAY + 2 * DAY)
    assert no.value.field == "batch"
    assert levels(item) == (8, 0, 0)


def test_receiving_twice_with_one_key_counts_once() -> None:
    item, call = an_item(), Call(key="receive-1", request_hash="a")
    given = {"item": item, "batch": "B", "quantity": 4, "received": TODAY, "by": None, "at": NOW}
    stock.receive_lot(**given, call=call)
    with pytest.raises(AlreadyDone):
        stock.receive_lot(**given, call=call)
    with pytest.raises(DoneDifferently):
        stock.receive_lot(**given, call=Call(key="receive-1", request_hash="b"))
    assert levels(item) == (4, 0, 0)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"batch": "  "}, "batch"),
        ({"quantity": 0}, "quantity"),
        ({"quantity": 10**13}, "quantity"),
        ({"received": TODAY + DAY}, "received"),
        ({"cured": TODAY + DAY}, "cured"),
        ({"expires": TODAY - DAY}, "expires"),
    ],
)
def test_a_lot_that_cannot_be_is_refused(more: dict[str, object], field: str) -> None:
    given = {"item": an_item(), "batch": "B", "quantity": 4, "received": TODAY, **more}
    with pytest.raises(Refused) as no:
        stock.receive_lot(**given, by=None, at=NOW, call=Call.fresh())
    assert no.value.field == field
    assert not Lot.objects.exists()


def test_issuing_takes_from_lot_and_item_and_names_the_job(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 12)
    (move,) = issue(lot, 5, job, technician)
    lot.level.refresh_from_db()
    assert (levels(item), lot.level.on_hand) == ((7, 0, 0), 7)
    assert (move.quantity, move.kind, move.job, move.by) == (-5, "issue", job, technician)


def test_a_short_lot_is_refused_with_what_is_there_and_nothing_of_the_issue_stays(technician: Person) -> None:
    wiper, oil, job = an_item(), an_item("OIL-15", "damper oil 15", "0.1 mL"), a_job(technician)
    good, short = a_lot(wiper, 3), a_lot(oil, 5000)
    lines = [stock.IssueLine(wiper, good, 1), stock.IssueLine(oil, short, 11200)]
    with pytest.raises(Refused) as no:
        stock.issue(lines=lines, job=job, by=technician, at=NOW, call=Call.fresh())
    assert no.value.sentence == (
        "Lot 2604-C of damper oil 15 holds 500 mL; 1120 mL were asked for. Take another lot."
    )
    assert (levels(wiper), levels(oil)) == ((3, 0, 0), (5000, 0, 0))
    assert not StockMove.objects.filter(kind="issue").exists()


def test_a_lot_past_its_date_is_refused_and_lasts_through_the_day_itself(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    today = a_lot(item, 1, "today", received=TODAY - 9 * DAY, expires=TODAY)
    gone = a_lot(item, 1, "gone", received=TODAY - 9 * DAY, expires=TODAY - DAY)
    with pytest.raises(Refused, match="past its date, 2026-03-01"):
        issue(gone, 1, job, technician)
    issue(today, 1, job, technician)
    assert levels(item) == (1, 0, 0)


def test_a_blocked_lot_is_refused_and_counts_as_blocked(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    bad, good = a_lot(item, 4, "bad"), a_lot(item, 2, "good")
    stock.block_lot(lot=bad, why="lips cut", by=technician, at=NOW, call=Call.fresh())
    assert levels(item) == (6, 4, 0)
    with pytest.raises(Refused, match="Lot bad is blocked"):
        issue(bad, 1, job, technician)
    assert levels(item) == (6, 4, 0)
    issue(good, 2, job, technician)
    assert levels(item) == (4, 4, 0)
    a_lot(item, 3, "bad")
    assert levels(item) == (7, 7, 0), "more of a blocked batch is blocked too"


@pytest.mark.parametrize("quantity", [0, -1, 1.5, True, 10**30])
def test_only_whole_smallest_units_are_issued(technician: Person, quantity: object) -> None:
    lot, job = a_lot(an_item(), 12), a_job(technician)
    with pytest.raises(Refused, match="whole number of the smallest unit"):
        issue(lot, quantity, job, technician)  # type: ignore[arg-type]


def test_a_lot_of_another_item_is_refused(technician: Person) -> None:
    wiper, seal, job = an_item(), an_item("S-1", "rod seal"), a_job(technician)
    line = stock.IssueLine(seal, a_lot(wiper, 3), 1)
    with pytest.raises(Refused, match="not a lot of rod seal"):
        stock.issue(lines=[line], job=job, by=technician, at=NOW, call=Call.fresh())


def test_two_issues_within_one_act_number_their_lines_on(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 12)
    with acts.doing("fit", call=Call.once("fit-1"), by=technician, at=NOW) as act:
        issue(lot, 1, job, technician, within=act)
        issue(lot, 2, job, technician, within=act)
    found = Act.objects.get(key="fit-1").stock_moves.order_by("line")
    assert list(found.values_list("line", "quantity")) == [(1, -1), (2, -2)]


def test_what_is_given_back_is_there_again_once(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 12)
    moves = issue(lot, 5, job, technician)
    (back,) = stock.give_back(moves=moves, job=job, by=technician, at=NOW, call=Call.fresh())
    assert (back.kind, back.quantity, levels(item)) == ("return", 5, (12, 0, 0))
    with pytest.raises(Refused, match="come back already"):
        stock.give_back(moves=moves, job=job, by=technician, at=NOW, call=Call.fresh())
    with pytest.raises(Refused, match="issued to this job"):
        stock.give_back(moves=moves, job=a_job(technician), by=technician, at=NOW, call=Call.fresh())
    assert levels(item) == (12, 0, 0)


def test_the_same_move_cannot_come_back_twice_in_one_list(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    moves = issue(a_lot(item, 12), 5, job, technician)
    with pytest.raises(Refused, match="come back already"):
        stock.give_back(moves=moves * 2, job=job, by=technician, at=NOW, call=Call.fresh())
    assert levels(item) == (7, 0, 0)


def test_counting_sets_the_lot_and_says_nothing_where_it_agrees(technician: Person) -> None:
    item = an_item()
    lot = a_lot(item, 12)
    given = {"lot": lot, "reason": "shelf B", "by": technician, "at": NOW}
    move = stock.count_lot(counted=9, **given, call=Call.fresh())
    assert move is not None
    assert (move.kind, move.quantity, levels(item)) == ("count", -3, (9, 0, 0))
    assert stock.count_lot(counted=9, **given, call=Call.fresh()) is None
    with pytest.raises(Refused, match="zero or more"):
        stock.count_lot(counted=-1, **given, call=Call.fresh())


def test_what_is_held_for_a_job_is_neither_issued_nor_counted_away(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 5)
    StockLevel.objects.filter(item=item).update(reserved=4)
    with pytest.raises(Refused, match="not free"):
        issue(lot, 2, job, technician)
    with pytest.raises(Refused, match="held for jobs"):
        stock.count_lot(lot=lot, counted=3, reason="x", by=technician, at=NOW, call=Call.fresh())
    with pytest.raises(Refused, match="held for jobs"):
        stock.block_lot(lot=lot, why="x", by=technician, at=NOW, call=Call.fresh())
    issue(lot, 1, job, technician)
    assert levels(item) == (4, 0, 4)


def test_the_database_itself_refuses_less_than_nothing_and_a_changed_move(technician: Person) -> None:
    item = an_item()
    lot = a_lot(item, 1)
    with pytest.raises(IntegrityError), transaction.atomic():
        LotLevel.objects.filter(lot=lot).update(on_hand=-1)
    with pytest.raises(IntegrityError), transaction.atomic():
        StockLevel.objects.filter(item=item).update(on_hand=-1)
    with pytest.raises(DatabaseError), transaction.atomic():
        StockMove.objects.update(quantity=2)


def test_a_retired_item_is_not_received(technician: Person) -> None:
    """Seen red without the refusal."""
    item = an_item()
    a_lot(item, 2)
    Item.objects.filter(pk=item.pk).update(retired_at=NOW)
    item.refresh_from_db()
    for batch in ("2604-C", "another"):
        with pytest.raises(Refused) as no:
            a_lot(item, 1, batch)
        assert no.value.sentence == f"{item} is no longer kept. Receive another item."
        assert no.value.field == "item"
    assert (levels(item), Lot.objects.count()) == ((2, 0, 0), 1)


def test_nothing_is_neither_issued_nor_given_back(technician: Person) -> None:
    """Seen red without each refusal: an act of nothing was written."""
    job = a_job(technician)
    with pytest.raises(Refused, match="nothing to issue"):
        stock.issue(lines=[], job=job, by=technician, at=NOW, call=Call.fresh())
    with pytest.raises(Refused, match="nothing to give back"):
        stock.give_back(moves=[], job=job, by=technician, at=NOW, call=Call.fresh())
    assert not Act.objects.filter(verb__in=["issue", "give_back"]).exists()


@pytest.mark.parametrize("reason", ["", "  \t"])
def test_a_count_says_why(technician: Person, reason: str) -> None:
    """Seen red without the refusal, and with blanks taken for a reason."""
    item = an_item()
    lot = a_lot(item, 12)
    with pytest.raises(Refused, match="how it was counted, or why it differs") as no:
        stock.count_lot(lot=lot, counted=9, reason=reason, by=technician, at=NOW, call=Call.fresh())
    assert (no.value.field, levels(item)) == ("reason", (12, 0, 0))


def test_what_was_moved_while_it_was_counted_is_counted_again(technician: Person) -> None:
    """Seen red without the look at what the books said, and with a level corrected whatever it holds by then."""
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 12)
    issue(lot, 2, job, technician)
    with pytest.raises(Refused, match="moved while it was counted") as no:
        stock.count_lot(lot=lot, counted=12, booked=12, reason="x", by=technician, at=NOW, call=Call.fresh())
    assert no.value.field == "counted"
    with pytest.raises(Refused, match="moved while it was counted") as no:
        stock_levels.correct(lot, 12, 11)
    assert (no.value.field, levels(item)) == ("counted", (10, 0, 0))
    assert LotLevel.objects.get(lot=lot).on_hand == 10
    stock.count_lot(lot=lot, counted=9, booked=10, reason="x", by=technician, at=NOW, call=Call.fresh())
    assert levels(item) == (9, 0, 0)


def test_good_lots_stand_with_the_first_to_expire_in_front() -> None:
    item = an_item()
    old = TODAY - 9 * DAY
    for batch, expires in (("never", None), ("late", 90), ("soon", 5), ("gone", -1)):
        a_lot(item, 2, batch, received=old, expires=None if expires is None else TODAY + expires * DAY)
    blocked = a_lot(item, 2, "blocked", expires=TODAY + DAY)
    stock.block_lot(lot=blocked, why="x", by=None, at=NOW, call=Call.fresh())
    assert [lot.batch for lot in queries.all_good_lots(TODAY)] == ["soon", "late", "never"]
