"""The framework's own generated admin over the shop's models, in a project of its own.

It is never part of the program. `__main__` serves it from a SQLite file under SHOP_DATA, which the test throws away.
"""
