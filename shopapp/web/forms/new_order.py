"""The new-order sheet whole: whose it is and what comes, what is asked, what was agreed, and who signed for it."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.due.bringing_in import Signed
from shopapp.due.forms import WrittenLine
from shopapp.money.amounts import shown
from shopapp.money.expected import Expected, expected
from shopapp.orders.queries import terms_on
from shopapp.orders.services import Agreed
from shopapp.web.forms.damper_rows import Row, read_rows
from shopapp.web.forms.intake_pictures import kept
from shopapp.web.forms.moments import ComingDayField, HourField, promised
from shopapp.web.forms.order_page import LimitField, with_comma
from shopapp.web.forms.order_rows import OrderRowsForm
from shopapp.web.forms.whose_order import text_field
from shopapp.web.queries.promise import Wanted, unlikely

AGREED = (
    "complaint", "comes_by", "comes_carrier", "leaves_by", "leaves_carrier", "promised", "limit_gross",
)  # fmt: skip
TAG_OF_ROW = re.compile(r"r(\d{1,2})_tag")


class SumField(forms.CharField):
    """The sum that the page showed, hidden in it; None where none was shown, or it cannot be read."""

    def __init__(self) -> None:
        super().__init__(max_length=20, required=False, widget=forms.HiddenInput)

    def clean(self, value: Any) -> Any:
        text = str(value or "")
        return Decimal(text) if re.fullmatch(r"[0-9]{1,12}(\.[0-9]{1,3})?", text, re.ASCII) else None


class NewOrderForm(OrderRowsForm):
    """One sheet. Whoever and whatever is known is recognised by text, tag or serial; the rest is added."""

    limit_gross = LimitField(label=_lazy("Not past, with tax"), required=False)
    limit_below = forms.BooleanField(
        label=_lazy("The customer knows: work stops at the limit until they say yes"), required=False
    )
    promised_day = ComingDayField(
        label=_lazy("Promised day"), required=False, help_text=_lazy("2026-11-27 or 27 Nov 2026")
    )
    promised_hour = HourField(label=_lazy("Hour"), required=False, help_text=_lazy("17:00 where left empty"))
    terms_accepted = forms.BooleanField(label=_lazy("Terms accepted"), required=False)
    terms_how = text_field(
        _lazy("How"), 80, help_text=_lazy("Signed on paper, by e-mail. Signed below where left empty.")
    )
    signed = text_field(
        _lazy("Signed by, for what is brought and the terms"),
        120,
        help_text=_lazy("The name of whoever hands it in. The typed name does alone."),
    )
    written = WrittenLine(beside="signed")
    sum_shown = SumField()
    came_from = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.terms = terms_on(timezone.localdate(self.now))
        if self.terms is not None:
            self.fields["terms_accepted"].label = _("Terms, issue %s, accepted") % self.terms.version
        self.fields["written"].lay(self)  # type: ignore[attr-defined]
        with_comma(self, self.shop)
        if not self.is_bound:
            self._set_the_pen_down()

    def _set_the_pen_down(self) -> None:
        """Put the focus where the keyboard goes on: after a looked-up tag the next one; else what is asked next."""
        came = self.typed("came_from")
        tag = TAG_OF_ROW.fullmatch(came)
        if tag is not None:
            came = f"r{int(tag[1]) + 1}_tag"
        if (
            came not in self.fields
            or came in ("customer_text", "vehicle")
            or self.fields[came].widget.is_hidden
        ):
            came = self._asked_next()
        self.fields[came].widget.attrs["autofocus"] = True
        self.initial["came_from"] = ""

    def _asked_next(self) -> str:
        """Say what comes next: who it is; then the vehicle and its meter; once its corners are offered, these."""
        if len(self.matches) > 1 and not self.typed("customer"):
            return "customer"
        if self.offers:
            return "all_brought"
        if self.matches:
            return "meter" if self.off_known else "vehicle"
        if self.typed("name_taken"):
            return "new_phone"
        return "new_name" if self.typed("customer_text") else "customer_text"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["whom"] = self.read_whom(data)
        data["off"] = self.read_off(data)
        data["leaves_by"] = data.get("leaves_by") or data.get("comes_by")
        self.read_the_meter(data)
        self._read_promise(data)
        self._read_terms(data)
        rows = [self.row(number, data) for number in range(1, self.count + 1)]
        found, problems = read_rows(rows, self.known, self.work_for_all(data))
        for name, sentence in problems:
            self.add_error(name, sentence)
        data["rows"] = found
        self._read_limit(data)
        self._read_pictures(data, rows)
        return data

    def _read_promise(self, data: dict[str, Any]) -> None:
        try:
            data["promised"] = promised(data.get("promised_day"), data.get("promised_hour"), now=self.now)
        except forms.ValidationError as problem:
            if "promised_day" not in self.errors:
                self.add_error("promised_day", problem)

    def _read_terms(self, data: dict[str, Any]) -> None:
        if data.get("written") and not data.get("signed"):
            self.add_error("signed", _("Type the name of who signed, too."))
        if data.get("terms_accepted") and not data.get("terms_how"):
            if data.get("signed"):
                data["terms_how"] = _("signed at the counter")
                return
            words = _(
                "Say how the terms were accepted, for example: signed on paper. Or have it signed below."
            )
            self.add_error("terms_how", words)

    def _read_limit(self, data: dict[str, Any]) -> None:
        """Ask about a limit below what the order is expected to come to; it is refused only until somebody says so."""
        limit, price = data.get("limit_gross"), self.price()
        if limit is not None and price.rows and limit < price.gross and not data.get("limit_below"):
            self.add_error("limit_gross", self.below_words(price))

    def below_words(self, price: Expected) -> str:
        """Say that the limit is below what the order comes to, and what to do."""
        amount = shown(price.gross, self.shop.currency if self.shop else "USD")
        return (
            _(
                "The work comes to %s with tax, more than this limit. Raise it, or tick that the customer knows."
            )
            % amount
        )

    def _read_pictures(self, data: dict[str, Any], rows: list[Row]) -> None:
        if 0 in self.picture_problems:
            self.add_error(None, self.picture_problems[0])
        data["pictures"] = []
        for row in rows:
            name = f"r{row.number}_pictures"
            held = kept(data.get(f"r{row.number}_kept"))
            if held is None:
                self.add_error(name, _("The pictures lay too long. Choose them again."))
            elif row.number in self.picture_problems:
                self.add_error(name, self.picture_problems[row.number])
            elif row.used:
                data["pictures"].append(held)

    def _shown(self, name: str) -> Any:
        """Give the value of a field as it stands now; None where it cannot be read."""
        try:
            return self.fields[name].clean(self.typed(name))
        except forms.ValidationError:
            return None

    def wanted(self) -> list[tuple[int, Wanted, bool]]:
        """Give the rows that are used as far as they can be read: their number, their damper and work, whether free."""
        source = self.data if self.is_bound else self.initial
        found, work_type = [], self.work_for_all(source)
        for row in (self.row(number, source) for number in range(1, self.count + 1)):
            if not row.used:
                continue
            work_type = self.known.work_type(row.work) or work_type
            if work_type is None:
                continue
            tag = row.tag.replace("\0", " ").strip()[:60]
            dampers = self.known.dampers(tag) if tag else []
            damper = dampers[0] if len(dampers) == 1 else None
            known = Wanted(work_type, damper, None if damper else self.known.model(row.model))
            found.append((row.number, known, self.is_free(row)))
        return found

    def price(self) -> Expected:
        """Give what the rows come to as they stand."""
        work = [(row.work_type, free) for _number, row, free in self.wanted()]
        on = timezone.localdate(self.now)
        return expected(work, customer=self.known_customer, on=on, shop=self.shop)

    def agreed_now(self) -> dict[str, Any]:
        """Give what stands beside what we agree: prices, a limit that is too low, a promise that is unlikely."""
        rows, price = self.wanted(), self.price()
        limit: Decimal | None = self._shown("limit_gross")
        below = limit is not None and bool(rows) and limit < price.gross
        return {
            "lines": [
                {"number": number, "work": row.work_type.name, "what": str(row.damper or row.model or ""),
                 "free": free, "price": one}
                for (number, row, free), one in zip(rows, price.rows, strict=True)
            ],
            "price": price, "sum_shown": f"{price.gross:f}", "below": self.below_words(price) if below else "",
            "warnings": self._warnings([row for _number, row, _free in rows]),
        }  # fmt: skip

    def _warnings(self, wanted: list[Wanted]) -> list[str]:
        try:
            moment: datetime | None = promised(
                self._shown("promised_day"), self._shown("promised_hour"), now=self.now
            )
        except forms.ValidationError:
            return []
        return unlikely(wanted, promised=moment, now=self.now, shop=self.shop) if moment and wanted else []

    def sheet(self) -> dict[str, Any]:
        """Give what the service takes, once the form is valid."""
        data = self.cleaned_data
        accepted = bool(data["terms_accepted"]) and self.terms is not None
        agreed = Agreed(
            **{name: data[name] for name in AGREED},
            terms=self.terms if accepted else None,
            terms_accepted_how=data["terms_how"] if accepted else "",
        )
        signed = Signed(data["signed"], data.get("written") or ()) if data.get("signed") else None
        return {
            "customer": data["whom"], "vehicle": data["off"], "meter": data["shown"], "rows": data["rows"],
            "agreed": agreed, "changed_hands": data["changed_hands"], "pictures": data["pictures"],
            "signed": signed, "sum_shown": data["sum_shown"],
        }  # fmt: skip
