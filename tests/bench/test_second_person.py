"""A second pair of eyes at the final check: which jobs are drawn, and who may not look."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from django.test import Client

from shopapp.bench.models import Entry
from shopapp.orders import services as orders
from shopapp.orders.models import Job
from shopapp.orders.second_person import asks_for_second_person
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call, Refused
from tests.bench.make import Bench
from tests.conftest import make_person

ClientAs = Callable[[Person], Client]


class TestDrawing:
    """The number of the job decides, and nobody else."""

    @pytest.mark.parametrize(("every", "drawn"), [(0, False), (1, True)])
    def test_never_and_always(self, every: int, drawn: bool) -> None:
        assert {asks_for_second_person(order=1001, job=n, every=every) for n in range(1, 50)} == {drawn}

    def test_the_same_number_gives_the_same_answer(self) -> None:
        drawn = [n for n in range(1, 41) if asks_for_second_person(order=1001, job=n, every=5)]
        assert drawn == [n for n in range(1, 41) if asks_for_second_person(order=1001, job=n, every=5)]
        assert 0 < len(drawn) < 20

    @pytest.mark.parametrize("every", [2, 5, 10])
    def test_about_one_in_n_and_no_run_of_them(self, every: int, rng: random.Random) -> None:
        first = rng.randrange(1000, 900_000)
        jobs = [(order, job) for order in range(first, first + 1000) for job in range(1, 5)]
        drawn = [asks_for_second_person(order=order, job=job, every=every) for order, job in jobs]
        share = sum(drawn) / len(drawn)
        assert abs(share - 1 / every) < 0.05
        assert drawn[::every] != drawn[0 : len(drawn[::every])]


@pytest.mark.django_db
class TestFinalCheck:
    """The job keeps what it was drawn as; who restored does not check."""

    def draw(self, bench: Bench) -> Person:
        Job.objects.filter(pk=bench.job.pk).update(second_person=True)
        return make_person("ilse", "technician", initials="IB", skills=["charging"])

    def test_a_job_is_drawn_when_it_is_received(self, bench: Bench) -> None:
        work = bench.job.work_type
        orders.change_work_type(
            work_type=work, revision=work.revision, name=work.name, price=work.price, second_person_every=1,
            procedure_name=work.procedure_name, by=bench.owner, at=bench.at, call=Call.fresh(),
        )  # fmt: skip
        from tests.bench.test_pages import more

        work.refresh_from_db()
        bench.job.work_type = work
        more(bench, 2)
        assert set(
            Job.objects.filter(order__number__gt=bench.order.number).values_list("second_person", flat=True)
        ) == {True}
        assert not bench.fresh().second_person

    def test_who_restored_is_refused_and_another_is_not(self, bench: Bench) -> None:
        other = self.draw(bench)
        bench.through("restore-eyes")
        with pytest.raises(Refused, match=r"did not restore the settings \(MO\)"):
            bench.do("final-pair", "choice", answer="alike")
        assert not Entry.objects.filter(step__stage="final").exists()
        for code, kind, given in (
            ("final-pair", "choice", {"answer": "alike"}), ("final-check", "do", {}), ("final-leave", "do", {}),
        ):  # fmt: skip
            bench.do(code, kind, by=other, **given)
        bench.do("", "close", outcome="done")
        assert bench.fresh().outcome == "done"

    def test_restored_by_the_checker_afterwards_it_is_not_done(self, bench: Bench) -> None:
        other = self.draw(bench)
        bench.through("restore-eyes")
        bench.do("final-pair", "choice", answer="alike", by=other)
        bench.do("final-check", "do", by=other)
        bench.do("final-leave", "do", by=other)
        assert bench.sheet().standing.may_close_done
        bench.do("restore-springs", "do", by=other)
        assert not bench.sheet().standing.may_close_done
        with pytest.raises(Refused, match="Not done yet: Left and right alike"):
            bench.do("", "close", outcome="done")

    def test_a_job_that_is_not_drawn_is_checked_by_the_same_hand(self, bench: Bench) -> None:
        bench.through("final-leave")
        assert bench.sheet().standing.may_close_done

    def test_the_document_says_so(self, bench: Bench, client_as: ClientAs) -> None:
        self.draw(bench)
        document = client_as(bench.technician).get(f"/bench/sheets/{bench.job.pk}/state").json()
        assert document["job"]["second_person"] is True

    def test_the_owner_sets_it_on_the_kind_of_work(self, bench: Bench, client_as: ClientAs) -> None:
        client = client_as(bench.owner)
        place = f"/owner/work-types/{bench.job.work_type_id}"
        page = client.get(place)
        form = page.context["form"]
        data = {
            name: form[name].value()
            for name in form.fields
            if form[name].value() not in (None, "") and form[name].value() is not False
        }
        assert str(data["second_person_every"]) == "0"
        assert client.post(place, {**data, "second_person_every": "7"}).status_code == 422
        assert client.post(place, {**data, "second_person_every": "5"}).status_code == 302
        bench.job.work_type.refresh_from_db()
        assert bench.job.work_type.second_person_every == 5
