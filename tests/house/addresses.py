"""Every address of the program with words and numbers that fit it."""

from __future__ import annotations

import uuid

from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.converters import IntConverter, UUIDConverter

NO_SUCH_NUMBER = 999_983
NO_SUCH_UUID = uuid.UUID("5d0c3f1e-0000-4000-8000-000000000000")


def _fitting(converter: object) -> object:
    if isinstance(converter, IntConverter):
        return NO_SUCH_NUMBER
    return NO_SUCH_UUID if isinstance(converter, UUIDConverter) else "nothing-here"


def addresses() -> dict[str, str]:
    """Give the path of every named URL; where it names a row, the path of one that does not exist."""
    found: dict[str, str] = {}

    def walk(patterns: list[URLPattern | URLResolver], above: dict[str, object]) -> None:
        for pattern in patterns:
            kwargs = above | {
                name: _fitting(converter) for name, converter in pattern.pattern.converters.items()
            }
            if isinstance(pattern, URLResolver):
                walk(pattern.url_patterns, kwargs)
            elif pattern.name:
                found[pattern.name] = reverse(pattern.name, kwargs=kwargs)

    walk(get_resolver().url_patterns, {})
    return found
