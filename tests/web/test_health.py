"""What watches the server is answered without anybody signed in, and while the database does not answer.

Seen red with the shop's row read before every view (both were the page of a fault); with the driver's own refusals let
through; with a missing trigger told but answered 200.
"""

from __future__ import annotations

from typing import Any, NoReturn

import pytest
from django.db import InterfaceError, OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.shop import ledgers

pytestmark = pytest.mark.django_db


def test_the_web_server_answers_by_itself(client: Client) -> None:
    with CaptureQueriesContext(connection) as asked:
        answer = client.get("/healthz")
    assert (answer.status_code, answer.json(), len(asked)) == (200, {"ok": True}, 0)


def test_it_is_ready_with_every_trigger(client: Client) -> None:
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (200, {"ok": True, "missing_triggers": []})


def test_it_is_not_ready_without_a_trigger(client: Client) -> None:
    gone = ledgers.triggers(connection)[0]
    on = f" ON {gone.table}" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {gone.name}{on}")
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, {"ok": False, "missing_triggers": [gone.name]})


@pytest.mark.parametrize("problem", [OperationalError, InterfaceError])
def test_a_database_that_does_not_answer(client: Client, problem: type[Exception]) -> None:
    def dead(*_args: Any) -> NoReturn:
        raise problem("the connection is closed")

    client.raise_request_exception = False
    with connection.execute_wrapper(dead):
        ready, health, page = (client.get(path) for path in ("/readyz", "/healthz", "/sign-in"))
    assert (ready.status_code, ready.json()) == (503, {"ok": False, "why": "the database does not answer"})
    assert (health.status_code, health.json()) == (200, {"ok": True})
    assert page.status_code == 500 and "Something broke on our side" in page.content.decode()


@pytest.mark.parametrize("path", ["/healthz", "/readyz"])
def test_it_is_read_only(client: Client, path: str) -> None:
    assert client.post(path).status_code == 405
