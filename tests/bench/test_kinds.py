"""Each kind of entry: what is right, and what is refused in a sentence, storing nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest

from shopapp.bench.models import Entry, Wait
from shopapp.orders.models import Job, OrderLine
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused
from shopapp.stock.models import LotLevel, StockMove
from shopapp.tools import services as tools
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db

WRONG: list[tuple[str, str, dict[str, Any], str]] = [
    ("receive-tag", "reading", {"text": "3"}, "asks for something else"),
    ("receive-tag", "proof", {"answer": "cap moves"}, "asks for something else"),
    ("receive-tag", "wait", {}, "asks for something else"),
    ("settings-eyes", "do", {}, "asks for something else"),
    ("settings-eyes", "reading", {}, "No figure"),
    ("settings-eyes", "reading", {"text": "28 psi"}, "not a unit of length"),
    ("settings-eyes", "reading", {"text": "-28"}, "below zero"),
    ("settings-eyes", "reading", {"text": "2 3/0"}, "."),
    ("settings-eyes", "reading", {"text": "nan"}, "."),
    ("settings-eyes", "reading", {"text": "1e400 mm"}, "."),
    ("settings-eyes", "reading", {"text": "28,06"}, "."),
    ("settings-eyes", "reading", {"text": "<b>28</b>"}, "."),
    ("settings-eyes", "unreadable", {}, "Say why"),
    ("settings-adjusters", "reading", {"text": "11 mm"}, "."),
    ("release-temperature", "reading", {"text": "-300 °C"}, "absolute zero"),
    ("release-temperature", "reading", {"text": "900 °C"}, "between −40 and 150"),
    ("release-zero", "proof", {}, "Choose one of the answers"),
    ("release-zero", "proof", {"answer": "it surely moved"}, "Choose one of the answers"),
    ("settings-springs", "choice", {"answer": "cap moves"}, "Choose one of the answers"),
    ("spring-compressor", "tool", {}, "tag of the tool"),
    ("spring-compressor", "tool", {"tool": "X-99"}, "no tool with the tag"),
    ("spring-compressor", "tool", {"tool": "G-04"}, "wants another tool"),
    ("strip-drain", "wait end", {}, "No such wait"),
    ("", "note", {}, "Write what the note says"),
    ("", "do", {}, "asks for something else"),
    ("", "close", {"outcome": "done"}, "Not done yet"),
    ("", "close", {"outcome": "sold"}, "Choose how the job ends"),
    ("", "close", {}, "Choose how the job ends"),
    ("", "close", {"outcome": "unrepaired"}, "Say in words"),
    ("", "close", {"outcome": "uncharged", "words": "no gas"}, "Zero pressure is not proved"),
]


@pytest.mark.parametrize(("code", "kind", "given", "sentence"), WRONG)
def test_wrong_input_is_a_sentence_and_stores_nothing(
    bench: Bench, code: str, kind: str, given: dict[str, Any], sentence: str
) -> None:
    if kind == "wait end":
        bench.unlock("strip")
    before = Entry.objects.count()
    with pytest.raises(Refused, match=sentence) as refused:
        bench.do(code, kind, **given)
    assert refused.value.sentence[-1] in ".!?"
    assert Entry.objects.count() == before


def test_each_kind_stores_what_is_right(bench: Bench) -> None:
    bench.unlock("charge")
    kinds = {
        bench.do("receive-tag", "do").kind,
        bench.do("settings-eyes", "unreadable", words="eye worn oval").kind,
        bench.do("settings-springs", "choice", answer="main alone").kind,
        bench.do("spring-compressor", "tool", tool="c-01").kind,
        bench.do("strip-drain", "wait").kind,
        bench.do("reseal-kit", "part").kind,
        bench.do("", "note", words="Scratches on the body, seen on arrival").kind,
    }
    assert kinds == {"do", "unreadable", "choice", "tool", "wait", "part", "note"}
    assert not Entry.objects.filter(job=bench.job, out_of_order=True).exists()


def test_the_desk_records_nothing(bench: Bench) -> None:
    with pytest.raises(Refused, match="Only technicians and the owner"):
        bench.do("receive-tag", "do", by=bench.desk)


def test_a_step_of_another_procedure_is_refused(bench: Bench) -> None:
    entry = bench.entry("receive-tag", "do")
    stranger = type(entry)(**{**{f: getattr(entry, f) for f in entry.__dataclass_fields__}, "step": 10**12})
    with pytest.raises(Refused, match="not on this job's sheet"):
        bench.record(stranger)


def test_a_position_that_the_damper_has_not_is_refused(bench: Bench) -> None:
    entry = bench.entry("settings-adjusters", "reading", text="11")
    other = type(entry)(
        **{**{f: getattr(entry, f) for f in entry.__dataclass_fields__}, "position": "High speed"}
    )
    with pytest.raises(Refused, match="not on this job's sheet"):
        bench.record(other)


class TestAgain:
    """The same entry, and the same number, once more."""

    def test_the_same_entry_is_led_to_the_first(self, bench: Bench) -> None:
        entry = bench.entry("receive-tag", "do")
        row = bench.record(entry)
        with pytest.raises(AlreadyDone) as done:
            bench.record(entry)
        assert done.value.act.result["entry"] == str(row.pk)
        assert Entry.objects.filter(job=bench.job).count() == 1

    def test_the_same_id_with_other_figures_is_refused(self, bench: Bench) -> None:
        first = bench.entry("settings-eyes", "reading", text="28")
        bench.record(first)
        second = bench.entry("settings-eyes", "reading", text="29", id=first.id)
        with pytest.raises(DoneDifferently):
            bench.record(second)

    def test_a_number_that_the_tablet_used_is_refused(self, bench: Bench) -> None:
        bench.record(bench.entry("receive-tag", "do", counter=7))
        with pytest.raises(Refused, match="same number"):
            bench.record(bench.entry("wash-outside", "do", counter=7))

    def test_two_people_at_one_sheet_both_stand(self, bench: Bench) -> None:
        bench.do("settings-eyes", "reading", text="28 1/16")
        bench.do("settings-eyes", "reading", text="28", by=bench.owner)
        rows = bench.sheet().current(bench.step("settings-eyes").key)
        assert [(row.value_text, row.by.initials) for row in rows] == [("28 1/16", "MO"), ("28", "AO")]


class TestCorrections:
    """A correction is a new entry that names the old one, which can be named once."""

    def test_the_old_value_stays_beside_the_new(self, bench: Bench) -> None:
        old = bench.do("settings-eyes", "reading", text="82")
        new = bench.do("settings-eyes", "reading", text="28", replaces=old.pk)
        sheet = bench.sheet()
        assert [row.pk for row in sheet.current(bench.step("settings-eyes").key)] == [new.pk]
        assert Entry.objects.filter(pk=old.pk, value_text="82").exists()

    def test_it_can_be_corrected_once(self, bench: Bench) -> None:
        old = bench.do("settings-eyes", "reading", text="82")
        bench.do("settings-eyes", "reading", text="28", replaces=old.pk)
        with pytest.raises(Refused, match="corrected this entry already"):
            bench.do("settings-eyes", "reading", text="27", replaces=old.pk)

    @pytest.mark.parametrize(
        ("code", "kind", "given"),
        [
            ("settings-preload", "reading", {"text": "2 in"}),
            ("receive-tag", "do", {}),
            ("", "note", {"words": "never mind"}),
        ],
    )
    def test_another_step_or_sort_does_not_correct_it(
        self, bench: Bench, code: str, kind: str, given: dict[str, Any]
    ) -> None:
        old = bench.do("settings-eyes", "reading", text="28")
        with pytest.raises(Refused, match="cannot be corrected by that"):
            bench.do(code, kind, replaces=old.pk, **given)

    def test_an_entry_of_another_job_is_not_corrected(self, bench: Bench) -> None:
        old = bench.do("settings-eyes", "reading", text="28", job=bench.other.pk)
        with pytest.raises(Refused, match="not on this sheet"):
            bench.do("settings-eyes", "reading", text="27", replaces=old.pk)

    def test_a_release_or_a_closing_is_not_corrected(self, bench: Bench) -> None:
        row = bench.do("", "close", outcome="unrepaired", words="declined")
        with pytest.raises(Refused, match="cannot be corrected"):
            bench.do("", "close", outcome="unrepaired", words="declined twice", replaces=row.pk)


class TestParts:
    """Kit and oil: lots named or the first to expire, never twice, taken back by a correction."""

    def on_hand(self, bench: Bench, name: str) -> int:
        return LotLevel.objects.get(lot=bench.lots[name]).on_hand

    def test_the_lot_that_is_named_is_taken(self, bench: Bench) -> None:
        from shopapp.bench.services import LotIn

        bench.unlock("strip")
        row = bench.do("reseal-kit", "part", lots=(LotIn(2, bench.lots["ring-2"].pk),))
        assert (self.on_hand(bench, "ring"), self.on_hand(bench, "ring-2")) == (3, 8)
        assert [lot["batch"] for lot in row.payload["lots"]] == ["B-wiper", "B-ring-2"]

    def test_a_lot_of_something_else_is_refused(self, bench: Bench) -> None:
        from shopapp.bench.services import LotIn

        bench.unlock("strip")
        for lots in ((LotIn(1, bench.lots["ring"].pk),), (LotIn(9, 1),), (LotIn(1, 10**12),)):
            with pytest.raises(Refused):
                bench.do("reseal-kit", "part", lots=lots)
        assert not StockMove.objects.filter(job=bench.job).exists()

    def test_a_second_kit_for_the_same_step_is_refused(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("reseal-kit", "part")
        with pytest.raises(Refused, match="recorded this part already"):
            bench.do("reseal-kit", "part", by=bench.owner)
        assert self.on_hand(bench, "wiper") == 5

    def test_two_lots_where_one_does_not_reach_and_a_sentence_where_none_does(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("reseal-kit", "part")
        bench.job = bench.other
        bench.unlock("strip")
        row = bench.do("reseal-kit", "part")
        assert [(lot["batch"], lot["quantity"]) for lot in row.payload["lots"]] == [
            ("B-wiper", 1), ("B-ring", 1), ("B-ring-2", 1),
        ]  # fmt: skip

    def test_short_stock_stores_nothing(self, bench: Bench) -> None:
        from shopapp.stock import services as stock

        bench.unlock("strip")
        stock.count_lot(
            lot=bench.lots["wiper"],
            counted=0,
            reason="counted",
            by=bench.desk,
            at=bench.at,
            call=Call.fresh(),
        )
        with pytest.raises(Refused, match="Wiper"):
            bench.do("reseal-kit", "part")
        assert not StockMove.objects.filter(job=bench.job).exists()

    def test_a_correction_puts_the_old_kit_back_first(self, bench: Bench) -> None:
        from shopapp.bench.services import LotIn

        bench.unlock("strip")
        old = bench.do("reseal-kit", "part")
        new = bench.do("reseal-kit", "part", replaces=old.pk, lots=(LotIn(2, bench.lots["ring-2"].pk),))
        assert (self.on_hand(bench, "wiper"), self.on_hand(bench, "ring"), self.on_hand(bench, "ring-2")) == (
            5, 3, 8,
        )  # fmt: skip
        lines = OrderLine.objects.filter(job=bench.job, comes_from="move")
        assert [line.entry_id for line in lines] == [new.pk]

    def test_an_invoiced_kit_is_not_corrected(self, bench: Bench) -> None:
        bench.unlock("strip")
        old = bench.do("reseal-kit", "part")
        OrderLine.objects.filter(entry_id=old.pk).update(invoiced=True)
        with pytest.raises(Refused, match="invoiced already"):
            bench.do("reseal-kit", "part", replaces=old.pk)

    def test_oil_as_typed(self, bench: Bench) -> None:
        bench.unlock("strip")
        row = bench.do("fill-oil", "part", text="16 US fl oz", words="level with the seat")
        assert row.payload["lots"][0]["quantity"] == 4732
        assert row.value_text == "16 US fl oz"

    @pytest.mark.parametrize("text", ["16 psi", "0 ml", "900 L", "two cups"])
    def test_no_such_amount_of_oil(self, bench: Bench, text: str) -> None:
        bench.unlock("strip")
        with pytest.raises(Refused):
            bench.do("fill-oil", "part", text=text)


class TestWaits:
    """A wait begins, runs, and ends; before its time with a reason."""

    def test_it_ends_after_its_minutes(self, bench: Bench) -> None:
        bench.unlock("strip")
        begun = bench.at
        row = bench.do("strip-drain", "wait")
        assert Wait.objects.get(entry=row).ends == begun + dt.timedelta(minutes=20)
        bench.at += dt.timedelta(minutes=30)
        end = bench.do("strip-drain", "wait end", about=row.pk)
        assert Wait.objects.get(entry=row).ended_by == end
        assert bench.step("strip-drain").key in bench.sheet().standing.satisfied

    def test_before_its_time_it_wants_a_reason(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        with pytest.raises(Refused, match="runs until") as refused:
            bench.do("strip-drain", "wait end")
        assert refused.value.field == "reason"
        bench.do("strip-drain", "wait end", reason="drained with warm air of the bay")
        assert bench.step("strip-drain").key in bench.sheet().standing.satisfied

    def test_a_running_one_is_not_begun_again(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        with pytest.raises(Refused, match="runs already"):
            bench.do("strip-drain", "wait")

    def test_a_corrected_beginning_runs_anew(self, bench: Bench) -> None:
        bench.unlock("strip")
        old = bench.do("strip-drain", "wait")
        new = bench.do("strip-drain", "wait", replaces=old.pk)
        assert list(Wait.objects.filter(ended_by__isnull=True)) == [Wait.objects.get(entry=new)]

    def test_the_end_of_another_wait_is_refused(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("strip-drain", "wait")
        with pytest.raises(Refused, match="No such wait"):
            bench.do("strip-drain", "wait end", about=uuid.uuid4(), reason="in a hurry")


class TestTools:
    """Failed is refused; overdue wants a reason, where it matters the owner's."""

    def check(self, bench: Bench, code: str, *, passed: bool, until: dt.date | None) -> None:
        tools.record_check(
            tool=bench.tools[code], kind="calibration", on=bench.at.date() + dt.timedelta(days=1), until=until,
            passed=passed, by=bench.owner, at=bench.at + dt.timedelta(days=1), call=Call.fresh(),
        )  # fmt: skip
        bench.at += dt.timedelta(days=2)

    def go_past_its_date(self, bench: Bench, code: str) -> None:
        self.check(bench, code, passed=True, until=bench.at.date() + dt.timedelta(days=365))
        bench.at += dt.timedelta(days=500)

    def test_one_that_failed_is_refused(self, bench: Bench) -> None:
        bench.unlock("spring off")
        self.check(bench, "spring compressor", passed=False, until=None)
        for by in (bench.technician, bench.owner):
            with pytest.raises(Refused, match="failed its check"):
                bench.do("spring-compressor", "tool", tool="C-01", reason="no other here", by=by)

    def test_overdue_wants_a_reason(self, bench: Bench) -> None:
        bench.unlock("spring off")
        self.go_past_its_date(bench, "spring compressor")
        with pytest.raises(Refused, match="past its check") as refused:
            bench.do("spring-compressor", "tool", tool="C-01")
        assert refused.value.field == "reason"
        row = bench.do("spring-compressor", "tool", tool="C-01", reason="checked by hand")
        assert row.payload["tool standing"] == "overdue"

    def test_at_the_piston_nut_only_the_owner_lets_an_overdue_one_pass(self, bench: Bench) -> None:
        bench.unlock("strip")
        self.go_past_its_date(bench, "torque wrench")
        given = {"text": "32 ft-lb", "tool": "W-01", "reason": "the other one is away"}
        with pytest.raises(Refused, match="only the owner"):
            bench.do("rod-nut-torque", "reading", **given)
        with pytest.raises(Refused, match="say why"):
            bench.do("rod-nut-torque", "reading", by=bench.owner, **{**given, "reason": ""})
        assert not bench.do("rod-nut-torque", "reading", by=bench.owner, **given).out_of_order

    def test_a_critical_reading_names_its_tool(self, bench: Bench) -> None:
        bench.unlock("strip")
        with pytest.raises(Refused, match="Name the tool") as refused:
            bench.do("rod-nut-torque", "reading", text="32 ft-lb")
        assert refused.value.field == "tool"

    def test_a_puller_of_another_thread_is_refused(self, bench: Bench) -> None:
        tools.add_tool(
            kind=bench.tools["ifp puller"].kind, tag="P-09", narrowing="M8", by=bench.owner, at=bench.at,
            call=Call.fresh(),
        )  # fmt: skip
        bench.unlock("strip")
        with pytest.raises(Refused, match=r"is for M8\. The sheet asks for M10"):
            bench.do("strip-puller", "tool", tool="P-09")


class TestClosing:
    """Done only when every required step stands; the other ways with words."""

    def test_a_missing_step_is_named(self, bench: Bench) -> None:
        bench.through("final-leave", skip=("wash-outside", "prove-tight"))
        with pytest.raises(Refused, match="Not done yet: Outside washed, threads dry, Tight"):
            bench.do("", "close", outcome="done")

    def test_unrepaired_before_anything_is_opened(self, bench: Bench) -> None:
        bench.do("", "close", outcome="unrepaired", words="declined on the phone")
        job = bench.fresh()
        assert (job.state, job.outcome, job.next_due) == (Job.State.DONE, "unrepaired", None)

    def test_uncharged_once_zero_is_proved(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("", "close", outcome="uncharged", words="hose unsafe, declined")
        assert bench.fresh().outcome == "uncharged"

    def test_a_charged_damper_is_not_called_uncharged(self, bench: Bench) -> None:
        bench.unlock("charge")
        bench.do("charge-temperature", "reading", text="20 °C")
        bench.do("charge-gas", "reading", text="140 psi", tool="G-04")
        with pytest.raises(Refused, match="cannot be called uncharged"):
            bench.do("", "close", outcome="uncharged", words="the customer wants none")

    def test_a_closed_job_is_not_closed_again(self, bench: Bench) -> None:
        bench.do("", "close", outcome="unrepaired", words="declined")
        with pytest.raises(Refused, match="This job is closed"):
            bench.do("", "close", outcome="not serviceable", words="sealed")

    def test_an_entry_after_closing_is_stored_out_of_order(self, bench: Bench) -> None:
        bench.do("", "close", outcome="unrepaired", words="declined")
        assert bench.do("receive-tag", "do").out_of_order
        assert bench.fresh().state == Job.State.DONE
