"""Shelves set up by the owner, and parts laid on them: each laying is a row of its own, the last one holds."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from shopapp.dampers.services import tags
from shopapp.orders import shelves
from shopapp.orders.models import Job, Placing, Shelf
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def add_shelf(
    *,
    code: str,
    rack: str,
    shelf: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Shelf:
    """Add a shelf of a rack under a code of its own, which stands on its label and never changes."""
    with acts.doing("add_shelf", call=call, by=by, at=at, within=within) as act:
        plain = shelves.plain(code)
        if not plain or "/" in code:
            raise Refused(
                _("A shelf's code has up to 10 capitals, digits and hyphens, a letter among them: R2-4."),
                field="code",
            )
        row = Shelf(code=plain, rack=rack.strip(), shelf=shelf.strip())
        _keep_shelf(row, act)
        return row


def change_shelf(
    *,
    shelf: Shelf,
    revision: int,
    rack: str,
    name: str,
    retired: bool = False,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Shelf:
    """Say anew which rack and shelf a code stands for, or retire it: what lies there stays noted there."""
    with acts.doing("change_shelf", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(shelf, revision, what=shelf.code)
        act.change("rack", shelf.rack, rack.strip())
        act.change("shelf", shelf.shelf, name.strip())
        act.change("retired", shelf.retired_at is not None, retired)
        shelf.rack, shelf.shelf = rack.strip(), name.strip()
        shelf.retired_at = (shelf.retired_at or at) if retired else None
        _keep_shelf(shelf, act)
        return shelf


def _keep_shelf(row: Shelf, act: Doing) -> None:
    if not row.rack or not row.shelf:
        field = "shelf" if row.rack else "rack"
        raise Refused(_("Say which rack and which shelf of it: rack 2, shelf 4."), field=field)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as broken:
        others = Shelf.objects.exclude(pk=row.pk)
        if others.filter(code=row.code).exists():
            raise Refused(_("The code %s is taken. Choose another.") % row.code, field="code") from broken
        if others.filter(rack=row.rack, shelf=row.shelf).exists():
            words = _("%(rack)s, %(shelf)s has a code already.") % {"rack": row.rack, "shelf": row.shelf}
            raise Refused(words, field="shelf") from broken
        raise
    act.about("shelf", row.pk)
    act.result = {"shelf": row.pk}


def lay_part(
    *,
    job: Job,
    part: str,
    shelf: Shelf | None = None,
    words: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Placing:
    """Lay a damper's body, springs or tray on a shelf, or at a place in `words` ("on the bench").

    Words that are a shelf's code mean that shelf. What left the shop lies nowhere here, and a shelf that is no longer
    used takes nothing.
    """
    with acts.doing("lay_part", call=call, by=by, at=at, within=within) as act:
        shelf = _usable(shelf or shelves.shelf_of(words))
        place = shelf.code if shelf else " ".join(words.split())[: shelves.LONGEST_PLACE]
        if not place:
            raise Refused(_("Say where it lies: scan the shelf, or say it in words."), field="words")
        job = Job.objects.select_related("order", "damper").get(pk=job.pk)
        field = f"shelf_{Placing.Part(part)}"
        was = getattr(job, field)
        if was == place and job.is_open:
            raise Refused(_lies_there(job, part, place), field="scan")
        if Job.objects.filter(pk=job.pk, is_open=True, **{field: was}).update(**{field: place}) != 1:
            raise Refused(_moved_meanwhile(job), field="scan")
        row = Placing.objects.create(
            job=job, part=part, was=was, place=place, shelf=shelf, by=by, at=at, act_id=act.id
        )
        if within is None:
            _name(act, job, row)
        return row


def _usable(shelf: Shelf | None) -> Shelf | None:
    if shelf is None:
        return None
    now = Shelf.objects.get(pk=shelf.pk)
    if now.retired_at is not None:
        raise Refused(_("Shelf %s is no longer used. Scan another one.") % now.code, field="scan")
    return now


def _lies_there(job: Job, part: str, place: str) -> str:
    said = {"part": Placing.Part(part).label, "tag": tags.show(job.damper.tag), "place": place}
    return _("%(tag)s, %(part)s: noted at %(place)s already. Nothing was changed.") % said


def _moved_meanwhile(job: Job) -> str:
    tag = tags.show(job.damper.tag)
    if Job.objects.filter(pk=job.pk, is_open=True).exists():
        return _("Somebody else laid %s down at this moment. Look where it lies, then scan again.") % tag
    return _("%s is not here any more: its job is over. Nothing was stored.") % tag


def _name(act: Doing, job: Job, row: Placing) -> None:
    """Name in the act what moved; of places only shelves: free words may name somebody, and an act stays for ever."""
    codes = set(Shelf.objects.filter(code__in=[row.was, row.place]).values_list("code", flat=True))
    change = {"field": f"{job.number}: shelf_{row.part}"}
    change |= {side: text for side, text in (("old", row.was), ("new", row.place)) if text in codes}
    act.changed.append(change)
    act.about("order", job.order_id)
    act.result = {"order": job.order_id, "number": job.order.number, "job": job.pk, "placing": row.pk}
