"""A part step: kit and oil leave the shelf by stock moves and are billed, in the entry's own transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.parts import PartLine, PartNeed, good_lots, parts_of
from shopapp.bench.services.draft import Recording
from shopapp.calc import units
from shopapp.orders import services as orders
from shopapp.orders.models import OrderLine
from shopapp.shop.services.acts import Refused
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Lot, StockMove
from shopapp.stock.services import IssueLine

TENTHS_A_LITRE = 10_000
MILLIMETRES_A_METRE = 1000
TENTHS_A_M3 = 10_000_000
MOST_OIL = 100 * TENTHS_A_LITRE


def fit_part(recording: Recording) -> None:
    """Take what the step asks for from its lots and bill it; out of order it is a fact, and nothing moves."""
    if recording.out_of_order:
        recording.payload["moved"] = False
        return
    _refuse_twice(recording)
    if recording.replaces is not None:
        _take_back(recording, recording.replaces)
    purpose = recording.step.step.purpose if recording.step else ""
    need = parts_of(recording.job).get(purpose)
    if need is None or not need.lines:
        if not recording.entry.words:
            raise Refused(_("The sheet names no part here. Say what was fitted."), field="words")
        return
    need = _measured(recording, need)
    moves = stock.issue(
        lines=_issue_lines(recording, need), job=recording.job, reason=recording.step.name if recording.step else "",
        by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
    )  # fmt: skip
    recording.payload["moves"] = [move.pk for move in moves]
    recording.payload["lots"] = [_lot_row(need, move) for move in moves]
    if len({move.lot_id for move in moves}) == 1:
        recording.fields["lot"] = moves[0].lot
    _bill(recording, need, moves)


def _refuse_twice(recording: Recording) -> None:
    """Refuse a second kit for the same step: the shelf would be short of it."""
    standing = recording.sheet.satisfying(recording.entry.key)
    if standing is not None and standing != recording.replaces:
        words = _("%s recorded this part already. Correct that entry where another was fitted.")
        raise Refused(words % standing.by.initials, field="kind")


def _measured(recording: Recording, need: PartNeed) -> PartNeed:
    """Take the amount of oil as typed, where one was typed; else the sheet's."""
    text = recording.entry.text
    if not text:
        return need
    if need.item is None or need.item.unit != Item.Unit.TENTH_ML:
        raise Refused(_("No amount is asked for here."), field="text")
    shop = recording.sheet.shop
    try:
        value = units.parse(text, "volume", "mL", decimal_comma=bool(shop and shop.decimal_comma))
    except units.UnitError as problem:
        raise Refused(str(problem), field="text") from problem
    # The text stays as typed (16 US fl oz); the shelf counts tenths of a millilitre, the nearest one.
    tenths = round(value.si * TENTHS_A_M3)
    if tenths < 1:
        raise Refused(_("Say how much oil went in, more than nothing."), field="text")
    if tenths > MOST_OIL:
        raise Refused(
            _("%s is too much oil for a damper. Check the figure and its unit.") % value.text, field="text"
        )
    recording.fields |= {
        "value_kind": value.kind, "value_si": value.si, "value_unit": value.unit, "value_text": value.text,
    }  # fmt: skip
    return replace(need, lines=tuple(replace(line, quantity=tenths) for line in need.lines))


def _issue_lines(recording: Recording, need: PartNeed) -> list[IssueLine]:
    """Choose the lot of each line: the one that was named, else those that expire first."""
    named = {row.line: row.lot for row in recording.entry.lots}
    unknown = named.keys() - {line.line for line in need.lines}
    if unknown:
        raise Refused(_("The sheet has no line %s of parts. Load it again.") % min(unknown), field="lots")
    lots = {lot.pk: lot for lot in Lot.objects.filter(pk__in=named.values()).select_related("item")}
    good = good_lots((line.item.pk for line in need.lines), timezone.localdate(recording.at))
    left = {lot.pk: lot.level.on_hand for found in good.values() for lot in found}
    lines: list[IssueLine] = []
    for line in need.lines:
        if line.line in named:
            lines.append(_named_line(line, lots.get(named[line.line])))
        else:
            lines.extend(_first_lines(line, good.get(line.item.pk, []), left))
    return lines


def _named_line(line: PartLine, lot: Lot | None) -> IssueLine:
    if lot is None or lot.item_id not in line.item_ids:
        raise Refused(_("This lot is not one of %s. Choose another.") % line.item, field="lots")
    return IssueLine(item=lot.item, lot=lot, quantity=line.quantity, position=line.position)


def _first_lines(line: PartLine, lots: Iterable[Lot], left: dict[int, int]) -> list[IssueLine]:
    """Take from the lots that expire first; over two where one does not reach."""
    found, wanted = [], line.quantity
    for lot in lots:
        taken = min(wanted, left[lot.pk])
        if taken > 0:
            left[lot.pk] -= taken
            wanted -= taken
            found.append(IssueLine(item=line.item, lot=lot, quantity=taken, position=line.position))
    if wanted:
        raise Refused(_("%s runs short: no good lot has enough of it.") % line.item, field="lots")
    return found


def _lot_row(need: PartNeed, move: StockMove) -> dict[str, object]:
    """Give one row of what was fitted, for the sheet and the report."""
    same = [line for line in need.lines if line.position == move.position]
    return {
        "line": same[0].line if same else 0, "item": move.item.code, "name": move.item.name,
        "position": move.position, "quantity": -move.quantity, "unit": move.item.unit,
        "lot": move.lot_id, "batch": move.lot.batch,
    }  # fmt: skip


def _bill(recording: Recording, need: PartNeed, moves: list[StockMove]) -> None:
    """Put what was fitted on the order: one line for a kit at the kit's price, one for an item by its own."""
    if need.kit is not None:
        what, quantity, unit = need.kit.name, Decimal(1), "piece"
        price, category = need.kit.price, need.kit.tax_category
    elif need.item is not None:
        taken = -sum(move.quantity for move in moves)
        what, category = need.item.name, need.item.tax_category
        quantity, unit, price = billed(need.item, taken)
    else:
        return
    if recording.job.under_warranty:
        price = Decimal(0)
    orders.add_order_line(
        order=recording.job.order, job=recording.job, what=what, quantity=quantity, unit=unit, price=price,
        tax_category=category, comes_from=OrderLine.From.MOVE, move=moves[0], entry_id=recording.entry.id,
        by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
    )  # fmt: skip


def billed(item: Item, quantity: int) -> tuple[Decimal, str, Decimal]:
    """Give quantity, unit and price as a bill shows them: oil by the litre, hose by the metre, else by the piece."""
    if item.unit == Item.Unit.TENTH_ML:
        return Decimal(quantity) / TENTHS_A_LITRE, "L", item.price
    if item.unit == Item.Unit.MM:
        return Decimal(quantity) / MILLIMETRES_A_METRE, "m", item.price
    return Decimal(quantity), item.unit, item.price


def _take_back(recording: Recording, old: Entry) -> None:
    """Put back what a corrected entry took, and take its line off the order; an invoiced line stays as it is."""
    moves = list(StockMove.objects.filter(pk__in=old.payload.get("moves", [])).select_related("item", "lot"))
    for line in OrderLine.objects.filter(entry_id=old.pk):
        if line.invoiced:
            raise Refused(
                _("This part is invoiced already. It can only be corrected by a credit note."),
                field="replaces",
            )
        orders.remove_order_line(
            order=recording.job.order,
            line=line,
            by=recording.by,
            at=recording.at,
            call=recording.act.call,
            within=recording.act,
        )
    if moves:
        stock.give_back(
            moves=moves, job=recording.job, reason=_("corrected at the bench"),
            by=recording.by, at=recording.at, call=recording.act.call, within=recording.act,
        )  # fmt: skip
