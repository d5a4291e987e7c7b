"""The schedule of tools and the form of a check: who may, what is said, done twice, hostile text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.people.models import Person
from shopapp.tools.models import Check, Tool
from tests.conftest import drawn

from .crib import a_check, a_tool

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
HOSTILE = [
    "\x00",
    "\ud800",
    "1e400",
    "9" * 40,
    "<script>alert(1)</script>",
    "' OR 1=1 --",
    "x" * 100_000,
    "\u202e",
]


def filled(**changed: str) -> dict[str, str]:
    today = dt.date.today()
    return {
        "act_key": "check-form-1", "kind": "calibration", "on": str(today), "passed": "yes",
        "until": str(today + dt.timedelta(days=365)), "operations": "", "readings": "set 30, reads 30.4", **changed,
    }  # fmt: skip


def test_the_schedule_says_how_each_tool_stands(desk: Person, owner: Person, client_as: As) -> None:
    """Seen red without the days, and with the link shown to everybody."""
    late, failed = a_tool("G-04"), a_tool("G-05")
    a_tool("G-06")
    a_tool("P-1", "ifp puller", narrowing="M8 x 1")
    a_check(late, owner, on=dt.date(2026, 1, 1), until=dt.date(2026, 2, 1))
    Tool.objects.filter(pk=late.pk).update(checked_until=dt.date.today() - dt.timedelta(days=1))
    a_check(failed, owner, passed=False)
    page = client_as(desk).get("/tools/").content.decode()
    for words in (
        "1 day past its date",
        "failed its check: not to be used",
        "never checked",
        "needs no check",
        "M8",
    ):
        assert words in page
    assert "/tools/G-04/check" not in page, "the desk may not record checks"
    assert "/tools/G-04/check" in client_as(owner).get("/tools/").content.decode()


def test_an_empty_crib_says_so(desk: Person, client_as: As) -> None:
    """Seen red without the sentence."""
    assert "No tool is in the crib yet" in client_as(desk).get("/tools/").content.decode()


def test_a_check_is_recorded_and_led_back_to_the_schedule(technician: Person, client_as: As) -> None:
    """Seen red with the readings dropped, and without the message."""
    tool, client = a_tool(), client_as(technician)
    response = client.post("/tools/G-04/check", filled(), follow=True)
    assert response.redirect_chain == [("/tools/", 302)]
    assert "The check of G-04 is recorded." in response.content.decode()
    check = Check.objects.get()
    assert (check.tool, check.by, check.passed, check.readings) == (
        tool,
        technician,
        True,
        ["set 30, reads 30.4"],
    )
    assert "set 30, reads 30.4" in client.get("/tools/G-04/check").content.decode()


def test_sent_twice_it_is_one_check_and_with_other_figures_it_is_refused(
    technician: Person, client_as: As
) -> None:
    """Seen red with a fresh key for each sending."""
    a_tool()
    client = client_as(technician)
    client.post("/tools/G-04/check", filled())
    assert client.post("/tools/G-04/check", filled()).status_code == 302
    again = client.post("/tools/G-04/check", filled(passed="no"))
    assert again.status_code == 422
    assert "stored already with other figures" in again.content.decode()
    assert Check.objects.count() == 1


def test_wrong_person_and_wrong_method(desk: Person, technician: Person, client_as: As) -> None:
    """Seen red with checks for everybody, and with a POST let through by table and view."""
    a_tool()
    assert client_as(desk).post("/tools/G-04/check", filled()).status_code == 403
    assert client_as(technician).put("/tools/G-04/check").status_code == 405
    assert client_as(desk).post("/tools/").status_code == 405
    assert client_as(technician).get("/tools/G-99/check").status_code == 404
    assert Client().get("/tools/").status_code == 302
    assert not Check.objects.exists()


def test_a_check_that_cannot_be_keeps_the_form_with_a_sentence(technician: Person, client_as: As) -> None:
    """Seen red without the refusal."""
    a_tool()
    response = client_as(technician).post("/tools/G-04/check", filled(until="", readings="kept as typed"))
    assert response.status_code == 422
    page = response.content.decode()
    assert "Say until when the tool is good." in page
    assert "kept as typed" in page
    assert "check-form-1" in page


@pytest.mark.parametrize("field", ["act_key", "kind", "on", "passed", "until", "operations", "readings"])
@pytest.mark.parametrize("text", drawn(HOSTILE, 3))
def test_hostile_text_is_never_a_500(technician: Person, client_as: As, field: str, text: str) -> None:
    """Seen red without the bound on operations in form and service, and with readings written unescaped."""
    a_tool()
    body = filled(**{field: text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")})
    response = client_as(technician).post("/tools/G-04/check", body)
    assert response.status_code in (302, 400, 413, 422)
    assert "<script>alert" not in client_as(technician).get("/tools/G-04/check").content.decode()


def test_the_schedule_asks_as_much_for_twenty_as_for_ten(desk: Person, client_as: As) -> None:
    """Seen red without the kind joined."""
    client = client_as(desk)
    counts = []
    for batch in range(2):
        for number in range(10):
            a_tool(f"T{batch}-{number}", "ifp puller")
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert client.get("/tools/").status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]
