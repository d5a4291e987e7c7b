"""The gas charge: nitrogen over temperature and volume, and the internal floating piston.

Gauge pressures are over ambient, absolute ones over vacuum, temperatures in kelvin. All errors
are `ValueError` with a sentence. The maker's sheet overrides whatever is worked out here.
"""

from .ifp import Geometry, IfpCheck, ifp_check
from .nitrogen import compressibility
from .pressures import (
    ambient_at,
    cylinder_volume,
    gauge_at_temperature,
    gauge_before_hose,
    isothermal_gauge,
    leak_rate,
    polytropic_gauge,
)

__all__ = [
    "Geometry",
    "IfpCheck",
    "ambient_at",
    "compressibility",
    "cylinder_volume",
    "gauge_at_temperature",
    "gauge_before_hose",
    "ifp_check",
    "isothermal_gauge",
    "leak_rate",
    "polytropic_gauge",
]
