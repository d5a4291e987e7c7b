"""Once means once: every change writes an Act in its own transaction, and a repeat finds the first result.

    with acts.doing("receive_order", call=call, by=person, at=now) as act:
        ...write rows; rows that name the act use act.id...
        act.about("order", order.pk)
        act.result = {"order": order.pk}

`call.key` is the idempotency key (the form's hidden field, or a derived one for background work). A service called by
another takes `within=` the caller's running act and writes no row of its own.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.calc.units import Measurement
from shopapp.shop.models import Act

if TYPE_CHECKING:
    from shopapp.people.models import Device, Person


class Refused(Exception):
    """A rule of the shop says no. The message is a sentence for the person: what is wrong, what would be right."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class AlreadyDone(Exception):
    """The same key with the same body was stored before: lead the person to `act.result`."""

    def __init__(self, act: Act) -> None:
        super().__init__(act.key)
        self.act = act


class DoneDifferently(Exception):
    """The same key was stored before with another body or by another person: nothing was changed."""

    def __init__(self, act: Act) -> None:
        super().__init__(act.key)
        self.act = act


class Stale(Refused):
    """Somebody else changed the row in the meantime: what it is called, its revision now, and who changed it when."""

    def __init__(
        self,
        sentence: str,
        *,
        what: str = "",
        revision: int | None = None,
        by: Person | None = None,
        at: datetime | None = None,
    ) -> None:
        super().__init__(sentence)
        self.what, self.revision, self.by, self.at = what, revision, by, at


@dataclass(frozen=True)
class Call:
    """Who asks how: the idempotency key, the device, the hash of what was asked."""

    key: str
    device: Device | None = None
    request_hash: str = ""

    @classmethod
    def once(cls, key: str) -> Call:
        """Make a call for background or scripted work whose key says what it is."""
        return cls(key=key)

    @classmethod
    def fresh(cls) -> Call:
        """Make a call with a key of its own, for work that is meant to happen each time."""
        return cls(key=uuid.uuid4().hex)


@dataclass
class Doing:
    """A running act: its id is known from the start, its row is written last."""

    id: uuid.UUID
    verb: str
    by: Person | None
    at: datetime
    call: Call
    subject: tuple[str, str] = ("", "")
    result: dict[str, Any] = field(default_factory=dict)
    changed: list[dict[str, Any]] = field(default_factory=list)
    takes_back: Act | None = None

    def about(self, kind: str, pk: object) -> None:
        """Say what the act is about; the history of that row shows it."""
        self.subject = (kind, str(pk))

    def change(self, name: str, old: object, new: object, *, personal: bool = False) -> None:
        """Note a changed field; personal values (names, phones, addresses) are noted by name alone."""
        if old == new:
            return
        if personal:
            self.changed.append({"field": name})
        else:
            self.changed.append({"field": name, "old": _plain(old), "new": _plain(new)})


def _plain(value: object) -> str:
    """Write a value for the act: a measurement as it was typed, with its unit."""
    if isinstance(value, Measurement):
        bare = not any(mark.isalpha() or mark in "\"'°%" for mark in value.text)
        return f"{value.text} {value.unit}" if bare else value.text
    return str(value)


def request_hash(parts: Any) -> str:
    """Give the SHA-256 of a request's body in a canonical JSON form (keys sorted)."""
    text = json.dumps(parts, sort_keys=True, ensure_ascii=True, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _raise_if_done(call: Call, by: Person | None, verb: str) -> None:
    done = Act.objects.filter(key=call.key).first()
    if done is None:
        return
    same_person = done.by_id == (by.pk if by else None)
    if done.verb == verb and done.request_hash == call.request_hash and same_person:
        raise AlreadyDone(done)
    raise DoneDifferently(done)


@contextmanager
def doing(
    verb: str,
    *,
    call: Call,
    by: Person | None,
    at: datetime,
    within: Doing | None = None,
) -> Iterator[Doing]:
    """Run one act in one transaction; raise AlreadyDone or DoneDifferently where its key is stored already.

    Of parallel repeats one has an effect: the unique key (or the rule that the first one's rows now break) lets the
    second fail, its changes are rolled back, and it is led to the first one's result.
    """
    if within is not None:
        yield within
        return
    try:
        with transaction.atomic():
            _raise_if_done(call, by, verb)
            act = Doing(id=uuid.uuid4(), verb=verb, by=by, at=at, call=call)
            yield act
            _write(act)
    except (IntegrityError, Refused):
        _raise_if_done(call, by, verb)
        raise


def _write(act: Doing) -> None:
    Act.objects.create(
        id=act.id,
        key=act.call.key,
        verb=act.verb,
        by=act.by,
        device=act.call.device,
        at=act.at,
        subject_kind=act.subject[0],
        subject_id=act.subject[1],
        request_hash=act.call.request_hash,
        result=act.result,
        changed=act.changed,
        takes_back=act.takes_back,
    )


def raise_revision(row: Any, expected: int | None, *, what: str, about: str = "") -> None:
    """Raise `row.revision` by one where it is still `expected`, else refuse: two people at one row lose nothing.

    The conditional UPDATE decides the race on both databases. `expected=None` takes the revision the row was read at.
    `about` is how the acts of such a row name it: by it `Stale` says who changed the row.
    """
    seen = row.revision if expected is None else expected
    rows = type(row)._default_manager.filter(pk=row.pk)
    if rows.filter(revision=seen).update(revision=F("revision") + 1) != 1:
        words = _(
            "%(what)s was changed by somebody else while you had it open. Nothing of yours was stored. "
            "Look at it again, then enter your change once more."
        )
        last = _last_act(about, row.pk) if about else None
        raise Stale(
            words % {"what": what},
            what=what,
            revision=rows.values_list("revision", flat=True).first(),
            by=last.by if last else None,
            at=last.at if last else None,
        )
    row.revision = seen + 1


def _last_act(kind: str, pk: object) -> Act | None:
    acts = Act.objects.filter(subject_kind=kind, subject_id=str(pk)).select_related("by")
    return acts.order_by("-at", "-id").first()
