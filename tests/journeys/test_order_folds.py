"""An order's folds in the browser: the address's fragment opens one without JavaScript, a refused one has the focus."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.bench.make import Bench
from tests.journeys.bench_client.conftest import bench
from tests.journeys.test_findings_at_the_desk import page_of

pytestmark = pytest.mark.journey
__all__ = ["bench"]


def test_the_fragment_opens_a_fold_without_javascript(bench: Bench, live_server: Any) -> None:
    """Seen red with the name at the fold itself: a browser opens what a target stands in."""
    desk = page_of(bench.desk, live_server, 820)
    desk.route("**/js/**", lambda route: route.abort())
    desk.goto(f"/orders/{bench.order.number}")
    expect(desk.locator("#line [name=what]")).to_be_hidden()
    desk.goto(f"/orders/{bench.order.number}#line")
    expect(desk.locator("#line [name=what]")).to_be_visible()
    expect(desk.locator("#payment [name=amount]")).to_be_hidden()
    desk.context.close()


def test_a_fold_is_opened_by_keys_and_refused_with_the_focus_in_it(bench: Bench, live_server: Any) -> None:
    """Seen red with the slip left at the top of the page."""
    desk = page_of(bench.desk, live_server, 820)
    desk.goto(f"/orders/{bench.order.number}")
    summary = desk.locator("summary", has_text="Add a line")
    assert (summary.bounding_box() or {"height": 0})["height"] >= 44
    summary.focus()
    desk.keyboard.press("Enter")
    desk.keyboard.press("Tab")
    assert desk.evaluate("document.activeElement.form?.id") == "line"
    desk.get_by_role("button", name="Add the line").click()
    slip = desk.locator("details[open] [data-error-slip]")
    expect(slip).to_be_focused()
    expect(slip).to_be_in_viewport()
    expect(desk.locator("#line [name=what]")).to_be_visible()
    desk.context.close()
