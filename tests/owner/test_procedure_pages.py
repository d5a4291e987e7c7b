"""The owner's pages of procedures: each works, refuses the wrong method and person, does once what is sent twice.

Also: nothing typed makes a fault, two people see both versions, a running job's sheet stays as it was.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import job_of
from shopapp.bench.queries.sheet import sheet_document
from shopapp.orders.models import Job
from shopapp.people.models import Device, Person
from shopapp.shop.models import Act, Shop
from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_floor import all_faults
from shopapp.web.owner.procedure_forms import StepForm
from tests.bench.make import Bench, make_bench
from tests.conftest import NOW, drawn
from tests.specs.drafts import RESERVOIR, added, begun, changed, released, removed, step_of
from tests.web.hostile import FORM, HOSTILE, encoded

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


@pytest.fixture
def client(client_as: Any, owner: Person) -> Client:
    found: Client = client_as(owner)
    return found


@pytest.fixture
def draft(owner: Person) -> Procedure:
    return begun(owner)


def at(name: str, *args: Any) -> str:
    return reverse(f"owner-{name}", args=args)


def entries(client: Client, address: str, **more: str) -> dict[str, str]:
    """Give what the page's form would send unchanged, and over it what is handed in."""
    form = client.get(address).context["form"]
    sent = {field.html_name: field.value() for field in form}
    return {name: str(value) for name, value in sent.items() if value not in (None, False)} | more


def test_a_next_version_from_the_page_to_its_release(client: Client, bench: Bench, owner: Person) -> None:
    old = Procedure.objects.get(name=RESERVOIR)
    page = client.get(at("procedure", old.pk))
    key = page.context["form"]["act_key"].value()
    answer = client.post(at("procedure-next", old.pk), {"act_key": key})
    new = Procedure.objects.get(name=RESERVOIR, version=2)
    assert answer.status_code == 302 and answer["Location"] == at("procedure", new.pk)
    page = client.get(f"{at('step-new', new.pk)}?stage=wash")
    sent = entries(
        client,
        f"{at('step-new', new.pk)}?stage=wash",
        name="Hose bracket cleaned",
        own_caution="Mind the clip.",
    )
    assert client.post(at("step-new", new.pk), sent).status_code == 302
    step = new.steps.get(name="Hose bracket cleaned")
    assert (step.stage, step.kind, step.required, step.own_caution) == ("wash", "do", True, "Mind the clip.")
    asked = client.get(at("procedure-release", new.pk)).content.decode()
    assert "2 running jobs keep the version they began with." in asked
    assert "Hose bracket cleaned" in asked and "added" in asked
    sent = entries(
        client, at("procedure-release", new.pk), revision=str(Procedure.objects.get(pk=new.pk).revision)
    )
    for _ in range(2):
        assert client.post(at("procedure-release", new.pk), sent)["Location"] == at("procedure", new.pk)
    new.refresh_from_db()
    assert new.released_at is not None
    assert Act.objects.filter(verb="release_procedure").count() == 1


def test_a_running_job_keeps_its_sheet_and_a_new_one_takes_the_new(bench: Bench, owner: Person) -> None:
    """Seen red with the job's procedure looked up by name."""
    bench.through("release-zero")

    def document(job: Job) -> dict[str, Any]:
        found = job_of(job.pk)
        assert found is not None
        return json.loads(json.dumps(sheet_document(job=found, person=bench.technician, at=NOW)))

    before = document(bench.job)
    draft = begun(owner)
    removed(owner, step_of(draft, "strip-oil"))
    changed(owner, step_of(draft, "strip-cap"), name="Cap out, slowly")
    added(owner, draft)
    released(owner, draft)
    assert document(bench.job) == before
    new = bench.fresh_order()
    assert new.procedure == draft
    names = [step["name"] for step in document(new)["steps"]]
    assert "Cap out, slowly" in names and "Hose bracket cleaned" in names
    assert Entry.objects.filter(job=bench.job).exists()


STEP_CHANGES = {"stage": "inspect", "name": "Bracket looked at", "text": "Both ends.", "skill": "charging"}


def test_a_step_is_changed_from_its_page_and_twice_is_once(
    client: Client, draft: Procedure, owner: Person
) -> None:
    step = added(owner, draft)
    address = at("step", draft.pk, step.pk)
    sent = entries(client, address, **STEP_CHANGES)
    for _ in range(2):
        answer = client.post(address, sent)
        assert answer["Location"] == f"{at('procedure', draft.pk)}?step={step.pk}#step-{step.pk}"
    step.refresh_from_db()
    assert {name: getattr(step, name) for name in STEP_CHANGES} == STEP_CHANGES
    assert Act.objects.filter(verb="change_step").count() == 1
    assert client.post(address, {**sent, "name": "Other words"}).status_code == 422


def test_every_shipped_step_goes_through_its_form_unchanged(owner: Person) -> None:
    """Seen red while an answer past the fifth, or the tool of a reading, was lost on the way."""
    for step in Step.objects.select_related("procedure"):
        form = StepForm(step=step, initial={"was": "x", "act_key": "k"})
        sent = {field.html_name: field.value() for field in form if field.value() not in (None, False)}
        again = StepForm(sent, step=step)
        assert again.is_valid(), (step.code, again.errors)
        fields = again.fields_in()
        assert {name: fields[name] for name in fields if name != "code"} == {
            name: getattr(step, name) for name in fields if name != "code"
        }, step.code


def test_what_belongs_to_another_kind_is_not_kept(client: Client, draft: Procedure, owner: Person) -> None:
    step = changed(owner, added(owner, draft), kind="wait", minutes=20)
    address = at("step", draft.pk, step.pk)
    assert client.post(address, entries(client, address, kind="do")).status_code == 302
    step.refresh_from_db()
    assert (step.kind, step.minutes) == ("do", 0)


def test_answers_keep_their_values_and_new_ones_get_their_own(client: Client, draft: Procedure) -> None:
    step = step_of(draft, "inspect-rod")
    before = step.options
    address = at("step", draft.pk, step.pk)
    free = len(before)
    sent = entries(
        client, address, **{"answer-0-words": "straight and clean", f"answer-{free}-words": "discoloured"}
    )
    assert client.post(address, {**sent, f"answer-{free}-does": "fails"}).status_code == 302
    step.refresh_from_db()
    assert [option["value"] for option in step.options][:free] == [option["value"] for option in before]
    assert step.options[0]["words"] == "straight and clean"
    assert step.options[free] == {
        "value": "answer 1",
        "words": "discoloured",
        "passes": False,
        "stops": False,
    }


def test_the_second_of_two_people_sees_both_versions_and_may_then_let_hers_stand(
    client: Client, draft: Procedure, owner: Person
) -> None:
    step = added(owner, draft)
    address = at("step", draft.pk, step.pk)
    mine = entries(client, address, name="Mine: bracket wiped")
    changed(owner, step, name="Theirs: bracket brushed", text="With the brass brush.")
    answer = client.post(address, mine)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert (
        "Theirs: bracket brushed" in text
        and "Mine: bracket wiped" in text
        and "With the brass brush." in text
    )
    again = {**mine, "was": answer.context["form"]["was"].value()}
    assert client.post(address, again).status_code == 302
    step.refresh_from_db()
    assert step.name == "Mine: bracket wiped"


def test_who_comes_too_late_is_told(client: Client, draft: Procedure, owner: Person) -> None:
    step = added(owner, draft)
    address = at("step", draft.pk, step.pk)
    sent = entries(client, address, name="Too late")
    removed(owner, step)
    answer = client.post(address, sent)
    assert answer.status_code == 422 and "taken this step out" in answer.content.decode()
    assert client.get(address).status_code == 404


def test_moving_and_taking_out_from_the_page(client: Client, draft: Procedure, owner: Person) -> None:
    step = added(owner, draft)
    key = client.get(at("procedure", draft.pk)).context["form"]["act_key"].value()
    for _ in range(2):
        answer = client.post(at("step-move", draft.pk), {"act_key": key, "up": str(step.pk)})
        assert answer["Location"].endswith(f"#step-{step.pk}")
    assert list(draft.steps.filter(stage="wash").order_by("order"))[-2] == step
    form = client.get(at("step", draft.pk, step.pk)).context["remove"]
    sent = {name: form[name].value() for name in ("act_key", "was")}
    for _ in range(2):
        assert client.post(at("step-remove", draft.pk, step.pk), sent)["Location"] == at(
            "procedure", draft.pk
        )
    assert not Step.objects.filter(pk=step.pk).exists()
    assert Act.objects.filter(verb="remove_step").count() == 1


@pytest.mark.parametrize("pressed", [{}, {"up": ""}, {"up": "x"}, {"down": "9" * 40}, {"up": "-1"}])
def test_a_move_of_nothing_is_no_fault(client: Client, draft: Procedure, pressed: dict[str, str]) -> None:
    key = client.get(at("procedure", draft.pk)).context["form"]["act_key"].value()
    assert client.post(at("step-move", draft.pk), {"act_key": key, **pressed}).status_code == 302
    assert client.post(at("step-move", draft.pk), pressed).status_code == 302


def test_a_safety_stop_is_not_taken_out_from_the_page_and_the_page_says_why(
    client: Client, draft: Procedure
) -> None:
    step = step_of(draft, "release-zero")
    form = client.get(at("step", draft.pk, step.pk)).context["remove"]
    sent = {name: form[name].value() for name in ("act_key", "was")}
    page = client.post(at("step-remove", draft.pk, step.pk), sent, follow=True).content.decode()
    assert "no proof of zero" in page
    assert draft.steps.filter(code="release-zero").exists()


def test_a_draft_says_at_each_step_what_is_wrong_and_offers_no_release(
    client: Client, draft: Procedure, owner: Person
) -> None:
    step = added(owner, draft, stage="settings", name="Sag looked at")
    page = client.get(at("procedure", draft.pk)).content.decode()
    line = page[page.index(f'<li id="step-{step.pk}"') :]
    assert "must lock “Take the spring off”" in line[: line.index("</li>")]
    asked = client.get(at("procedure-release", draft.pk))
    assert (
        "cannot be released yet" in asked.content.decode() and 'form="release"' not in asked.content.decode()
    )
    draft.refresh_from_db()
    sent = {"act_key": "k", "revision": str(draft.revision)}
    answer = client.post(at("procedure-release", draft.pk), sent)
    assert answer.status_code == 422 and "must lock" in answer.content.decode()


def test_a_draft_is_discarded_once(client: Client, draft: Procedure) -> None:
    sent = {"act_key": "gone", "revision": str(draft.revision)}
    old = Procedure.objects.get(name=RESERVOIR, version=1)
    for _ in range(2):
        assert client.post(at("procedure-discard", draft.pk), sent)["Location"] == at("procedure", old.pk)
    assert not Procedure.objects.filter(pk=draft.pk).exists()
    page = client.get(at("procedure", old.pk)).content.decode()
    assert "discard draft" in page and "renew procedure" not in page


def test_a_draft_that_changed_is_not_discarded_unseen(
    client: Client, draft: Procedure, owner: Person
) -> None:
    sent = {"act_key": "gone", "revision": str(draft.revision)}
    added(owner, draft)
    page = client.post(at("procedure-discard", draft.pk), sent, follow=True).content.decode()
    assert "somebody else" in page and Procedure.objects.filter(pk=draft.pk).exists()


def test_retired_it_is_said_on_the_page_and_in_the_list(client: Client, bench: Bench) -> None:
    row = Procedure.objects.get(name=RESERVOIR)
    key = client.get(at("procedure", row.pk)).context["form"]["act_key"].value()
    page = client.post(at("procedure-retire", row.pk), {"act_key": f"{key}-retire"}, follow=True)
    assert "running jobs keep theirs" in page.content.decode()
    assert "retired" in client.get(at("procedures")).content.decode()
    row.refresh_from_db()
    assert row.retired_at is not None


def test_who_works_by_it_is_said(client: Client, bench: Bench) -> None:
    page = client.get(at("procedure", Procedure.objects.get(name=RESERVOIR).pk))
    workers = page.context["workers"]
    assert [work.name for work in workers.work_types] == ["Rebuild"]
    assert (workers.models, workers.running, workers.jobs) == (1, [(1, 2)], 2)


def test_a_procedure_of_another_name_is_begun_and_named(client: Client) -> None:
    sent = entries(client, at("procedure-new"), name="Rebuild, bypass", work="Rebuild", construction="other")
    like = Procedure.objects.get(name=RESERVOIR)
    answer = client.post(at("procedure-new"), {**sent, "like": str(like.pk)})
    draft = Procedure.objects.get(name="Rebuild, bypass")
    assert answer["Location"] == at("procedure", draft.pk)
    assert draft.steps.count() == like.steps.count()
    address = at("procedure-head", draft.pk)
    assert client.post(address, entries(client, address, name="Rebuild, bypass tubes")).status_code == 302
    draft.refresh_from_db()
    assert draft.name == "Rebuild, bypass tubes"


def test_a_procedure_is_given_as_the_file_it_would_ship_as(client: Client, owner: Person) -> None:
    row = Procedure.objects.get(name=RESERVOIR)
    answer = client.get(at("procedure-file", row.pk))
    assert (
        answer["Content-Type"].startswith("application/json")
        and "attachment" in answer["Content-Disposition"]
    )
    document = json.loads(answer.content)
    assert list(all_faults(document)) == [] and len(document["steps"]) == row.steps.count()
    assert all("minutes" not in step or step["minutes"] for step in document["steps"])


PAGES = ("procedure", "procedure-preview", "procedure-file")
DRAFT_PAGES = ("procedure-head", "procedure-release", "step-new")
POSTS = ("procedure-next", "procedure-discard", "procedure-retire", "step-move")


@pytest.mark.parametrize("name", [*PAGES, *DRAFT_PAGES, *POSTS])
def test_nobody_else_may(
    client_as: Any, technician: Person, desk: Person, draft: Procedure, name: str
) -> None:
    for person in (technician, desk):
        client: Client = client_as(person)
        for send in (client.get, client.post):
            assert send(at(name, draft.pk)).status_code in (403, 404, 405)


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_wrong_methods_are_refused(client: Client, draft: Procedure, name: str) -> None:
    send = client.get if name in POSTS else client.post
    assert send(at(name, draft.pk)).status_code == 405


@pytest.mark.parametrize("name", DRAFT_PAGES)
def test_a_released_version_has_no_page_to_change_it(client: Client, name: str) -> None:
    assert client.get(at(name, Procedure.objects.get(name=RESERVOIR).pk)).status_code == 404


@pytest.mark.parametrize("what", drawn(list(HOSTILE), 5))
def test_hostile_text_in_every_field_is_a_sentence_and_never_a_fault(
    client: Client, draft: Procedure, owner: Person, what: str
) -> None:
    text = HOSTILE[what]
    step = added(owner, draft)
    pages = [at("step", draft.pk, step.pk), at("step-new", draft.pk), at("procedure-head", draft.pk)]
    for address in [*pages, at("procedure-new"), at("procedure-release", draft.pk)]:
        sent = entries(client, address)
        for field in sent:
            answer = client.post(address, {**sent, field: text})
            assert answer.status_code in (302, 400, 422), (address, field)
            if "<script" in text:
                assert text.encode() not in answer.content
    for page in (at("procedure", draft.pk), at("procedure-preview", draft.pk)):
        shown = client.get(page)
        assert shown.status_code == 200
        assert b"<script>alert" not in shown.content and b"<img src=x" not in shown.content


def test_a_lone_surrogate_is_no_fault(client: Client, draft: Procedure, owner: Person) -> None:
    step = added(owner, draft)
    address = at("step", draft.pk, step.pk)
    sent = entries(client, address)
    for field in sent:
        body = encoded(sent, field)
        assert client.post(address, body, content_type=FORM).status_code in (302, 400, 422), field


@pytest.mark.parametrize(
    "query", ["model=x", "model=-1", "model=" + "9" * 40, "stage=%00", "step=%3Cscript%3E", "model="]
)
def test_any_question_to_the_preview_is_answered(client: Client, draft: Procedure, query: str) -> None:
    answer = client.get(f"{at('procedure-preview', draft.pk)}?{query}")
    assert answer.status_code in (200, 400)
    assert b"<script>" not in answer.content


@pytest.mark.parametrize("name", ["procedure", "procedure-preview", "procedure-release"])
def test_more_steps_are_no_more_queries(
    client: Client, draft: Procedure, bench: Bench, owner: Person, name: str, django_assert_num_queries: Any
) -> None:
    address = at(name, draft.pk)
    client.get(address)
    with django_assert_num_queries(60, exact=False) as few:
        client.get(address)
    for number in range(20):
        added(owner, draft, name=f"Step {number}", stage="inspect")
    with django_assert_num_queries(len(few), exact=False):
        client.get(address)
    assert len(few) < 40
