"""A small server on a free port of this machine: the page, its modules, and a bench that answers as told.

It judges with shopapp.bench.locks and reads with shopapp.calc.units, so that what the page sees after each list is what
the program would say; limits moved to a temperature and computed figures stay as the sheet gives them.
"""

from __future__ import annotations

import copy
import datetime as dt
import json
import threading
import uuid
from email import message_from_bytes, policy
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from django.template.loader import render_to_string
from django.test import override_settings

from shopapp.bench import lock_findings, locks
from shopapp.bench.lock_findings import Found
from shopapp.bench.queries.findings import choices
from shopapp.calc import units

ROOT = Path(__file__).resolve().parents[2]
SHEET = json.loads((Path(__file__).parent / "sheet.json").read_text(encoding="utf-8"))
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'"
)
TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".woff2": "font/woff2"}


def usual(step: dict[str, Any], kind: str) -> dict[str, Any]:
    """Give an entry for a step as a good job has it."""
    limits = step["limits"] or {}
    unit = units.UNITS_BY_KIND.get(step["unit_kind"], {}).get(step["default_unit"], "")
    text = limits.get("target_text") or limits.get("low_text") or f"20 {unit}"
    good = next((option["value"] for option in step["options"] if option["passes"]), "")
    return {
        "id": str(uuid.uuid4()), "job": 1, "step": step["id"], "position": step["position"], "kind": kind,
        "text": text if kind == "reading" else "", "words": "", "reason": "", "outcome": "",
        "answer": good if kind in ("proof", "choice") else "", "lots": [], "replaces": None, "about": None,
        "tool": step["tools"][0]["tag"] if step["tools"] else "", "typed_at": "2026-11-25T14:20:00+00:00",
    }  # fmt: skip


class Bay:
    """Serve one sheet. `answer` may be set to refuse or to fail: it is called with each list, before it is stored."""

    def __init__(self) -> None:
        self.sheet: dict[str, Any] = copy.deepcopy(SHEET)
        self.sheet["tables"] = units.browser_tables()
        self.sheet |= {"found": choices([]), "findings": []}
        self.answers: dict[str, str] = {}
        self.lists: list[list[dict[str, Any]]] = []
        self.refuse: dict[str, str] = {}
        self.pictures: dict[str, bytes] = {}
        self.no_picture = ""
        self.begun = 0
        self.down = False
        self.waits_are_over = False
        self.turn_away: dict[str, str] = {}
        self.drawing = ""

    def __enter__(self) -> Self:
        bay = self

        class Handler(_Handler):
            owner = bay

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self.server.server_port}"
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.server.shutdown()
        self.server.server_close()
        self.thread.join()

    @property
    def entries(self) -> list[dict[str, Any]]:
        return list(self.sheet["entries"])

    def findings(self) -> list[dict[str, Any]]:
        """List what was found and not corrected; `answers` holds by condition what the customer said."""
        right = {one["about"] for one in self.entries if one["kind"] == "put right"}
        found = [one for one in self.entries if one["kind"] == "finding"]
        gone = {one["replaces"] for one in found}
        return [
            {
                "id": one["id"], "number": number, "part": one["part"], "part_words": one["part_words"],
                "condition": one["words"], "value": one["text"], "advice": one["advice"], "grade": one["answer"],
                "answer": self.answers.get(one["words"], ""), "put_right": one["id"] in right, "asks": True,
            }
            for number, one in enumerate(found, 1)
            if one["id"] not in gone
        ]  # fmt: skip

    def standing(self) -> locks.Standing:
        steps = [locks.StepRule.read(step) for step in self.sheet["steps"]]
        judged = locks.judge(steps, [locks.Record.read(entry) for entry in self.sheet["entries"]])
        return lock_findings.hold_back(judged, steps, [Found.read(one) for one in self.findings()])

    def ends(self, begun: dict[str, Any]) -> str:
        """Say when a wait ends: its minutes after it was begun, or now where `waits_are_over`."""
        minutes = next(step["minutes"] for step in self.sheet["steps"] if step["key"] == begun["key"])
        begun_at = dt.datetime.fromisoformat(begun["typed_at"])
        return (begun_at + dt.timedelta(minutes=0 if self.waits_are_over else minutes)).isoformat()

    def before(self, name: str, phase: str = "") -> dict[str, Any]:
        """Record every step before the one called `name` (of `phase`) as a good job has it; give that step."""
        for step in self.sheet["steps"]:
            if step["name"] == name and phase in ("", step["phase"]):
                return dict(step)
            kinds = ["wait", "wait end"] if step["kind"] == "wait" else [step["kind"]]
            for kind in kinds:
                self._take_one(usual(step, kind))
        raise AssertionError(f"no step is called {name}")

    def all(self) -> None:
        """Record every step as a good job has it."""
        for step in self.sheet["steps"]:
            for kind in ["wait", "wait end"] if step["kind"] == "wait" else [step["kind"]]:
                self._take_one(usual(step, kind))

    def stored_answer(self, step: dict[str, Any], value: str) -> dict[str, Any]:
        """Give a stored answer of a proof or a choice."""
        return self._stored(usual(step, step["kind"]) | {"answer": value})

    def document(self) -> dict[str, Any]:
        """Give the sheet as it stands now."""
        found = self.standing()
        for stage in self.sheet["stages"]:
            stage["open"] = stage["code"] in found.open
            stage["state"] = found.states.get(stage["code"], "planned")
        self.sheet["job"].update(stage=found.stage or "receive", stopped=found.stopped)
        self.sheet["waits"] = [
            {"entry": one["id"], "key": one["key"], "ends": self.ends(one), "ended": False}
            for one in self.sheet["entries"]
            if one["kind"] == "wait"
        ]
        self.sheet["findings"] = self.findings()
        self.sheet["now"] = dt.datetime.now(dt.UTC).isoformat()
        self.sheet["closing"]["may"] = bool(found.outcomes)
        self.sheet["closing"]["outcomes"] = [
            {"value": value, "words": value} for value in sorted(found.outcomes)
        ]
        return self.sheet

    def render(self) -> str:
        with override_settings(ROOT_URLCONF="tests.bench_client.urls"):
            return render_to_string(
                "bench/sheet.html", {"sheet": self.document(), "csrf_token": "token", "drawing": self.drawing}
            )

    def take(self, body: dict[str, Any]) -> dict[str, Any]:
        self.lists.append(body["entries"])
        answers = [self._take_one(entry) for entry in body["entries"]]
        return {"answers": answers, "sheet": self.document()}

    def _take_one(self, entry: dict[str, Any]) -> dict[str, Any]:
        if sentence := self.refuse.get(entry["text"] or entry["kind"]):
            return {
                "id": entry["id"],
                "state": "refused",
                "sentence": sentence,
                "field": "text",
                "entry": None,
            }
        if any(kept["id"] == entry["id"] for kept in self.sheet["entries"]):
            return {"id": entry["id"], "state": "stored before", "sentence": "", "field": "", "entry": None}
        stored = self._stored(entry)
        for kept in self.sheet["entries"]:
            if kept["id"] == entry["replaces"]:
                kept["replaced_by"] = entry["id"]
        self.sheet["entries"].append(stored)
        return {"id": entry["id"], "state": "stored", "sentence": "", "field": "", "entry": stored}

    def _stored(self, entry: dict[str, Any]) -> dict[str, Any]:
        key = f"{entry['step']}:{entry['position']}" if entry["step"] else ""
        step = next((step for step in self.sheet["steps"] if step["key"] == key), {})
        stored = {
            "id": entry["id"], "step": entry["step"], "key": key, "position": entry["position"],
            "kind": entry["kind"], "phase": step.get("phase", ""), "figure": step.get("figure", ""),
            "text": entry["text"], "si": None, "unit": "", "words": entry["words"],
            "answer": entry["answer"] or entry["outcome"], "outside": "", "reason": entry["reason"],
            "out_of_order": False, "by": "M. Oduya", "typed_at": entry["typed_at"], "stored_at": entry["typed_at"],
            "part": entry.get("part", ""), "part_words": entry.get("part_words", ""),
            "advice": entry.get("advice", ""), "replaces": entry["replaces"], "replaced_by": None,
            "tool": entry["tool"], "lots": entry["lots"],
            "pictures": entry.get("pictures", []),
            "satisfies": True, "about": entry.get("about"), "who": self.sheet["person"]["initials"],
        }  # fmt: skip
        if entry["kind"] == "reading":
            read = units.parse(entry["text"], step["unit_kind"], step["default_unit"], signed=step["signed"])
            stored |= {"si": read.si, "unit": read.unit}
        return stored


class _Handler(BaseHTTPRequestHandler):
    owner: Bay

    def log_message(self, format: str, *arguments: Any) -> None:
        """Say nothing: a test reads the bay, not a log."""

    def do_GET(self) -> None:
        path = self.path.split("?")[0]
        if path.startswith("/static/"):
            self._file(ROOT / path.lstrip("/"))
        elif path == "/words":
            self._send(
                f"<!doctype html><title>words</title>{render_to_string('bench/_words.html')}", "text/html"
            )
        elif path.removeprefix("/bench/pictures/") in self.owner.pictures:
            self._bytes(self.owner.pictures[path.removeprefix("/bench/pictures/")], "image/jpeg")
        elif path == "/bench/sheets/1/state":
            self._send(json.dumps(self.owner.document()), "application/json")
        elif path.startswith("/bench/sheets/"):
            self._send(self.owner.render(), "text/html")
        else:
            self._send("", "text/plain", 404)

    def do_POST(self) -> None:
        content = self.rfile.read(int(self.headers["Content-Length"]))
        if self.path == "/bench/pictures":
            self._picture(content)
            return
        body = json.loads(content)
        if self.owner.down:
            self._send("", "text/plain", 503)
            return
        for entry in body["entries"]:
            if sentence := self.owner.turn_away.get(entry["text"]):
                self._send(json.dumps({"error": sentence}), "application/json", 400)
                return
        self._send(json.dumps(self.owner.take(body)), "application/json")

    def _picture(self, content: bytes) -> None:
        """Take a picture as the program does: a form of three parts."""
        if self.owner.down:
            self._send("", "text/plain", 503)
            return
        head = f"Content-Type: {self.headers['Content-Type']}\r\n\r\n".encode()
        parts = message_from_bytes(head + content, policy=policy.HTTP).iter_parts()
        said = {
            part.get_param("name", header="content-disposition"): part.get_payload(decode=True)
            for part in parts
        }
        if self.owner.no_picture:
            self._send(json.dumps({"error": self.owner.no_picture}), "application/json", 422)
            return
        pk = said["id"].decode()
        self.owner.pictures[pk] = said["file"]
        self._send(json.dumps({"id": pk, "state": "stored"}), "application/json")

    def _file(self, path: Path) -> None:
        if not path.is_file():
            self._send("", "text/plain", 404)
            return
        self._bytes(path.read_bytes(), TYPES.get(path.suffix, "application/octet-stream"))

    def _send(self, text: str, kind: str, status: int = 200) -> None:
        self._bytes(text.encode(), f"{kind}; charset=utf-8", status)

    def _bytes(self, data: bytes, kind: str, status: int = 200) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Content-Security-Policy", POLICY)
        self.end_headers()
        self.wfile.write(data)
