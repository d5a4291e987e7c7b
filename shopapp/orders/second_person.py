"""Which jobs ask for a second person at the final check: drawn from the job's own number, so that nobody chooses."""

from __future__ import annotations

import hashlib

NEVER, ALWAYS = 0, 1


def asks_for_second_person(*, order: int, job: int, every: int) -> bool:
    """Say whether the job with this number in this order is drawn: never for 0, always for 1, one in `every` else.

    The same number gives the same answer on every machine; neighbours on one order are drawn apart.
    """
    if every <= ALWAYS:
        return every == ALWAYS
    digest = hashlib.sha256(f"{order}/{job}".encode()).digest()
    return int.from_bytes(digest[:8]) % every == 0
