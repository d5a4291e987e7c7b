"""A script: plan one outbox row and commit it. Words: kind number. Or: `sweep SECONDS`, to sweep so much later."""

import datetime as dt
import sys

import django

django.setup()

from django.db import transaction  # noqa: E402
from django.utils import timezone  # noqa: E402

from shopapp.shop.services import outbox  # noqa: E402
from tests.shop import echo_kind  # noqa: E402, F401

if sys.argv[1] == "sweep":
    print(outbox.sweep(at=timezone.now() + dt.timedelta(seconds=int(sys.argv[2]))))
else:
    kind, number = sys.argv[1], int(sys.argv[2])
    with transaction.atomic():
        outbox.plan(kind=kind, key=f"{kind}:{number}", ids={"n": number}, at=timezone.now())
