"""What the dampers subject registers: the books of tags and of the terms by which dampers are found."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.customers import held
from shopapp.dampers import erasing
from shopapp.dampers.models import Damper
from shopapp.dampers.services import dampers, tags
from shopapp.shop import books
from shopapp.shop.books import Difference
from shopapp.shop.finding import term_differences
from shopapp.shop.models import Counter

TERMS = "search terms of dampers"
TAGS = "tags of dampers"


def damper_terms() -> Iterator[Difference]:
    """Derive from tag, serial and model by what each damper is found."""
    rows = ((row.pk, dampers.terms_of(row)) for row in Damper.objects.select_related("model").order_by("pk"))
    yield from term_differences(TERMS, "damper", rows)


def tag_differences() -> Iterator[Difference]:
    """Hold each tag's check digit, and that as many tags were given as there are dampers."""
    given = list(Damper.objects.order_by("pk").values_list("pk", "tag"))
    for pk, tag in given:
        if not tags.looks_like(tag):
            yield Difference(TAGS, f"damper {pk}", tag, tag[:7] + tags.check_digit(tag[:7]))
    counted = Counter.objects.filter(series="tag").values_list("last", flat=True).first() or 0
    if counted != len(given):
        yield Difference(TAGS, "tags given", counted, len(given))


books.register(TERMS, damper_terms)
books.register(TAGS, tag_differences)
held.register(eraser=erasing.end_ownership)
