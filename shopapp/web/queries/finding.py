"""What the find box finds: dampers, orders, customers and invoices, the likeliest first, each with the reason why."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.queries import customers
from shopapp.dampers.models import Damper
from shopapp.orders.models import Job, WorkOrder
from shopapp.shop import finding, hits
from shopapp.web.queries import found_rows
from shopapp.web.queries.found_rows import Hit

MOST = 12
"""So many of each kind of row are shown until more of the group is asked for."""

GROUPS: dict[str, tuple[str | Promise, tuple[str, ...]]] = {
    "dampers": (_("Dampers"), ("damper",)),
    "orders": (_("Orders"), ("order",)),
    "customers": (_("Customers"), ("customer", "vehicle")),
    "invoices": (_("Invoices"), ("invoice",)),
}
"""Each group's name, and the kinds of rows that stand in it: a vehicle is found as its customer's."""


@dataclass(slots=True)
class Group:
    """One column of the page of hits: `left` counts what is found and not shown, `cut` says there is more yet."""

    name: str
    title: str | Promise
    hits: list[Hit] = field(default_factory=list)
    left: int = 0
    cut: bool = False


def find(text: str, *, whole: str = "") -> list[Group]:
    """Find by one text: the groups in the order of their best hit, MOST hits of each kind, of the group `whole` all.

    However much is found, the number of queries is bounded; while fewer than LIMIT terms fit, it is the same.
    """
    found = hits.hits(text, open_rows=open_rows)
    groups: dict[str, list[hits.Match]] = {}
    for match in found.matches:
        name = next(name for name, (_title, kinds) in GROUPS.items() if match.target_kind in kinds)
        groups.setdefault(name, []).append(match)
    return [_group(name, groups[name], found.cut, whole == name) for name in groups]


def _group(name: str, matches: list[hits.Match], cut: set[str], whole: bool) -> Group:
    title, kinds = GROUPS[name]
    of_kind = {kind: [one for one in matches if one.target_kind == kind] for kind in kinds}
    shown = [one for one in matches if whole or one in of_kind[one.target_kind][:MOST]]
    group = Group(name, title, left=len(matches) - len(shown), cut=bool(cut.intersection(kinds)))
    rows = {kind: READ[kind]([one for one in shown if one.target_kind == kind]) for kind in kinds}
    urls = set()
    for match in shown:
        hit = rows[match.target_kind].get(match.target_id)
        if hit is not None and (hit.url, hit.title) not in urls:
            urls.add((hit.url, hit.title))
            group.hits.append(hit)
    return group


READ = {
    "damper": found_rows.dampers_found,
    "order": found_rows.orders_found,
    "customer": found_rows.customers_found,
    "vehicle": found_rows.vehicles_found,
    "invoice": found_rows.invoices_found,
}


def open_rows() -> Mapping[str, Collection[int]]:
    """Give what is in the shop now: the dampers of open jobs, their orders, customers and vehicles, those invoices."""
    read = {
        "damper": "damper_id", "order": "order_id", "customer": "order__customer_id",
        "vehicle": "order__vehicle_id", "invoice": "order__invoices__pk",
    }  # fmt: skip
    found: dict[str, set[int]] = {name: set() for name in read}
    for ids in Job.objects.filter(is_open=True).order_by().values_list(*read.values()):
        for name, pk in zip(found, ids, strict=True):
            if pk is not None:
                found[name].add(pk)
    return found


def customers_by(text: str) -> QuerySet[Customer]:
    """Find whose order this may be: by name, phone or e-mail, by a vehicle's plate or words, by an order's number."""
    vehicles = Vehicle.objects.filter(finding.found(text, target_kind="vehicle"))
    orders = WorkOrder.objects.filter(finding.found(text, target_kind="order"))
    owned = Damper.objects.filter(finding.found(text, target_kind="damper"))
    by_damper = Q(ownerships__damper__in=owned, ownerships__current=True)
    anyhow = finding.found(text, target_kind="customer") | Q(vehicles__in=vehicles) | Q(orders__in=orders)
    ids = Customer.objects.filter(anyhow | by_damper).values("pk")
    return customers().filter(pk__in=ids)
