"""What acts changed stands on the pages in words: no field's name in code, no code for a value, no row's number.

Seen red: with the field's name written as stored, with `promised` left out of the words, with the codes of the state
left out, with one look-up of a technician for each act (the queries grow).
"""

from __future__ import annotations

import ast
import datetime as dt
import inspect
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

import shopapp
from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.people.services import staff
from shopapp.shop.models import Act
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call
from shopapp.shop.services.the_shop import ShopDetails
from shopapp.specs.models import Step
from shopapp.stock import services as stock
from shopapp.tools import services as tools
from shopapp.web.change_words import CODES, FIELDS
from shopapp.web.queries.changes import Told, told
from shopapp.web.templatetags.desk import verbs

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]
NOT_NOTED = {
    "shop", "person", "customer", "vehicle", "damper", "item", "kit", "tool", "work_type", "details",  # the row itself
    "by", "at", "call", "within", "who", "way", "revision", "was", "fields", "meter", "consents", "adjusters", "lines",
    "models",
}  # fmt: skip
CHANGING = (
    staff.change_person, customers.change_customer, customers.change_vehicle, dampers.change_damper,
    dampers.change_model, stock.change_item, stock.change_kit, tools.change_tool, tools.change_tool_kind,
    orders.change_order, orders.change_bay, orders.change_work_type,
)  # fmt: skip


def said(*changes: dict[str, Any]) -> list[Told]:
    (act,) = told([Act(verb="x", changed=list(changes))])
    return act.told  # type: ignore[attr-defined, no-any-return]


def change(field: str, old: Any, new: Any) -> Told:
    """Say one change as an act stores it."""
    act = acts.Doing(id=None, verb="x", by=None, at=None, call=Call.fresh())  # type: ignore[arg-type]
    act.change(field, old, new)
    (one,) = said(*act.changed)
    return one


def noted_in_source() -> Iterator[str]:
    """Give every field's name that a service writes down as it stands in the source."""
    for path in Path(shopapp.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr == "change"
            ):
                if node.args and isinstance(node.args[0], ast.Constant):
                    yield node.args[0].value
            elif isinstance(node, ast.Dict):
                pairs = zip(node.keys, node.values, strict=True)
                yield from (
                    value.value
                    for key, value in pairs
                    if isinstance(key, ast.Constant)
                    and key.value == "field"
                    and isinstance(value, ast.Constant)
                )


def test_every_field_that_an_act_notes_has_words() -> None:
    literal = set(noted_in_source())
    assert {"promised", "limit_gross", "why", "on hand"} <= literal
    asked = {name for service in CHANGING for name in inspect.signature(service).parameters} - NOT_NOTED
    of_steps = {field.name for field in Step._meta.concrete_fields} - {"id", "procedure"}
    assert sorted((literal | asked | of_steps | set(ShopDetails.__dataclass_fields__)) - FIELDS.keys()) == []


@pytest.mark.parametrize("field", sorted(FIELDS))
def test_no_words_are_the_code(field: str) -> None:
    assert "_" not in str(FIELDS[field])


def test_days_amounts_codes_and_lists_in_words() -> None:
    at = dt.datetime(2026, 3, 5, 17, 0, tzinfo=dt.UTC)
    assert change("promised", None, at) == Told("promised day", "", "5 Mar 2026 17:00")
    assert change("exemption_until", None, at.date()) == Told("exempt until", "", "5 Mar 2026")
    assert change("limit_gross", Decimal(300), None) == Told("limit", "300", "")
    assert change("construction", "reservoir", "twin tube") == Told(
        "construction", str(CODES["construction"]["reservoir"]), "twin tube"
    )
    assert change("tax_basis", "rate", "line") == Told(
        "tax basis", "tax on the sum of each rate", "tax on each line"
    )
    assert change("state", "good", "repair").new == str(CODES["state"]["repair"]) != "repair"
    assert change("roles", ["desk"], ["desk", "owner"]) == Told("roles", "front desk", "front desk, owner")
    assert change("critical", False, True) == Told("critical", "no", "yes")
    assert change("default_units", {}, {"length": "in"}) == Told("units offered first", "", "length in")
    assert change("job 2", "not serviceable", "no charge") == Told("job 2", "not serviceable", "not charged")
    miles = units.parse("24000 mi", "distance")
    assert change("warranty_distance", None, miles) == Told("warranty by distance", "", "24000 mi")
    assert said({"field": "consent email", "new": "yes"}) == [Told("may be written to by e-mail", "", "yes")]
    assert said({"field": "drain-1: text"}) == [Told("drain-1: text", "", "")]
    assert said({"field": "finding", "old": "", "new": "2: yes"}) == [Told("finding", "", "2: yes")]


@pytest.mark.parametrize(
    "text", ["[", "{1", "[" * 5000, "2026-99-99", "2026-03-02 99:00", "٤٠", "None of it"]
)
def test_what_cannot_be_read_stays_as_it_is(text: str) -> None:
    assert said({"field": "name", "old": "", "new": text}) == [Told("name", "", text)]


def test_a_technician_and_a_bay_by_name_with_no_more_queries_for_more_acts(
    receive: Receive, technician: Person, std: dict[str, Any]
) -> None:
    bay = orders.add_bay(name="Bay 2", call=Call.fresh(), **std)
    counts = []
    for serials in (("1",), ("2", "3", "4", "5")):
        for job in receive(*serials).jobs.all():
            orders.assign_job(job=job, technician=technician, bay=bay, call=Call.fresh(), **std)
        rows = Act.objects.filter(verb="assign_job")
        with CaptureQueriesContext(connection) as asked:
            (*_others, last) = told(rows)
        counts.append(len(asked))
    assert last.told == [Told("technician", "", "MO"), Told("bay", "", "Bay 2")]  # type: ignore[attr-defined]
    assert counts[0] == counts[1] == 3


def test_the_pages_say_it(
    receive: Receive, desk: Person, owner: Person, rebuild: WorkType, client_as: As, std: dict[str, Any]
) -> None:
    order = receive("1")
    orders.change_order(
        order=order, revision=1, promised=std["at"] + dt.timedelta(days=1), limit_gross=Decimal(500), complaint="",
        why="rang", call=Call.fresh(), **std,
    )  # fmt: skip
    orders.change_work_type(
        work_type=rebuild, revision=1, name="Rebuild", price=Decimal(190), tax_category="R", kit_rule="none",
        retired=True, call=Call.fresh(), **std,
    )  # fmt: skip
    page = client_as(desk).get(f"/orders/{order.number}").content.decode()
    assert "promised day: " in page and "3 Mar 2026" in page and "limit: " in page and "because" in page
    for url in ("/owner/acts", f"/owner/work-types/{rebuild.pk}"):
        page = client_as(owner).get(url).content.decode()
        assert "tax category: standard → reduced" in page and "no kit" in page, url
        assert "no longer in use since: 2 Mar 2026 09:00" in page, url
        shown = re.sub(r"<input[^>]* name=\"as_read\"[^>]*>", "", page)
        assert "kit_rule" not in shown.replace('name="kit_rule"', "").replace("id_kit_rule", ""), url


def verbs_in_source(*about: str) -> Iterator[str]:
    """Give the verb of every act in the source that is about such a row; `_name` says so of an order."""
    for path in Path(shopapp.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.FunctionDef):
                continue
            calls = [call for call in ast.walk(node) if isinstance(call, ast.Call) and call.args]
            said = {
                str(getattr(call.args[0], "value", ""))
                for call in calls
                if isinstance(call.func, ast.Attribute) and call.func.attr == "about"
            }
            named = any(isinstance(call.func, ast.Name) and call.func.id == "_name" for call in calls)
            if said & set(about) or named:
                yield from (
                    str(getattr(call.args[0], "value", ""))
                    for call in calls
                    if isinstance(call.func, ast.Attribute) and call.func.attr == "doing"
                )


def test_every_act_in_a_history_has_words() -> None:
    """Seen red with a verb of jobs left out, which then stood as its name in code."""
    found = set(verbs_in_source("order", "customer", "vehicle", "damper"))
    assert {"take_in_damper", "change_customer", "change_order", "retire_damper"} <= found
    assert " ".join(sorted(found - set(verbs()))) == ""
