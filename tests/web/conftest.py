"""The desk's pages stand on the same shop as the tests of orders."""

from tests.orders.conftest import model, new_damper, rebuild, receive, std, wyn

__all__ = ["model", "new_damper", "rebuild", "receive", "std", "wyn"]
