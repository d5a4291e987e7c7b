"""A trainee's entries and who countersigns them; steps for trained people alone."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable

import pytest
from django.db import IntegrityError, transaction
from django.test import Client

from shopapp.bench import report_log, report_record
from shopapp.bench.models import Entry
from shopapp.bench.queries.waiting import waits_of
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services.acts import Refused
from tests.bench.make import Bench
from tests.conftest import make_person

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


@pytest.fixture
def trainee(bench: Bench) -> Person:
    return make_person("ravi", "technician", initials="RQ", skills=["charging"], countersign_needed=True)


@pytest.fixture
def other(bench: Bench) -> Person:
    return make_person("ilse", "technician", initials="IB", skills=["charging"])


def zero_by(bench: Bench, person: Person) -> Entry:
    bench.through("release-gas")
    return bench.do("release-zero", "proof", answer="cap moves", by=person)


class TestTrainee:
    """What a trainee records is stored, marked, and waits for another hand."""

    def test_it_is_marked_and_my_bench_says_so(self, bench: Bench, trainee: Person) -> None:
        row = bench.do("receive-tag", "do", by=trainee)
        assert row.to_countersign
        job = bench.fresh()
        (line,) = waits_of([job], bench.at)[job.pk]
        assert (line.words, line.holds_up) == ("1 entry of RQ to be countersigned", False)

    def test_nobody_else_is_marked(self, bench: Bench) -> None:
        assert not bench.do("receive-tag", "do").to_countersign

    def test_notes_are_not_signed(self, bench: Bench, trainee: Person) -> None:
        assert not bench.do("", "note", words="seen", by=trainee).to_countersign

    def test_zero_by_a_trainee_does_not_open_strip(
        self, bench: Bench, trainee: Person, other: Person
    ) -> None:
        row = zero_by(bench, trainee)
        assert "strip" not in bench.sheet().standing.open
        assert bench.do("strip-cap", "do").out_of_order
        bench.do("", "countersign", about=row.pk, by=other)
        assert "strip" in bench.sheet().standing.open
        assert not bench.do("strip-cap", "do").out_of_order

    def test_the_sheet_says_who_opens_it(self, bench: Bench, trainee: Person, client_as: ClientAs) -> None:
        zero_by(bench, trainee)
        document = client_as(bench.technician).get(f"/bench/sheets/{bench.job.pk}/state").json()
        stage = next(row for row in document["stages"] if row["code"] == "strip")
        assert stage["locked_by"] == [
            "Proof of zero waits to be countersigned: somebody trained for it looks at the damper."
        ]
        assert document["skilled"]["charging"] == ["MO", "RQ"]

    def test_a_stop_by_a_trainee_stops_at_once(self, bench: Bench, trainee: Person) -> None:
        bench.through("release-gas")
        bench.do("release-zero", "proof", answer="does not move", by=trainee)
        assert bench.fresh().state == "stopped"

    def test_the_job_is_not_done_before_all_is_signed(
        self, bench: Bench, trainee: Person, other: Person
    ) -> None:
        row = bench.do("receive-tag", "do", by=trainee)
        bench.through("final-leave")
        assert not bench.sheet().standing.may_close_done
        with pytest.raises(Refused, match="countersigned: Tag read against this sheet"):
            bench.do("", "close", outcome="done")
        bench.do("", "countersign", about=row.pk, by=other)
        bench.do("", "close", outcome="done")
        assert bench.fresh().state == "done"
        assert books.differences() == []

    def test_the_report_shows_both_initials(self, bench: Bench, trainee: Person, other: Person) -> None:
        row = zero_by(bench, trainee)
        record = report_record.read(bench.job.pk)
        (remark,) = report_log.remarks(record)
        assert remark["what"].endswith(": recorded by a trainee and not countersigned")
        bench.do("", "countersign", about=row.pk, by=other)
        record = report_record.read(bench.job.pk)
        assert report_log.proofs(record)[-1]["by"] == "RQ/IB"
        assert report_log.log(record)[-1]["by"] == "RQ/IB"
        assert ["IB", "Ilse"] in report_log.people(record)


class TestCountersigning:
    """Once, by somebody else, no trainee, trained for it."""

    def refused(self, bench: Bench, row: Entry, by: Person, words: str) -> None:
        with pytest.raises(Refused, match=words):
            bench.do("", "countersign", about=row.pk, by=by)

    def test_not_by_the_trainee(self, bench: Bench, trainee: Person) -> None:
        self.refused(bench, zero_by(bench, trainee), trainee, "entry of their own")

    def test_not_by_another_trainee(self, bench: Bench, trainee: Person) -> None:
        second = make_person(
            "noor", "technician", initials="NK", skills=["charging"], countersign_needed=True
        )
        self.refused(bench, zero_by(bench, trainee), second, "A trainee countersigns nothing")

    def test_not_without_the_skill(self, bench: Bench, trainee: Person) -> None:
        self.refused(
            bench, zero_by(bench, trainee), bench.owner, "trained for charging. Trained for it: MO, RQ"
        )

    def test_a_plain_step_by_anybody_at_the_bench(self, bench: Bench, trainee: Person) -> None:
        row = bench.do("receive-tag", "do", by=trainee)
        assert bench.do("", "countersign", about=row.pk, by=bench.owner).about_id == row.pk

    def test_not_by_the_desk(self, bench: Bench, trainee: Person) -> None:
        self.refused(bench, zero_by(bench, trainee), bench.desk, "Only technicians")

    def test_once(self, bench: Bench, trainee: Person, other: Person) -> None:
        row = zero_by(bench, trainee)
        first = bench.do("", "countersign", about=row.pk)
        self.refused(bench, row, other, "Mo countersigned this entry already")
        first.pk, first.counter = uuid.uuid4(), 999
        with pytest.raises(IntegrityError), transaction.atomic():
            first.save(force_insert=True)

    def test_not_what_asks_for_none(self, bench: Bench, other: Person) -> None:
        self.refused(bench, bench.do("receive-tag", "do"), other, "nothing to countersign")

    def test_not_what_was_corrected(self, bench: Bench, trainee: Person, other: Person) -> None:
        row = zero_by(bench, trainee)
        bench.do("release-zero", "proof", answer="cap moves", replaces=row.pk, by=other)
        self.refused(bench, row, other, "was corrected")
        assert "strip" in bench.sheet().standing.open

    def test_not_corrected_itself(self, bench: Bench, trainee: Person, other: Person) -> None:
        row = zero_by(bench, trainee)
        signature = bench.do("", "countersign", about=row.pk, by=other)
        with pytest.raises(Refused, match="cannot be corrected"):
            bench.do("", "countersign", about=row.pk, replaces=signature.pk, by=other)

    def test_a_correction_by_the_trainee_waits_anew(
        self, bench: Bench, trainee: Person, other: Person
    ) -> None:
        row = zero_by(bench, trainee)
        bench.do("", "countersign", about=row.pk, by=other)
        bench.do("release-zero", "proof", answer="cap moves", replaces=row.pk, by=trainee)
        assert "strip" not in bench.sheet().standing.open

    @pytest.mark.parametrize("about", [None, "x", 7, [], "3d1b979b-f17c-4955-8f01-72847e5827eb"])
    def test_a_strange_about_is_a_sentence(self, bench: Bench, client_as: ClientAs, about: object) -> None:
        body = {
            "id": str(uuid.uuid4()), "job": bench.job.pk, "kind": "countersign", "about": about, "counter": 1,
            "typed_at": "2026-03-02T09:00:00+00:00",
        }  # fmt: skip
        response = client_as(bench.technician).post(
            "/bench/entries", json.dumps({"entries": [body]}), content_type="application/json"
        )
        (answer,) = response.json()["answers"]
        assert (response.status_code, answer["state"]) == (200, "refused")
        assert answer["sentence"]


class TestSkills:
    """Steps that ask for a skill are recorded by those who have it; a stop by anybody."""

    def charged_by(self, bench: Bench, person: Person) -> Entry:
        bench.through("charge-temperature")
        return bench.do("charge-gas", "reading", text="152 psi", tool="G-04", by=person)

    def test_without_the_skill_it_is_refused_naming_who_may(self, bench: Bench, other: Person) -> None:
        with pytest.raises(Refused, match=r"Charge is for people trained for charging: IB, MO\. Ask one"):
            self.charged_by(bench, bench.owner)
        assert not Entry.objects.filter(name="charge", phase="built").exists()

    def test_with_the_skill_it_is_recorded(self, bench: Bench, other: Person) -> None:
        assert not self.charged_by(bench, other).out_of_order

    def test_who_left_is_not_named(self, bench: Bench, other: Person) -> None:
        Person.objects.filter(pk=other.pk).update(is_active=False)
        with pytest.raises(Refused, match=r"trained for charging: MO\. Ask"):
            self.charged_by(bench, bench.owner)

    def test_where_nobody_has_it_the_owner_enters_who(self, bench: Bench) -> None:
        bench.through("charge-temperature")
        Person.objects.update(skills=[])
        with pytest.raises(Refused, match="the owner enters who is"):
            bench.do("charge-gas", "reading", text="152 psi", tool="G-04", by=bench.owner)

    def test_not_readable_and_out_of_order_are_refused_alike(self, bench: Bench, other: Person) -> None:
        for kind, given in (
            ("unreadable", {"words": "dark"}),
            ("reading", {"text": "152 psi", "tool": "G-04"}),
        ):
            with pytest.raises(Refused, match="trained for charging"):
                bench.do("charge-gas", kind, by=bench.owner, **given)

    def test_a_note_on_it_is_anybodys(self, bench: Bench) -> None:
        assert bench.do("charge-gas", "note", words="gauge sticks", by=bench.owner).step_id

    def test_the_document_names_the_skill_and_who_has_it(self, bench: Bench, client_as: ClientAs) -> None:
        document = client_as(bench.owner).get(f"/bench/sheets/{bench.job.pk}/state").json()
        step = next(row for row in document["steps"] if row["key"] == bench.step("charge-gas").key)
        assert (step["skill"], document["skilled"], document["person"]["skills"]) == (
            "charging", {"charging": ["MO"], "releasing": ["MO"]}, [],
        )  # fmt: skip

    def test_gas_is_let_out_by_who_is_trained_for_it_or_for_charging(self, bench: Bench) -> None:
        releases = make_person("noor", "technician", initials="NK", skills=["releasing"])
        bench.through("release-found")
        with pytest.raises(Refused, match=r"trained for releasing the gas: MO, NK\. Ask"):
            bench.do("release-gas", "do", by=bench.owner)
        assert not bench.do("release-gas", "do", by=releases).out_of_order
        bench.through("charge-temperature")
        with pytest.raises(Refused, match="trained for charging"):
            bench.do("charge-gas", "reading", text="152 psi", tool="G-04", by=releases)

    def test_a_stop_is_anybodys(self, bench: Bench) -> None:
        bench.through("release-gas")
        bench.do("release-zero", "proof", answer="does not move", by=bench.owner)
        assert bench.fresh().state == "stopped"
