"""Outbox kinds for processes under test: they leave a line in a file.

A worker takes them with `-I tests.shop.echo_kind`.
"""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

from shopapp.shop import outbox_kinds


def _folder() -> Path:
    return Path(os.environ["SHOP_DATA"])


def echo(ids: dict[str, Any], at: dt.datetime) -> str:
    """Write the row's number down."""
    with (_folder() / "echo.txt").open("a") as file:
        file.write(f"{ids['n']}\n")
    return f"echo-{ids['n']}"


def stand_still(ids: dict[str, Any], at: dt.datetime) -> str:
    """Say that it has begun; end only where somebody lays the file `go`."""
    from tests.faults.processes import wait_until

    (_folder() / f"began-{ids['n']}").touch()
    wait_until((_folder() / "go").exists, "the file go")
    return echo(ids, at)


outbox_kinds.register("echo", echo, repeatable=True)
outbox_kinds.register("still", stand_still, repeatable=True)
outbox_kinds.register("still-mail", stand_still, repeatable=False)
