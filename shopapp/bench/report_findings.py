"""What was found, on the report: each finding with its grade, the customer's answer and the price that was agreed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from babel.numbers import format_currency
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shopapp.bench.finding_words import asks
from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import keeps_gas_out, part_of, standing_consents
from shopapp.bench.report_record import Record
from shopapp.drawings.damper import Balloon
from shopapp.orders.models import WorkConsent


def rows(record: Record) -> list[dict[str, Any]]:
    """Give a row for each finding that no later one corrects, by number."""
    found = record.sheet.findings
    consents = standing_consents([record.job.order_id]) if found else {}
    return [_row(record, finding, consents.get(str(finding.entry_id))) for finding in found]


def _row(record: Record, finding: Finding, consent: WorkConsent | None) -> dict[str, Any]:
    entry = finding.entry
    return {
        "number": finding.number,
        "code": finding.part,
        "part": part_of(finding),
        "condition": entry.words,
        "value": entry.value_text,
        "grade": str(finding.get_grade_display()),
        "advice": str(finding.get_advice_display()),
        "by": entry.by.initials,
        "at": record.moment(entry.stored_at),
        "decision": _decision(record, finding, consent),
        "price": _price(record, finding) if finding.answer == "yes" else "",
        "what": finding.what if finding.answer == "yes" else "",
        "put_right": finding.put_right.words if finding.put_right else "",
        "unsafe": keeps_gas_out(finding),
    }


def _decision(record: Record, finding: Finding, consent: WorkConsent | None) -> str:
    """Say what the customer answered, who, how and when."""
    if consent is None:
        return _("not answered") if asks(finding.grade, finding.advice) else ""
    said = {"who": consent.who, "how": consent.how, "day": record.day(consent.at)}
    words = (
        _("agreed: %(who)s, %(how)s, %(day)s") if consent.yes else _("declined: %(who)s, %(how)s, %(day)s")
    )
    return words % said


def _price(record: Record, finding: Finding) -> str:
    currency = record.shop.currency if record.shop else "USD"
    language = (get_language() or "en").replace("-", "_")
    shown = format_currency(finding.price or Decimal(0), currency, locale=language)
    return _("%s without tax") % shown


def unsafe(found: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Word the statement that the customer signs at hand-over; None where nothing makes the damper unsafe to use."""
    held = [row for row in found if row["unsafe"]]
    if not held:
        return None
    return {
        "tag": _("UNSAFE TO USE"),
        "lines": [
            _("Finding %(number)s, %(part)s: %(condition)s. %(decision)s")
            % {**row, "decision": f"{row['decision'][:1].upper()}{row['decision'][1:]}."}
            for row in held
        ],
        "why": _(
            "The shop did not charge this damper and does not call it done, because it is unsafe to use as it is. It "
            "must not be fitted or used before this is put right by somebody qualified."
        ),
        "statement": _(
            "I have read this and had it explained to me. I take this damper back unsafe to use, and will tell whoever "
            "gets it from me."
        ),
    }


def balloons(found: list[dict[str, Any]]) -> list[Balloon]:
    """Give the findings as the drawing numbers them."""
    return [Balloon(row["number"], row["code"], f"{row['part']}: {row['condition']}") for row in found]
