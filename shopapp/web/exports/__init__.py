"""One order, or all that is held about one customer, as plain JSON whose schema is published under static/schemas/."""

from shopapp.web.exports.customer import customer_document
from shopapp.web.exports.order import order_document

__all__ = ["customer_document", "order_document"]
