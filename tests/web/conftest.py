"""The desk's pages stand on the same shop as the tests of orders; and a new order as a browser sends it."""

import datetime as dt

import pytest
from django.utils import timezone

from shopapp.dampers.models import DamperModel
from shopapp.orders.models import WorkType
from shopapp.shop.forms import new_key
from tests.orders.conftest import model, new_damper, rebuild, receive, std, wyn

__all__ = ["model", "new_damper", "rebuild", "receive", "std", "wyn"]


@pytest.fixture
def sheet(rebuild: WorkType, model: DamperModel) -> dict[str, str]:
    """Give a sheet as a browser sends it: a new customer, a new vehicle, one new damper."""
    day = timezone.localdate() + dt.timedelta(days=3)
    blank = {
        f"r{n}_{name}": ""
        for n in range(1, 7)
        for name in ("place", "tag", "model", "work", "condition", "shelf")
    }
    return blank | {
        "act_key": new_key(), "customer_text": "", "new_name": "Cobble Hollow Racing", "new_kind": "firm",
        "new_phone": "555-0133", "new_email": "pit@example.com", "comes_by": "counter", "leaves_by": "parcel",
        "leaves_carrier": "Gull Parcels 12", "vehicle": "", "vehicle_description": "long-travel buggy",
        "vehicle_plate": "7K 204", "meter": "5980 mi", "meter_kind": "reading", "complaint": "Tops out.",
        "r1_place": "front left", "r1_tag": "KM25-118834", "r1_model": str(model.pk), "r1_work": str(rebuild.pk),
        "r1_condition": "oil at the wiper", "r1_shelf": "rack 2, A", "limit_gross": "1,900.00",
        "promised_day": day.isoformat(), "promised_hour": "16:30",
    }  # fmt: skip
