"""A draft of a procedure, and its steps as forms hand them in."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_docs import fields_of, seen
from tests.conftest import NOW

RESERVOIR = "Rebuild, reservoir with IFP"


def begun(owner: Person, name: str = RESERVOIR) -> Procedure:
    """Begin the next version of a shipped procedure."""
    released = Procedure.objects.filter(name=name, released_at__isnull=False).latest("version")
    return specs.renew_procedure(procedure=released, by=owner, at=NOW, call=Call.fresh())


def step_of(draft: Procedure, code: str) -> Step:
    return draft.steps.select_related("procedure").get(code=code)


def changed(owner: Person, step: Step, **fields: Any) -> Step:
    """Change a step as it stands now."""
    now = Step.objects.select_related("procedure").get(pk=step.pk)
    whole = {**fields_of(now), **fields}
    return specs.change_step(step=now, was=seen(now), fields=whole, by=owner, at=NOW, call=Call.fresh())


def removed(owner: Person, step: Step) -> Procedure:
    return specs.remove_step(step=step, was=seen(step), by=owner, at=NOW, call=Call.fresh())


def added(owner: Person, draft: Procedure, **fields: Any) -> Step:
    whole = {"stage": "wash", "kind": "do", "name": "Hose bracket cleaned", **fields}
    return specs.add_step(procedure=draft, fields=whole, by=owner, at=NOW, call=Call.fresh())


def released(owner: Person, draft: Procedure, at: dt.datetime = NOW) -> Procedure:
    draft.refresh_from_db()
    return specs.release_procedure(
        procedure=draft, revision=draft.revision, by=owner, at=at, call=Call.fresh()
    )


def codes(draft: Procedure, stage: str) -> list[str]:
    return list(draft.steps.filter(stage=stage).order_by("order").values_list("code", flat=True))
