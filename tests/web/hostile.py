"""Texts that somebody may send: none of them may ever end in a 500."""

from __future__ import annotations

from urllib.parse import quote

HOSTILE = {
    "NUL": "a\0b",
    "ten to the thirtieth": "1" + "0" * 30,
    "a megabyte": "x" * 1_000_000,
    "right to left": "\u202eevil\u202c שלום",
    "emoji": "👩‍🔧🛠️",
    "template": "{{ 7*7 }}{% now 'Y' %}{{ form.errors }}",
    "markup": "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>",
    "sql": "'; DROP TABLE shopapp_act; --%_\\",
    "minus": "-1",
    "not a number": "NaN",
    "infinity": "1e999",
    "blank": " \t\u00a0\u2003",
    "line ends": "a\r\nb\rc",
    "digits of another script": "٤٠٨٢٢١٧١",
    "a combining pile": "e" + "\u0301" * 50,
}


def encoded(fields: dict[str, str], surrogate: str) -> bytes:
    """Write a form's body with a lone surrogate's bytes in one field, as a broken browser might send it."""
    pairs = [f"{quote(name)}={quote(text)}" for name, text in fields.items() if name != surrogate]
    return "&".join([*pairs, f"{quote(surrogate)}=a%ED%A0%80b%FF"]).encode("ascii")


FORM = "application/x-www-form-urlencoded"
