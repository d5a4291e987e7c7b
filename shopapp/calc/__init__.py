"""The calculations: plain Python, SI inside, no Django, no database, no clock.

Every figure of physics, use, stock or money that the program shows and that was not simply
typed in is computed here. Impossible input raises ``ValueError`` with a sentence that a
technician understands.
"""
