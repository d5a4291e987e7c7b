"""Every sentence that a module says stands in the page, and none stands there unsaid."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted((ROOT / "static" / "js" / "bench").glob("*.js"))
SENTENCES = sorted((ROOT / "templates" / "bench").glob("_words*.html"))
# Names that are put together from what a sheet says: `state-${state}`.
PUT_TOGETHER = (
    "as-",
    "state-",
    "skill-",
    "standing-",
    "value-",
    "computed-",
    "outcome-",
    "past-absolute-",
    "past-ifp-",
    "past-bind-",
)


def _kept() -> list[str]:
    words = "\n".join(part.read_text(encoding="utf-8") for part in SENTENCES)
    return re.findall(r'data-word="([^"]+)"', words)


def _names_in_code() -> set[str]:
    code = "\n".join(module.read_text(encoding="utf-8") for module in MODULES)
    return set(re.findall(r'"([a-z][a-z0-9]*(?:-[a-z0-9]+)*)"', code))


def test_every_sentence_that_is_said_is_kept():
    code = "\n".join(module.read_text(encoding="utf-8") for module in MODULES)
    said = set(re.findall(r'\b(?:say|refuse)\("([^"]+)"', code))
    assert len(said) > 100
    assert said <= set(_kept())


def test_names_put_together_are_kept():
    for name in ("received", "removed", "built"):
        assert f"as-{name}" in _kept()
    for state in ("planned", "waiting", "in work", "stopped", "done", "void"):
        assert f"state-{state}" in _kept()
    for standing in ("good", "overdue", "failed", "unchecked"):
        assert f"standing-{standing}" in _kept()
    for outcome in ("done", "unrepaired", "uncharged", "not-serviceable", "unsafe"):
        assert f"outcome-{outcome}" in _kept()


def test_no_sentence_is_kept_twice_or_unsaid():
    kept = _kept()
    assert len(kept) == len(set(kept))
    assert [name for name in kept if not name.startswith(PUT_TOGETHER) and name not in _names_in_code()] == []
