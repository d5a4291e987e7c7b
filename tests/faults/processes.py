"""Start parts of the program as processes of their own, on a shop of their own, and end them as a crash would."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 120.0


def wait_until(true: Callable[[], Any], what: str, patience: float = PATIENCE) -> Any:
    """Wait for another process to come so far; fail with `what` after `patience` seconds."""
    until = time.monotonic() + patience
    while not (value := true()):
        if time.monotonic() > until:
            raise AssertionError(f"waited {patience:.0f} s in vain for: {what}")
        time.sleep(0.02)
    return value


@dataclass
class OwnShop:
    """A shop with a data folder and (by default) a SQLite database of its own, reached by processes alone."""

    folder: Path
    variables: dict[str, str] = field(default_factory=dict)

    @property
    def environment(self) -> dict[str, str]:
        without = {"DATABASE_URL", "REDIS_URL", "SHOP_TEST_SQLITE"}
        kept = {name: value for name, value in os.environ.items() if name not in without}
        return {**kept, "SHOP_DATA": str(self.folder), "SHOP_TESTING": "1", **self.variables}

    def start(self, *words: str, **more: str) -> subprocess.Popen[str]:
        """Start `python words…` in a process group of its own; its output goes to a file in the folder."""
        number = len(list(self.folder.glob("out-*.txt")))
        out = (self.folder / f"out-{number}.txt").open("w")
        return subprocess.Popen(
            [sys.executable, *words], cwd=ROOT, env={**self.environment, **more}, stdin=subprocess.DEVNULL,
            stdout=out, stderr=subprocess.STDOUT, text=True, start_new_session=True,
        )  # fmt: skip

    def run(self, *words: str, **more: str) -> str:
        """Run `python words…` to its end and give what it printed; a failure fails the test with its words."""
        answer = subprocess.run(
            [sys.executable, *words], cwd=ROOT, env={**self.environment, **more}, stdin=subprocess.DEVNULL,
            capture_output=True, text=True, check=False, timeout=PATIENCE * 2,
        )  # fmt: skip
        assert answer.returncode == 0, answer.stdout + answer.stderr
        return answer.stdout

    def told(self) -> str:
        """Give what every started process has printed so far, for the message of a failed test."""
        return "\n".join(path.read_text() for path in sorted(self.folder.glob("out-*.txt")))


def kill(process: subprocess.Popen[str]) -> None:
    """End a process and its children at once, as a power cut would."""
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(timeout=PATIENCE)


@contextmanager
def running(shop: OwnShop, *words: str, **more: str) -> Iterator[subprocess.Popen[str]]:
    """Run a process for the length of a block; whatever happens it is ended."""
    process = shop.start(*words, **more)
    try:
        yield process
    finally:
        kill(process)
