"""What is new against the version before, in words: added, taken out, changed, moved (by the fewest moves)."""

from __future__ import annotations

from typing import Any

from shopapp.specs.procedure_changes import Change, changes, shown


def step(code: str, stage: str = "wash", **fields: Any) -> dict[str, Any]:
    return {"code": code, "stage": stage, "kind": "do", "name": code.upper(), "required": True, **fields}


def document(*steps: dict[str, Any]) -> dict[str, Any]:
    return {"steps": list(steps)}


def said(found: list[Change]) -> list[tuple[str, str]]:
    return [(change.kind, change.step) for change in found]


def test_alike_is_nothing() -> None:
    assert changes(document(step("a"), step("b")), document(step("a"), step("b"))) == []


def test_added_taken_out_and_changed() -> None:
    before = document(step("a"), step("b"), step("c", required=True))
    after = document(step("a", name="Another"), step("c", required=False), step("d"))
    found = changes(before, after)
    assert said(found) == [("changed", "Another"), ("changed", "C"), ("added", "D"), ("removed", "B")]
    assert found[0].details == (("words", "A", "Another"),)
    assert found[1].details == (("asked for", "yes", "no"),)


def test_one_step_moved_down_is_one_move() -> None:
    """Seen red while every step that changed its number counted as moved."""
    before = document(*(step(code) for code in "abcdef"))
    after = document(*(step(code) for code in "bcdefa"))
    assert said(changes(before, after)) == [("moved", "A")]


def test_to_another_stage_is_a_change_and_no_move() -> None:
    before = document(step("a"), step("b"), step("c", "strip"))
    after = document(step("b"), step("c", "strip"), step("a", "strip"))
    (found,) = changes(before, after)
    assert (found.kind, found.details) == ("changed", (("sheet", "Wash", "Strip"),))


def test_answers_are_told_with_what_they_do() -> None:
    options = [
        {"value": "a", "words": "moves", "passes": True, "stops": False},
        {"value": "b", "words": "does not", "passes": False, "stops": True},
        {"value": "c", "words": "unsure", "passes": False, "stops": False},
    ]
    assert shown("options", options) == "moves (passes); does not (stops the job); unsure (does not pass)"
    assert (shown("caution", "gas"), shown("figure", "ifp depth")) == ("gas under pressure", "IFP depth")
    assert (shown("minutes", 0), shown("locks", ""), shown("locks", "strip")) == ("–", "–", "Strip")
