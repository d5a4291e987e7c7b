"""A procedure as a document: what the rules read, what a file holds, and by what a step is recognised as seen."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from shopapp.specs.models import Procedure, Step
from shopapp.specs.services.procedure_rules import FIELDS

BLANK: Mapping[str, Any] = {
    name: (field.default() if callable(field.default) else field.default)
    for field in Step._meta.concrete_fields
    if (name := field.name) in FIELDS and field.has_default()
}
"""What a step has where nothing is said."""


def fields_of(step: Step) -> dict[str, Any]:
    """Give everything of a step but its place."""
    return {name: getattr(step, name) for name in sorted(FIELDS)}


def document_of(procedure: Procedure) -> dict[str, Any]:
    """Give a procedure as its document, with all fields of all steps."""
    return {
        "name": procedure.name, "work": procedure.work, "construction": procedure.construction,
        "version": procedure.version, "steps": [fields_of(step) for step in procedure.steps.order_by("order")],
    }  # fmt: skip


def as_file(procedure: Procedure) -> str:
    """Write a procedure as the files that ship are written: what is blank is left out."""
    document = document_of(procedure)
    steps = [
        {name: value for name, value in step.items() if name not in BLANK or value != BLANK[name]}
        for step in document["steps"]
    ]
    return json.dumps({**document, "steps": steps}, ensure_ascii=False, indent=1) + "\n"


def seen(step: Step) -> str:
    """Give the mark of a step as somebody saw it: a change compares it with what stands by then."""
    text = json.dumps(fields_of(step), sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:20]
