"""Rows written by the thousand: their ids are given before they are written, so that they can name one another."""

from __future__ import annotations

import random
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.core.management.color import no_style
from django.db import connection
from django.db.models import Max, Model

from shopapp.bench.models import Entry, Finding, Wait
from shopapp.customers.models import Contact, Customer, MeterReading, Vehicle
from shopapp.dampers.models import Damper, Fitting, Ownership
from shopapp.due.models import Due
from shopapp.money.models import Invoice, InvoiceLine, Payment
from shopapp.orders.models import Job, OrderLine, WorkConsent, WorkOrder
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Act, Counter, Outbox, SearchTerm
from shopapp.shop.services.search_terms import wanted_keys
from shopapp.stock.models import Lot, LotLevel, StockMove
from shopapp.tools.models import Checkout

ORDER: tuple[type[Model], ...] = (
    Act, Customer, Contact, Vehicle, Damper, Ownership, Fitting, MeterReading, Lot, LotLevel, WorkOrder, Job,
    WorkConsent, Entry, Wait, Finding, Checkout, StockMove, OrderLine, Invoice, InvoiceLine, Payment, Paper, Outbox,
    Due,
)  # fmt: skip
"""Every table that is written in bulk, what is named before what names it."""

Terms = Callable[[Any], Iterable[tuple[str, str, int]]]


@dataclass
class Bulk:
    """Rows on their way in. `finish` leaves counters and sequences where the services go on from."""

    rng: random.Random
    rows: dict[type[Model], list[Any]] = field(default_factory=dict)
    to_find: list[tuple[str, Any, Terms]] = field(default_factory=list)
    acts: int = 0
    _last: dict[type[Model], int] = field(default_factory=dict)

    def begin(self) -> None:
        """Read where the tables end now: the services may have written since."""
        self._last = {
            model: model._default_manager.aggregate(last=Max("pk"))["last"] or 0
            for model in ORDER
            if model._meta.auto_field is not None
        }

    def pk(self, model: type[Model]) -> int:
        """Give the next id of a table."""
        self._last[model] += 1
        return self._last[model]

    def new_id(self) -> uuid.UUID:
        """Draw an id that is the same for the same seed."""
        return uuid.UUID(int=self.rng.getrandbits(128), version=4)

    def add(self, row: Any) -> Any:
        """Lay a row by to be written, under the next id where it has none."""
        model = type(row)
        if row.pk is None:
            row.pk = self.pk(model)
        self.rows.setdefault(model, []).append(row)
        return row

    def act(
        self,
        verb: str,
        *,
        by: Person,
        at: datetime,
        about: tuple[str, object],
        key: str = "",
        result: dict[str, Any] | None = None,
        changed: list[dict[str, Any]] | None = None,
        pk: uuid.UUID | None = None,
    ) -> Act:
        """Lay by the act that a service would have written."""
        self.acts += 1
        row = Act(
            id=pk or self.new_id(), key=key or f"history:{self.acts}", verb=verb, by=by, at=at,
            subject_kind=about[0], subject_id=str(about[1]), result=result or {}, changed=changed or [],
        )  # fmt: skip
        self.rows.setdefault(Act, []).append(row)
        return row

    def find_by(self, kind: str, row: Any, terms: Terms) -> None:
        """Let a row be found by its terms, which are asked for once it is written."""
        self.to_find.append((kind, row, terms))

    def flush(self) -> None:
        """Write what is laid by."""
        for model in ORDER:
            rows = self.rows.pop(model, [])
            model._default_manager.bulk_create(rows, batch_size=500)
        if self.rows:
            raise LookupError(f"no place in ORDER for {', '.join(model.__name__ for model in self.rows)}")
        found = [
            SearchTerm(key=key, kind=kind, weight=weight, target_kind=target, target_id=row.pk)
            for target, row, terms in self.to_find
            for (kind, key), weight in wanted_keys(terms(row)).items()
        ]
        SearchTerm.objects.bulk_create(found, batch_size=500)
        self.to_find.clear()

    def finish(self, counters: dict[str, int]) -> None:
        """Write the rest, and let counters and sequences go on from here."""
        self.flush()
        for series, last in counters.items():
            Counter.objects.update_or_create(series=series, defaults={"last": last})
        with connection.cursor() as cursor:
            for sql in connection.ops.sequence_reset_sql(no_style(), list(ORDER)):
                cursor.execute(sql)
