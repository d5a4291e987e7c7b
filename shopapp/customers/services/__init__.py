"""What is done with customers: added, changed, asked whether they may be written to; vehicles and their meters."""

from shopapp.customers.services.customers import (
    Exemption,
    NewConsent,
    NewContact,
    add_customer,
    change_customer,
    record_contact_consent,
)
from shopapp.customers.services.meters import MeterIn, read_meter, record_meter
from shopapp.customers.services.vehicles import add_vehicle, change_vehicle

__all__ = [
    "Exemption",
    "MeterIn",
    "NewConsent",
    "NewContact",
    "add_customer",
    "add_vehicle",
    "change_customer",
    "change_vehicle",
    "read_meter",
    "record_contact_consent",
    "record_meter",
]
