"""The published schemas, and what of the tables stands in a document and under which name."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from shopapp.bench import models as bench
from shopapp.customers import models as customers
from shopapp.dampers import models as dampers
from shopapp.due import models as due
from shopapp.money import models as money
from shopapp.orders import models as orders
from shopapp.papers import models as papers
from shopapp.specs import models as specs
from shopapp.stock import models as stock

FOLDER = Path(__file__).parents[2] / "static/schemas"
SCHEMAS = {kind: json.loads((FOLDER / f"{kind}-1.schema.json").read_text()) for kind in ("order", "customer")}
REGISTRY: Any = Registry().with_resources(
    (schema["$id"], Resource.from_contents(schema)) for schema in SCHEMAS.values()
)


def faults(document: dict[str, Any]) -> list[str]:
    """List where a document is not as its schema says."""
    validator = Draft202012Validator(SCHEMAS[document["document"]], registry=REGISTRY)
    return [f"{fault.json_path}: {fault.message[:200]}" for fault in validator.iter_errors(document)]


# Of each table: the definition it is written by, and the fields that stand there under another name (or in a
# measurement, a nested object, or the list of which they are a row: "").
WRITTEN: dict[Any, tuple[str, dict[str, str]]] = {
    customers.Customer: ("person", {
        "exemption_certificate": "exemption", "exemption_until": "exemption", "merged_into": "", "revision": "",
    }),
    customers.Contact: ("contact", {"customer": "", "normalised": "", "id": ""}),
    customers.Vehicle: ("vehicle", {
        "customer": "", "plate_folded": "", "vin_valid": "", "counts_distance": "counts", "counts_hours": "counts",
        "revision": "", "id": "",
    }),
    customers.MeterReading: ("reading", {"vehicle": "", "damper": "", "act": "", "replaces": "corrected", "id": ""}),
    dampers.Damper: ("damper", {"serial_folded": "", "made_at": "", "revision": "", "id": ""}),
    dampers.Fitting: ("fitting", {"vehicle": "", "id": ""}),
    orders.WorkOrder: ("order", {
        "comes_by": "comes", "comes_carrier": "comes", "leaves_by": "leaves", "leaves_carrier": "leaves",
        "limit_gross": "limit", "expected_net": "expected", "expected_gross": "expected",
        "terms_accepted_how": "terms", "revision": "", "id": "",
    }),
    orders.Job: ("job", {
        "order": "", "shelf_body": "shelf", "shelf_springs": "shelf", "shelf_tray": "shelf", "is_open": "state",
        "revision": "", "id": "",
    }),
    orders.OrderLine: ("line", {"order": "", "move": "", "entry_id": "entry", "revision": "", "id": ""}),
    orders.WorkConsent: ("answer", {"order": "", "act": "taken_back_at", "id": ""}),
    orders.Remark: ("remark", {"order": "", "act": "about", "id": ""}),
    bench.Entry: ("entry", {"job": "", "act": "", "device": "", "name": "figure", "payload": "details",
                            "value_kind": "value"}),
    bench.Finding: ("finding", {"job": "", "revision": "", "id": ""}),
    specs.SpecFigure: ("figure", {"spec": "", "kind": "low", "id": ""}),
    specs.ServiceSpec: ("spec", {"damper": "", "replaces": "", "released_at": "", "revision": "", "id": ""}),
    stock.StockMove: ("stockMove", {"job": "", "act": "", "line": "", "id": ""}),
    money.Invoice: ("invoice", {"series": "number", "order": "", "issued_at": "issued_on", "tax_basis": "", "act": "",
                                "id": ""}),
    money.Payment: ("payment", {"order": "", "act": ""}),
    papers.Paper: ("paper", {"subject_kind": "", "subject_id": "", "figures": "figures_sha256",
                             "figures_hash": "figures_sha256", "act": "", "id": ""}),
    orders.Placing: ("placing", {"job": "", "act": "", "id": ""}),
    orders.Stay: ("stay", {"job": "", "act": "", "ended_act": "", "id": ""}),
    due.Parcel: ("parcel", {"order": "", "act": "", "id": ""}),
    due.Signature: ("signature", {"order": "", "act": "", "id": ""}),
}  # fmt: skip
# Tables that lead to a customer and stand inside another definition.
INSIDE = {
    customers.ContactConsent, dampers.Ownership, due.Due, bench.Wait, bench.Picture, bench.EntryPicture,
    money.InvoiceLine,
}  # fmt: skip


def properties(definition: str) -> set[str]:
    """Give the fields of a definition, whichever document it stands in."""
    kind = "customer" if definition == "person" else "order"
    return set(SCHEMAS[kind]["$defs"][definition]["properties"])
