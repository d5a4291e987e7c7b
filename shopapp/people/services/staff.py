"""Adding people, changing them, setting up the first owner."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import Group
from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.people.models import ROLES, Person
from shopapp.people.queries import owner_exists
from shopapp.people.services.signing_in import fold_login
from shopapp.shop.models import Shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.shop.services.the_shop import ShopDetails, set_up_shop

LINK_FILE = "owner-link"
NOTED = ("name", "initials", "email", "skills", "countersign_needed", "is_active")
PERSONAL = frozenset({"name", "initials", "email"})
"""Of these an act keeps that they changed, and no value."""


def ensure_roles() -> None:
    """Make the three groups where they are missing (after every migrate)."""
    for role in ROLES:
        Group.objects.get_or_create(name=role)


def _take_turn() -> None:
    """Write the one row that all changes of people write first.

    Two owners who demote each other, or who give one name to two people, so come one after the other.
    """
    Shop.objects.filter(pk=1).update(is_demo=F("is_demo"))


def _refuse_taken(*, login_name: str, initials: str, but: int | None = None) -> None:
    others = Person.objects.exclude(pk=but) if but else Person.objects.all()
    if others.filter(login_name=login_name).exists():
        raise Refused(_("The log-in name %s is taken. Choose another.") % login_name, field="login_name")
    if others.filter(initials=initials).exists():
        raise Refused(_("The initials %s are taken. Choose others.") % initials, field="initials")


def add_person(
    *,
    login_name: str,
    name: str,
    initials: str,
    roles: Sequence[str],
    by: Person | None,
    at: datetime,
    call: Call,
    password: str = "",
    email: str = "",
    skills: Sequence[str] = (),
    countersign_needed: bool = False,
    within: Doing | None = None,
) -> Person:
    """Add somebody who works here. Without a password nobody can sign in as them yet."""
    with acts.doing("add_person", call=call, by=by, at=at, within=within) as act:
        login_name, initials = fold_login(login_name), initials.strip()
        _take_turn()
        _refuse_taken(login_name=login_name, initials=initials)
        person = Person(
            login_name=login_name,
            name=name.strip(),
            initials=initials,
            email=email,
            skills=list(skills),
            countersign_needed=countersign_needed,
        )
        if password:
            person.set_password(password)
        else:
            person.set_unusable_password()
        person.save(force_insert=True)
        person.groups.set(Group.objects.filter(name__in=roles))
        act.about("person", person.pk)
        act.result = {"person": person.pk}
        return person


def change_person(
    *,
    person: Person,
    revision: int,
    name: str,
    initials: str,
    roles: Sequence[str],
    is_active: bool,
    by: Person,
    at: datetime,
    call: Call,
    email: str = "",
    skills: Sequence[str] = (),
    countersign_needed: bool = False,
    password: str = "",
    within: Doing | None = None,
) -> Person:
    """Change somebody's name, roles, skills or password, or let them leave; the last owner stays."""
    with acts.doing("change_person", call=call, by=by, at=at, within=within) as act:
        _take_turn()
        acts.raise_revision(person, revision, what=person.name)
        _refuse_taken(login_name=person.login_name, initials=initials.strip(), but=person.pk)
        old = {field: getattr(person, field) for field in NOTED}
        old_roles = sorted(person.groups.values_list("name", flat=True))
        person.name, person.initials, person.email = name.strip(), initials.strip(), email
        person.skills, person.countersign_needed, person.is_active = (
            list(skills),
            countersign_needed,
            is_active,
        )
        if password:
            person.set_password(password)
            act.change("password", "", "set", personal=True)
        person.save()
        person.groups.set(Group.objects.filter(name__in=roles))
        if not owner_exists():
            raise Refused(_("The shop needs one owner who can sign in. Make somebody else owner first."))
        for field, value in old.items():
            act.change(field, value, getattr(person, field), personal=field in PERSONAL)
        act.change("roles", old_roles, sorted(roles))
        if within is None:
            act.about("person", person.pk)
            act.result = {"person": person.pk}
        return person


def change_own_password(
    *,
    person: Person,
    old: str,
    password: str,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> None:
    """Set one's own new password; the old one must be right."""
    with acts.doing("change_own_password", call=call, by=person, at=at, within=within) as act:
        if not person.check_password(old):
            raise Refused(_("This is not your password now. Type it again."), field="old")
        person.set_password(password)
        person.save(update_fields=["password"])
        act.change("password", "", "set", personal=True)
        if within is None:
            act.about("person", person.pk)
            act.result = {"person": person.pk}


def _link_path() -> Path:
    return Path(settings.SHOP_DATA) / LINK_FILE


def make_owner_link() -> str:
    """Make the secret of the first start and keep its hash under SHOP_DATA; a new one ends the old one.

    It is good once (an owner exists afterwards) and from this machine alone (the view asks for a loopback address).
    """
    secret = secrets.token_urlsafe(24)
    path = _link_path()
    path.write_text(hashlib.sha256(secret.encode()).hexdigest(), "utf-8")
    path.chmod(0o600)
    return secret


def owner_link_good(secret: str) -> bool:
    """Say whether this is the secret of the first start and still good."""
    path = _link_path()
    if owner_exists() or not path.is_file():
        return False
    kept = path.read_text("utf-8").strip()
    return secrets.compare_digest(kept, hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest())


def set_up_owner(
    *,
    secret: str,
    details: ShopDetails,
    login_name: str,
    name: str,
    initials: str,
    password: str,
    at: datetime,
    within: Doing | None = None,
) -> Person:
    """Make the shop and its first owner by the link of the first start, once, whoever else tries at that moment."""
    call = Call.once(f"set_up_owner:{hashlib.sha256(secret.encode()).hexdigest()[:32]}")
    with acts.doing("set_up_owner", call=call, by=None, at=at, within=within) as act:
        if not owner_link_good(secret):
            raise Refused(_("This link was used already. Sign in, or start the program again for a new one."))
        if not Shop.objects.exists():
            set_up_shop(details=details, by=None, at=at, call=call, within=act)
        person = add_person(
            login_name=login_name, name=name, initials=initials, roles=["owner", "desk", "technician"],
            by=None, at=at, call=call, password=password, within=act,
        )  # fmt: skip
    _link_path().unlink(missing_ok=True)
    return person
