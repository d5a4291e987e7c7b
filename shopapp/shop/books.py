"""The registry of books: each subject registers a check that derives its projections again (manage.py check_books)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Difference:
    """One place where what is stored is not what follows from the ledgers."""

    book: str
    row: str
    stored: object
    derived: object

    def __str__(self) -> str:
        return f"{self.book}: {self.row}: stored {self.stored!r}, derived {self.derived!r}"


REGISTRY: dict[str, Callable[[], Iterable[Difference]]] = {}


def register(book: str, check: Callable[[], Iterable[Difference]]) -> None:
    """Register the check of one book; it yields every difference and changes nothing."""
    REGISTRY[book] = check


def differences() -> list[Difference]:
    """Run every check, in the order of their names."""
    return [difference for book in sorted(REGISTRY) for difference in REGISTRY[book]()]
