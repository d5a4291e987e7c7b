"""Work types, terms, work orders with their jobs and lines, and the customer's yes or no."""

from shopapp.orders.models.about import OrderLine, Placing, Remark, Stay, WorkConsent
from shopapp.orders.models.kept import Bay, Shelf, Terms, WorkType
from shopapp.orders.models.order import HOW, Job, WorkOrder

__all__ = [
    "HOW", "Bay", "Job", "OrderLine", "Placing", "Remark", "Shelf", "Stay", "Terms", "WorkConsent", "WorkOrder",
    "WorkType",
]  # fmt: skip
