"""Adding dampers, keeping who owns them and where they sit."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers.models import PLACES, Damper, DamperModel, Fitting, Ownership
from shopapp.dampers.queries import twin_of
from shopapp.dampers.services import tags
from shopapp.shop.services import acts, search_terms
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


WHY_CHANGED = ("misread", "typed wrong", "read after the wash", "part replaced")
"""Why a damper's row is corrected: kept in the act for ever, so it is one of a few words and names nobody."""


def add_damper(
    *,
    maker: str = "",
    serial: str = "",
    model: DamperModel | None = None,
    customer: Customer | None,
    note: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Damper:
    """Add a damper under a new tag; the same serial of one maker is refused with the tag it has.

    Without `maker` it is the model's. Several dampers may have no serial: the tag tells them apart.
    """
    with acts.doing("add_damper", call=call, by=by, at=at, within=within) as act:
        maker = model.maker if model is not None else maker.strip()
        _refuse_twin(maker, serial)
        damper = Damper(
            tag=tags.new_tag(),
            maker=maker,
            serial=serial.strip(),
            serial_folded=search_terms.fold_number(serial)[:60],
            model=model,
            note=note.strip(),
            made_at=at,
        )
        _save(damper)
        if customer is not None:
            set_owner(
                damper=damper,
                customer=customer,
                on=timezone.localdate(at),
                by=by,
                at=at,
                call=call,
                within=act,
            )
        if within is None:
            act.about("damper", damper.pk)
            act.result = {"damper": damper.pk}
        return damper


def change_damper(
    *,
    damper: Damper,
    revision: int,
    serial: str,
    model: DamperModel | None,
    maker: str = "",
    note: str = "",
    why: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Damper:
    """Correct what is written about a damper, and say why (one of WHY_CHANGED); its tag stays."""
    with acts.doing("change_damper", call=call, by=by, at=at, within=within) as act:
        if why not in WHY_CHANGED:
            raise Refused(_("Say why it is corrected: it stands in the damper's history."), field="why")
        acts.raise_revision(damper, revision, what=tags.show(damper.tag), about="damper")
        maker = model.maker if model is not None else maker.strip()
        _refuse_twin(maker, serial, but=damper.pk)
        act.change("serial", damper.serial, serial.strip())
        act.change("model", damper.model, model)
        act.change("maker", damper.maker, maker)
        act.change("note", damper.note, note.strip(), personal=True)
        act.change("why", "", why)
        damper.serial, damper.serial_folded = serial.strip(), search_terms.fold_number(serial)[:60]
        damper.maker, damper.model, damper.note = maker, model, note.strip()
        _save(damper)
        if within is None:
            act.about("damper", damper.pk)
            act.result = {"damper": damper.pk}
        return damper


def _refuse_twin(maker: str, serial: str, but: int | None = None) -> None:
    twin = twin_of(maker, serial)
    if twin is not None and twin.pk != but:
        words = _("%(maker)s %(serial)s is here already, under the tag %(tag)s. Use that tag.")
        raise Refused(
            words % {"maker": twin.maker, "serial": twin.serial, "tag": tags.show(twin.tag)}, field="serial"
        )


def _save(damper: Damper) -> None:
    try:
        with transaction.atomic():
            damper.save()
    except IntegrityError as broken:
        if twin_of(damper.maker, damper.serial) is None:
            raise
        raise Refused(
            _("This serial was just added by somebody else. Look it up again."), field="serial"
        ) from broken
    keep_terms(damper)


def terms_of(damper: Damper) -> list[tuple[str, str, int]]:
    """Give the words and numbers by which a damper is found; a serial by its parts too."""
    terms = [("tag", damper.tag, 100)]
    if damper.serial_folded:
        terms.append(("serial", damper.serial, 90))
        parts = damper.serial.replace("/", " ").replace("-", " ").replace(".", " ").split()
        terms += [("serial", part, 70) for part in parts[1:] if len(part) > 2]
    for words in {damper.maker, damper.model.name if damper.model else ""} - {""}:
        terms.append(("model", words, 20))
    return terms


def keep_terms(damper: Damper) -> None:
    """Keep a damper's search terms as its row says."""
    search_terms.keep_terms(target_kind="damper", target_id=damper.pk, terms=terms_of(damper))


def set_owner(
    *,
    damper: Damper,
    customer: Customer,
    on: date,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Ownership:
    """Say who owns a damper from a day on; the ownership before ends on that day. The same owner changes nothing."""
    with acts.doing("set_owner", call=call, by=by, at=at, within=within) as act:
        if within is None:
            act.about("damper", damper.pk)
            act.result = {"damper": damper.pk}
        now = damper.ownerships.filter(current=True).first()
        if now is not None and now.customer_id == customer.pk:
            return now
        damper.ownerships.filter(current=True).update(current=False, until=on)
        try:
            with transaction.atomic():
                return Ownership.objects.create(damper=damper, customer=customer, since=on)
        except IntegrityError as broken:
            raise Refused(
                _("The owner was just changed by somebody else. Look at the damper again.")
            ) from broken


def fit_damper(
    *,
    damper: Damper,
    vehicle: Vehicle,
    place: str,
    place_words: str = "",
    number: int = 1,
    on: date | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Fitting:
    """Say where a damper sits on a vehicle. Where it sat before ends, and so does what sat in this place."""
    with acts.doing("fit_damper", call=call, by=by, at=at, within=within) as act:
        if within is None:
            act.about("damper", damper.pk)
            act.result = {"damper": damper.pk}
        if place not in dict(PLACES):
            raise Refused(_("Choose a place of the list, or other with its name in words."), field="place")
        words = place_words.strip() if place == "other" else ""
        here = {"vehicle": vehicle, "place": place, "place_words": words, "number": number}
        same = damper.fittings.filter(current=True, **here).first()
        if same is not None:
            return same
        ends = on or timezone.localdate(at)
        damper.fittings.filter(current=True).update(current=False, until=ends)
        Fitting.objects.filter(current=True, **here).update(current=False, until=ends, about=True)
        try:
            with transaction.atomic():
                return Fitting.objects.create(damper=damper, since=on, about=on is None, **here)
        except IntegrityError as broken:
            raise Refused(
                _("This place was just given to another damper. Look at the vehicle again.")
            ) from broken


def retire_damper(
    *, damper: Damper, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Damper:
    """Retire a damper that is no more: it sits nowhere from now on, and nothing is due for it."""
    with acts.doing("retire_damper", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(damper, None, what=tags.show(damper.tag), about="damper")
        damper.fittings.filter(current=True).update(current=False, until=timezone.localdate(at))
        damper.retired_at = damper.retired_at or at
        damper.save(update_fields=["retired_at"])
        if within is None:
            act.about("damper", damper.pk)
            act.result = {"damper": damper.pk}
        return damper
