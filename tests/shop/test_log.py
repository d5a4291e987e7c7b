"""The log: one line of JSON for each event, with the whole way to a fault."""

from __future__ import annotations

import json
import logging
import logging.config
import sys
from typing import Any

import pytest
import structlog
from django.conf import settings


@pytest.fixture
def formatter() -> logging.Formatter:
    return logging.config.DictConfigurator(settings.LOGGING).configure_formatter(  # type: ignore[no-any-return]
        dict(settings.LOGGING["formatters"]["json"])
    )


def fault_of(logger: logging.Logger) -> logging.LogRecord:
    """Give the record of a fault, as Django's handler of requests logs it."""
    try:
        raise LookupError("no such shelf")
    except LookupError:
        return logger.makeRecord(
            logger.name, logging.ERROR, __file__, 1, "Broken: %s", ("/x",), sys.exc_info()
        )


def test_a_fault_is_logged_with_the_lines_it_came_by(formatter: logging.Formatter) -> None:
    """Seen to fail while the line said `<traceback object at …>` in its place."""
    line = formatter.format(fault_of(logging.getLogger("django.request")))
    said: dict[str, Any] = json.loads(line)
    assert "\n" not in line
    assert (said["event"], said["level"], said["logger"]) == ("Broken: /x", "error", "django.request")
    assert "LookupError: no such shelf" in said["exception"] and "fault_of" in said["exception"]


def test_our_own_events_are_lines_of_the_same_kind(
    formatter: logging.Formatter, caplog: pytest.LogCaptureFixture
) -> None:
    structlog.get_logger("shopapp.test").warning("swept", rows=3)
    said = json.loads(formatter.format(caplog.records[-1]))
    assert (said["event"], said["rows"], said["level"]) == ("swept", 3, "warning")
