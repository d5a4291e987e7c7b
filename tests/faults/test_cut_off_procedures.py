"""A procedure cut off at each SQL statement: begun, worked on, released, retired, discarded; whole or not at all.

Seen red without the act's one transaction: a draft stood there with half its steps.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.specs.models import Procedure, Step
from shopapp.specs.services import shipped
from shopapp.specs.services.procedure_docs import fields_of, seen
from tests.conftest import NOW, make_person
from tests.faults.cutting import cut_at_each_statement
from tests.specs.drafts import RESERVOIR, step_of

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def std() -> dict[str, Any]:
    shipped.load_shipped(at=NOW)
    return {"by": make_person("ada", "owner", initials="AO"), "at": NOW}


def test_from_the_next_version_to_its_retirement(std: dict[str, Any]) -> None:
    old = Procedure.objects.get(name=RESERVOIR)
    cut(lambda call: specs.renew_procedure(procedure=old, call=call, **std), "begin", 6)
    draft = Procedure.objects.get(name=RESERVOIR, released_at=None)
    fields = {"stage": "wash", "kind": "do", "name": "Hose bracket cleaned"}
    cut(lambda call: specs.add_step(procedure=draft, fields=fields, call=call, **std), "add", 8)
    step = draft.steps.get(name="Hose bracket cleaned")
    was = seen(step)
    new = {**fields_of(step), "stage": "inspect", "name": "Bracket looked at"}
    cut(lambda call: specs.change_step(step=step, was=was, fields=new, call=call, **std), "change", 8)
    moved = step_of(draft, step.code)
    cut(lambda call: specs.move_step(step=moved, by_places=-1, call=call, **std), "move", 7)
    gone = seen(step_of(draft, step.code))
    cut(lambda call: specs.remove_step(step=moved, was=gone, call=call, **std), "remove", 6)
    assert not Step.objects.filter(pk=step.pk).exists()
    draft.refresh_from_db()
    revision = draft.revision
    cut(
        lambda call: specs.release_procedure(procedure=draft, revision=revision, call=call, **std),
        "release",
        6,
    )
    assert Procedure.objects.get(pk=draft.pk).released_at == NOW
    cut(lambda call: specs.retire_procedure(procedure=draft, call=call, **std), "retire", 3)


def test_another_name_and_the_end_of_a_draft(std: dict[str, Any]) -> None:
    head = {"name": "Our own", "work": "Rebuild", "construction": "emulsion"}
    cut(lambda call: specs.begin_procedure(**head, call=call, **std), "begin", 5)
    draft = Procedure.objects.get(name="Our own")
    other = {**head, "name": "Ours"}
    cut(lambda call: specs.name_procedure(procedure=draft, revision=1, **other, call=call, **std), "name", 5)
    cut(lambda call: specs.discard_draft(procedure=draft, revision=2, call=call, **std), "discard", 6)
    assert not Procedure.objects.filter(pk=draft.pk).exists()


def cut(work: Callable[[Call], Any], key: str, least: int) -> None:
    """Cut a verb at each statement; the same key each time, as who presses again."""
    assert cut_at_each_statement(lambda: work(Call.once(key))) >= least
