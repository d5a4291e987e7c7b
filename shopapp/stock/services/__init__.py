"""What people do in the stores: items and kits kept, lots received, parts issued, given back, counted, blocked."""

from shopapp.stock.queries import IssueLine
from shopapp.stock.services.blocking import block_lot, unblock_lot
from shopapp.stock.services.items import KitLineIn, add_item, add_kit, change_item, change_kit
from shopapp.stock.services.moves import count_lot, give_back, issue, receive_lot
from shopapp.stock.services.unused import Back, give_back_unused

__all__ = [
    "Back",
    "IssueLine",
    "KitLineIn",
    "add_item",
    "add_kit",
    "block_lot",
    "change_item",
    "change_kit",
    "count_lot",
    "give_back",
    "give_back_unused",
    "issue",
    "receive_lot",
    "unblock_lot",
]
