"""Celery only wakes the outbox; the rows in the database are the truth (see shop/services/outbox.py)."""

import os

from celery import Celery

from shopapp.apps import SUBJECTS

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
app = Celery("shopapp")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(lambda: [f"shopapp.{subject}" for subject in SUBJECTS])
