"""Take a list of entries as the bench page posts it: each its own act, an answer for each, never a 500."""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError
from django.utils.translation import gettext as _

from shopapp.bench import services
from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import job_of, read_sheet
from shopapp.bench.queries.sheet import document_of, entry_row
from shopapp.bench.services.entry_in import read_moment
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused, request_hash

if TYPE_CHECKING:
    from shopapp.people.models import Device, Person

LOG = logging.getLogger(__name__)
LARGEST_BODY = 512 * 1024
MOST_ENTRIES = 200
MOST_OFFSET = timedelta(days=400)


ONE_PLACE = {
    "entry_counter_once": "shopapp_entry.job_id, shopapp_entry.device_id, shopapp_entry.counter",
    "shopapp_entry_replaces_id_key": "shopapp_entry.replaces_id",
    "entry_countersigned_once": "shopapp_entry.about_id",
    "entry_note_taken_once": "shopapp_entry.about_id",
}
"""The constraints that decide between two entries at one place: by name (PostgreSQL), by columns (SQLite)."""


def at_one_place(broken: IntegrityError) -> bool:
    """Say whether a broken constraint means that another entry took the place of this one at the same moment."""
    name = getattr(getattr(broken.__cause__, "diag", None), "constraint_name", None)
    if name is not None:
        return name in ONE_PLACE
    return str(broken) in {f"UNIQUE constraint failed: {columns}" for columns in ONE_PLACE.values()}


class Turned(Exception):
    """The whole list cannot be read: a sentence and the status to answer with."""

    def __init__(self, sentence: str, status: int = 400) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.status = status


@dataclass(frozen=True, slots=True)
class Posted:
    """A list of entries as posted, the clock read: not yet looked at one by one."""

    entries: list[Any]
    offset_ms: int


def read_body(body: bytes, *, at: datetime) -> Posted:
    """Read the body of a post; `Turned` where it is no list of entries."""
    if len(body) > LARGEST_BODY:
        raise Turned(_("This list is too long. Send fewer entries at once."), 413)
    try:
        data = json.loads(body.decode("utf-8"))
    except (ValueError, RecursionError):
        raise Turned(_("This list cannot be read. Load the sheet again.")) from None
    entries = data.get("entries") if isinstance(data, dict) else None
    if not isinstance(entries, list) or not entries:
        raise Turned(_("No entries were sent. Load the sheet again."))
    if len(entries) > MOST_ENTRIES:
        raise Turned(_("This list is too long. Send fewer entries at once."), 413)
    return Posted(entries, _offset(data.get("clock"), at))


def _offset(clock: Any, at: datetime) -> int:
    """Give how far the server's clock is ahead of the tablet's, in ms; 0 where the tablet said nothing."""
    if clock is None:
        return 0
    try:
        offset = at - read_moment(clock, "clock")
    except Refused as no:
        raise Turned(no.sentence) from None
    # A clock that lost its date (1970) is kept as it is; the offset then tells the true moment all the same.
    return int(offset / timedelta(milliseconds=1))


def take(posted: Posted, *, by: Person, device: Device | None, at: datetime) -> dict[str, Any]:
    """Record each entry in its own transaction; give an answer for each and a fresh sheet of the first one's job."""
    answers, job_pk = [], None
    for body in posted.entries:
        answer, job = _take_one(body, posted.offset_ms, by=by, device=device, at=at)
        answers.append(answer)
        job_pk = job_pk or job
    found = job_of(job_pk) if job_pk else None
    if found is None:
        return {"answers": answers, "sheet": None}
    sheet = read_sheet(found)
    rows = {str(entry.pk): entry_row(sheet, entry) for entry in sheet.entries}
    for answer in answers:
        if answer["state"] != "refused":
            answer["entry"] = rows.get(answer["id"])
    return {"answers": answers, "sheet": document_of(sheet, by, at)}


def _take_one(
    body: Any, offset_ms: int, *, by: Person, device: Device | None, at: datetime
) -> tuple[dict[str, Any], int | None]:
    pk = body.get("id") if isinstance(body, dict) else None
    shown = pk if isinstance(pk, str) and len(pk) <= 45 and pk.isascii() else ""
    job_pk = None
    try:
        entry = services.read_entry(body, offset_ms=offset_ms)
        shown = str(entry.id)
        job = job_of(entry.job)
        if job is None:
            raise Refused(_("There is no such job. Load your bench again."), field="job")
        job_pk = job.pk
        call = Call(key=services.entry_key(entry.id), device=device, request_hash=request_hash(body))
        row = services.record_entry(job=job, entry=entry, by=by, at=at, call=call)
    except AlreadyDone:
        return _answer(shown, "stored before"), job_pk
    except DoneDifferently as done:
        return _differently(shown, done, body), job_pk
    except Refused as no:
        return _answer(shown, "refused", no.sentence, no.field), job_pk
    except IntegrityError as broken:
        if not at_one_place(broken):
            LOG.exception("an entry broke a rule of the database", extra={"entry": shown, "job": job_pk})
            raise
        # Two at one place at once (one correction each, one number each): the other one is stored.
        words = _("Somebody recorded the same at this moment. Load the sheet again and look at it.")
        return _answer(shown, "refused", words), job_pk
    return _answer(shown, "stored", _said(row)), job_pk


def _answer(pk: str, state: str, sentence: str = "", field: str = "") -> dict[str, Any]:
    return {"id": pk, "state": state, "sentence": sentence, "field": field, "entry": None}


def _differently(pk: str, done: DoneDifferently, body: Any) -> dict[str, Any]:
    """Answer a key that is taken: the same entry sent on by another person's log-in was stored before."""
    if done.act.verb == "record_entry" and done.act.request_hash == request_hash(body):
        return _answer(pk, "stored before")
    return _answer(
        pk, "refused", _("This entry was stored already with other figures. Nothing was changed now.")
    )


def _said(row: Entry) -> str:
    """Say what a stored entry is not: in order, or a figure that may be built."""
    if row.out_of_order:
        return _("Stored out of order: it satisfies nothing.")
    if row.outside == Entry.Outside.ABSOLUTE and row.phase == "built":
        return _("Stored as an attempt: this lies outside an absolute limit, which nobody lifts.")
    return ""
