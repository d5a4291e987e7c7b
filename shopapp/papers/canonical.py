"""The one form in which a paper's figures are hashed: the same before they are stored and after, on both databases."""

from __future__ import annotations

import hashlib
import json
import math
from typing import Any

REPLACEMENT = "\ufffd"


def plain(value: Any) -> Any:
    """Make figures what JSON columns give back unchanged; refuse what is no figure.

    A whole float becomes an integer (PostgreSQL keeps numbers, not their spelling), minus nought becomes nought, a
    tuple a list; NUL and lone surrogates become U+FFFD. Decimals, dates and endless numbers raise: write them as
    text, with the wording the paper shall keep.
    """
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("A paper cannot hold a number that is not finite.")
        return int(value) if value.is_integer() else value
    if isinstance(value, str):
        return (
            str(value)
            .replace("\0", REPLACEMENT)
            .encode("utf-16", "surrogatepass")
            .decode("utf-16", "replace")
        )
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    if isinstance(value, dict):
        return {_key(key): plain(part) for key, part in value.items()}
    raise TypeError(f"A paper cannot hold {type(value).__name__}: write it as text.")


def _key(key: Any) -> str:
    if not isinstance(key, str):
        raise TypeError("The names of a paper's figures are text.")
    return key


def figures_hash(figures: Any) -> str:
    """Give the SHA-256 of figures in canonical JSON: names sorted, ASCII, no blanks."""
    text = json.dumps(
        plain(figures), sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False
    )
    return hashlib.sha256(text.encode("ascii")).hexdigest()
