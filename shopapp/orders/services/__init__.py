"""What is done with work: types and terms set, orders received and changed, jobs given out, consents recorded."""

from shopapp.orders.services.changing import (
    Way,
    add_order_line,
    assign_job,
    change_order,
    record_work_consent,
    remove_order_line,
)
from shopapp.orders.services.changing_jobs import JobAsked, change_job, take_in_damper
from shopapp.orders.services.receiving import DamperIn, receive_order
from shopapp.orders.services.scrapping import scrap_job
from shopapp.orders.services.setting_up import (
    add_bay,
    add_work_type,
    change_bay,
    change_work_type,
    issue_terms,
)
from shopapp.orders.services.shelves import add_shelf, change_shelf, lay_part
from shopapp.orders.services.staying import keep_here, take_stay_back
from shopapp.orders.services.taking_in import (
    Agreed,
    DamperRow,
    MeterIn,
    NewCustomer,
    NewVehicle,
    take_in,
)
from shopapp.orders.services.voiding import void_job, void_order

__all__ = [
    "Agreed",
    "DamperIn",
    "DamperRow",
    "JobAsked",
    "MeterIn",
    "NewCustomer",
    "NewVehicle",
    "Way",
    "add_bay",
    "add_order_line",
    "add_shelf",
    "add_work_type",
    "assign_job",
    "change_bay",
    "change_job",
    "change_order",
    "change_shelf",
    "change_work_type",
    "issue_terms",
    "keep_here",
    "lay_part",
    "receive_order",
    "record_work_consent",
    "remove_order_line",
    "scrap_job",
    "take_in",
    "take_in_damper",
    "take_stay_back",
    "void_job",
    "void_order",
]
