"""Load the invented shop into an empty database."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db import connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.customers.models import Customer
from shopapp.dampers.models import Damper
from shopapp.demo.crib import keep_apart
from shopapp.demo.history import STORIES, Books, load_customers, load_story
from shopapp.demo.master import ZONE, Master, load_master
from shopapp.demo.past import LONG_AGO, Past, past_of
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call, Refused
from shopapp.stock.models import Lot
from shopapp.stock.services import count_lot

SHORT = "BL-50"
"""What a count finds gone: one kit of few dampers cannot be made up."""
Say = Callable[[str], None]


def load(
    *,
    seed: int,
    today: date,
    scale: int = 0,
    papers_from: datetime | None = None,
    say: Say = lambda _words: None,
) -> dict[str, int]:
    """Write the demo shop as it stands on `today`; refuse a database that somebody works in.

    With a scale of nought there are the twelve customers and the orders that go by the services alone; with one,
    eighteen months of history of some sixty customers stand before them, with more as many times of them.
    All of it is one transaction: a start that is cut off leaves an empty database, not half a shop.
    """
    if Shop.objects.exists() or Person.objects.exists():
        raise Refused(_("This database is not empty. The demo shop goes into an empty one alone."))
    rng = random.Random(seed)
    zone = ZoneInfo(ZONE)
    began = datetime.combine(today - timedelta(days=540), datetime.min.time(), zone) + timedelta(hours=8)
    master = Master(today=today, began=began)
    with transaction.atomic():
        load_master(master)
        books = load_customers(master)
        if scale:
            past = past_of(master, books, seed=seed, scale=scale, papers_from=papers_from, say=say)
            with timezone.override(zone):
                _stories_and_past(master, books, past, rng, say)
                _count_short(master)
        else:
            for story in STORIES:
                load_story(master, books, story, rng)
        keep_apart()
        _count_rows()
    return {
        "customers": Customer.objects.count(),
        "dampers": Damper.objects.count(),
        "orders": WorkOrder.objects.count(),
        "people": len(master.people),
    }


def _count_rows() -> None:
    """Let PostgreSQL count what came in at once: planned for empty tables, reading the books takes minutes."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def _count_short(master: Master) -> None:
    """Let a count find one item short: the owner's page has what it is there for."""
    item = master.items[SHORT]
    at = datetime.combine(master.today, time(7, 40), ZoneInfo(ZONE)) - timedelta(days=1)
    for lot in Lot.objects.filter(item=item).order_by("pk"):
        count_lot(
            lot=lot, counted=0, reason=_("counted on the shelf"), by=master.owner, at=at,
            call=Call.once(f"demo:short:{lot.pk}"),
        )  # fmt: skip


def _stories_and_past(master: Master, books: Books, past: Past, rng: random.Random, say: Say) -> None:
    """Write the past up to each story of long ago, then the story, so that the orders' numbers run with the days."""
    for story in STORIES:
        if story.days_ago > LONG_AGO:
            past.write_until(master.today - timedelta(days=story.days_ago))
        elif past.visits:
            past.write_until(master.today)
            say("  the last four weeks")
        load_story(master, books, story, rng)
