"""Background work of the papers: thin, one call."""

from celery import shared_task
from django.utils import timezone

from shopapp.papers import orphans


@shared_task(name="papers.sweep_files")  # type: ignore[untyped-decorator]
def sweep_files() -> int:
    """Take away the files that no row names."""
    return orphans.sweep(at=timezone.now())
