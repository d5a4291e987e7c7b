"""The catalogues of texts: what the source says, what a catalogue lacks, and the two files of each.

English is the source and has no catalogue. `en_US` holds only what the US trade says otherwise; it is filled word by
word from `US_WORDS` where nobody wrote a sentence of their own. Any other language holds every text. Read and written
with Babel, so that no other tool is needed.
"""

from __future__ import annotations

import ast
import io
import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import DEFAULT_KEYWORDS, extract
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

from shopapp.calc.units.kinds import KINDS
from shopapp.shop.trade_words import US_WORDS

ROOT = Path(__file__).resolve().parents[2]
LOCALE = ROOT / "shopapp" / "locale"
Text = str | tuple[str, ...]

KEYWORDS = {
    **DEFAULT_KEYWORDS,
    **dict.fromkeys(("_lazy", "_now", "gettext_lazy", "gettext_noop", "said", "word")),
    "ngettext_lazy": (1, 2), "positive": (2,), "finite": (2,), "not_negative": (2,), "between": (4,), "_whole": (4,),
    "_at_least_zero": (2,), "doing": (1,), "about": (1,),
}  # fmt: skip
"""Who takes a text, and at which place; the checks of calc take the name of the figure that they check,
an act its verb and what it is about."""

_BRITISH = re.compile(
    r"%\(\w+\)|\{\w+[^}]*\}|\b(" + "|".join(sorted(US_WORDS, key=len, reverse=True)) + r")\b", re.IGNORECASE
)
"""A placeholder first, so that its name is not taken for a word."""


def us_words(text: str) -> str:
    """Say a text in the words of the US trade; the names of placeholders stay as they are."""
    return _BRITISH.sub(_as_written, text)


def _as_written(match: re.Match[str]) -> str:
    british = match[1]
    if british is None:
        return match[0]
    word = US_WORDS[british.lower()]
    if british.isupper():
        return word.upper()
    return word[0].upper() + word[1:] if british[0].isupper() else word


def in_source(root: Path = ROOT) -> dict[Text, list[tuple[str, int]]]:
    """Give each text of the program (singular and plural as a pair) with the places where it stands."""
    found: dict[Text, list[tuple[str, int]]] = {}
    for path, line, text in _everything(root):
        found.setdefault(text, []).append((path.relative_to(root).as_posix(), line))
    return found


def _everything(root: Path) -> Iterator[tuple[Path, int, Text]]:
    for path in sorted((root / "shopapp").rglob("*.py")):
        if "migrations" not in path.parts:
            yield from _of_python(path, path.read_text("utf-8"))
    for path in sorted(
        path for path in (root / "templates").rglob("*") if path.suffix in (".html", ".txt", ".svg")
    ):
        yield from _of_python(path, _as_python(path.read_text("utf-8")))
    for path in sorted((root / "shopapp" / "specs" / "procedures").glob("*.json")):
        yield from ((path, 1, text) for text in of_procedure(json.loads(path.read_text("utf-8"))))
    kinds = root / "shopapp" / "calc" / "units" / "kinds.py"
    yield from ((kinds, 1, text) for text in (*(kind.replace("_", " ") for kind in KINDS), *_hints(kinds)))


_NAME = re.compile(r"[a-z]+(_[a-z]+)+")
"""A verb as code writes it; the page says it with blanks."""


def _of_python(path: Path, source: str) -> Iterator[tuple[Path, int, Text]]:
    for line, message, _comments, _context in extract("python", io.BytesIO(source.encode()), KEYWORDS):
        if isinstance(message, str) and message:
            yield path, line, message.replace("_", " ") if _NAME.fullmatch(message) else message
        elif message and message != ("",):
            yield path, line, tuple(message)


def _as_python(template: str) -> str:
    """Give a template's texts as calls, line by line; a line begins at its first sign, for indents mean something."""
    return "\n".join(line.strip() for line in templatize(template).split("\n"))


def _hints(kinds: Path) -> list[str]:
    """Read the advice on doubtful units out of the source, where it stands as the values of HINTS."""
    for node in ast.parse(kinds.read_text("utf-8")).body:
        if isinstance(node, ast.AnnAssign) and node.value and ast.unparse(node.target) == "HINTS":
            return sorted(set(ast.literal_eval(node.value).values()))
    raise LookupError("there is no HINTS in the units' kinds")


def of_procedure(document: dict) -> Iterator[str]:  # type: ignore[type-arg]
    """Give the words of a shipped procedure: names, texts and answers of its steps."""
    for step in document["steps"]:
        words = [step.get("name"), step.get("text"), *(option["words"] for option in step.get("options", ()))]
        yield from (word for word in words if word)


def locales() -> list[str]:
    """List the languages that have a catalogue."""
    return sorted(path.parent.parent.name for path in LOCALE.glob("*/LC_MESSAGES/django.po"))


def po_file(locale: str) -> Path:
    """Give the place of a catalogue as it is written."""
    return LOCALE / locale / "LC_MESSAGES" / "django.po"


def _empty(locale: str) -> Catalog:
    """Begin a catalogue whose heading names nobody and no moment: the same texts give the same bytes."""
    moment = datetime(2026, 1, 1, tzinfo=UTC)
    return Catalog(
        locale, project="Damper shop", version="1", charset="utf-8", fuzzy=False, creation_date=moment,
        revision_date=moment, msgid_bugs_address="-", last_translator="-", language_team="-",
        header_comment="# Written by `manage.py texts`; what is changed here by hand stays.",
    )  # fmt: skip


def read(locale: str) -> Catalog:
    """Read a catalogue as it is written; an empty one where there is none yet."""
    if not po_file(locale).exists():
        return _empty(locale)
    with po_file(locale).open("rb") as file:
        return read_po(file, locale=locale)


def read_compiled(locale: str) -> Catalog:
    """Read a catalogue as the program uses it."""
    with po_file(locale).with_suffix(".mo").open("rb") as file:
        return read_mo(file)


def wanted(locale: str, source: dict[Text, list[tuple[str, int]]]) -> dict[Text, Text]:
    """Give the texts that a catalogue holds, each with what is said where nobody has written anything."""
    if locale != "en_US":
        return {text: "" if isinstance(text, str) else ("", "") for text in source}
    said = {text: us_words(text) if isinstance(text, str) else tuple(map(us_words, text)) for text in source}
    return {text: us for text, us in said.items() if us != text}


def refreshed(locale: str, source: dict[Text, list[tuple[str, int]]], old: Catalog) -> Catalog:
    """Make a catalogue anew: what is written stays, what is new is filled, what the source lost goes.

    In `en_US` a text stays too whose words were written by hand though no rule changes them.
    """
    new = _empty(locale)
    offered = wanted(locale, source)
    for text in sorted(source, key=str):
        kept = old.get(text if isinstance(text, str) else text[0])
        said = kept.string if kept is not None and _is_said(kept) else offered.get(text)
        if said is not None:
            files = sorted({name for name, _line in source[text]})
            new.add(text, said, locations=[(name, 0) for name in files])
    return new


def _is_said(message: Message) -> bool:
    return any(message.string or ())


def as_dict(catalog: Catalog) -> dict[Text, Text]:
    """Give what a catalogue says for each text."""
    found: dict[Text, Text] = {}
    for message in catalog:
        if message.id and _is_said(message):
            found[_text(message.id)] = _text(message.string)
    return found


def _text(said: object) -> Text:
    return said if isinstance(said, str) else tuple(said)  # type: ignore[arg-type]


def stale(locale: str, source: dict[Text, list[tuple[str, int]]]) -> list[str]:
    """Say what is wrong with a catalogue: lost and missing texts, broken placeholders, a compiled file of before."""
    written = as_dict(read(locale))
    compiled = as_dict(read_compiled(locale)) if po_file(locale).with_suffix(".mo").exists() else {}
    return [
        *(f"{locale}: not in the source any more: {text!r}" for text in written if text not in source),
        *(f"{locale}: says nothing for {text!r}" for text in wanted(locale, source) if text not in written),
        *(f"{locale}: other placeholders: {text!r}" for text, said in written.items() if _holes(text) != _holes(said)),
        *(f"{locale}: compiled otherwise: {text!r}" for text in written.keys() | compiled.keys()
          if written.get(text) != compiled.get(text)),
    ]  # fmt: skip


_HOLE = re.compile(r"%\(\w+\)[\w.]+|%(?:\.\d)?[sdf]|\{\w+[^}]*\}")


def _holes(text: Text) -> list[str]:
    return sorted(_HOLE.findall(text if isinstance(text, str) else text[-1]))


def write(locale: str, catalog: Catalog) -> None:
    """Write both files of a catalogue."""
    po_file(locale).parent.mkdir(parents=True, exist_ok=True)
    with po_file(locale).open("wb") as file:
        write_po(file, catalog, width=110, include_lineno=False)
    with po_file(locale).with_suffix(".mo").open("wb") as file:
        write_mo(file, catalog)
