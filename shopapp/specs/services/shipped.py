"""Load the procedures that ship with the program: released, once for each name and issue.

They are the program's own data, like a migration, and nobody's act: no Act is written. A changed procedure ships as
the next issue; running jobs keep their version. Where the shop released a version of its own, or retired the procedure,
the next issue comes retired: it can be read and begun from, and takes nothing over.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Max
from django.utils import translation
from django.utils.translation import gettext as _

from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_rules import check_procedure

FOLDER = Path(__file__).resolve().parent.parent / "procedures"


def load_shipped(*, at: datetime) -> list[Procedure]:
    """Load what is not there yet, in the shop's language; give the procedures that were made.

    `Refused` for one that breaks a rule of `procedure_rules`: nothing of it is loaded.

    A migrate speaks no language, so the shop's is laid in here. The steps are the shop's own words from then on.
    """
    made = []
    for path in sorted(FOLDER.glob("*.json")):
        document = json.loads(path.read_text(encoding="utf-8"))
        if not Procedure.objects.filter(name=document["name"], shipped=document["version"]).exists():
            with translation.override(settings.LANGUAGE_CODE):
                made.append(_load(document, at=at))
    return made


@transaction.atomic
def _load(document: dict[str, Any], *, at: datetime) -> Procedure:
    check_procedure(document)
    there = Procedure.objects.filter(name=document["name"])
    newest = there.filter(released_at__isnull=False).order_by("version").last()
    last = there.aggregate(last=Max("version"))["last"] or 0
    procedure = Procedure.objects.create(
        name=document["name"], work=document["work"], construction=document["construction"],
        version=max(last + 1, document["version"]), shipped=document["version"],
    )  # fmt: skip
    steps = [
        Step(procedure=procedure, order=order, **worded(fields))
        for order, fields in enumerate(document["steps"], 1)
    ]
    Step.objects.bulk_create(steps)
    # Released last: the triggers refuse a step of a released procedure.
    procedure.released_at = at
    if newest is not None and (newest.retired_at is not None or not newest.shipped):
        procedure.retired_at = at
    procedure.save(update_fields=["released_at", "retired_at"])
    return procedure


def worded(fields: dict[str, Any]) -> dict[str, Any]:
    """Give a step with its words in the active language; codes and values stay as they are."""
    said: dict[str, Any] = {name: _(fields[name]) for name in ("name", "text") if fields.get(name)}
    if fields.get("options"):
        said["options"] = [{**option, "words": _(option["words"])} for option in fields["options"]]
    return {**fields, **said}
