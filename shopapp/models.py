"""Gather the subjects' models for Django. Nothing else imports this module."""

from shopapp.bench.models import *  # noqa: F403
from shopapp.customers.models import *  # noqa: F403
from shopapp.dampers.models import *  # noqa: F403
from shopapp.due.models import *  # noqa: F403
from shopapp.money.models import *  # noqa: F403
from shopapp.orders.models import *  # noqa: F403
from shopapp.papers.models import *  # noqa: F403
from shopapp.people.models import *  # noqa: F403
from shopapp.shop.models import *  # noqa: F403
from shopapp.specs.models import *  # noqa: F403
from shopapp.stock.models import *  # noqa: F403
from shopapp.tools.models import *  # noqa: F403
