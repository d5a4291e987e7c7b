"""The one endpoint that takes entries: whatever is sent, a sentence for each or for all, never a 500."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.bench import receiving
from shopapp.bench.models import Entry
from shopapp.people.models import Person
from tests.bench.make import NOW, Bench
from tests.conftest import drawn

pytestmark = pytest.mark.django_db
PLACE = "/bench/entries"


@pytest.fixture
def client(bench: Bench, client_as: Callable[[Person], Client]) -> Client:
    return client_as(bench.technician)


def body(bench: Bench, code: str = "receive-tag", kind: str = "do", **given: Any) -> dict[str, Any]:
    bench.counter += 1
    step, position = bench.key(code) if code else (None, "")
    return {
        "id": str(uuid.uuid4()), "job": bench.job.pk, "step": step, "position": position, "kind": kind, "text": "",
        "words": "", "answer": "", "reason": "", "tool": "", "lots": [], "replaces": None, "about": None,
        "outcome": "", "typed_at": bench.at.isoformat(), "counter": bench.counter, **given,
    }  # fmt: skip


def post(client: Client, *rows: Any, clock: Any = None, **more: Any) -> Any:
    data = {"entries": list(rows), **({"clock": clock} if clock is not None else {}), **more}
    return client.post(PLACE, json.dumps(data), content_type="application/json")


def test_an_answer_for_each_and_a_fresh_sheet(bench: Bench, client: Client) -> None:
    good, bad = body(bench), body(bench, "settings-eyes", "reading", text="28 psi")
    response = post(client, good, bad)
    assert response.status_code == 200
    first, second = response.json()["answers"]
    assert (first["id"], first["state"], first["entry"]["satisfies"]) == (good["id"], "stored", True)
    assert (second["state"], second["field"], second["entry"]) == ("refused", "text", None)
    assert "length" in second["sentence"]
    assert response.json()["sheet"]["job"]["stage"] == "wash"


def test_a_repeat_is_stored_before(bench: Bench, client: Client) -> None:
    row = body(bench)
    post(client, row)
    answer = post(client, row).json()["answers"][0]
    assert (answer["state"], answer["entry"]["id"]) == ("stored before", row["id"])
    assert Entry.objects.count() == 1


def test_a_repeat_under_another_log_in_is_stored_before(
    bench: Bench, client: Client, client_as: Callable[[Person], Client]
) -> None:
    row = body(bench)
    post(client, row)
    answer = post(client_as(bench.owner), row).json()["answers"][0]
    assert answer["state"] == "stored before"


def test_the_same_id_with_other_figures_is_refused(bench: Bench, client: Client) -> None:
    row = body(bench, "settings-eyes", "reading", text="28")
    post(client, row)
    answer = post(client, {**row, "text": "29"}).json()["answers"][0]
    assert (answer["state"], answer["sentence"]) == (
        "refused", "This entry was stored already with other figures. Nothing was changed now.",
    )  # fmt: skip
    assert Entry.objects.get().value_text == "28"


def test_the_tablets_clock_is_kept_and_not_believed(bench: Bench, client: Client) -> None:
    row = body(bench, typed_at="2001-01-01T00:00:10Z")
    post(client, row, clock="2001-01-01T00:00:20Z")
    entry = Entry.objects.get()
    assert entry.typed_at.year == 2001
    assert entry.clock_offset_ms > 24 * 365 * 86_400_000
    assert entry.stored_at.year >= 2026


STRANGE = [
    "10^30", "1e30 in", "-1e30", "９９９９９９９", "2 3/16\" <script>", "'; drop table shopapp_entry; --", "💧",
    "\u202e28",
    "١٢٣", "28 in\n29 in", " " * 60, "1/0", "0/0", "∞", "NaN in", "+-28", "1" * 60,
]  # fmt: skip

HOSTILE = [
    None, 7, "entry", [], {}, {"id": 3}, {"kind": ""}, {"kind": {"a": 1}},
    {"id": "not a uuid"}, {"job": "1"}, {"job": -1}, {"job": 10**30}, {"job": 1.5}, {"job": True}, {"job": None},
    {"step": "1"}, {"step": 10**30}, {"step": -4}, {"step": 2**61}, {"counter": -1}, {"counter": 10**30},
    {"counter": None},
    {"kind": "countersign"}, {"kind": "reason"}, {"kind": "drop table"}, {"typed_at": None}, {"typed_at": "yesterday"},
    {"typed_at": "2026-03-02T09:00:00"}, {"typed_at": "0001-01-01T00:00:00Z"},
    {"typed_at": "9999-12-31T23:59:59-14:00"},
    {"words": "a\0b"}, {"words": "\ud800"}, {"text": "\udfff"}, {"words": 7}, {"words": ["x"]}, {"words": "x" * 1001},
    {"text": "9" * 61}, {"position": "x" * 41}, {"reason": "x" * 301}, {"tool": "x" * 21}, {"tool": "\0"},
    {"lots": {}}, {"lots": [1]}, {"lots": [{"line": 1}]}, {"lots": [{"line": 1, "lot": 10**30}]},
    {"lots": [{"line": 1, "lot": 1}, {"line": 1, "lot": 2}]}, {"lots": [{}] * 101},
    {"replaces": "x"}, {"replaces": 4}, {"replaces": "7f6d3c1e-0a52-4c63-9a55-6a0f0a1b2c3d"}, {"about": []},
    {"outcome": "x" * 21},
]  # fmt: skip


@pytest.mark.parametrize("wrong", drawn(HOSTILE, 16), ids=lambda value: repr(value)[:40])
def test_what_is_no_entry_is_refused_in_a_sentence(bench: Bench, client: Client, wrong: Any) -> None:
    response = post(client, {**body(bench), **wrong} if isinstance(wrong, dict) and wrong else wrong)
    assert response.status_code == 200
    answer = response.json()["answers"][0]
    assert answer["state"] == "refused"
    assert answer["sentence"][-1] == "."
    assert Entry.objects.count() == 0


@pytest.mark.parametrize("text", drawn(STRANGE, 5))
@pytest.mark.parametrize("code", ["settings-eyes", "settings-adjusters", "release-temperature"])
def test_a_strange_figure_is_a_sentence_or_a_reading(
    bench: Bench, client: Client, code: str, text: str
) -> None:
    response = post(client, body(bench, code, "reading", text=text))
    assert response.status_code == 200
    answer = response.json()["answers"][0]
    assert answer["state"] in ("refused", "stored")
    assert answer["state"] == "stored" or answer["sentence"]
    assert (Entry.objects.count() == 1) == (answer["state"] == "stored")


@pytest.mark.parametrize("name", ["words", "reason", "answer", "tool", "outcome"])
def test_hostile_words_are_kept_as_words_or_refused(bench: Bench, client: Client, name: str) -> None:
    words = "<script>\"';--‮💧"
    response = post(client, body(bench, "", "note", **{"words": "seen", name: words}))
    assert response.json()["answers"][0]["state"] in ("stored", "refused")
    page = client.get(f"/bench/sheets/{bench.job.pk}").content.decode()
    assert "<script>\"';" not in page


@pytest.mark.parametrize(
    ("content", "status"),
    [
        (b"", 400), (b"{", 400), (b"\xff\xfe", 400), (b"[]", 400), (b"3", 400), (b"null", 400),
        (b'{"entries": 3}', 400),
        (b'{"entries": []}', 400), (b'{"entries": {}}', 400), (b"[" * 100_000, 400), (b'{"a":' * 50_000, 400),
        (b'{"entries": [1e999999]}', 200), (b'{"entries": [' + b"9" * 5000 + b"]}", 400),
        (b'{"entries": [1], "clock": "soon"}', 400), (b'{"entries": [1], "clock": 5}', 400),
        (b'{"entries": [' + b"1," * 300 + b"1]}", 413), (b'{"entries": ["' + b"x" * 1_000_000 + b'"]}', 413),
        (b"x" * 4_000_000, 413),
    ],
    ids=lambda value: repr(value)[:30],
)  # fmt: skip
def test_a_list_that_is_none_is_one_sentence(
    bench: Bench, client: Client, content: bytes, status: int
) -> None:
    response = client.post(PLACE, content, content_type="application/json")
    assert response.status_code == status
    assert status == 200 or response.json()["error"].endswith(".")


TOO_LONG = "This list is too long. Send fewer entries at once."


def test_a_body_that_is_too_long_is_turned_whatever_its_header_said() -> None:
    """Seen red with the length of the body itself not looked at, and with one byte less allowed."""
    with pytest.raises(receiving.Turned) as turned:
        receiving.read_body(b'{"entries": [1]}'.ljust(receiving.LARGEST_BODY + 1), at=NOW)
    assert (turned.value.status, turned.value.sentence) == (413, TOO_LONG)
    assert receiving.read_body(b'{"entries": [1]}'.ljust(receiving.LARGEST_BODY), at=NOW).entries == [1]


@pytest.mark.parametrize(
    ("length", "status"),
    [
        ("", 400), ("0", 400), ("5", 400), ("+600000", 413), (" 600000", 413), ("4000000", 413), ("+4000000", 413),
        ("-1", 400), ("many", 400), ("6e5", 400), ("²", 400), ("9" * 5000, 400),
    ],
    ids=lambda value: str(value)[:10],
)  # fmt: skip
def test_a_header_of_length_that_lies_is_one_sentence(
    bench: Bench, client: Client, length: str, status: int
) -> None:
    """A body of 600 000 bytes. Seen red (an error of the server) before a length that is no number was turned."""
    content = json.dumps({"entries": [body(bench)]}).encode().ljust(600_000)
    response = client.post(PLACE, content, content_type="application/json", CONTENT_LENGTH=length)
    assert response.status_code == status
    assert response.json()["error"] in (TOO_LONG, "This list cannot be read. Load the sheet again.")
    assert (response.json()["error"] == TOO_LONG) == (status == 413)
    assert not Entry.objects.exists()


def test_a_list_that_says_it_is_too_long_is_turned_before_it_is_read(bench: Bench, client: Client) -> None:
    """Seen red with the header not looked at: the body is then asked for more than it has."""
    content = json.dumps({"entries": [body(bench)]})
    response = client.post(PLACE, content, content_type="application/json", CONTENT_LENGTH="600000")
    assert (response.status_code, response.json()) == (413, {"error": TOO_LONG})
    assert not Entry.objects.exists()


def test_a_figure_past_an_absolute_limit_is_answered_as_an_attempt(bench: Bench, client: Client) -> None:
    """Seen red with nothing said, with the same said of what is read as found, and of what is out of order."""
    early = body(
        bench, "close-seal-head-torque", "reading", text="101 ft-lb", tool="W-01", reason="felt right"
    )
    answer = post(client, early).json()["answers"][0]
    assert (answer["state"], answer["sentence"]) == ("stored", "Stored out of order: it satisfies nothing.")
    bench.unlock("strip")
    row = body(bench, "close-seal-head-torque", "reading", text="101 ft-lb", tool="W-01", reason="felt right")
    warmth = body(bench, "release-temperature", "reading", text="21 °C")
    found = body(bench, "release-found", "reading", text="201 psi", tool="G-04")
    attempt, _warmth, as_found = post(client, row, warmth, found).json()["answers"]
    assert attempt["sentence"] == (
        "Stored as an attempt: this lies outside an absolute limit, which nobody lifts."
    )
    assert (attempt["state"], attempt["entry"]["satisfies"]) == ("stored", False)
    assert (as_found["state"], as_found["sentence"]) == ("stored", "")
    assert Entry.objects.get(pk=found["id"]).outside == "absolute"


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"]
)
def test_only_json_is_taken(bench: Bench, client: Client, kind: str) -> None:
    response = client.post(PLACE, b"entries=1", content_type=kind)
    assert response.status_code == 400
    assert response.json()["error"] == "Entries are sent as JSON."


def test_two_jobs_in_one_list(bench: Bench, client: Client) -> None:
    response = post(client, body(bench), body(bench, job=bench.other.pk), body(bench, job=99_999))
    assert [answer["state"] for answer in response.json()["answers"]] == ["stored", "stored", "refused"]
    assert response.json()["sheet"]["job"]["id"] == bench.job.pk


def test_an_unknown_job_alone_has_no_sheet(bench: Bench, client: Client) -> None:
    response = post(client, body(bench, job=99_999))
    assert (response.status_code, response.json()["sheet"]) == (200, None)


class TestWho:
    """Wrong person, wrong method, no token, signed out."""

    def test_the_desk_may_not(self, bench: Bench, client_as: Callable[[Person], Client]) -> None:
        desk = client_as(bench.desk)
        assert post(desk, body(bench)).status_code == 403
        assert desk.get(f"/bench/sheets/{bench.job.pk}").status_code == 403
        assert desk.get("/bench/").status_code == 403
        assert Entry.objects.count() == 0

    def test_a_get_is_not_allowed(self, client: Client) -> None:
        assert client.get(PLACE).status_code == 405

    def test_signed_out_is_said_as_json(self, bench: Bench) -> None:
        data = json.dumps({"entries": [body(bench)]})
        response = Client().post(
            PLACE, data, content_type="application/json", headers={"accept": "application/json"}
        )
        assert (response.status_code, response.json()) == (401, {"error": "signed out"})

    def test_without_the_forms_token_nothing_is_taken(self, bench: Bench) -> None:
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(bench.technician, backend="django.contrib.auth.backends.ModelBackend")
        response = strict.post(PLACE, json.dumps({"entries": [body(bench)]}), content_type="application/json")
        assert response.status_code == 403
        assert Entry.objects.count() == 0
