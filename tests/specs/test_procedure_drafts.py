"""Drafts of procedures: begun, worked on, released, retired, discarded; a safety stop cannot be taken away.

Each refusal was seen to go through with its check taken out of the service.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale
from shopapp.specs import queries
from shopapp.specs import services as specs
from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_docs import document_of, fields_of, seen
from shopapp.specs.services.procedure_faults import faults_in
from shopapp.specs.services.procedure_floor import shipped_for
from tests.conftest import NOW
from tests.specs.drafts import RESERVOIR, added, begun, changed, codes, released, removed, step_of

pytestmark = pytest.mark.django_db


def std(person: Person) -> dict[str, Any]:
    return {"by": person, "at": NOW, "call": Call.fresh()}


def test_a_next_version_begins_alike_and_keeps_the_old_one_whole(owner: Person) -> None:
    draft = begun(owner)
    old = Procedure.objects.get(name=RESERVOIR, version=1)
    assert (draft.version, draft.released_at, draft.shipped) == (2, None, 0)
    assert [fields_of(step) for step in draft.steps.all()] == [fields_of(step) for step in old.steps.all()]
    assert faults_in(draft) == []
    assert queries.procedure_for("Rebuild", "reservoir") == old


def test_there_is_one_draft_of_a_procedure(owner: Person) -> None:
    begun(owner)
    with pytest.raises(Refused, match="There is a draft of"):
        begun(owner)
    with pytest.raises(IntegrityError), transaction.atomic():
        Procedure.objects.create(name=RESERVOIR, work="Rebuild", construction="reservoir", version=9)


def test_released_it_is_what_new_jobs_take_and_frozen(owner: Person) -> None:
    draft = begun(owner)
    step = added(owner, draft, name="Hose bracket cleaned")
    new = released(owner, draft, NOW + dt.timedelta(hours=1))
    assert queries.procedure_for("Rebuild", "reservoir") == new
    assert queries.procedure_for(RESERVOIR, "reservoir") == new
    with pytest.raises(DatabaseError), transaction.atomic():
        Step.objects.filter(pk=step.pk).update(name="x")
    with pytest.raises(Refused, match="released and frozen"):
        changed(owner, step, name="Another")
    with pytest.raises(Refused, match="released and frozen"):
        released(owner, new)


def test_what_was_seen_is_what_is_released(owner: Person) -> None:
    draft = begun(owner)
    before = draft.revision
    added(owner, draft)
    with pytest.raises(Stale, match="somebody else"):
        specs.release_procedure(procedure=draft, revision=before, **std(owner))
    assert Procedure.objects.get(pk=draft.pk).released_at is None


def test_it_is_not_released_while_a_rule_is_broken(owner: Person) -> None:
    draft = begun(owner)
    Step.objects.filter(procedure=draft, code="release-zero").delete()
    with pytest.raises(Refused, match="no proof of zero"):
        released(owner, draft)
    draft.refresh_from_db()
    assert draft.released_at is None


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("release-zero", "no proof of zero"),
        ("ifp-proof-ring", "cannot be left out"),
        ("ifp-depth", "depth as built does not lock"),
        ("charge-temperature", "body's temperature is read"),
        ("restore-preload", "read it again when it is restored"),
        ("prove-tight", "cannot be left out"),
    ],
)
def test_a_safety_stop_cannot_be_taken_out(owner: Person, code: str, sentence: str) -> None:
    draft = begun(owner)
    with pytest.raises(Refused, match=sentence):
        removed(owner, step_of(draft, code))
    assert step_of(draft, code)


def fails_all(step: Step) -> dict[str, Any]:
    return {"options": [{**option, "stops": False} for option in step.options]}


def swapped(step: Step) -> dict[str, Any]:
    return {
        "options": [{**option, "passes": not option["passes"], "stops": False} for option in step.options]
    }


@pytest.mark.parametrize(
    ("code", "change", "sentence"),
    [
        ("release-zero", {"locks": ""}, "no proof of zero"),
        ("release-zero", {"stage": "strip", "locks": "inspect"}, "no proof of zero"),
        ("release-zero", {"kind": "do", "options": []}, "no proof of zero"),
        ("release-zero", fails_all, "must stop the job"),
        ("release-zero", {"second_tap": False}, "keeps its second tap"),
        ("release-zero", {"caution": ""}, "came with this step and stays"),
        ("release-gas", {"caution": "clamping"}, "came with this step and stays"),
        ("charge-gas", {"skill": ""}, "skill stays"),
        ("charge-gas", {"required": False}, "body's temperature is read"),
        ("ifp-proof-ring", {"locks": ""}, "stays a required proof"),
        ("ifp-proof-ring", swapped, "each goes on to pass"),
        ("settings-preload", {"locks": ""}, "must lock"),
        ("settings-eyes", {"figure": "stroke"}, "read it again when it is restored"),
    ],
)
def test_a_safety_stop_cannot_be_changed_away(
    owner: Person, code: str, change: dict[str, Any] | Callable[[Step], dict[str, Any]], sentence: str
) -> None:
    step = step_of(begun(owner), code)
    with pytest.raises(Refused, match=sentence):
        changed(owner, step, **(change(step) if callable(change) else change))
    assert fields_of(step_of(step.procedure, code)) == fields_of(step)


def test_the_charge_cannot_be_moved_before_the_bodys_temperature(owner: Person) -> None:
    draft = begun(owner)
    place = codes(draft, "charge")
    moved = step_of(draft, "charge-gas")
    steps_up = place.index("charge-gas") - place.index("charge-temperature")
    with pytest.raises(Refused, match="body's temperature is read"):
        for _ in range(steps_up):
            specs.move_step(step=moved, by_places=-1, **std(owner))


def test_words_may_be_added_to_a_caution_and_stand_after_it(owner: Person) -> None:
    step = changed(owner, step_of(begun(owner), "release-gas"), own_caution="Bay 3: the vent is behind you.")
    assert step.own_caution == "Bay 3: the vent is behind you." and step.caution == "gas"


def test_a_stop_with_a_fault_may_be_given_other_words(owner: Person) -> None:
    """Seen red while a fault in other words counted as another one."""
    draft = begun(owner)
    reading = added(
        owner, draft, stage="settings", kind="reading", figure="stroke", phase="received", name="Stroke"
    )
    assert [fault.stop for fault in faults_in(draft)] == [True, True]
    assert changed(owner, reading, name="Stroke, rod out to rod in").name == "Stroke, rod out to rod in"


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"kind": "reading"}, "a reading names its figure"),
        ({"kind": "wait"}, "a wait has its minutes"),
        ({"kind": "tool"}, "which kind of tool"),
        ({"kind": "part"}, "what the part is for"),
        ({"kind": "proof"}, "two answers or more"),
        ({"kind": "dance"}, "not in the registry"),
        ({"stage": "dance"}, "not in the registry"),
        ({"figure": "no such figure", "kind": "reading", "phase": "built"}, "not in the registry"),
        ({"locks": "receive"}, "could never be done"),
        ({"name": ""}, "its words"),
        ({"name": "x" * 121}, "longer than 120"),
        ({"own_caution": "x" * 301}, "longer than 300"),
        ({"repeat": "adjusters"}, "needs the figure"),
    ],
)
def test_a_step_keeps_the_rules_of_a_step(owner: Person, fields: dict[str, Any], sentence: str) -> None:
    draft = begun(owner)
    with pytest.raises(Refused, match=sentence):
        added(owner, draft, **fields)


def test_a_step_stands_at_the_end_of_its_stage_and_moves_inside_it(owner: Person) -> None:
    draft = begun(owner)
    before = codes(draft, "wash")
    step = added(owner, draft)
    assert codes(draft, "wash") == [*before, "wash-own-1"]
    specs.move_step(step=step, by_places=-1, **std(owner))
    assert codes(draft, "wash") == [*before[:-1], "wash-own-1", before[-1]]
    specs.move_step(step=step, by_places=1, **std(owner))
    assert codes(draft, "wash") == [*before, "wash-own-1"]
    with pytest.raises(Refused, match="at the end of its stage"):
        specs.move_step(step=step, by_places=1, **std(owner))
    orders = list(draft.steps.order_by("order").values_list("order", flat=True))
    assert orders == list(range(1, len(orders) + 1))
    assert added(owner, draft).code == "wash-own-2"


def test_a_step_of_another_stage_goes_to_its_end(owner: Person) -> None:
    draft = begun(owner)
    step = changed(owner, added(owner, draft), stage="inspect")
    assert codes(draft, "inspect")[-1] == step.code and step.code not in codes(draft, "wash")
    assert [fault.sentence for fault in faults_in(draft)] == []


def test_of_two_people_at_one_step_the_second_is_told(owner: Person) -> None:
    step = added(owner, begun(owner))
    was = seen(step)
    changed(owner, step, name="Bracket cleaned and dried")
    with pytest.raises(Stale, match="Somebody else"):
        specs.change_step(step=step, was=was, fields={**fields_of(step), "name": "x"}, **std(owner))
    with pytest.raises(Stale):
        specs.remove_step(step=step, was=was, **std(owner))
    assert Step.objects.get(pk=step.pk).name == "Bracket cleaned and dried"


def test_two_people_at_two_steps_do_not_meet(owner: Person) -> None:
    draft = begun(owner)
    one, two = added(owner, draft), added(owner, draft)
    was = seen(two)
    changed(owner, one, name="First")
    specs.change_step(step=two, was=was, fields={**fields_of(two), "name": "Second"}, **std(owner))
    assert {"First", "Second"} <= set(draft.steps.values_list("name", flat=True))


def test_a_step_that_somebody_took_out_is_gone_for_the_other(owner: Person) -> None:
    step = added(owner, begun(owner))
    removed(owner, step)
    for verb in (
        lambda: specs.change_step(step=step, was="x", fields=fields_of(step), **std(owner)),
        lambda: specs.move_step(step=step, by_places=1, **std(owner)),
        lambda: specs.remove_step(step=step, was="x", **std(owner)),
    ):
        with pytest.raises(Refused, match="taken this step out"):
            verb()


def test_the_same_act_twice_has_one_effect(owner: Person) -> None:
    draft = begun(owner)
    once = {
        "procedure": draft,
        "fields": {"stage": "wash", "kind": "do", "name": "Once"},
        "by": owner,
        "at": NOW,
    }
    specs.add_step(**once, call=Call.once("twice"))
    with pytest.raises(AlreadyDone):
        specs.add_step(**once, call=Call.once("twice"))
    assert draft.steps.filter(name="Once").count() == 1


def test_a_draft_is_discarded_and_the_act_stays(owner: Person) -> None:
    draft = begun(owner)
    specs.discard_draft(procedure=draft, revision=draft.revision, **std(owner))
    assert not Procedure.objects.filter(pk=draft.pk).exists()
    old = Procedure.objects.get(name=RESERVOIR)
    act = Act.objects.get(verb="discard_draft")
    assert (act.subject_id, act.result) == (str(old.pk), {"procedure": old.pk})
    with pytest.raises(Refused, match="discarded"):
        added(owner, draft)
    assert begun(owner).version == 2


def test_a_released_version_is_not_discarded(owner: Person) -> None:
    old = Procedure.objects.get(name=RESERVOIR)
    with pytest.raises(Refused, match="released and frozen"):
        specs.discard_draft(procedure=old, revision=old.revision, **std(owner))
    assert old.steps.exists()


def test_retired_it_is_given_to_no_new_job_and_a_next_version_takes_it_up(owner: Person) -> None:
    """Seen red while only the newest version was retired: the one before it came back."""
    new = released(owner, begun(owner))
    specs.retire_procedure(procedure=new, **std(owner))
    assert queries.procedure_for("Rebuild", "reservoir") is None
    with pytest.raises(Refused, match="not in use"):
        specs.retire_procedure(procedure=new, **std(owner))
    again = released(owner, begun(owner), NOW + dt.timedelta(days=1))
    assert again.version == 3 and queries.procedure_for("Rebuild", "reservoir") == again


def test_an_old_version_may_be_taken_up_again(owner: Person) -> None:
    first = Procedure.objects.get(name=RESERVOIR)
    draft = begun(owner)
    added(owner, draft)
    released(owner, draft)
    back = specs.renew_procedure(procedure=first, **std(owner))
    assert back.version == 3 and document_of(back)["steps"] == document_of(first)["steps"]


@pytest.mark.parametrize(
    "construction", ["reservoir", "ifp body", "bladder", "emulsion", "through-rod", "twin-tube"]
)
def test_from_nothing_begins_with_what_its_construction_must_hold(owner: Person, construction: str) -> None:
    draft = specs.begin_procedure(name="Our own", work="Rebuild", construction=construction, **std(owner))
    assert faults_in(draft) == []
    (shipped,) = shipped_for("Rebuild", construction)
    proofs = {step["code"] for step in shipped["steps"] if step["kind"] == "proof"}
    assert proofs == set(draft.steps.filter(kind="proof").values_list("code", flat=True))
    assert draft.steps.count() < len(shipped["steps"])


def test_a_construction_that_nothing_ships_for_begins_empty_or_like_another(owner: Person) -> None:
    empty = specs.begin_procedure(name="Bypass", work="Rebuild", construction="other", **std(owner))
    assert [fault.sentence for fault in faults_in(empty)] == [
        "A procedure without a step proves nothing. Give it its steps."
    ]
    like = Procedure.objects.get(name=RESERVOIR)
    bypass = specs.begin_procedure(
        name="Bypass 2", work="Rebuild", construction="other", like=like, **std(owner)
    )
    assert released(owner, bypass).released_at == NOW
    assert queries.procedure_for("Rebuild", "other") == bypass


def test_for_a_construction_that_nothing_ships_for_the_general_stops_hold(owner: Person) -> None:
    like = Procedure.objects.get(name=RESERVOIR)
    bypass = specs.begin_procedure(
        name="Bypass", work="Rebuild", construction="other", like=like, **std(owner)
    )
    with pytest.raises(Refused, match="no proof of zero"):
        removed(owner, step_of(bypass, "release-zero"))


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        ({"name": " "}, "a name of at most 80"),
        ({"name": "x" * 81}, "a name of at most 80"),
        ({"name": RESERVOIR}, "already"),
        ({"work": ""}, "kind of work"),
        ({"construction": "spring"}, "no construction"),
    ],
)
def test_a_procedure_has_a_name_of_its_own_and_its_work(
    owner: Person, head: dict[str, str], sentence: str
) -> None:
    with pytest.raises(Refused, match=sentence):
        specs.begin_procedure(
            **{"name": "Our own", "work": "Rebuild", "construction": "reservoir", **head}, **std(owner)
        )


def test_what_a_draft_is_for_is_changed_but_a_version_keeps_its_name(owner: Person) -> None:
    draft = specs.begin_procedure(name="Our own", work="Rebuild", construction="emulsion", **std(owner))
    specs.name_procedure(
        procedure=draft, revision=draft.revision, name="Ours", work="Rebuild", construction="twin-tube", **std(owner)
    )  # fmt: skip
    draft.refresh_from_db()
    assert (draft.name, draft.construction) == ("Ours", "twin-tube")
    assert any("own proof" in fault.sentence for fault in faults_in(draft)) or faults_in(draft)
    version = begun(owner)
    with pytest.raises(Refused, match="keeps its name"):
        specs.name_procedure(
            procedure=version, revision=version.revision, name="Ours 2", work="Rebuild", construction="reservoir",
            **std(owner),
        )  # fmt: skip


def test_a_draft_is_not_begun_anew_nor_given_anothers_name(owner: Person) -> None:
    draft = specs.begin_procedure(name="Our own", work="Rebuild", construction="emulsion", **std(owner))
    with pytest.raises(Refused, match="is a draft: change it as it is"):
        specs.renew_procedure(procedure=draft, **std(owner))
    head = {"work": "Rebuild", "construction": "emulsion"}
    with pytest.raises(Refused, match=f"There is a procedure called “{RESERVOIR}” already") as no:
        specs.name_procedure(
            procedure=draft, revision=draft.revision, name=f" {RESERVOIR} ", **head, **std(owner)
        )
    draft.refresh_from_db()
    assert (no.value.field, draft.name, Procedure.objects.filter(name="Our own").count()) == (
        "name",
        "Our own",
        1,
    )


def test_no_free_word_of_a_step_stands_in_an_act(owner: Person) -> None:
    """An act stays for ever; what somebody wrote may name people."""
    secret = "Ask Wyn Dallimore"
    step = added(owner, begun(owner), name=secret)
    changed(owner, step, text=secret, own_caution=secret, position=secret, name=f"{secret} twice")
    for act in Act.objects.filter(subject_kind="procedure"):
        assert "Dallimore" not in str(act.changed)
    told = Act.objects.filter(verb="change_step").latest("at").changed
    assert {one["field"] for one in told} == {
        f"wash-own-1: {name}" for name in ("name", "own_caution", "position", "text")
    }
