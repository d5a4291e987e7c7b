"""Procedures of the shop's own: begun, named, released, retired, discarded.

A released version is frozen by triggers with its steps: jobs that began with it keep it, new jobs take the next one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from shopapp.dampers.models import Construction
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_docs import fields_of
from shopapp.specs.services.procedure_faults import faults_in
from shopapp.specs.services.procedure_floor import stops_of
from shopapp.specs.services.shipped import worded
from shopapp.specs.services.steps import take_draft

if TYPE_CHECKING:
    from shopapp.people.models import Person


def begin_procedure(
    *, name: str, work: str, construction: str, like: Procedure | None = None, by: Person, at: datetime, call: Call,
    within: Doing | None = None,
) -> Procedure:  # fmt: skip
    """Begin a procedure of another name: with the steps of a released one, else with what its construction's must hold.

    Where nothing ships for the construction the draft begins empty.
    """
    with acts.doing("begin_procedure", call=call, by=by, at=at, within=within) as act:
        name, work = name.strip(), work.strip()
        _check_head(name, work, construction)
        if Procedure.objects.filter(name=name).exists():
            words = _(
                "There is a procedure called “%s” already. Begin its next version, or give another name."
            )
            raise Refused(words % name, field="name")
        draft = _add(Procedure(name=name, work=work, construction=construction, version=1))
        steps = _copied(like) if like is not None else [worded(step) for step in stops_of(work, construction)]
        _fill(draft, steps)
        act.about("procedure", draft.pk)
        act.change("steps from", "", str(like) if like is not None else "")
        act.result = {"procedure": draft.pk}
    return draft


def renew_procedure(
    *, procedure: Procedure, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Procedure:
    """Begin the next version of a procedure as a draft with the steps of this one (an old or retired one too)."""
    with acts.doing("renew_procedure", call=call, by=by, at=at, within=within) as act:
        there = Procedure.objects.filter(name=procedure.name)
        if procedure.released_at is None:
            raise Refused(_("%(procedure)s is a draft: change it as it is.") % {"procedure": procedure})
        if there.filter(released_at__isnull=True).exists():
            raise Refused(_draft_there(procedure.name))
        draft = _add(
            Procedure(
                name=procedure.name, work=procedure.work, construction=procedure.construction,
                version=_next_version(procedure.name),
            )
        )  # fmt: skip
        _fill(draft, _copied(procedure))
        act.about("procedure", draft.pk)
        act.change("steps from", "", str(procedure))
        act.result = {"procedure": draft.pk}
    return draft


def name_procedure(
    *, procedure: Procedure, revision: int, name: str, work: str, construction: str, by: Person, at: datetime,
    call: Call, within: Doing | None = None,
) -> Procedure:  # fmt: skip
    """Change what a draft is called and what it is for; a next version keeps its name, by which it is known."""
    with acts.doing("name_procedure", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(procedure, revision=revision)
        name, work = name.strip(), work.strip()
        _check_head(name, work, construction)
        others = Procedure.objects.exclude(pk=draft.pk)
        if name != draft.name and others.filter(name=draft.name).exists():
            words = _(
                "This is a version of “%s” and keeps its name. Begin a procedure of another name instead."
            )
            raise Refused(words % draft.name, field="name")
        if others.filter(name=name).exclude(name=draft.name).exists():
            raise Refused(_("There is a procedure called “%s” already.") % name, field="name")
        act.about("procedure", draft.pk)
        for field, value in (("name", name), ("work", work), ("construction", construction)):
            act.change(field, getattr(draft, field), value)
            setattr(draft, field, value)
        draft.save(update_fields=["name", "work", "construction"])
        act.result = {"procedure": draft.pk}
    return draft


def release_procedure(
    *, procedure: Procedure, revision: int, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Procedure:
    """Release a draft as it was seen: new jobs take it, running ones keep theirs; refused while a rule is broken."""
    with acts.doing("release_procedure", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(procedure, revision=revision)
        for fault in faults_in(draft):
            raise Refused(fault.sentence)
        version = draft.version
        if Procedure.objects.filter(name=draft.name, version__gt=version).exists():
            version = _next_version(draft.name)
        Procedure.objects.filter(pk=draft.pk).update(released_at=at, version=version)
        draft.refresh_from_db()
        act.about("procedure", draft.pk)
        act.result = {"procedure": draft.pk}
    return draft


def discard_draft(
    *, procedure: Procedure, revision: int, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> None:
    """Throw a draft away with its steps; the act stays."""
    with acts.doing("discard_draft", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(procedure, revision=revision)
        Step.objects.filter(procedure=draft).delete()
        Procedure.objects.filter(pk=draft.pk).delete()
        last = Procedure.objects.filter(name=draft.name).order_by("version").last()
        act.about("procedure", draft.pk if last is None else last.pk)
        act.change("draft", f"version {draft.version}", "")
        act.result = {"procedure": last.pk if last is not None else None}


def retire_procedure(
    *, procedure: Procedure, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Procedure:
    """Retire a procedure with all its versions: new jobs get none of them, running jobs keep theirs.

    A next version, begun from any of them and released, takes it up again.
    """
    with acts.doing("retire_procedure", call=call, by=by, at=at, within=within) as act:
        rows = Procedure.objects.filter(name=procedure.name, released_at__isnull=False)
        if not rows.filter(retired_at__isnull=True).update(retired_at=at):
            raise Refused(
                _("%(procedure)s is not in use: nothing is there to retire.") % {"procedure": procedure}
            )
        act.about("procedure", procedure.pk)
        act.result = {"procedure": procedure.pk}
    return procedure


def _check_head(name: str, work: str, construction: str) -> None:
    if not name or len(name) > 80:
        raise Refused(_("Give the procedure a name of at most 80 characters."), field="name")
    if not work or len(work) > 40:
        raise Refused(_("Say the kind of work that it is for, in at most 40 characters."), field="work")
    if construction not in ("", *Construction.values):
        raise Refused(_("There is no construction called “%s”.") % construction[:40], field="construction")


def _next_version(name: str) -> int:
    found = Procedure.objects.filter(name=name).aggregate(last=Max("version"))
    return int(found["last"] or 0) + 1


def _draft_there(name: str) -> str:
    return _("There is a draft of “%s” already. Change that one, or discard it first.") % name


def _add(draft: Procedure) -> Procedure:
    try:
        with transaction.atomic():
            draft.save(force_insert=True)
    except IntegrityError as problem:
        raise Refused(_draft_there(draft.name), field="name") from problem
    return draft


def _copied(procedure: Procedure) -> list[dict[str, Any]]:
    return [fields_of(step) for step in procedure.steps.order_by("order")]


def _fill(draft: Procedure, steps: Sequence[Mapping[str, Any]]) -> None:
    Step.objects.bulk_create(
        Step(procedure=draft, order=order, **fields) for order, fields in enumerate(steps, 1)
    )
