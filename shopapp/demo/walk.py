"""Take one new demo order from the counter to hand-over over HTTP, as a browser without JavaScript would.

It signs in as desk, technician and desk again, types what they type, follows what the pages answer, and checks at each
stage that the page says what it should: a walk that goes on after a wrong answer would prove nothing.
"""

from __future__ import annotations

import html
import http.cookiejar
import json
import random
import re
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from shopapp.demo.fill import Filler
from shopapp.demo.names import PASSWORD


class WalkFailed(Exception):
    """A page did not answer as it should."""


@dataclass
class Browser:
    """A very small browser: cookies, forms, redirects."""

    address: str
    jar: http.cookiejar.CookieJar = field(default_factory=http.cookiejar.CookieJar)
    url: str = ""
    page: str = ""
    status: int = 0

    def __post_init__(self) -> None:
        self.opener = urllib.request.build_opener(
            urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(self.jar)
        )

    def get(self, path: str) -> str:
        return self._open(urllib.request.Request(urllib.parse.urljoin(self.address, path)))

    def get_bytes(self, path: str) -> bytes:
        with self.opener.open(urllib.parse.urljoin(self.address, path), timeout=60) as response:
            return bytes(response.read())

    def _open(self, request: urllib.request.Request) -> str:
        try:
            with self.opener.open(request, timeout=60) as response:
                self.status, self.url = response.status, response.url
                self.page = response.read().decode("utf-8")
        except urllib.error.HTTPError as problem:
            self.status, self.url = problem.code, problem.url or ""
            self.page = problem.read().decode("utf-8", "replace")
        return self.page

    def post(self, path: str, data: list[tuple[str, str]]) -> str:
        body = urllib.parse.urlencode(data).encode()
        request = urllib.request.Request(urllib.parse.urljoin(self.address, path), body)
        request.add_header("Referer", self.url or self.address)
        return self._open(request)

    def post_json(self, path: str, data: Any, token: str) -> dict[str, Any]:
        request = urllib.request.Request(
            urllib.parse.urljoin(self.address, path),
            json.dumps(data).encode(),
            {"Content-Type": "application/json", "Accept": "application/json", "X-CSRFToken": token},
        )
        request.add_header("Referer", self.url or self.address)
        text = self._open(request)
        if self.status != 200:
            raise WalkFailed(f"{path} answered {self.status}: {text[:300]}")
        found: dict[str, Any] = json.loads(text)
        return found

    def form(self, action_part: str = "") -> dict[str, str]:
        """Give what is filled in already in the first form whose action has `action_part` (or of the page itself)."""
        for found in re.finditer(r"<form\b([^>]*)>(.*?)</form>", self.page, re.S):
            if "post" not in found.group(1).lower():
                continue
            action = re.search(r'action="([^"]*)"', found.group(1))
            if action_part in (action.group(1) if action else "") and "sign-out" not in (
                action.group(1) if action else ""
            ):
                return _hidden(found.group(2))
        raise WalkFailed(f"no form for {action_part or 'this page'} on {self.url} ({self.status})")

    def expect(self, *texts: str) -> None:
        plain = html.unescape(re.sub(r"<[^>]+>", " ", self.page))
        for text in texts:
            if text not in plain and text not in self.page:
                raise WalkFailed(f"{self.url} ({self.status}) does not say {text!r}: {_errors(self.page)}")


def _hidden(body: str) -> dict[str, str]:
    """Read the hidden and ticked inputs and the chosen options of a form."""
    fields = {}
    for tag in re.findall(r"<input\b[^>]*>", body):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        ticked = re.search(r'type="(checkbox|radio)"', tag) and "checked" in tag
        if name and ('type="hidden"' in tag or ticked):
            fields[name.group(1)] = html.unescape(value.group(1)) if value else ""
    for name_, options in re.findall(r'<select\b[^>]*name="([^"]*)"[^>]*>(.*?)</select>', body, re.S):
        chosen = re.search(r'value="([^"]*)"[^>]*\bselected', options)
        fields[name_] = html.unescape(chosen.group(1)) if chosen else ""
    return fields


def _errors(page: str) -> str:
    slip = re.search(r'class="slip error".*?</section>', page, re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", slip.group(0) if slip else page[-600:])).split())[
        :400
    ]


Say = Callable[[str], None]


def sign_in(browser: Browser, login: str) -> None:
    browser.get("/sign-in")
    fields = {**browser.form(), "login_name": login, "password": PASSWORD}
    browser.post("/sign-in", list(fields.items()))
    browser.get("/me")
    browser.expect(login)


def wait_for(browser: Browser, path: str, ready: Callable[[str], bool], *, seconds: float = 120) -> str:
    """Ask a page again until it is ready: papers are made after the commit, by the sweeper."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        page = browser.get(path)
        if ready(page):
            return page
        time.sleep(0.25)
    raise WalkFailed(f"{path} was not ready within {seconds:.0f} s: {_errors(browser.page)}")


def option(page: str, field_name: str, words: str) -> str:
    """Give the value of the option of a select that reads `words`."""
    select = re.search(rf'<select\b[^>]*name="{field_name}".*?</select>', page, re.S)
    for value, text in re.findall(
        r'<option value="([^"]*)"[^>]*>(.*?)</option>', select.group(0) if select else ""
    ):
        if " ".join(html.unescape(text).split()) == words:
            return str(value)
    raise WalkFailed(f"{field_name} does not offer {words!r}")


def fill_sheet(browser: Browser, job: int, rng: random.Random, say: Say) -> Filler:
    """Fill the whole sheet of a job through the endpoint, then close it."""
    browser.get(f"/bench/sheets/{job}")
    if browser.status != 200:
        raise WalkFailed(f"/bench/sheets/{job} answered {browser.status}")
    token = browser.page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    stage = ""

    def send(entry: dict[str, Any]) -> None:
        nonlocal stage
        answer = browser.post_json("/bench/entries", {"clock": entry["typed_at"], "entries": [entry]}, token)
        got = answer["answers"][0]
        if got["state"] != "stored":
            raise WalkFailed(
                f"{entry['kind']} {entry.get('text', '')} was {got['state']}: {got.get('sentence')}"
            )
        if answer["sheet"]["job"]["stage"] != stage:
            stage = answer["sheet"]["job"]["stage"]
            if stage:
                say(f"    {stage}")

    def look() -> dict[str, Any]:
        found: dict[str, Any] = json.loads(browser.get(f"/bench/sheets/{job}/state"))
        return found

    reason = "the walk through the demo does not wait for the clock"
    filler = Filler(send=send, look=look, rng=rng, at=datetime.now(UTC), minutes=(0, 0), wait_reason=reason)
    filler.fill()
    closing = look()["closing"]
    if not closing["may"]:
        raise WalkFailed(f"the sheet cannot be closed: {'; '.join(closing['why'])}")
    filler.close()
    return filler


@dataclass
class Walked:
    """What the walk did: the order, the tag, what was typed, the papers."""

    order: int
    tag: str
    job: int
    typed: dict[str, str]
    report: str
    invoice: str
    report_pdf: bytes
    invoice_pdf: bytes


def walk(address: str, *, seed: int, say: Say) -> Walked:
    """Go the whole way: counter, bench, papers, payment, hand-over."""
    rng = random.Random(seed)
    desk, bench = Browser(address), Browser(address)
    sign_in(desk, "pia")
    say("Front desk: Pia Vale is signed in")
    number, tag = receive(desk, rng)
    say(f"Received: order {number}, tag {tag}")
    sign_in(bench, "mo")
    job = open_sheet(bench, tag)
    say("Bench: Mo Oduya opens the sheet by its tag and records every step")
    filler = fill_sheet(bench, job, rng, say)
    say(f"Closed: {filler.counter} entries, outcome done")
    report, report_pdf = paper(desk, number, "rebuild report")
    say("Rebuild report: made from the outbox")
    issue_invoice(desk, number)
    invoice, invoice_pdf = paper(desk, number, "invoice")
    say("Invoice: issued and made from the outbox")
    paid = pay(desk, number)
    say(f"Paid: {paid} by card")
    hand_over(desk, number)
    say("Handed over; the next due is noted")
    return Walked(number, tag, job, filler.written, report, invoice, report_pdf, invoice_pdf)


def receive(desk: Browser, rng: random.Random) -> tuple[int, str]:
    """Take in one K25 of a new customer on the new-order sheet."""
    page = desk.get("/orders/new")
    serial = f"KM25-{time.time_ns() // 1_000_000 % 100_000_000:08}"  # new each time: a serial is one damper's for ever
    fields = {
        **desk.form(), "new_kind": "person", "new_name": f"Sella Varn {rng.randint(100, 999)}", "new_phone": "555-0170",
        "vehicle_description": "Two-seat buggy", "vehicle_hard": "on", "meter": "1,204 mi",
        "complaint": "Bottoms out on the whoops. Wants it as it was.",
        "r1_place": "front left", "r1_tag": serial, "r1_model": option(page, "r1_model", "Keldmark K25"),
        "r1_work": option(page, "r1_work", "Rebuild"), "r1_condition": "oil at the wiper", "r1_shelf": "R2-A",
        "limit_gross": "450.00", "promised_day": f"{datetime.now(UTC) + timedelta(days=3):%Y-%m-%d}",
        "terms_accepted": "on", "terms_how": "signed at the counter",
    }  # fmt: skip
    desk.post("/orders/new", list(fields.items()))
    found = re.search(r"/orders/(\d+)$", desk.url)
    if found is None:
        raise WalkFailed(f"the order was not received: {_errors(desk.page)}")
    desk.expect(serial, "Two-seat buggy")
    tag = re.search(r"\b\d{4} \d{3}-\d\b", desk.page)
    if tag is None:
        raise WalkFailed("the order's page shows no tag")
    return int(found.group(1)), tag.group(0)


def open_sheet(bench: Browser, tag: str) -> int:
    """Open the sheet by typing the tag; give the job's number."""
    bench.get("/bench/")
    bench.post("/bench/open", list({**bench.form("/bench/open"), "tag": tag}.items()))
    found = re.search(r"/bench/sheets/(\d+)", bench.url)
    if found is None:
        raise WalkFailed(f"the tag {tag} opened no sheet: {_errors(bench.page)}")
    return int(found.group(1))


def paper(desk: Browser, number: int, kind: str) -> tuple[str, bytes]:
    """Wait for the paper of that kind on the order's page; give its id and its PDF."""
    page = desk.get(f"/orders/{number}")
    plain = re.search(rf'href="/papers/([0-9a-f-]{{36}})"[^>]*>\s*{kind}', page, re.I)
    if plain is None:
        raise WalkFailed(f"order {number} shows no {kind}")
    pk = plain.group(1)
    wait_for(desk, f"/papers/{pk}", lambda text: f"/papers/{pk}/file" in text)
    pdf = desk.get_bytes(f"/papers/{pk}/file")
    if not pdf.startswith(b"%PDF-"):
        raise WalkFailed(f"the {kind} is no PDF")
    return pk, pdf


def issue_invoice(desk: Browser, number: int) -> None:
    """Issue the invoice over the done job."""
    desk.get(f"/orders/{number}")
    desk.post(f"/orders/{number}/invoice", list(desk.form(f"/orders/{number}/invoice").items()))
    if desk.status != 200:
        raise WalkFailed(f"the invoice was not issued: {_errors(desk.page)}")


def _owed(page: str) -> str:
    plain = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
    found = re.search(r"Owed \D{0,3}([\d,]+\.\d\d)", plain)
    if found is None:
        raise WalkFailed("the order's page says nothing of what is owed")
    return found.group(1).replace(",", "")


def pay(desk: Browser, number: int) -> str:
    """Take what is owed by card; afterwards nothing is owed."""
    owed = _owed(desk.get(f"/orders/{number}"))
    fields = {**desk.form(f"/orders/{number}/payment"), "amount": owed, "how": "card"}
    desk.post(f"/orders/{number}/payment", list(fields.items()))
    left = _owed(desk.get(f"/orders/{number}"))
    if float(left) != 0 or float(owed) <= 0:
        raise WalkFailed(f"{owed} were taken and {left} are still owed")
    return owed


def hand_over(desk: Browser, number: int) -> None:
    """Hand the damper over; the page then says to whom."""
    desk.get(f"/orders/{number}")
    fields = {**desk.form(f"/orders/{number}/hand-over"), "to_whom": "Sella Varn"}
    desk.post(f"/orders/{number}/hand-over", list(fields.items()))
    desk.get(f"/orders/{number}")
    desk.expect("to Sella Varn")
