"""What the papers subject registers: the outbox kind that makes files, and the book that reads them back."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from shopapp.papers import canonical, orphans, services, store
from shopapp.papers.models import Paper, PaperFile
from shopapp.papers.queries import outbox_key
from shopapp.shop import books, outbox_kinds
from shopapp.shop.books import Difference
from shopapp.shop.models import Outbox

outbox_kinds.register(services.OUTBOX_KIND, services.deliver, repeatable=True)


def papers_book() -> Iterator[Difference]:
    """Read every paper and file back: the figures match their hash, the bytes theirs, nothing planned is lost."""
    with_file = set(PaperFile.objects.values_list("paper_id", flat=True))
    states = dict(Outbox.objects.filter(kind=services.OUTBOX_KIND).values_list("key", "state"))
    for paper in Paper.objects.order_by("pk").iterator(chunk_size=200):
        derived = canonical.figures_hash(paper.figures)
        if derived != paper.figures_hash:
            yield Difference("papers", f"figures of paper {paper.pk}", paper.figures_hash, derived)
        state = states.get(outbox_key(paper.pk), "")
        if paper.pk not in with_file and state not in ("planned", "claimed", "failed"):
            yield Difference(
                "papers", f"file of paper {paper.pk}", state or "not planned", "a file or a plan"
            )
    for file in PaperFile.objects.order_by("pk").iterator(chunk_size=200):
        yield from _read_back(file)


def _read_back(file: PaperFile) -> Iterator[Difference]:
    row = f"file of paper {file.paper_id}"
    try:
        content = store.get(file.place, file.sha256)
    except store.Missing:
        yield Difference("papers", row, file.sha256, "no file")
    except store.Damaged:
        yield Difference("papers", row, file.sha256, "other bytes")
    else:
        if len(content) != file.size:
            yield Difference("papers", row, file.size, len(content))


def _named(places: Collection[str]) -> set[str]:
    return set(PaperFile.objects.filter(place__in=places).values_list("place", flat=True))


books.register("papers", papers_book)
orphans.register("papers", _named)
