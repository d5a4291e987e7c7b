"""What the stock subject registers: its two books."""

from shopapp.shop import books
from shopapp.stock.books import ITEMS, LOTS, item_differences, lot_differences

books.register(ITEMS, item_differences)
books.register(LOTS, lot_differences)
