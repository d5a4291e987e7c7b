"""Several people at one draft at the same moment: steps each get a place, one release, one draft, one of two changes.

Seen red on both engines with the draft's row read and not taken first: two steps asked for one place, and both
changes went through.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from shopapp.people.models import Person
from shopapp.shop.services.acts import Call, Refused
from shopapp.specs import services as specs
from shopapp.specs.models import Procedure
from shopapp.specs.services import shipped
from shopapp.specs.services.procedure_docs import fields_of, seen
from tests.conftest import NOW, make_person
from tests.faults.racing import race
from tests.specs.drafts import RESERVOIR, added, begun

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def owner(transactional_db: None) -> Person:
    shipped.load_shipped(at=NOW)
    return make_person("ada", "owner", initials="AO")


def std(owner: Person) -> dict[str, Any]:
    return {"by": owner, "at": NOW, "call": Call.fresh()}


def kinds(ends: list[Any]) -> Counter[str]:
    return Counter("refused" if isinstance(end, Refused) else type(end).__name__ for end in ends)


def test_steps_added_at_once_each_get_a_place(owner: Person) -> None:
    draft = begun(owner)
    before = draft.steps.count()
    ends = race([lambda: added(owner, draft)] * 6)
    assert kinds(ends) == {"Step": 6}
    orders = list(draft.steps.order_by("order").values_list("order", flat=True))
    assert orders == list(range(1, before + 7))


def test_of_changes_to_one_step_one_stands(owner: Person) -> None:
    """Seen red with the step's own words not compared: all five went through."""
    step = added(owner, begun(owner))
    was, whole = seen(step), fields_of(step)

    def change(number: int) -> Any:
        fields = {**whole, "name": f"Words {number}"}
        return lambda: specs.change_step(step=step, was=was, fields=fields, **std(owner))

    assert kinds(race([change(number) for number in range(5)])) == {"Step": 1, "refused": 4}


def test_one_draft_is_begun(owner: Person) -> None:
    """Seen red with the constraint's answer not caught: three of five got an error in place of a sentence."""
    old = Procedure.objects.get(name=RESERVOIR)
    ends = race([lambda: specs.renew_procedure(procedure=old, **std(owner))] * 5)
    assert kinds(ends) == {"Procedure": 1, "refused": 4}
    assert Procedure.objects.filter(name=RESERVOIR, released_at=None).count() == 1


def test_released_once_or_changed_but_not_both_unseen(owner: Person) -> None:
    draft = begun(owner)
    revision = draft.revision
    release = [
        lambda: specs.release_procedure(procedure=draft, revision=revision, **std(owner)) for _ in range(4)
    ]
    ends = race([*release, lambda: added(owner, draft)])
    found = kinds(ends)
    assert found in ({"Procedure": 1, "refused": 4}, {"Step": 1, "refused": 4})
    stands = Procedure.objects.get(pk=draft.pk)
    assert (stands.released_at is None) == ("Step" in found)


def test_who_releases_what_others_change_meanwhile_releases_it_as_it_was_seen_or_not(owner: Person) -> None:
    """Seen red with the revision not compared: it was released with steps that nobody had looked at."""
    draft = begun(owner)
    revision = draft.revision
    adding = [lambda: added(owner, draft)] * 4
    ends = race([*adding, lambda: specs.release_procedure(procedure=draft, revision=revision, **std(owner))])
    assert kinds(ends) in ({"Procedure": 1, "refused": 4}, {"Step": 4, "refused": 1})
