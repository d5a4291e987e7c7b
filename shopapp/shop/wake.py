"""Wake a Celery task by its name, where a broker is set. The rows in the database stay the truth."""

import logging

from django.conf import settings

logger = logging.getLogger(__name__)


def wake(task: str) -> None:
    """Send `task` to the broker; a broker that does not answer is noted and changes nothing."""
    if not settings.REDIS_URL:
        return
    from shopapp.celery import app

    try:
        app.send_task(task, retry=False, ignore_result=True)
    except Exception as problem:
        logger.warning("broker not reached: %s", type(problem).__name__)
