# ruff: noqa: F811 (the bench is a fixture of another folder)
"""Signed on the glass at the hand-over: written, cleared, written again, sent; and without JavaScript by the name."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapp.due.models import Signature
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.journeys.test_findings_at_the_desk import faults, page_of

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]


def write(page: Page) -> None:
    """Write with the mouse, as a pen would, from the left of the line to its right."""
    line = page.locator(".written canvas")
    line.scroll_into_view_if_needed()
    box = line.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
    page.mouse.down()
    for step in range(1, 12):
        across = 20 + step * (box["width"] - 40) / 12
        page.mouse.move(box["x"] + across, box["y"] + box["height"] * (0.3 if step % 2 else 0.7))
    page.mouse.up()


INK = """() => {
  const line = document.querySelector(".written canvas");
  return line.getContext("2d").getImageData(0, 0, line.width, line.height).data.some((one) => one > 0);
}"""


def test_signed_on_the_glass(bench: Bench, live_server: Any) -> None:
    bench.do("", "close", outcome="unrepaired", words="declined")
    desk = page_of(bench.desk, live_server, 820)
    said: list[str] = []
    desk.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    desk.goto(f"/orders/{bench.order.number}")
    desk.locator("summary", has_text="Hand over dampers").click()
    field = desk.locator("#hand-over input[name=written]")
    write(desk)
    assert len(field.input_value()) > 40 and desk.evaluate(INK)
    desk.get_by_role("button", name="Clear the line").click()
    assert field.input_value() == ""
    write(desk)
    assert faults(desk) == {}
    desk.get_by_label("To whom").fill("Wyn Dallimore")
    desk.get_by_role("button", name="Hand over the dampers").click()
    expect(desk.locator(".signed figcaption")).to_contain_text("Wyn Dallimore")
    assert faults(desk) == {}
    (stroke,) = Signature.objects.get().strokes
    across = [x for x, _y in stroke]
    assert across == sorted(across) and across[0] < 120 and across[-1] > 850
    assert not said, said
    desk.context.close()


def test_without_javascript_the_typed_name_does(bench: Bench, live_server: Any) -> None:
    bench.do("", "close", outcome="unrepaired", words="declined")
    desk = page_of(bench.desk, live_server, 820)
    desk.route("**/js/**", lambda route: route.abort())
    desk.goto(f"/orders/{bench.order.number}#hand-over")
    assert desk.locator(".written").count() == 0
    desk.get_by_label("To whom").fill("Wyn Dallimore")
    desk.get_by_role("button", name="Hand over the dampers").click()
    expect(desk.locator("main")).to_contain_text("to Wyn Dallimore")
    assert not Signature.objects.exists()
    desk.context.close()
