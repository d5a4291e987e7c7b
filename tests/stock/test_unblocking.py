"""A blocked lot is free again on the owner's word; and a lot that is gone or blocked is found without its address.

Seen red: with the quantity of the lot as it was read in place of `levels.hold` in `unblock_lot` (less than nothing
blocked), without the condition on `blocked_at` (freed twice), with OFFICE in the table of rights, without `takes_back`,
with the used-up lots looked for among those on the shelf, with the row of the block left out (the books differ).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from shopapp.stock import queries
from shopapp.stock import services as stock
from shopapp.stock.books import item_differences, lot_differences
from shopapp.stock.models import Lot, LotBlock
from tests.faults.cutting import cut_at_each_statement
from tests.faults.racing import names_of, race
from tests.web.hostile import HOSTILE

from .shelf import NOW, TODAY, a_job, a_lot, an_item, issue, levels

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def block(lot: Lot, by: Person | None = None, why: str = "lips cut") -> Lot:
    return stock.block_lot(lot=lot, why=why, by=by, at=NOW, call=Call.fresh())


def unblock(lot: Lot, by: Person | None = None, why: str = "measured: within size") -> Lot:
    return stock.unblock_lot(lot=lot, why=why, by=by, at=NOW, call=Call.fresh())


def url(lot: Lot) -> str:
    return reverse("stock-lot-unblock", args=[lot.pk])


def agree() -> bool:
    return not [*item_differences(), *lot_differences()]


def test_the_owner_frees_a_lot_once_and_it_is_issued_again(
    owner: Person, technician: Person, client_as: As
) -> None:
    item = an_item()
    lot, client = block(a_lot(item, 6)), client_as(owner)
    assert "Free this lot" in client.get(reverse("stock-lot", args=[lot.pk])).content.decode()
    body = {"act_key": new_key(), "why": "measured: within size"}
    for _time in range(2):
        answer = client.post(url(lot), body)
        assert (answer.status_code, answer["Location"]) == (302, reverse("stock-lot", args=[lot.pk]))
    assert levels(item) == (6, 0, 0) and agree()
    assert list(queries.all_good_lots(TODAY)) == [lot]
    assert len(issue(lot, 1, a_job(technician), technician)) == 1
    freed = Act.objects.get(verb="unblock_lot")
    assert freed.takes_back == Act.objects.get(verb="block_lot") and freed.by == owner
    page = client.get(reverse("stock-lot", args=[lot.pk])).content.decode()
    assert "lips cut" in page and "measured: within size" in page
    assert "Free this lot" not in page and "Block this lot" in page


def test_blocked_and_freed_again_and_again(owner: Person) -> None:
    item = an_item()
    lot = a_lot(item, 6)
    for why in ("one", "two"):
        block(lot, owner, why)
        assert levels(item) == (6, 6, 0) and agree()
        unblock(lot, owner)
    assert levels(item) == (6, 0, 0) and agree()
    assert Act.objects.filter(takes_back__verb="block_lot").count() == 2
    assert [row.words for row in queries.lot_blocks(lot)][1::2] == ["two", "one"]


def test_what_was_counted_since_the_page_was_read_is_freed_as_it_is_now(owner: Person) -> None:
    item = an_item()
    lot = block(a_lot(item, 6))
    assert lot.level.on_hand == 6
    now = Lot.objects.get(pk=lot.pk)
    stock.count_lot(lot=now, counted=2, reason="by hand", by=owner, at=NOW, call=Call.fresh())
    unblock(lot, owner)
    assert levels(item) == (2, 0, 0) and agree()


def test_what_was_blocked_with_more_is_freed_without_taking_the_whole_act_back(owner: Person) -> None:
    """A wider act (a recall of many lots) stays; only this lot is free."""
    from shopapp.shop.services import acts

    one, two = a_lot(an_item(), 2), a_lot(an_item("O-210", "o-ring"), 3)
    with acts.doing("recall_lot", call=Call.fresh(), by=owner, at=NOW) as act:
        for lot in (one, two):
            stock.block_lot(lot=lot, why="recalled", by=owner, at=NOW, call=Call.fresh(), within=act)
    for lot in (one, two):
        unblock(lot, owner)
    assert set(Act.objects.filter(verb="unblock_lot").values_list("takes_back", flat=True)) == {None}
    assert agree()


def test_no_reason_and_a_lot_that_is_not_blocked_keep_the_form(owner: Person, client_as: As) -> None:
    lot, client = a_lot(an_item(), 6), client_as(owner)
    answer = client.post(url(lot), {"act_key": "k1", "why": "good"})
    assert answer.status_code == 422 and "is not blocked" in answer.content.decode()
    block(lot)
    answer = client.post(url(lot), {"act_key": "k2", "why": "  "})
    assert answer.status_code == 422 and "k2" in answer.content.decode()
    with pytest.raises(Refused, match="good after all"):
        unblock(lot, owner, " ")
    assert Lot.objects.get().blocked_at == NOW


def test_the_owner_alone(desk: Person, technician: Person, client_as: As) -> None:
    lot = block(a_lot(an_item(), 6))
    for person in (desk, technician):
        assert client_as(person).post(url(lot), {"act_key": "k", "why": "x"}).status_code == 403
    assert Client().post(url(lot), {}).status_code == 302
    page = client_as(desk).get(reverse("stock-lot", args=[lot.pk])).content.decode()
    assert "lips cut" in page and "Free this lot" not in page
    assert Lot.objects.get().blocked_at == NOW


def test_hostile_text_is_never_a_fault(owner: Person, client_as: As) -> None:
    lot, client = block(a_lot(an_item(), 6)), client_as(owner)
    for text in HOSTILE.values():
        answer = client.post(url(lot), {"act_key": new_key(), "why": text})
        assert answer.status_code in (302, 400, 422)
        assert b"<script>alert" not in client.get(reverse("stock-lot", args=[lot.pk])).content
        if Lot.objects.get().blocked_at is None:
            block(lot)


def test_a_block_without_words_is_refused_by_the_database(owner: Person) -> None:
    row = LotBlock.objects.get(lot=block(a_lot(an_item(), 6)))
    row.pk, row.words = None, ""
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save(force_insert=True)


@pytest.mark.parametrize("given", [{"blocked_at": None, "blocked_why": ""}, {"blocked_why": "another"}])
def test_the_books_see_a_lot_that_stands_otherwise_than_its_last_block(given: dict[str, object]) -> None:
    lot = block(a_lot(an_item(), 6))
    assert list(lot_differences()) == []
    Lot.objects.filter(pk=lot.pk).update(**given)
    assert [row.row for row in lot_differences()] == ["W-19 lot 2604-C blocked"]


class TestFound:
    """Nobody needs a lot's address to find it."""

    def shown(self, client: Client, show: str, q: str = "") -> str:
        answer = client.get("/stock/", {"show": show, "q": q})
        assert answer.status_code == 200
        return answer.content.decode().partition("Which items")[2]

    def test_a_lot_with_nothing_on_hand(self, desk: Person, technician: Person, client_as: As) -> None:
        item, other, client = an_item(), an_item("O-210", "o-ring"), client_as(desk)
        gone, _here, _other = a_lot(item, 1, "gone-1"), a_lot(item, 5, "here-1"), a_lot(other, 5, "other-1")
        issue(gone, 1, a_job(technician), technician)
        assert "gone-1" not in self.shown(client, "")
        page = self.shown(client, "used up")
        assert reverse("stock-lot", args=[gone.pk]) in page
        assert "here-1" not in page and "O-210" not in page
        assert "gone-1" in self.shown(client, "used up", "GONE")
        assert "No item fits that" in self.shown(client, "used up", "here-2")
        assert "W-19" in self.shown(client, "", "HERE-1")

    def test_a_blocked_one(self, desk: Person, client_as: As) -> None:
        lot, client = block(a_lot(an_item(), 1, "cut-1")), client_as(desk)
        a_lot(lot.item, 3, "fine-1")
        page = self.shown(client, "blocked")
        assert reverse("stock-lot", args=[lot.pk]) in page and "fine-1" not in page

    def test_of_an_item_that_is_no_longer_kept(self, owner: Person, desk: Person, client_as: As) -> None:
        lot = a_lot(an_item(), 1)
        stock.count_lot(lot=lot, counted=0, reason="used", by=desk, at=NOW, call=Call.fresh())
        type(lot.item).objects.filter(pk=lot.item_id).update(retired_at=NOW)
        assert "2604-C" in self.shown(client_as(desk), "used up")
        assert "W-19" not in self.shown(client_as(desk), "")

    def test_the_newest_of_many_and_an_older_one_by_its_batch(self, desk: Person, client_as: As) -> None:
        item, client = an_item(), client_as(desk)
        lots = [a_lot(item, 1, f"b-{number:02}") for number in range(15)]
        for lot in lots:
            stock.count_lot(lot=lot, counted=0, reason="used", by=desk, at=NOW, call=Call.fresh())
        page = self.shown(client, "used up")
        assert "b-14" in page and "b-02" not in page and "and 3 more" in page
        page = self.shown(client, "used up", "b-02")
        assert "b-02" in page and "b-14" not in page and "and 14 more" in page

    def test_a_technician_is_not_offered_what_a_technician_cannot_open(
        self, technician: Person, client_as: As
    ) -> None:
        page = client_as(technician).get("/stock/").content.decode()
        assert "With used-up lots" not in page and "Below the least to keep" in page
        assert client_as(technician).get("/stock/", {"show": "used up"}).status_code == 200

    @pytest.mark.parametrize("show", ["", "blocked", "used up"])
    def test_the_page_asks_as_often_for_20_as_for_10(self, desk: Person, client_as: As, show: str) -> None:
        client, counts = client_as(desk), []
        for batch in range(2):
            for number in range(10):
                lot = a_lot(an_item(f"I-{batch}-{number}"), 1)
                if show == "used up":
                    stock.count_lot(lot=lot, counted=0, reason="x", by=desk, at=NOW, call=Call.fresh())
                elif show:
                    block(lot)
            with CaptureQueriesContext(connection) as asked:
                self.shown(client, show)
            counts.append(len(asked))
        assert counts[0] == counts[1]


@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    """Two owners, an owner and a shelf: one effect, and the books agree."""

    def test_of_four_who_free_a_lot_at_once_one_does(self, owner: Person) -> None:
        item = an_item()
        lot = block(a_lot(item, 6))
        assert names_of(race([lambda: unblock(lot, owner)] * 4)) == ["Lot", "Refused", "Refused", "Refused"]
        assert levels(item) == (6, 0, 0) and agree()
        assert LotBlock.objects.filter(blocked=False).count() == 1

    def test_what_is_counted_in_the_same_moment_is_neither_blocked_nor_lost(self, owner: Person) -> None:
        item = an_item()
        lot = block(a_lot(item, 6))

        def count(counted: int) -> object:
            return stock.count_lot(
                lot=lot, counted=counted, reason="by hand", by=owner, at=NOW, call=Call.fresh()
            )

        race([lambda: count(2), lambda: unblock(lot, owner), lambda: count(9)])
        on_hand, blocked, _reserved = levels(item)
        assert on_hand in (2, 9) and blocked == 0 and agree()

    def test_freeing_a_lot_is_cut_off_at_each_statement(self, owner: Person) -> None:
        lot, call = block(a_lot(an_item(), 6)), Call.once("free")

        def free() -> None:
            stock.unblock_lot(lot=lot, why="measured", by=owner, at=NOW, call=call)

        assert cut_at_each_statement(free) >= 7
