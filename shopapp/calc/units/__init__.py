"""Units: reading what people type, converting exactly, printing what was computed.

SI inside (m, Pa, N·m, m, s, m³, K, N/m, kg, N, mm²/s, degree, 1); units come and go here, at
the edge. Everything raises `UnitError`, a `ValueError`, with a sentence for the user.
"""

from .conversion import Number, browser_spellings, browser_tables, convert, convert_difference
from .errors import UnitError
from .kinds import SI_UNIT, UNITS_BY_KIND
from .printing import as_fraction, fmt, label_after
from .reading import LONGEST_TEXT, Measurement, parse

__all__ = [
    "LONGEST_TEXT",
    "SI_UNIT",
    "UNITS_BY_KIND",
    "Measurement",
    "Number",
    "UnitError",
    "as_fraction",
    "browser_spellings",
    "browser_tables",
    "convert",
    "convert_difference",
    "fmt",
    "label_after",
    "parse",
]
