"""The internal floating piston: gas length, what the rod takes of it, cap, clearance and floor."""

import math
from dataclasses import dataclass
from typing import Literal

from ..figures import between, not_negative, positive
from ..words import said
from .nitrogen import temperature
from .pressures import (
    STANDARD_AMBIENT_PA,
    absolute,
    gauge_at_temperature,
    isothermal_gauge,
    polytropic_gauge,
)

DepthTo = Literal["gas_face", "oil_face"]

COLDEST_SERVICE_K = 253.15
_HAIR_M = 1e-9
"""A gap below this is contact, and a want met to within it is met: the noise of floats, no play."""


@dataclass(frozen=True, slots=True)
class Geometry:
    """A reservoir with its floating piston, measured with the rod out.

    `ifp_depth_m` runs from the reservoir's edge to the face named by `depth_to`; to the oil
    face the piston's thickness comes off as well. `cap_depth_m` is how far the cap reaches
    below that edge, `reservoir_length_m` how far the floor is. `oil_m3` is all the oil, at the
    temperature of charging; `recess_m3` hollows in piston or cap that gas fills; `clearance_m`
    the gap wanted at full bump. `ValueError` for what cannot be put together.
    """

    reservoir_bore_m: float
    ifp_depth_m: float
    depth_to: DepthTo
    ifp_thickness_m: float
    cap_depth_m: float
    reservoir_length_m: float
    rod_m: float
    stroke_m: float
    oil_m3: float
    oil_expansion_per_k: float
    recess_m3: float = 0.0
    clearance_m: float = 0.0

    def __post_init__(self) -> None:
        if self.depth_to not in ("gas_face", "oil_face"):
            raise ValueError(
                said("Say to which face of the IFP the depth is measured: gas face or oil face.")
            )
        self._check_figures()
        if self.gas_length_m <= _HAIR_M:
            raise ValueError(
                said("At this depth the IFP would stand in the cap with the rod out; check depth and face.")
            )
        if self.oil_face_m > self.reservoir_length_m + _HAIR_M:
            raise ValueError(said("At this depth the IFP would stand in the floor; check depth and face."))

    def _check_figures(self) -> None:
        positive(self.reservoir_bore_m, "The IFP's bore")
        positive(self.ifp_depth_m, "The IFP depth")
        positive(self.ifp_thickness_m, "The IFP's thickness")
        not_negative(self.cap_depth_m, "The cap's reach below the edge")
        positive(self.reservoir_length_m, "The length from edge to floor")
        positive(self.rod_m, "The rod diameter")
        positive(self.stroke_m, "The stroke")
        not_negative(self.oil_m3, "The oil volume")
        between(self.oil_expansion_per_k, 0, 0.01, "The oil's expansion per kelvin")
        not_negative(self.recess_m3, "The volume of recesses")
        not_negative(self.clearance_m, "The clearance wanted")

    @property
    def gas_face_m(self) -> float:
        """Depth of the IFP's gas face below the edge."""
        return self.ifp_depth_m - (self.ifp_thickness_m if self.depth_to == "oil_face" else 0.0)

    @property
    def oil_face_m(self) -> float:
        """Depth of the IFP's oil face below the edge."""
        return self.gas_face_m + self.ifp_thickness_m

    @property
    def gas_length_m(self) -> float:
        """Length of the gas column with the rod out, from cap to gas face."""
        return self.gas_face_m - self.cap_depth_m

    @property
    def bore_area_m2(self) -> float:
        """Area of the IFP."""
        return math.pi / 4 * self.reservoir_bore_m**2

    @property
    def rod_area_m2(self) -> float:
        """Cross-section of the rod."""
        return math.pi / 4 * self.rod_m**2

    @property
    def rod_volume_m3(self) -> float:
        """What the rod takes up over the full stroke."""
        return self.rod_area_m2 * self.stroke_m

    @property
    def gas_volume_m3(self) -> float:
        """Gas volume with the rod out, recesses included."""
        return self.bore_area_m2 * self.gas_length_m + self.recess_m3

    def oil_growth_m3(self, from_k: float, to_k: float) -> float:
        """Return what the oil grows by, negative where it shrinks."""
        return self.oil_m3 * self.oil_expansion_per_k * (to_k - from_k)


@dataclass(frozen=True, slots=True)
class IfpCheck:
    """What a charge and a depth lead to.

    Lengths are of the gas column; `…_bump` is rod in, `…_hot_bump` is hot and rod in.
    `compression_ratio` is at full bump and one temperature. Where no length is left the ratio
    and the pressures of that state are `None`. `meets_cap` and `meets_floor` true is trouble,
    `clearance_ok` false as well. `rod_force_n` is with the rod out.
    """

    gas_length_m: float
    gas_volume_m3: float
    ifp_travel_m: float
    gas_length_bump_m: float
    compression_ratio: float | None
    gauge_bump_pa: float | None
    gas_length_hot_bump_m: float
    gauge_hot_bump_pa: float | None
    rod_force_n: float
    meets_cap: bool
    clearance_ok: bool
    meets_floor: bool


def ifp_check(
    geometry: Geometry,
    charge_gauge_pa: float,
    charge_k: float,
    hot_k: float,
    *,
    exponent: float = 1.4,
    ambient_pa: float = STANDARD_AMBIENT_PA,
) -> IfpCheck:
    """Check an IFP depth and a charge at full bump, hot at full bump, and cold with the rod out.

    Hot: the gas warms in its volume, the oil's growth takes gas volume slowly, then the rod
    goes in quickly. Cold: the oil shrinks to 253.15 K and the IFP follows it towards the
    floor. Metal does not grow, oil does not yield. `ValueError` for a gauge below zero, for
    `hot_k` below `charge_k`, and as in `gauge_at_temperature`. Source: geometry; virial
    equation and p·Vⁿ.
    """
    _check_charge(charge_gauge_pa, charge_k, hot_k, exponent, ambient_pa)
    travel = geometry.rod_volume_m3 / geometry.bore_area_m2
    growth = geometry.oil_growth_m3(charge_k, hot_k)
    bump = geometry.gas_length_m - travel
    hot_bump = bump - growth / geometry.bore_area_m2
    ratio = gauge_bump = gauge_hot_bump = None
    if bump > _HAIR_M:
        ratio = geometry.gas_volume_m3 / (geometry.gas_volume_m3 - geometry.rod_volume_m3)
        gauge_bump = _rod_in(geometry, charge_gauge_pa, 0.0, exponent, ambient_pa)
    if hot_bump > _HAIR_M:
        warm = gauge_at_temperature(charge_gauge_pa, charge_k, hot_k, ambient_pa=ambient_pa)
        grown = isothermal_gauge(warm, hot_k, geometry.gas_volume_m3, growth, ambient_pa=ambient_pa)
        gauge_hot_bump = _rod_in(geometry, grown, growth, exponent, ambient_pa)
    return IfpCheck(
        gas_length_m=geometry.gas_length_m,
        gas_volume_m3=geometry.gas_volume_m3,
        ifp_travel_m=travel,
        gas_length_bump_m=bump,
        compression_ratio=ratio,
        gauge_bump_pa=gauge_bump,
        gas_length_hot_bump_m=hot_bump,
        gauge_hot_bump_pa=gauge_hot_bump,
        rod_force_n=charge_gauge_pa * geometry.rod_area_m2,
        meets_cap=min(bump, hot_bump) <= _HAIR_M,
        clearance_ok=min(bump, hot_bump) >= geometry.clearance_m - _HAIR_M,
        meets_floor=_meets_floor(geometry, charge_k),
    )


def _check_charge(
    charge_gauge_pa: float, charge_k: float, hot_k: float, exponent: float, ambient_pa: float
) -> None:
    absolute(not_negative(charge_gauge_pa, "The charge"), ambient_pa)
    between(exponent, 1.0, 1.7, "The polytropic exponent")
    if temperature(hot_k, "The hot temperature") < temperature(charge_k, "The temperature of charging"):
        raise ValueError(said("The hot temperature must not be below the one of charging."))


def _rod_in(
    geometry: Geometry, gauge_pa: float, grown_m3: float, exponent: float, ambient_pa: float
) -> float:
    volume = geometry.gas_volume_m3 - grown_m3
    return polytropic_gauge(gauge_pa, volume, geometry.rod_volume_m3, exponent, ambient_pa=ambient_pa)


def _meets_floor(geometry: Geometry, charge_k: float) -> bool:
    shrinkage = max(0.0, -geometry.oil_growth_m3(charge_k, COLDEST_SERVICE_K))
    return geometry.oil_face_m + shrinkage / geometry.bore_area_m2 >= geometry.reservoir_length_m - _HAIR_M
