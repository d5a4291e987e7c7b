"""Give the next number of a series, without gaps for what is committed and never twice."""

from django.db import IntegrityError, transaction
from django.db.models import F

from shopapp.shop.models import Counter


def next_number(series: str, *, start: int = 1) -> int:
    """Give the next number of `series`, from `start` on; call it inside the transaction that uses the number.

    The conditional UPDATE takes the row's lock, so two transactions cannot get one number; a rolled back one gives
    its number back.
    """
    if not Counter.objects.filter(series=series).update(last=F("last") + 1):
        try:
            with transaction.atomic():
                Counter.objects.create(series=series, last=start)
                return start
        except IntegrityError:
            Counter.objects.filter(series=series).update(last=F("last") + 1)
    return Counter.objects.values_list("last", flat=True).get(series=series)
