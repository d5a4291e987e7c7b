"""An entry as the bench page sends it, read from JSON that may be anything."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.shop.services.acts import Refused

KINDS = frozenset(Entry.Kind.values)
LONGEST = {
    "text": 60, "words": 1000, "answer": 60, "reason": 300, "tool": 20, "position": 40, "outcome": 20, "kind": 20,
    "part": 20, "part_words": 60, "advice": 8, "cause": 10, "stage": 12, "caption": 120,
}  # fmt: skip
MOST_LOTS = 100
MOST_PICTURES = 12
LARGEST = 2**62
EARLIEST, LATEST = datetime(1970, 1, 2, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class LotIn:
    """Which lot was taken for a line of a part step; lines count from 1."""

    line: int
    lot: int


@dataclass(frozen=True, slots=True)
class BackIn:
    """What was issued by a stock move and goes back, as typed; "" for nothing: it was used."""

    move: int
    text: str


@dataclass(frozen=True, slots=True)
class PictureIn:
    """A stored picture that an entry shows, and the words that say what is to be seen."""

    id: uuid.UUID
    caption: str


@dataclass(frozen=True, slots=True)
class EntryIn:
    """One entry as typed. `typed_at` is the tablet's clock, `counter` its order within the job on that tablet.

    Of a finding: `words` is its condition, `answer` its grade, `text` a value, `about` the entry it was begun from.
    Of a closing: `cause` is why the damper came back, with the `stage` or the one of `lots` that it was; `back` says of
    parts that were issued whether they were used.
    """

    id: uuid.UUID
    job: int
    kind: str
    typed_at: datetime
    counter: int
    step: int | None = None
    position: str = ""
    text: str = ""
    words: str = ""
    answer: str = ""
    reason: str = ""
    tool: str = ""
    lots: tuple[LotIn, ...] = ()
    replaces: uuid.UUID | None = None
    about: uuid.UUID | None = None
    outcome: str = ""
    part: str = ""
    part_words: str = ""
    advice: str = ""
    cause: str = ""
    stage: str = ""
    back: tuple[BackIn, ...] = ()
    pictures: tuple[PictureIn, ...] = ()
    offset_ms: int = 0

    @property
    def key(self) -> str:
        """Give the key of the step it is for, "" for none."""
        return f"{self.step}:{self.position}" if self.step is not None else ""


def entry_key(pk: uuid.UUID) -> str:
    """Give the act's key of an entry: the page makes its id, so a repeat is recognised."""
    return f"entry:{pk}"


def read_entry(body: Any, *, offset_ms: int = 0) -> EntryIn:
    """Read one entry from decoded JSON; `Refused` in a sentence for whatever cannot be one."""
    if not isinstance(body, Mapping):
        raise Refused(_("This is not an entry. Load the sheet again."))
    kind = _text(body, "kind")
    if kind not in KINDS:
        raise Refused(_("This kind of entry is not known. Load the sheet again."), field="kind")
    return EntryIn(
        id=_uuid(body, "id", required=True) or uuid.UUID(int=0),
        job=_number(body, "job", required=True) or 0,
        kind=kind,
        typed_at=read_moment(body.get("typed_at"), "typed_at"),
        counter=_number(body, "counter", required=True) or 0,
        step=_number(body, "step"),
        position=_text(body, "position"),
        text=_text(body, "text"),
        words=_text(body, "words"),
        answer=_text(body, "answer"),
        reason=_text(body, "reason"),
        tool=_text(body, "tool"),
        lots=_lots(body.get("lots")),
        replaces=_uuid(body, "replaces"),
        about=_uuid(body, "about"),
        outcome=_text(body, "outcome"),
        part=_text(body, "part"),
        part_words=_text(body, "part_words"),
        advice=_text(body, "advice"),
        cause=_text(body, "cause"),
        stage=_text(body, "stage"),
        back=_back(body.get("back")),
        pictures=_pictures(body.get("pictures")),
        offset_ms=offset_ms,
    )


def storable(text: str) -> bool:
    """Say whether both databases keep a text: no NUL, no half of a surrogate pair."""
    return "\0" not in text and not any("\ud800" <= char <= "\udfff" for char in text)


def _text(body: Mapping[str, Any], name: str) -> str:
    value = body.get(name)
    if value is None:
        return ""
    if not isinstance(value, str):
        raise Refused(_("A text is expected here. Type it again."), field=name)
    if not storable(value):
        raise Refused(_("This has a character that cannot be stored. Type it again."), field=name)
    value = value.strip()
    if len(value) > LONGEST[name]:
        raise Refused(_("This is too long: at most %s characters. Shorten it.") % LONGEST[name], field=name)
    return value


def _number(body: Mapping[str, Any], name: str, *, required: bool = False) -> int | None:
    value = body.get(name)
    if value is None and not required:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < LARGEST:
        raise Refused(_("A whole number is missing here. Load the sheet again."), field=name)
    return value


def _uuid(body: Mapping[str, Any], name: str, *, required: bool = False) -> uuid.UUID | None:
    value = body.get(name)
    if value in (None, "") and not required:
        return None
    try:
        return uuid.UUID(value if isinstance(value, str) and len(value) <= 45 else "")
    except ValueError:
        raise Refused(_("This entry has no id of its own. Load the sheet again."), field=name) from None


def read_moment(value: Any, name: str) -> datetime:
    """Read an ISO moment with its zone; a clock far off is refused, a wrong one is not (its offset is kept)."""
    moment = None
    if isinstance(value, str) and len(value) <= 40 and value.isascii():
        try:
            moment = datetime.fromisoformat(value)
        except ValueError:
            moment = None
    if moment is None or moment.tzinfo is None or not EARLIEST <= moment <= LATEST:
        raise Refused(_("The time of this entry cannot be read. Set the tablet's clock."), field=name)
    return moment.astimezone(UTC)


def _lots(value: Any) -> tuple[LotIn, ...]:
    if value is None:
        return ()
    if not isinstance(value, list) or len(value) > MOST_LOTS:
        raise Refused(_("The lots cannot be read. Choose them again."), field="lots")
    found = []
    for row in value:
        if not isinstance(row, Mapping):
            raise Refused(_("The lots cannot be read. Choose them again."), field="lots")
        line, lot = _number(row, "line", required=True), _number(row, "lot", required=True)
        found.append(LotIn(line=line or 0, lot=lot or 0))
    if len({row.line for row in found}) != len(found):
        raise Refused(_("A line names two lots. Choose one for each."), field="lots")
    return tuple(found)


def _back(value: Any) -> tuple[BackIn, ...]:
    if value is None:
        return ()
    sentence = _("What goes back cannot be read. Say it again.")
    if not isinstance(value, list) or len(value) > MOST_LOTS:
        raise Refused(sentence, field="back")
    if not all(isinstance(row, Mapping) for row in value):
        raise Refused(sentence, field="back")
    found = tuple(
        BackIn(move=_number(row, "move", required=True) or 0, text=_text(row, "text")) for row in value
    )
    if len({row.move for row in found}) != len(found):
        raise Refused(sentence, field="back")
    return found


def _pictures(value: Any) -> tuple[PictureIn, ...]:
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(row, Mapping) for row in value):
        raise Refused(_("The pictures cannot be read. Take them again."), field="pictures")
    if len(value) > MOST_PICTURES:
        raise Refused(
            _("At most %d pictures in one entry. Record the others in a second one.") % MOST_PICTURES,
            field="pictures",
        )
    found = []
    for number, row in enumerate(value, 1):
        pk, caption = _uuid(row, "id", required=True), _text(row, "caption")
        if not caption:
            raise Refused(_("Say in a few words what picture %d shows.") % number, field="pictures")
        found.append(PictureIn(id=pk or uuid.UUID(int=0), caption=caption))
    if len({row.id for row in found}) != len(found):
        raise Refused(_("A picture stands twice in this entry. Take one of them out."), field="pictures")
    return tuple(found)
