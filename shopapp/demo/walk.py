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
from datetime import UTC, datetime
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
        """Give the hidden fields of the first form whose action has `action_part` (or of the page's own form)."""
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
    fields = {}
    for tag in re.findall(r"<input\b[^>]*>", body):
        if 'type="hidden"' in tag:
            name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
            if name:
                fields[name.group(1)] = html.unescape(value.group(1)) if value else ""
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


def wait_for(browser: Browser, path: str, ready: Callable[[str], bool], *, seconds: float = 60) -> str:
    """Ask a page again until it is ready: papers are made after the commit, by the sweeper."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        page = browser.get(path)
        if ready(page):
            return page
        time.sleep(0.25)
    raise WalkFailed(f"{path} was not ready within {seconds:.0f} s: {_errors(browser.page)}")


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
