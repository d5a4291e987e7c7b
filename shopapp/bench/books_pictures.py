"""The book of pictures: each row has its file with the hash it says, each picture entry its rows in order."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from shopapp.bench.models import Entry, Picture
from shopapp.papers import store
from shopapp.shop.books import Difference

PICTURES = "pictures"


def picture_differences() -> Iterator[Difference]:
    """Read every picture back from the disk, and hold each entry to the pictures it was recorded with."""
    for row in Picture.objects.order_by("pk").iterator(chunk_size=200):
        yield from _read_back(row)
    entries = Entry.objects.filter(kind=Entry.Kind.PICTURE).prefetch_related("pictures")
    for entry in entries.order_by("pk").iterator(chunk_size=200):
        said = entry.payload.get("pictures")
        rows = [str(shown.picture_id) for shown in entry.pictures.all()]
        if rows != said:
            yield Difference(PICTURES, f"pictures of entry {entry.pk}", rows, said)


def _read_back(row: Picture) -> Iterator[Difference]:
    try:
        content = store.get(row.place, row.sha256)
    except store.Missing:
        yield Difference(PICTURES, f"file of picture {row.pk}", row.sha256, "no file")
    except store.Damaged:
        yield Difference(PICTURES, f"file of picture {row.pk}", row.sha256, "other bytes")
    else:
        if len(content) != row.size:
            yield Difference(PICTURES, f"file of picture {row.pk}", row.size, len(content))


def named(places: Collection[str]) -> set[str]:
    """Give, of some places of files, those that a picture names (papers/orphans.py)."""
    return set(Picture.objects.filter(place__in=places).values_list("place", flat=True))
