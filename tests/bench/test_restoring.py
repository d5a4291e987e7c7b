"""Settings are restored: what is not as it came keeps the job from *done* until it is set again or explained."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopapp.bench import report_log, report_record
from shopapp.bench.lock_restoring import Noted, Setting, unrestored
from shopapp.bench.queries.closing import why_not
from shopapp.shop.services.acts import Refused
from tests.bench.make import READINGS, Bench

TABLE = json.loads((Path(__file__).parent / "restoring.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", TABLE["cases"], ids=[case["name"] for case in TABLE["cases"]])
def test_what_stands_in_the_way_of_done(case: dict[str, Any]) -> None:
    steps = [Setting(s["key"], s["figure"], s["position"], s["phase"]) for s in TABLE["steps"]]
    found = unrestored(steps, [Noted.read(record) for record in case["records"]])
    assert [[one.figure, one.position, one.received, one.built] for one in found] == case["unrestored"]


@pytest.fixture
def off(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """Give a damper whose rebound went two clicks further in than it came with, all else done well."""
    bench.through("restore-preload")
    monkeypatch.setitem(READINGS, "restore-adjusters", "9")
    bench.usual("restore-adjusters", "reading", bench.step("restore-adjusters").position)
    monkeypatch.undo()
    bench.through(bench.steps[-1].step.code)
    return bench


@pytest.mark.django_db
class TestTheJob:
    def test_is_not_done_while_a_setting_is_unlike(self, off: Bench) -> None:
        """Seen to fail before the judge: the job closed as done with the adjuster two clicks in."""
        assert "done" not in off.sheet().standing.outcomes
        said = " ".join(why_not(off.sheet(), "done"))
        assert ": 9 clicks. It came with 11 clicks. Set it again, or say what was agreed." in said
        with pytest.raises(Refused, match="It came with 11 clicks"):
            off.do("", "close", outcome="done")

    def test_may_end_in_another_way(self, off: Bench) -> None:
        assert "unrepaired" in off.sheet().standing.outcomes

    def test_is_done_once_it_is_set_again(self, off: Bench) -> None:
        old = off.sheet().entries
        wrong = next(row for row in old if row.step and row.step.code == "restore-adjusters")
        off.do("restore-adjusters", "reading", position=wrong.position, text="11", replaces=wrong.pk)
        assert off.do("", "close", outcome="done").pk

    def test_is_done_once_it_is_explained(self, off: Bench) -> None:
        wrong = next(row for row in off.sheet().entries if row.step and row.step.code == "restore-adjusters")
        off.do("", "reason", about=wrong.pk, words="two clicks softer, as agreed at the counter")
        assert off.do("", "close", outcome="done").pk
        remarks = report_log.remarks(report_record.read(off.job.pk))
        told = next(row for row in remarks if "it came with" in row["what"])
        assert told["what"] == "9 clicks: it came with 11 clicks"
        assert told["why"] == "two clicks softer, as agreed at the counter"

    def test_an_explanation_wants_words_and_a_setting(self, off: Bench) -> None:
        wrong = next(row for row in off.sheet().entries if row.step and row.step.code == "restore-adjusters")
        with pytest.raises(Refused, match="Say why"):
            off.do("", "reason", about=wrong.pk, words="")
        torque = next(
            row for row in off.sheet().entries if row.name == "piston nut torque" or "torque" in row.name
        )
        with pytest.raises(Refused, match="for a stack or a setting"):
            off.do("", "reason", about=torque.pk, words="as agreed")
