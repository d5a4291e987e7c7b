"""Closing a job: what was issued and not used goes back to its lots, and the order does not bill it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.issued import Issued, issued_of
from shopapp.bench.queries.parts import parts_of
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.parts import billed
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine
from shopapp.shop.services.acts import Refused
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit
from shopapp.stock.quantities import read_quantity, show_quantity
from shopapp.stock.services import Back

NOTHING = ("", "0")


def put_back(recording: Recording) -> None:
    """Put back what the closing says was not used.

    A job that is done used all of which nothing else is said; for every other end each part is asked for. What an
    invoice bills already stays on it: the closing's payload names it under `billed`.
    """
    rows = issued_of(recording.sheet)
    quantities = _quantities(recording, rows)
    if not quantities:
        return
    backs = [
        Back(row.move.lot, row.move.position, quantities[row.move.pk])
        for row in rows
        if row.move.pk in quantities
    ]
    stock.give_back_unused(
        backs=backs, job=recording.job, reason=_("not used"),
        by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
    )  # fmt: skip
    recording.payload["back"] = [
        _row(row, quantities[row.move.pk]) for row in rows if row.move.pk in quantities
    ]
    entries = {row.entry.pk: row.entry for row in rows if row.move.pk in quantities}
    kept = [words for entry in entries.values() for words in _bill_again(recording, entry, rows, quantities)]
    if kept:
        recording.payload["billed"] = kept


def _quantities(recording: Recording, rows: Sequence[Issued]) -> dict[int, int]:
    """Read by move how much goes back, where it is something."""
    said = {row.move: row.text for row in recording.entry.back}
    if said.keys() - {row.move.pk for row in rows}:
        raise Refused(_("What is issued to this job has changed. Load the sheet again."), field="back")
    unsaid = [row for row in rows if row.move.pk not in said]
    if unsaid and recording.entry.outcome != Job.Outcome.DONE:
        names = ", ".join(dict.fromkeys(row.move.item.name for row in unsaid))
        raise Refused(_("Say of each part that was issued whether it was used: %s.") % names, field="back")
    shop = recording.sheet.shop
    comma = bool(shop and shop.decimal_comma)
    read = {row.move.pk: _read(row, said.get(row.move.pk, ""), comma) for row in rows}
    return {move: quantity for move, quantity in read.items() if quantity}


def _read(row: Issued, text: str, comma: bool) -> int:
    if text.strip() in NOTHING:
        return 0
    item = row.move.item
    try:
        quantity = read_quantity(item, text, decimal_comma=comma)
    except ValueError as problem:
        raise Refused(f"{item.name}: {problem}", field="back") from problem
    if quantity > row.left:
        words = _("%(item)s: %(text)s cannot go back, only %(left)s was issued.")
        given = {
            "item": item.name,
            "text": show_quantity(item, quantity),
            "left": show_quantity(item, row.left),
        }
        raise Refused(words % given, field="back")
    return quantity


def _row(row: Issued, quantity: int) -> dict[str, object]:
    """Give one row of what went back, for the sheet and the report."""
    move = row.move
    return {
        "move": move.pk, "item": move.item.code, "name": move.item.name, "position": move.position,
        "lot": move.lot_id, "batch": move.lot.batch, "quantity": quantity, "shown": show_quantity(move.item, quantity),
    }  # fmt: skip


def _bill_again(
    recording: Recording, entry: Entry, rows: Sequence[Issued], quantities: Mapping[int, int]
) -> list[str]:
    """Bill of a part entry what was used alone; give the words of what stays on the order all the same."""
    used: dict[Item, int] = {}
    for row in rows:
        left = row.left - quantities.get(row.move.pk, 0)
        if row.entry.pk == entry.pk and left:
            used[row.move.item] = used.get(row.move.item, 0) + left
    lines = list(OrderLine.objects.filter(entry_id=entry.pk, comes_from=OrderLine.From.MOVE))
    invoiced = [line.what for line in lines if line.invoiced]
    if invoiced or not lines:
        return [_("%s: invoiced already, to be corrected by a credit note") % what for what in invoiced]
    kit = _kit_of(recording, entry)
    if kit is not None and used and not _cheaper(kit, used):
        return [_("%s: opened, billed whole") % kit.name]
    for line in lines:
        orders.remove_order_line(
            order=recording.job.order, line=line,
            by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
        )  # fmt: skip
    for item, quantity in used.items():
        _add(recording, lines[0], item, quantity)
    return []


def _kit_of(recording: Recording, entry: Entry) -> Kit | None:
    step = next((row for row in recording.sheet.steps if row.step.pk == entry.step_id), None)
    need = parts_of(recording.job).get(step.step.purpose) if step is not None else None
    return need.kit if need is not None else None


def _cheaper(kit: Kit, used: Mapping[Item, int]) -> bool:
    """Say whether the pieces that were used cost less by themselves; one without a price of its own cannot say so."""
    if any(not item.price for item in used):
        return False
    return sum((_net(item, quantity) for item, quantity in used.items()), Decimal(0)) < kit.price


def _net(item: Item, quantity: int) -> Decimal:
    amount, _unit, price = billed(item, quantity)
    return amount * price


def _add(recording: Recording, old: OrderLine, item: Item, quantity: int) -> None:
    amount, unit, price = billed(item, quantity)
    free = recording.job.under_warranty
    orders.add_order_line(
        order=recording.job.order, job=recording.job, what=item.name, quantity=amount, unit=unit,
        price=Decimal(0) if free else price, tax_category=item.tax_category, comes_from=OrderLine.From.MOVE,
        move=old.move, entry_id=old.entry_id,
        by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
    )  # fmt: skip


__all__ = ["put_back"]
