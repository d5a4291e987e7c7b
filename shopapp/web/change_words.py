"""The words for what an act says it changed: fields by name, codes by the choices they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shopapp.customers.models import Contact, Customer
from shopapp.dampers.models import DamperModel
from shopapp.orders.models import Job, Stay, WorkOrder, WorkType
from shopapp.shop.models import Shop
from shopapp.specs.models import Step
from shopapp.stock.models import Item
from shopapp.tools.models import Tool

Words = str | Promise

FIELDS: dict[str, Words] = {
    # orders and money
    "promised": _("promised day"), "limit_gross": _("limit"), "complaint": _("complaint"), "why": _("because"),
    "technician": _("technician"), "bay": _("bay"), "line": _("line"), "job": _("job"), "order": _("order"),
    "condition": _("leaks, damage"), "wish": _("asked of this one"), "place": _("place"), "work_type": _("work"),
    "comes_by": _("comes by"), "comes_carrier": _("carrier it came by"), "leaves_by": _("leaves by"),
    "leaves_carrier": _("carrier it leaves by"),
    "shelf_body": _("place of the body"), "shelf_springs": _("place of the springs"),
    "shelf_tray": _("place of the tray"), "rack": _("rack"), "shelf": _("shelf"), "stay": _("stays"),
    "until": _("until"),
    "finding": _("finding"), "price": _("price"), "on hand": _("on hand"), "contacts": _("contacts"),
    # customers, vehicles, dampers
    "kind": _("kind"), "name": _("name"), "bill_to": _("bill to"), "language": _("language of papers"),
    "tax_id": _("tax number"), "note": _("note"), "exemption": _("exemption"),
    "exemption_certificate": _("certificate of exemption"), "exemption_until": _("exempt until"),
    "description": _("description"), "plate": _("plate"), "plate_folded": _("plate"), "vin": _("VIN"),
    "vin_valid": _("VIN checked"), "counts_distance": _("counts distance"), "counts_hours": _("counts hours"),
    "use": _("use"), "hard_use": _("hard use"), "serial": _("serial"), "model": _("model"), "maker": _("maker"),
    "construction": _("construction"), "double": _("entered twice"),
    # what the owner keeps
    "retired": _("no longer in use"), "retired_at": _("no longer in use since"), "tax_category": _("tax category"),
    "minutes": _("minutes"), "procedure_name": _("procedure"), "kit_rule": _("kit"),
    "warranty_days": _("warranty in days"), "warranty_distance": _("warranty by distance"),
    "interval_months": _("months to the next service"),
    "second_person_every": _("second person at the final check, one job in"),
    "unit": _("smallest unit"), "bin": _("bin"), "minimum": _("least to keep"), "elastomer": _("elastomer"),
    "size": _("size"), "checked": _("is checked"), "critical": _("critical"), "narrowing": _("narrowing"),
    "state": _("state"), "initials": _("initials"), "email": _("e-mail"), "skills": _("skills"), "roles": _("roles"),
    "countersign_needed": _("countersigned by another"), "is_active": _("may sign in"), "password": _("password"),
    # the shop's details
    "zone": _("time zone"), "currency": _("currency"), "address": _("address"), "phone": _("phone"),
    "tax_number": _("tax number"), "altitude": _("altitude"), "default_units": _("units offered first"),
    "decimal_comma": _("decimal comma"), "public_address": _("address on the web"), "tax_basis": _("tax basis"),
    "pair_tolerances": _("how far left and right may differ"), "payment_days": _("days to pay"),
    "report_footer": _("foot of the report"),
    "keep_stacks_back": _("stacks kept off the customer's papers"), "invoice_footer": _("foot of the invoice"),
    # procedures and their steps
    "work": _("kind of work"), "step": _("step"), "steps from": _("steps from"), "draft": _("draft"),
    "stage": _("stage"), "text": _("text"), "figure": _("figure"), "phase": _("as received or as built"),
    "repeat": _("repeated over"), "locks": _("locks"), "required": _("required"), "caution": _("caution"),
    "own_caution": _("caution in own words"), "options": _("answers"), "position": _("position"),
    "purpose": _("purpose"), "tool_kind": _("kind of tool"), "second_tap": _("asked twice"), "skill": _("skill"),
    "computed": _("computed figure"), "code": _("code"),
}  # fmt: skip

YES_NO: dict[str, Words] = {"True": _("yes"), "False": _("no"), "yes": _("yes"), "no": _("no")}
ROLES: dict[str, Words] = {"desk": _("front desk"), "technician": _("technician"), "owner": _("owner")}
SKILLS: dict[str, Words] = {"charging": _("charging"), "bladders": _("bladders")}
WHY_CORRECTED: dict[str, Words] = {
    "misread": _("misread"), "typed wrong": _("typed wrong"), "read after the wash": _("read after the wash"),
    "part replaced": _("part replaced"),
}  # fmt: skip
ENDED: dict[str, Words] = {
    "void": _("void"), "scrapped": _("scrapped"), "charge": _("charged"), "no charge": _("not charged"),
    "later": _("left for later"),
}  # fmt: skip
TAX: dict[str, Words] = {"S": _("standard"), "R": _("reduced"), "Z": _("zero"), "E": _("exempt")}


def choices_of(model: Any, *fields: str) -> dict[str, Mapping[str, Words]]:
    """Read the words of a model's choices by field."""
    return {
        name: {str(code): words for code, words in model._meta.get_field(name).flatchoices} for name in fields
    }


CODES: dict[str, Mapping[str, Words]] = {
    **choices_of(DamperModel, "construction"),
    **choices_of(WorkType, "kit_rule"),
    **choices_of(WorkOrder, "comes_by", "leaves_by"),
    **choices_of(Job, "place"),
    **choices_of(Shop, "tax_basis"),
    **choices_of(Item, "unit"),
    **choices_of(Tool, "state"),
    **choices_of(Step, "stage", "phase", "repeat", "locks"),
    "kind": {**choices_of(Customer, "kind")["kind"], **choices_of(Step, "kind")["kind"]},
    "outcome": {**choices_of(Job, "outcome")["outcome"], **ENDED},
    "job": {**choices_of(Job, "state")["state"], **ENDED},
    "order": {**choices_of(Job, "state")["state"]},
    "consent": YES_NO,
    "stay": choices_of(Stay, "why")["why"],
    "channel": choices_of(Contact, "kind")["kind"],
    "language": dict(settings.LANGUAGES),
    "tax_category": TAX,
    "roles": ROLES,
    "skills": SKILLS,
    "why": WHY_CORRECTED,
}
"""What a code of a field stands for; every other field's value is read as it is, but for yes, no and days."""
