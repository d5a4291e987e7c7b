"""Two entries of one customer made one, and parted again.

Nothing of either is moved: the double only points at the one that is kept, and whatever reads a customer reads both
(`queries.whole`). So it can be undone at any time, and issued papers and ledgers stay as they are.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.customers.models import Customer
from shopapp.shop.models import Act
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def merge_customers(
    *,
    double: Customer,
    into: Customer,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Customer:
    """Say that `double` is `into`, entered twice; give the one that is kept."""
    with acts.doing("merge_customers", call=call, by=by, at=at, within=within) as act:
        if double.pk == into.pk:
            raise Refused(_("This is one and the same entry. Choose the other one."), field="into")
        # Both rows are taken in one order, so that of two that would each swallow the other one is refused.
        for row in sorted((double, into), key=lambda row: row.pk):
            _take(row)
        if Customer.objects.filter(merged_into=double).exists():
            words = _("%(double)s stands for others already. Keep %(double)s, and merge %(into)s into it.")
            raise Refused(words % {"double": double.name, "into": into.name}, field="into")
        Customer.objects.filter(pk=double.pk).update(merged_into=into)
        act.about("customer", into.pk)
        act.changed.append({"field": "double", "old": "", "new": str(double.pk)})
        act.result = {"customer": into.pk, "double": double.pk}
        return Customer.objects.get(pk=into.pk)


def part_customers(
    *, double: Customer, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Customer:
    """Take back that `double` is somebody else entered twice: it stands for itself again."""
    with acts.doing("part_customers", call=call, by=by, at=at, within=within) as act:
        kept = double.merged_into_id
        hit = Customer.objects.filter(pk=double.pk, merged_into__isnull=False).update(
            merged_into=None, revision=F("revision") + 1
        )
        if hit != 1 or kept is None:
            raise Refused(_("%s stands for itself already.") % double.name)
        act.takes_back = _merging_act(double)
        act.about("customer", kept)
        act.changed.append({"field": "double", "old": str(double.pk), "new": ""})
        act.result = {"customer": double.pk, "kept": kept}
        return Customer.objects.get(pk=double.pk)


def _take(row: Customer) -> None:
    """Take the lock of a customer who stands for themselves."""
    free = Customer.objects.filter(pk=row.pk, merged_into__isnull=True, erased_at__isnull=True)
    if free.update(revision=F("revision") + 1) != 1:
        words = _("%s was merged or erased by somebody else meanwhile. Look at both again.")
        raise Refused(words % (row.name or _("This customer")), field="into")


def _merging_act(double: Customer) -> Act | None:
    merged = Act.objects.filter(verb="merge_customers", result__double=double.pk, taken_back_by__isnull=True)
    return merged.order_by("-at", "-pk").first()
