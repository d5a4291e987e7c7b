"""A finished job and its report."""

from __future__ import annotations

import pytest

from shopapp.bench import report
from shopapp.orders.models import Job
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from tests.bench_report import jobs


@pytest.fixture(autouse=True)
def _registered() -> None:
    report.register()


@pytest.fixture
def job(shop: Shop, desk: Person, technician: Person) -> Job:
    jobs.dress_shop()
    return jobs.a_job(desk, technician)


@pytest.fixture
def bay(job: Job, technician: Person) -> jobs.Bay:
    return jobs.Bay(job, technician)


@pytest.fixture
def finished(bay: jobs.Bay, technician: Person) -> Paper:
    """A whole job, done, with its report."""
    bay.whole()
    bay.close()
    return jobs.report_of(bay.job, technician)
