"""The one table of rights: every URL by its name, who may, with which methods, by which kind of session.

It is the documentation, the enforcement (people/middleware.py) and the test (every URL × role × session × method).
A URL without a row stops the program at start.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver

DESK, TECHNICIAN, OWNER = "desk", "technician", "owner"
EVERYONE = frozenset({DESK, TECHNICIAN, OWNER})
OFFICE = frozenset({DESK, OWNER})
BENCH = frozenset({TECHNICIAN, OWNER})
OWNER_ONLY = frozenset({OWNER})
NOBODY: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Right:
    """Who may open a URL: the roles, the methods (HEAD goes with GET), and whether a log-in is needed at all.

    `session` is "log-in", "link" (a secret link, no log-in) or "none".
    """

    roles: frozenset[str]
    methods: frozenset[str] = frozenset({"GET"})
    session: str = "log-in"


def _get(roles: frozenset[str]) -> Right:
    return Right(roles)


def _form(roles: frozenset[str]) -> Right:
    return Right(roles, frozenset({"GET", "POST"}))


def _post(roles: frozenset[str]) -> Right:
    return Right(roles, frozenset({"POST"}))


def _open(*methods: str, session: str = "none") -> Right:
    return Right(NOBODY, frozenset(methods), session)


RIGHTS: dict[str, Right] = {
    # signing in and out
    "sign-in": _open("GET", "POST"),
    "sign-out": _post(EVERYONE),
    "set-up": _open("GET", "POST", session="link"),
    "me": _form(EVERYONE),
    "healthz": _open("GET"),
    "readyz": _open("GET"),
    # common
    "home": _get(EVERYONE),
    "damper-tag": _get(EVERYONE),
    "part-tag": _get(EVERYONE),
    "shelf": _get(EVERYONE),
    "place": _form(EVERYONE),
    "specimens": _get(EVERYONE),
    "find": _get(OFFICE),
    # desk
    "desk": _get(OFFICE),
    "orders": _get(OFFICE),
    "order-new": _form(OFFICE),
    "order": _get(OFFICE),
    "order-change": _form(OFFICE),
    "order-consent": _post(OFFICE),
    "order-damper-new": _form(OFFICE),
    "job-change": _form(OFFICE),
    "job-assign": _post(OFFICE),
    "order-line-new": _post(OFFICE),
    "order-line-remove": _post(OFFICE),
    "order-report": _post(OFFICE),
    "order-tags": _get(OFFICE),
    "order-tags-file": _get(OFFICE),
    "order-receipt": _post(OFFICE),
    "order-export": _get(OFFICE),
    "order-void": _post(OFFICE),
    "job-void": _post(OFFICE),
    "job-scrap": _post(OFFICE),
    "job-stay": _post(OFFICE),
    "stay-back": _post(OFFICE),
    "finding-price": _post(OFFICE),
    "finding-answer": _post(OFFICE),
    "finding-take-back": _post(OFFICE),
    "picture": _get(OFFICE),
    "customers": _get(OFFICE),
    "customer-new": _form(OFFICE),
    "customer": _get(OFFICE),
    "customer-change": _form(OFFICE),
    "customer-erase": _form(OWNER_ONLY),
    "customer-export": _get(OFFICE),
    "customer-merge": _form(OFFICE),
    "customer-part": _post(OFFICE),
    "vehicle": _get(OFFICE),
    "vehicle-new": _form(OFFICE),
    "vehicle-change": _form(OFFICE),
    "dampers": _get(OFFICE),
    "damper": _get(OFFICE),
    "damper-change": _form(OFFICE),
    # money and papers
    "invoices": _get(OFFICE),
    "invoice": _get(OFFICE),
    "order-invoice": _post(OFFICE),
    "order-payment": _post(OFFICE),
    "payment-take-back": _form(OWNER_ONLY),
    "hand-over": _post(OFFICE),
    "parcel-new": _form(OFFICE),
    "paper": _get(OFFICE),
    "paper-file": _get(OFFICE),
    "paper-send": _form(OFFICE),
    "due": _get(OFFICE),
    # stores and tools
    "stock": _get(EVERYONE),
    "stock-receive": _form(OFFICE),
    "stock-lot": _get(OFFICE),
    "stock-lot-count": _post(OFFICE),
    "stock-lot-block": _post(OFFICE),
    "stock-lot-unblock": _post(OWNER_ONLY),
    "tools": _get(EVERYONE),
    "tool-check": _form(BENCH),
    "tool-back": _post(EVERYONE),
    # bench
    "bench": _get(BENCH),
    "bench-open": _post(BENCH),
    "bench-note-take": _post(BENCH),
    "bench-tool-back": _post(BENCH),
    "bench-open-bodies": _get(BENCH),
    "bench-damper": _get(BENCH),
    "job-tag": _form(EVERYONE),
    "job-tag-file": _get(EVERYONE),
    "bench-sheet": _get(BENCH),
    "bench-state": _get(BENCH),
    "bench-entries": _post(BENCH),
    "bench-picture-new": _post(BENCH),
    "bench-picture": _get(BENCH),
    # owner
    "owner": _get(OWNER_ONLY),
    "owner-shop": _form(OWNER_ONLY),
    "owner-stopped": _form(OWNER_ONLY),
    "owner-outbox": _form(OWNER_ONLY),
    "owner-acts": _get(OWNER_ONLY),
    "owner-comebacks": _get(OWNER_ONLY),
    "owner-shelf-labels": _get(OWNER_ONLY),
    "owner-shelf-labels-file": _get(OWNER_ONLY),
    "owner-procedures": _get(OWNER_ONLY),
    "owner-procedure": _get(OWNER_ONLY),
    "owner-procedure-new": _form(OWNER_ONLY),
    "owner-procedure-preview": _get(OWNER_ONLY),
    "owner-procedure-file": _get(OWNER_ONLY),
    "owner-procedure-next": _post(OWNER_ONLY),
    "owner-procedure-head": _form(OWNER_ONLY),
    "owner-procedure-release": _form(OWNER_ONLY),
    "owner-procedure-discard": _post(OWNER_ONLY),
    "owner-procedure-retire": _post(OWNER_ONLY),
    "owner-step-new": _form(OWNER_ONLY),
    "owner-step-move": _post(OWNER_ONLY),
    "owner-step": _form(OWNER_ONLY),
    "owner-step-remove": _post(OWNER_ONLY),
    "owner-spec-release": _post(OWNER_ONLY),
    "owner-spec-renew": _post(OWNER_ONLY),
}

OWNER_THINGS = (
    "people", "work-types", "tax-rates", "terms", "models", "specs", "bays", "shelves", "items", "kits",
    "tool-kinds", "tools",
)  # fmt: skip
for _thing in OWNER_THINGS:
    RIGHTS[f"owner-{_thing}"] = _get(OWNER_ONLY)
    RIGHTS[f"owner-{_thing}-new"] = _form(OWNER_ONLY)
    if _thing not in ("tax-rates", "terms"):  # followed by a newer one, never changed
        RIGHTS[f"owner-{_thing}-change"] = _form(OWNER_ONLY)


def url_names() -> Iterator[str]:
    """Give the name of every URL of the program; a URL without one gives its pattern."""

    def walk(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns)
            else:
                yield pattern.name or str(pattern.pattern)

    yield from walk(get_resolver().url_patterns)


def without_right() -> list[str]:
    """List the URLs that have no row in the table."""
    return sorted(set(url_names()) - RIGHTS.keys())


class NoRight(RuntimeError):
    """A URL has no row in the table of rights: the program does not start."""


def hold() -> None:
    """Stop the program where a URL has no right (called at start by the web server and by the system check)."""
    missing = without_right()
    if missing:
        raise NoRight(f"no right for: {', '.join(missing)} (people/rights.py)")


def may(roles: frozenset[str], name: str, method: str = "GET") -> bool:
    """Say whether somebody with these roles may use the URL `name`; templates ask it before they offer a link."""
    right = RIGHTS.get(name)
    if right is None or ("GET" if method == "HEAD" else method) not in right.methods:
        return False
    return right.session != "log-in" or bool(right.roles & roles)
