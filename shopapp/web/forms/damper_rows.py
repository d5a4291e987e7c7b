"""The damper rows of the new-order sheet: who is known by tag or serial, who is new, what is missing."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from django.utils import formats
from django.utils.translation import gettext as _

from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.queries import by_tag, twin_of, with_serial
from shopapp.dampers.services import tags
from shopapp.orders import shelves
from shopapp.orders.comebacks import Warranty, warranty_of
from shopapp.orders.models import WorkType
from shopapp.orders.queries import job_state, open_job_of, stays
from shopapp.orders.services import DamperRow
from shopapp.shop.services.search_terms import fold_number


@dataclass(frozen=True, slots=True)
class Row:
    """One row as typed; every entry may be blank."""

    ENTRIES: ClassVar[tuple[str, ...]] = (
        "place", "tag", "model", "work", "wish", "condition", "shelf", "back",
    )  # fmt: skip

    number: int
    place: str = ""
    tag: str = ""
    model: str = ""
    work: str = ""
    condition: str = ""
    shelf: str = ""
    back: str = ""
    wish: str = ""
    kept: bool = False
    left_out: bool = False

    @property
    def used(self) -> bool:
        """Say whether anything but the work was entered; one that was offered and not brought is left out."""
        entered = (
            self.tag or self.model or self.condition or self.shelf or self.place or self.wish or self.kept
        )
        return bool(entered) and not self.left_out


@dataclass
class Known:
    """What rows are read against: models and work types, read once for all rows."""

    models: list[DamperModel]
    work_types: list[WorkType]
    on: date
    seen: dict[str, list[Damper]] = field(default_factory=dict)
    covered: dict[int, Warranty | None] = field(default_factory=dict)

    def model(self, pk: str) -> DamperModel | None:
        """Give a model by its key as sent."""
        return next((model for model in self.models if str(model.pk) == pk), None)

    def work_type(self, pk: str) -> WorkType | None:
        """Give a work type by its key as sent."""
        return next((work_type for work_type in self.work_types if str(work_type.pk) == pk), None)

    def dampers(self, typed: str) -> list[Damper]:
        """Give the dampers that a tag or a whole serial names; each text is looked up once."""
        if typed not in self.seen:
            by_its_tag = by_tag(tags.plain(typed)) if tags.looks_like(typed) else None
            self.seen[typed] = [by_its_tag] if by_its_tag is not None else with_serial(typed)
        return self.seen[typed]

    def warranty(self, typed: str) -> Warranty | None:
        """Give the warranty that the damper of a row is still under; each is looked up once."""
        found = self.dampers(typed.strip()) if typed.strip() else []
        if len(found) != 1:
            return None
        if found[0].pk not in self.covered:
            here = open_job_of(found[0]) is not None
            self.covered[found[0].pk] = None if here else warranty_of(found[0], self.on)
        return self.covered[found[0].pk]

    def note(self, typed: str, model: str = "") -> str:
        """Say what is known of a row's damper, for the page: its model and tag, the open order it is in."""
        typed = typed.strip()
        found = self.dampers(typed) if typed else []
        if not typed or len(found) > 1:
            return ""
        if not found:
            new = self.model(model)
            return _("not known: a new %s") % new if new else _("not known: choose its model")
        damper = found[0]
        words = " · ".join(
            filter(None, [str(damper.model or damper.maker), damper.serial, tags.show(damper.tag)])
        )
        return " · ".join(filter(None, [words, _here(damper)]))


def _here(damper: Damper) -> str:
    """Say in which order a damper is here, and whether it only stays after it: then it may go on into another."""
    job = open_job_of(damper)
    if job is None:
        return ""
    if stays(job):
        return _("%(state)s, from order %(number)s") % {
            "state": job_state(job)[1], "number": job.order.number
        }  # fmt: skip
    return _("in open order %s") % job.order.number


Problem = tuple[str, str]
FREE, PRICED, NEW_JOB = "free", "priced", "new"
ANSWERS = (FREE, PRICED, NEW_JOB)
"""What the desk says of a damper under warranty: it comes back free of charge, at a price, or for other work."""


def back_choices(covered: Warranty | None) -> list[tuple[str, str]]:
    """Offer what the desk may say of a damper under warranty; free of charge is proposed first."""
    if covered is None:
        return [("", "")]
    at = {"order": covered.order}
    return [
        (FREE, _("from %(order)s: no charge") % at),
        (PRICED, _("from %(order)s: at its price") % at),
        (NEW_JOB, _("other work")),
    ]


def read_rows(
    rows: list[Row], known: Known, work_type: WorkType | None = None
) -> tuple[list[DamperRow], list[Problem]]:
    """Read the rows that are used; give them, and what is wrong by entry.

    A blank work is that of the row above; of the first row it is `work_type`, which holds for all.
    """
    found: list[DamperRow] = []
    problems: list[Problem] = []
    places: dict[str, int] = {}
    used = [row for row in rows if row.used]
    if not used:
        return [], [_nothing(rows)]
    for row in used:
        work_type = known.work_type(row.work) or work_type
        if work_type is None:
            problems.append((f"r{row.number}_work", _("Choose the work for this damper.")))
            continue
        damper, problem = _damper(row, known)
        if problem:
            problems.append(problem)
            continue
        covered = known.warranty(row.tag) if damper is not None else None
        if covered is not None and row.back not in ANSWERS:
            problems.append((f"r{row.number}_back", _back_words(covered)))
            continue
        if wrong := shelves.refused(row.shelf) if row.shelf else "":
            problems.append((f"r{row.number}_shelf", wrong))
            continue
        comes_back = covered is not None and row.back != NEW_JOB
        places[row.place] = places.get(row.place, 0) + 1
        found.append(
            DamperRow(
                work_type=work_type, damper=damper, serial="" if damper else row.tag,
                model=known.model(row.model), place=row.place, place_number=places[row.place],
                condition=row.condition, shelf=_on_shelf(row.shelf),
                comeback_of=covered.job if covered is not None and comes_back else None,
                under_warranty=comes_back and row.back == FREE, wish=row.wish,
            )
        )  # fmt: skip
    return found, problems + _doubles(used, known)


def _on_shelf(typed: str) -> str:
    """Give the code of the shelf that was typed or scanned; the words as typed where no shelf is set up."""
    shelf = shelves.named(typed) if typed else None
    return shelf.code if shelf is not None else typed


def _nothing(rows: list[Row]) -> Problem:
    if any(row.left_out for row in rows):
        return "all_brought", _(
            "An order has at least one damper: tick those that are here, or type another."
        )
    return "r1_tag", _("An order has at least one damper: type its tag or serial, or choose a model.")


def _back_words(covered: Warranty) -> str:
    words = _(
        "It was handed over in order %(order)s, under warranty until %(day)s. Say whether it comes back from there."
    )
    return words % {"order": covered.order, "day": formats.date_format(covered.until, "j M Y")}


def _damper(row: Row, known: Known) -> tuple[Damper | None, Problem | None]:
    """Give the damper of a row, None for a new one, or what is wrong."""
    model = known.model(row.model)
    at_tag, at_model = f"r{row.number}_tag", f"r{row.number}_model"
    if not row.tag:
        return (None, None) if model else (None, (at_tag, _("Type the tag or serial, or choose the model.")))
    found = known.dampers(row.tag)
    if found and tags.looks_like(row.tag) and found[0].tag == tags.plain(row.tag):
        return found[0], None
    if model is not None:
        return twin_of(model.maker, row.tag), None
    if len(found) == 1:
        return found[0], None
    if found:
        named = ", ".join(f"{damper.maker} {tags.show(damper.tag)}" for damper in found[:6])
        return None, (at_tag, _("Several makers have this serial: %s. Type the tag.") % named)
    if len(tags.plain(row.tag)) == 8:
        return None, (
            at_tag,
            _("No damper has this tag, and its check digit may be wrong. Look at the tag again."),
        )
    if not fold_number(row.tag):
        return None, (at_tag, _("This is no serial: it has neither letters nor digits."))
    return None, (at_model, _("“%s” is not known yet. Choose its model, or correct the serial.") % row.tag)


def _doubles(rows: list[Row], known: Known) -> list[Problem]:
    """Find serials and tags that stand in two rows."""
    first: dict[tuple[str, str], int] = {}
    problems = []
    for row in rows:
        if not row.tag:
            continue
        found = known.dampers(row.tag)
        key = ("damper", str(found[0].pk)) if len(found) == 1 else (row.model, fold_number(row.tag))
        if key in first:
            sentence = _("This damper stands in row %s already. Enter it once.") % first[key]
            problems.append((f"r{row.number}_tag", sentence))
        first.setdefault(key, row.number)
    return problems
