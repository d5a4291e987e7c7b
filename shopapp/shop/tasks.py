"""Celery tasks: fetch the moment, call one service."""

from celery import shared_task
from django.utils import timezone

from shopapp.shop.services import outbox


@shared_task(name="shop.sweep_outbox")
def sweep_outbox() -> None:
    outbox.sweep(at=timezone.now())
