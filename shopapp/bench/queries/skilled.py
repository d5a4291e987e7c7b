"""Who is trained for what: the skills that steps ask for, and the initials of the people who have them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.people.queries import skilled
from shopapp.specs.models import Step

if TYPE_CHECKING:
    from shopapp.people.models import Person

CHARGING, RELEASING = "charging", "releasing"
BEFORE_GAS = ("strip", "charge")


def skill_words(skill: str) -> str:
    """Name a skill as the shop says it."""
    return {"charging": _("charging"), "bladders": _("bladders"), "releasing": _("releasing the gas")}.get(
        skill, skill
    )


def asked_to_sign(step: Step) -> str:
    """Give the skill that signing a step asks for: its own, or charging for what proves zero or locks the charge."""
    return step.skill or (CHARGING if step.locks in BEFORE_GAS else "")


def may_do(person: Person, skill: str) -> bool:
    """Say whether somebody may do what asks for this skill; who may let gas in may let it out."""
    return not skill or skill in person.skills or (skill == RELEASING and CHARGING in person.skills)


def initials_of(skills: Iterable[str]) -> dict[str, list[str]]:
    """Give for each skill the initials of those who have it and work here; one query, none where none is asked for."""
    wanted = {skill for skill in skills if skill}
    if not wanted:
        return {}
    people = skilled()
    return {skill: [p.initials for p in people if may_do(p, skill)] for skill in sorted(wanted)}


def trained_words(name: str, skill: str) -> str:
    """Say who may do a step: "Charge is done by people trained for charging: IB, MO. Ask one of them." """
    who = initials_of([skill]).get(skill, [])
    given = {"name": name, "skill": skill_words(skill), "who": ", ".join(who)}
    if not who:
        return _("Nobody here is entered as trained for %(skill)s: the owner enters who is.") % given
    if not name:
        return _("Trained for it: %(who)s.") % given
    return _("%(name)s is for people trained for %(skill)s: %(who)s. Ask one of them.") % given
