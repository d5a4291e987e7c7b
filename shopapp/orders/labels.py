"""The labels that hang on what was taken in: body, springs and parts tray of each damper, each with its code.

A label is read at the bench: it names no customer. A small label is stuck on by itself. The large one carries the
three of a damper on one page, to be cut apart along the dashed lines: who sticks them on holds one damper's labels
and no other's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shopapp import drawings
from shopapp.dampers.models import Fitting
from shopapp.dampers.services import tags
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import kinds
from shopapp.shop.models import Shop

TEMPLATE = "papers/damper_tags.html"
PDF_VARIANT = "pdf/ua-1"
PARTS: Final = (
    ("body", gettext_lazy("BODY")),
    ("springs", gettext_lazy("SPRINGS")),
    ("tray", gettext_lazy("TRAY")),
)
"""What a damper comes apart into on the bench."""
PART_ENDINGS: Final = {"body": ""} | {part: f"/{end}" for end, part in tags.PARTS.items() if part != "body"}
"""What the code of each label ends in after the tag, so that a scan says which part lies on which shelf."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A size of label on a printer: in mm, with how many labels a page carries and where the code may stand."""

    code: str
    width: int
    height: int
    dpi: int
    a_page: int
    left: float
    top: float
    most: float

    @property
    def words(self) -> str:
        """Name the size and the printer."""
        size = {"width": self.width, "height": self.height, "dpi": self.dpi}
        return _("%(width)s × %(height)s mm, %(dpi)s dpi printer") % size


def _stock(dpi: int, *, large: bool) -> Stock:
    if large:
        return Stock(f"102x152-{dpi}", 102, 152, dpi, 3, left=2, top=4.8, most=41)
    return Stock(f"62x29-{dpi}", 62, 29, dpi, 1, left=1.2, top=4, most=21)


STOCKS: Final = {
    stock.code: stock
    for stock in (
        _stock(300, large=False), _stock(203, large=False), _stock(203, large=True), _stock(300, large=True),
    )
}  # fmt: skip
"""The labels that can be printed; a printer's dots are its own, and a code made for one is blurred by another."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label: what it is for, the tag, and by whom nothing is said."""

    part: str
    tag: str
    order: str
    place: str
    vehicle: str
    shelf: str
    address: str


@dataclass(frozen=True, slots=True)
class Placed:
    """A label on its page: where its strip and its code start, in mm from the page's top and left, as CSS."""

    label: Label
    strip: str
    left: str
    top: str
    side: str
    drawing: SafeString


def to_label(jobs: Iterable[Job]) -> list[Job]:
    """List the jobs whose dampers are still here: what left the shop needs no label."""
    return [job for job in jobs if job.is_open]


def code_address(tag: str, shop: Shop | None) -> str:
    """Give what the code of a tag says: a short address in capitals, which makes the smallest code."""
    return f"{public_address(shop)}/D/{tag}"


def public_address(shop: Shop | None) -> str:
    """Give the shop's address as a code says it: scheme and host in capitals, a path of the shop's own as it is."""
    public = (shop.public_address if shop else "") or settings.PUBLIC_ADDRESS
    parts = urlsplit(public)
    host = parts.netloc
    if not host.isascii():
        host = host.encode("idna").decode("ascii")
    return f"{parts.scheme}://{host}".upper() + parts.path.rstrip("/")


def labels_of(order: WorkOrder, jobs: Sequence[Job], shop: Shop | None) -> list[Label]:
    """Give the three labels of each damper, those of one damper together; two queries however many there are."""
    other = _other_places(jobs)
    vehicle = order.vehicle.description if order.vehicle else _("loose damper")
    return [
        Label(
            part=str(words), tag=tags.show(job.damper.tag), order=f"{order.number}/{job.number}",
            place=_place(job, other), vehicle=vehicle, shelf=getattr(job, f"shelf_{part}"),
            address=code_address(job.damper.tag, shop) + PART_ENDINGS[part],
        )
        for job in jobs
        for part, words in PARTS
    ]  # fmt: skip


def _other_places(jobs: Sequence[Job]) -> dict[int, str]:
    """Give by damper the words of a place that has no name of its own."""
    dampers = [job.damper_id for job in jobs if job.place == "other"]
    rows = Fitting.objects.filter(damper__in=dampers, current=True).exclude(place_words="")
    return dict(rows.values_list("damper_id", "place_words")) if dampers else {}


def _place(job: Job, other: dict[int, str]) -> str:
    if not job.place:
        return _("loose")
    words = other.get(job.damper_id) or str(job.get_place_display())
    return f"{words} {job.place_number}" if job.place_number > 1 else words


def placed(labels: Sequence[Label], stock: Stock) -> list[list[Placed]]:
    """Lay labels out on their pages; strips and codes start on a printer's dot."""
    pages = [labels[at : at + stock.a_page] for at in range(0, len(labels), stock.a_page)]
    return [[_on_page(label, number, stock) for number, label in enumerate(page)] for page in pages]


def _on_page(label: Label, number: int, stock: Stock) -> Placed:
    strip = drawings.on_dots(stock.height / stock.a_page * number, stock.dpi)
    spoken = _("Code of tag %s") % label.tag
    code = drawings.qr_code(label.address, most=stock.most, dpi=stock.dpi, label=spoken)
    free = (stock.most - code.side) / 2
    left, top = (drawings.on_dots(start + free, stock.dpi) for start in (stock.left, stock.top))
    # Drawn by our own code from the modules alone; its words went through our own escaping.
    return Placed(label, _css(strip), _css(left), _css(strip + top), _css(code.side), mark_safe(code.drawing))


def _css(mm: float) -> str:
    return f"{mm:.5f}mm"


def pdf_of(labels: Sequence[Label], stock: Stock, *, order: WorkOrder | None = None) -> bytes:
    """Set the labels as a PDF; its pages are the size of the stock to the point's hundredth.

    It is no frozen paper: a label says where a thing belongs now, and is thrown away with it.
    """
    from shopapp.papers import engine  # on first use: it takes longer to load than all the rest

    context = {
        "pages": placed(labels, stock),
        "order": order.number if order else "",
        "size": f"l{stock.width}",
        "language": translation.get_language() or "en",
    }
    return engine.to_pdf(render_to_string(TEMPLATE, context), variant=PDF_VARIANT)


def file_name(order: WorkOrder, stock: Stock) -> str:
    """Name the file of an order's labels: tags-1187-62x29-300."""
    return kinds.plain_name("tags", order.number, stock.code)
