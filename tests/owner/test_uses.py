"""Each list of the owner's says what a row is in use for now; in use it is retired all the same, and kept.

Seen red with closed jobs counted, with a tool that came back still out, with the uses asked row by row.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.orders.models import Bay, Job, WorkType
from shopapp.tools.models import Checkout
from shopapp.web.owner.uses import SOURCES, uses_of
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.owner.test_owner_pages import _entries

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(bench: Bench, client_as: Any) -> Client:  # noqa: F811
    return client_as(bench.owner)


def test_open_jobs_are_counted_and_closed_ones_not(bench: Bench) -> None:  # noqa: F811
    work = bench.job.work_type_id
    assert uses_of("work-types", [work]) == {work: "in 2 open jobs"}
    model = bench.job.damper.model_id
    assert uses_of("models", [model]) == {model: "2 dampers, in 2 open jobs"}
    Job.objects.filter(pk=bench.job.pk).update(is_open=False)
    assert uses_of("work-types", [work]) == {work: "in 1 open job"}
    assert uses_of("specs", [bench.spec.pk]) == {bench.spec.pk: "in 1 open job"}
    Job.objects.update(is_open=False)
    assert uses_of("work-types", [work]) == {}


def test_parts_and_tools_say_where_they_stand(bench: Bench) -> None:  # noqa: F811
    assert uses_of("kits", [bench.kit.pk]) == {bench.kit.pk: "on 1 sheet"}
    assert uses_of("items", [bench.oil.pk]) == {bench.oil.pk: "on 1 sheet"}
    puller = bench.tools["ifp puller"]
    assert uses_of("tool-kinds", [puller.kind_id]) == {puller.kind_id: "1 tool, on 1 sheet"}
    assert uses_of("tools", [puller.pk]) == {}
    bench.unlock("strip")
    bench.do("strip-puller", "tool", tool=puller.tag)
    assert uses_of("tools", [puller.pk]) == {puller.pk: "out now"}
    Checkout.objects.update(in_at=bench.at, took_back=bench.technician)
    assert uses_of("tools", [puller.pk]) == {}


def test_what_is_in_use_says_so_and_is_retired_all_the_same(bench: Bench, page: Client) -> None:  # noqa: F811
    work = bench.job.work_type
    assert "in 2 open jobs" in page.get(reverse("owner-work-types")).content.decode()
    address = reverse("owner-work-types-change", args=[work.pk])
    form = page.get(address)
    assert "In use: in 2 open jobs. Whatever has it keeps it" in form.content.decode()
    assert page.post(address, {**_entries(page, address), "retired": "on"}).status_code == 302
    assert WorkType.objects.get(pk=work.pk).retired_at is not None
    assert Job.objects.filter(work_type=work, is_open=True).count() == 2


@pytest.mark.parametrize("slug", SOURCES)
def test_as_many_queries_for_twenty_rows_as_for_ten(bench: Bench, slug: str) -> None:  # noqa: F811
    def asked(some: list[int]) -> int:
        with CaptureQueriesContext(connection) as caught:
            uses_of(slug, some)
        return len(caught)

    Bay.objects.bulk_create(Bay(name=f"bay {n}") for n in range(20))
    assert asked(list(range(1, 21))) == asked(list(range(1, 11))) == len(SOURCES[slug])
