"""My bench: what each job waits for, notes to the next shift, what lies open at closing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench import services
from shopapp.bench.models import Entry
from shopapp.bench.queries import shift
from shopapp.bench.queries.bodies import open_bodies
from shopapp.bench.queries.waiting import waits_of
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services.acts import Call, Refused
from shopapp.stock import services as stock
from shopapp.stock.models import Item, LotLevel
from tests.bench.make import Bench
from tests.bench.test_pages import more

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


def words_of(bench: Bench) -> list[str]:
    job = bench.fresh()
    return [line.words for line in waits_of([job], bench.at)[job.pk]]


class TestWaits:
    """What a job waits for is derived each time."""

    def test_a_running_wait_says_when_it_is_over(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        job = bench.fresh()
        (line,) = waits_of([job], bench.at)[job.pk]
        assert (line.words[:13], line.over) == ("Drain, until ", False)
        (line,) = waits_of([job], bench.at + dt.timedelta(hours=2))[job.pk]
        assert (line.words[:18], line.over) == ("Drain, over since ", True)

    def test_a_part_without_a_good_lot_is_waited_for_until_it_is_fitted_or_comes(self, bench: Bench) -> None:
        assert words_of(bench) == []
        wiper = Item.objects.get(code="wiper-25")
        std = {"by": bench.owner, "at": bench.at}
        stock.block_lot(lot=bench.lots["wiper"], why="cracked", call=Call.fresh(), **std)
        assert words_of(bench) == ["no good lot of Wiper"]
        stock.receive_lot(
            item=wiper, batch="B-new", quantity=1, received=bench.at.date(), call=Call.fresh(), **std
        )
        assert words_of(bench) == []
        bench.through("reseal-kit", skip=("reseal-oil",))
        assert words_of(bench) == []

    def test_lots_that_hold_too_little_together_are_waited_for(self, bench: Bench) -> None:
        """Seen red: with any lot at all taken for enough."""
        levels = LotLevel.objects.filter(lot__in=[bench.lots["ring"], bench.lots["ring-2"]])
        levels.update(on_hand=1)
        assert words_of(bench) == []
        levels.filter(lot=bench.lots["ring"]).update(on_hand=0)
        assert words_of(bench) == ["no good lot of O-ring 210"]

    def test_a_stopped_job_waits_for_the_owner(self, bench: Bench) -> None:
        bench.do("release-zero", "proof", answer="does not move")
        assert words_of(bench) == ["stopped unsafe: DO NOT OPEN, waits for the owner"]

    def test_a_closed_one_handed_over_waits_for_nothing(self, bench: Bench) -> None:
        job = bench.fresh()
        job.is_open = False
        assert waits_of([job], bench.at) == {}

    def test_the_page_counts_by_the_programs_clock_and_says_the_time_without_script(
        self, bench: Bench, client_as: ClientAs
    ) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        text = client_as(bench.technician).get("/bench/").content.decode()
        assert "Drain, over since" in text or "Drain, until" in text
        assert 'data-now="20' in text
        assert 'js/bench/clocks.js"' in text


class TestShiftNotes:
    """A note to the next shift stands on top until somebody takes it."""

    def leave(self, bench: Bench) -> Entry:
        return bench.do("", "note", words="Hose is pinched: ask Jorun", answer="shift")

    def form(self, client: Client) -> dict[str, str]:
        (_note, form), *_others = client.get("/bench/").context["notes"]
        return {"act_key": form["act_key"].value(), "note": str(form["note"].value())}

    def test_a_plain_note_is_not_for_the_shift(self, bench: Bench) -> None:
        bench.do("", "note", words="seen")
        assert shift.shift_notes() == []

    def test_it_stands_on_my_bench_and_on_the_sheet(self, bench: Bench, client_as: ClientAs) -> None:
        row = self.leave(bench)
        bench.job = bench.other
        client = client_as(bench.technician)
        assert "Hose is pinched: ask Jorun" in client.get("/bench/").content.decode()
        document = client.get(f"/bench/sheets/{row.job_id}/state").json()
        assert [e["words"] for e in document["entries"] if e["shift"]] == ["Hose is pinched: ask Jorun"]

    def test_taken_once_however_often_it_is_sent(self, bench: Bench, client_as: ClientAs) -> None:
        row = self.leave(bench)
        client = client_as(bench.owner)
        data = self.form(client)
        for _twice in range(2):
            response = client.post("/bench/notes/take", data)
            assert (response.status_code, response["Location"]) == (302, "/bench/")
        assert Entry.objects.filter(kind="taken", about=row, by=bench.owner).count() == 1
        assert client.get("/bench/").context["notes"] == []
        assert books.differences() == []

    def test_a_second_one_is_told_who_took_it(self, bench: Bench, client_as: ClientAs) -> None:
        row = self.leave(bench)
        client = client_as(bench.owner)
        data = self.form(client)
        bench.do("", "taken", about=row.pk)
        with pytest.raises(Refused, match="Mo took this note already"):
            bench.do("", "taken", about=row.pk, by=bench.owner)
        response = client.post("/bench/notes/take", data)
        assert response.status_code == 422
        assert Entry.objects.filter(kind="taken").count() == 1

    def test_the_database_lets_nobody_take_it_twice(self, bench: Bench) -> None:
        row = self.leave(bench)
        first = bench.do("", "taken", about=row.pk)
        first.pk, first.counter = None, 99
        with pytest.raises(IntegrityError), transaction.atomic():
            first.save(force_insert=True)

    def test_what_is_no_note_to_the_shift_is_not_taken(self, bench: Bench) -> None:
        plain = bench.do("", "note", words="seen")
        for about in (plain.pk, None):
            with pytest.raises(Refused, match="no such note"):
                bench.do("", "taken", about=about)

    def test_a_corrected_note_gives_way_to_the_new_one(self, bench: Bench) -> None:
        old = self.leave(bench)
        new = bench.do("", "note", words="Hose is fine", answer="shift", replaces=old.pk)
        assert [note.id for note in shift.shift_notes()] == [new.pk]
        with pytest.raises(Refused, match="corrected"):
            bench.do("", "taken", about=old.pk)

    @pytest.mark.parametrize("note", ["", "x", "9" * 400, "00000000-0000-4000-8000-000000000000"])
    def test_a_strange_note(self, bench: Bench, client_as: ClientAs, note: str) -> None:
        self.leave(bench)
        client = client_as(bench.owner)
        response = client.post("/bench/notes/take", {**self.form(client), "note": note})
        assert response.status_code in (404, 422)

    def test_the_desk_takes_none(self, bench: Bench, client_as: ClientAs) -> None:
        assert client_as(bench.desk).post("/bench/notes/take", {}).status_code == 403
        assert client_as(bench.technician).get("/bench/notes/take").status_code == 405
        with pytest.raises(Refused, match="Only technicians"):
            services.take_note(note=self.leave(bench), by=bench.desk, at=bench.at, call=Call.fresh())


class TestOpenBodies:
    """What lies open at closing."""

    def gas(self, bench: Bench) -> tuple[str, bool]:
        (row,) = open_bodies(bench.at)
        return row.gas, row.heavy

    def test_only_what_was_begun_and_is_not_closed(self, bench: Bench) -> None:
        assert open_bodies(bench.at) == []
        bench.through("settings-preload")
        (row,) = open_bodies(bench.at)
        assert (row.where[-10:], row.stage) == ("front left", "Record settings")
        bench.do("", "close", outcome="unrepaired", words="the customer declined")
        assert open_bodies(bench.at) == []

    def test_under_gas_until_zero_is_proved_and_again_once_charged(self, bench: Bench) -> None:
        bench.through("settings-preload")
        assert self.gas(bench) == ("zero is not proved: treat it as under gas", True)
        bench.through("release-zero")
        assert self.gas(bench) == ("no gas: zero is proved", False)
        bench.through("charge-gas")
        assert self.gas(bench) == ("under gas: charged", True)

    def test_a_stopped_one_is_not_opened(self, bench: Bench) -> None:
        bench.do("release-zero", "proof", answer="does not move")
        assert self.gas(bench) == ("DO NOT OPEN: it may be under pressure", True)

    def test_the_page_names_bay_place_wait_and_notes(self, bench: Bench, client_as: ClientAs) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        bench.do("", "note", words="Piston band is tight", answer="shift")
        text = client_as(bench.technician).get("/bench/open-bodies").content.decode()
        for said in (
            "front left",
            "no bay",
            "Drain, ",
            "no gas: zero is proved",
            "Piston band is tight",
            "Mo",
        ):
            assert said in text, said
        assert client_as(bench.desk).get("/bench/open-bodies").status_code == 403

    def test_as_many_queries_for_twenty_as_for_ten(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.owner)

        def begin(number: int) -> None:
            more(bench, number)
            for job in bench.order.customer.orders.latest("pk").jobs.all():
                bench.job = job
                bench.do("", "note", words="begun", answer="shift")

        def count(place: str) -> int:
            with CaptureQueriesContext(connection) as seen:
                assert client.get(place).status_code == 200
            return len(seen)

        begin(8)
        client.get("/bench/")
        first = [count(place) for place in ("/bench/", "/bench/open-bodies")]
        begin(10)
        assert [count(place) for place in ("/bench/", "/bench/open-bodies")] == first
