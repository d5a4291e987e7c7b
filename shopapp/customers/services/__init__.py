"""What is done with customers: added, changed, made one, asked whether they may be written to; vehicles, meters."""

from shopapp.customers.services.customers import (
    Exemption,
    NewConsent,
    NewContact,
    add_customer,
    change_customer,
    hold_customer,
    hold_unerased,
    record_contact_consent,
)
from shopapp.customers.services.erasing import erase_customer
from shopapp.customers.services.merging import merge_customers, part_customers
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
    "erase_customer",
    "hold_customer",
    "hold_unerased",
    "merge_customers",
    "part_customers",
    "read_meter",
    "record_contact_consent",
    "record_meter",
]
