"""Load the invented shop into an empty database."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils.translation import gettext as _

from shopapp.demo.history import STORIES, load_customers, load_story
from shopapp.demo.master import ZONE, Master, load_master
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Refused


def load(*, seed: int, today: date) -> dict[str, int]:
    """Write the demo shop as it stands on `today`; refuse a database that somebody works in.

    All of it is one transaction: a start that is cut off leaves an empty database, not half a shop.
    """
    if Shop.objects.exists() or Person.objects.exists():
        raise Refused(_("This database is not empty. The demo shop goes into an empty one alone."))
    rng = random.Random(seed)
    began = datetime.combine(today - timedelta(days=540), datetime.min.time(), ZoneInfo(ZONE)) + timedelta(
        hours=8
    )
    master = Master(today=today, began=began)
    with transaction.atomic():
        load_master(master)
        books = load_customers(master)
        for story in STORIES:
            load_story(master, books, story, rng)
    return {
        "customers": len(books.customers),
        "dampers": sum(len(found) for found in books.dampers.values()),
        "orders": len(STORIES),
        "people": len(master.people),
    }
