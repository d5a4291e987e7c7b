# ruff: noqa: F811 (the bench is a fixture of another folder)
"""The page of a job's tag on a tablet held upright: the tag lies wholly in its part of the sheet."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from shopapp.bench import tag
from shopapp.papers import services as papers
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.journeys.test_findings_at_the_desk import faults, page_of

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("width", [320, 800, 1280])
def test_the_tag_keeps_within_its_part(bench: Bench, live_server: Any, width: int) -> None:
    """Seen red with a frame of 420 px, whatever room it has."""
    bench.do("", "close", outcome="unsafe", words="the valve core will not turn")
    paper = tag.print_tag(job=bench.fresh(), by=bench.technician, at=bench.at, call=Call.fresh())
    papers.render_paper(paper_id=paper.pk, at=bench.at)
    tablet = page_of(bench.technician, live_server, width)
    tablet.goto(reverse("job-tag", args=[bench.job.pk]))
    shown, part = tablet.locator("iframe").bounding_box(), tablet.locator(".part:has(iframe)").bounding_box()
    assert shown is not None and part is not None
    assert shown["x"] + shown["width"] <= part["x"] + part["width"]
    assert faults(tablet) == {}
    tablet.context.close()
