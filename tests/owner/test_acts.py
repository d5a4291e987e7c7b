"""The owner's list of acts: one verb, up to a day of the shop's, a thousand at most; its verbs."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.people.models import Person
from shopapp.shop import queries
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
NOON = dt.datetime(2031, 3, 2, 12, tzinfo=dt.UTC)


def act(verb: str, at: dt.datetime, by: Person) -> Act:
    return Act.objects.create(key=Call.fresh().key, verb=verb, at=at, by=by)


def shown(client: Client, query: str = "") -> list[str]:
    page = client.get(f"/owner/acts{query}").content.decode()
    return re.findall(r'data-label="What">([^<]*)<', page)


@pytest.fixture
def client(client_as: As, owner: Person) -> Client:
    Act.objects.all()
    act("old_deed", NOON - dt.timedelta(days=2), owner)
    act("midnight_deed", dt.datetime(2031, 3, 1, 0, tzinfo=dt.UTC), owner)
    act("new_deed", NOON, owner)
    return client_as(owner)


def test_the_newest_stand_first_and_one_verb_alone(client: Client) -> None:
    """Seen red without the filter."""
    assert shown(client)[:3] == ["new deed", "midnight deed", "old deed"]
    assert shown(client, "?verb=old_deed") == ["old deed"]


def test_up_to_a_day_means_the_shops_day(client: Client) -> None:
    """Seen red with the day left out of what it ends."""
    zone = queries.timezone.get_current_timezone()
    day = queries.timezone.localdate(dt.datetime(2031, 3, 1, 0, tzinfo=dt.UTC), zone)
    assert shown(client, f"?until={day:%Y-%m-%d}")[0] == "midnight deed"
    assert shown(client, f"?until={day - dt.timedelta(days=1):%Y-%m-%d}")[0] == "old deed"
    assert shown(client, "?until=2020-01-01") == []
    assert "Nothing like this was done." in client.get("/owner/acts?until=2020-01-01").content.decode()


@pytest.mark.parametrize("query", ["?until=soon", "?verb=no_such_verb"])
def test_what_cannot_be_read_is_said_and_everything_is_shown(client: Client, query: str) -> None:
    answer = client.get(f"/owner/acts{query}")
    assert answer.status_code == 422 and "data-error-slip" in answer.content.decode()
    assert shown(client, query) == shown(client)


@pytest.mark.parametrize("until", ["0001-01-01", "9999-12-31"])
def test_the_first_and_the_last_of_days_are_no_500(client: Client, until: str) -> None:
    assert client.get(f"/owner/acts?until={until}").status_code == 200


def test_it_goes_back_so_far_and_says_so(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen red without the end of the list."""
    assert "Name a day above" not in client.get("/owner/acts").content.decode()
    monkeypatch.setattr(queries, "MOST_ACTS", 2)
    assert shown(client) == ["new deed", "midnight deed"]
    assert "Name a day above" in client.get("/owner/acts").content.decode()


def test_the_verbs_are_found_once_each_and_read_once(client: Client) -> None:
    """Seen red with the verbs read by the check and again by the page."""
    assert queries.verbs() == sorted(set(Act.objects.values_list("verb", flat=True)))
    with CaptureQueriesContext(connection) as seen:
        client.get("/owner/acts")
    assert sum("RECURSIVE" in query["sql"] for query in seen) == 1


def test_no_act_no_verb() -> None:
    assert queries.verbs() == []
