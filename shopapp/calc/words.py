"""The sentences of the calculations, put into the reader's language by whoever knows one.

The calculations know no language. The program lays its translation in here once, at start; alone they speak the
English that stands in the source.
"""

from __future__ import annotations

from collections.abc import Callable

_readers: list[Callable[[str], str]] = []


def speak_through(translate: Callable[[str], str]) -> None:
    """Put every sentence through `translate`, which is asked anew each time; the last one laid in counts."""
    _readers[:] = [translate]


def said(template: str, **values: object) -> str:
    """Give a sentence in the reader's language, with its values put in where it names them in braces."""
    for translate in _readers:
        template = translate(template)
    return template.format(**values) if values else template


def word(text: str) -> str:
    """Mark a word that is handed to `said` elsewhere, so that the catalogues know it; it stays as it is."""
    return text
