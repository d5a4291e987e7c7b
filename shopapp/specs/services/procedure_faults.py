"""What still keeps a draft from being released, said at the step it concerns."""

from __future__ import annotations

from shopapp.specs.models import Procedure
from shopapp.specs.services.procedure_docs import document_of
from shopapp.specs.services.procedure_floor import all_faults
from shopapp.specs.services.procedure_rules import Fault


def faults_in(procedure: Procedure) -> list[Fault]:
    """List everything that is wrong with a procedure as it stands, each once."""
    return list(dict.fromkeys(all_faults(document_of(procedure))))
