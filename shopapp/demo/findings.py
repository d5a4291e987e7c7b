"""What was found at dampers of the past, what the desk asked for it, and what the customer said."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from shopapp.bench.models import Entry, Finding
from shopapp.demo.copybook import Copyist
from shopapp.demo.fill import Filler
from shopapp.orders.models import WorkConsent
from shopapp.people.models import Person

FOUND = (
    ("bushing", "", "worn", "replace", "should", "Fit new bushings", "38.00"),
    ("rod", "", "fine scratches, no pit yet", "watch", "note", "", ""),
    ("rod", "", "pitted below the wiper", "replace", "should", "Fit a new rod", "142.00"),
    ("eyelet", "", "play in the bearing", "replace", "should", "Press in new bearings", "54.00"),
    ("piston band", "", "metal in it", "replace", "should", "Fit a new wear band", "22.00"),
    ("main spring", "", "paint worn off, rust begins", "watch", "note", "", ""),
    ("hose", "", "chafed at the clamp", "replace", "should", "Fit a new hose", "66.00"),
    ("bump stop", "", "torn", "replace", "should", "Fit a new bump stop", "18.00"),
    ("reservoir cap", "", "thread bruised", "repair", "should", "Dress the thread", "25.00"),
)  # fmt: skip
"""Part, its words, condition, advice, grade; what the desk offered and its price, "" for nothing."""


def find_something(copyist: Copyist, filler: Filler, who: str, desk: Person) -> list[WorkConsent]:
    """Let the technician find something at the end of a sheet; give the customer's yes that waits for its amount."""
    rng = filler.rng
    part, part_words, words, advice, grade, what, price = rng.choice(FOUND)
    said = {"part": part, "part_words": part_words, "advice": advice, "answer": grade}
    entry = _entry(copyist, filler, "finding", words, said)
    finding: Finding = copyist.bulk.add(
        Finding(
            entry=entry, job=copyist.job, number=1, part=part, part_words=part_words, advice=advice, grade=grade,
            tax_category=copyist.job.work_type.tax_category,
        )
    )  # fmt: skip
    if not what:
        return []
    finding.what, finding.price = what, Decimal(price)
    _office(copyist, filler, "price_finding", finding, desk, "price", "None", price)
    yes = rng.random() < 0.7
    finding.answer = "yes" if yes else "no"
    consent = _answer(copyist, filler, finding, who, desk)
    if not yes:
        return []
    done = _entry(copyist, filler, "put right", what.casefold().replace("fit ", "fitted "), {}, about=entry)
    finding.put_right = done
    return [consent]


def _entry(
    copyist: Copyist,
    filler: Filler,
    kind: str,
    words: str,
    payload: dict[str, Any],
    about: Entry | None = None,
) -> Entry:
    filler.counter += 1
    filler.at += timedelta(minutes=filler.rng.randint(3, 12))
    row = Entry(
        id=copyist.bulk.new_id(), job=copyist.job, kind=kind, words=words, payload=payload, about=about, by=copyist.by,
        typed_at=filler.at, stored_at=filler.at, counter=filler.counter, act_id=copyist.bulk.new_id(),
    )  # fmt: skip
    copyist.keep(row)
    return row


def _answer(copyist: Copyist, filler: Filler, finding: Finding, who: str, desk: Person) -> WorkConsent:
    """Write the customer's answer; a yes makes the order's line."""
    yes, order = finding.answer == "yes", copyist.job.order
    act_id = copyist.bulk.new_id()
    more: dict[str, Any] = {}
    filler.at += timedelta(minutes=filler.rng.randint(10, 50))
    consent: WorkConsent = copyist.bulk.add(
        WorkConsent(
            order=order, about="finding", about_id=str(finding.entry_id), yes=yes, who=who,
            how=filler.rng.choice(("by phone", "by phone", "at the counter")), at=filler.at, taken_by=desk,
            act_id=act_id,
        )
    )  # fmt: skip
    if yes and finding.price is not None:
        line = copyist.bill(
            finding.what, Decimal(1), "piece", finding.price, finding.tax_category, comes_from="finding",
            entry_id=finding.entry_id,
        )  # fmt: skip
        more["line"] = line.pk
    said = f"{finding.number}: {finding.answer}"
    _office(
        copyist, filler, "answer_finding", finding, desk, "finding", "", said, pk=act_id, consent=consent.pk, **more
    )  # fmt: skip
    return consent


def _office(
    copyist: Copyist,
    filler: Filler,
    verb: str,
    finding: Finding,
    desk: Person,
    field: str,
    old: str,
    new: str,
    **more: Any,
) -> None:
    """Write the act of the desk about a finding."""
    order = copyist.job.order
    pk = more.pop("pk", None)
    copyist.bulk.act(
        verb, by=desk, at=filler.at, about=("order", order.pk), pk=pk,
        result={"order": order.pk, "number": order.number, "job": copyist.job.pk, "finding": finding.pk, **more},
        changed=[{"field": field, "old": old, "new": new}],
    )  # fmt: skip
