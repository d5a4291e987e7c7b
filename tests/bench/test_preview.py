"""A procedure's preview: the document that a damper's job would get, made of nothing that is written anywhere."""

from __future__ import annotations

import json
from typing import Any

import pytest

from shopapp.bench.queries.preview import models_for, preview
from shopapp.bench.queries.reading import job_of
from shopapp.bench.queries.sheet import sheet_document
from shopapp.dampers.models import DamperModel
from shopapp.specs.models import Procedure
from tests.bench.make import NOW, PROCEDURE, Bench
from tests.faults.cutting import everything
from tests.specs.drafts import begun, changed, step_of

pytestmark = pytest.mark.django_db


def test_it_is_the_document_of_a_job_that_is_just_received(bench: Bench) -> None:
    """Seen red with the model's sheet of figures left out: steps without limits."""
    job = job_of(bench.job.pk)
    assert job is not None
    real = sheet_document(job=job, person=bench.owner, at=NOW)
    row = Procedure.objects.get(name=PROCEDURE)
    made, drawing = preview(row, bench.job.damper.model, person=bench.owner, at=NOW)
    # Skills are named for the other jobs' hands alike; only what the job itself is differs.
    differ = {name for name in real if made.get(name) != real[name]}
    assert differ == {"job"}
    assert set(made) - set(real) == {"preview"}
    assert made["steps"] and str(drawing).startswith("<svg")
    personal = json.dumps(made["job"])
    assert "Dallimore" not in personal and made["job"]["damper_id"] == 0


def test_looking_writes_nothing(bench: Bench) -> None:
    before = everything()
    for row in Procedure.objects.all():
        for model in (None, *models_for(row)):
            preview(row, model, person=bench.owner, at=NOW)
    assert everything() == before


def test_every_procedure_can_be_looked_at_also_for_a_model_nobody_knows(bench: Bench) -> None:
    for row in Procedure.objects.all():
        made, _drawing = preview(row, None, stage="wash", step="7", person=bench.owner, at=NOW)
        assert made["preview"] == {"stage": "wash", "step": "7"}
        # What repeats over adjusters or the figures of a sheet has nothing to repeat over here.
        plain = {step.pk for step in row.steps.all() if not step.repeat}
        assert {step["id"] for step in made["steps"]} >= plain


def test_models_of_its_construction_are_offered(bench: Bench) -> None:
    DamperModel.objects.create(maker="Osier", name="E2", construction="emulsion")
    names = {row.name: [str(model) for model in models_for(row)] for row in Procedure.objects.all()}
    assert names["Rebuild, emulsion"] == ["Osier E2"]
    assert names[PROCEDURE] == ["Keldmark K25"]
    assert names["Inspection"] == ["Keldmark K25", "Osier E2"]


def test_the_shops_own_words_stand_after_the_caution(bench: Bench) -> None:
    draft = begun(bench.owner)
    changed(bench.owner, step_of(draft, "release-gas"), own_caution="The vent is behind you.")
    made: dict[str, Any] = preview(draft, None, person=bench.owner, at=NOW)[0]
    step = next(step for step in made["steps"] if step["name"] == step_of(draft, "release-gas").name)
    assert step["caution"].startswith("Gas under pressure.")
    assert step["caution"].endswith(" The vent is behind you.")
    stage = next(stage for stage in made["stages"] if stage["code"] == "release")
    assert stage["cautions"][-1] == "The vent is behind you." and len(stage["cautions"]) == 2
