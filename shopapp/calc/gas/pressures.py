"""The charge: gauge pressures over temperature, displaced volume, hose, height and time.

Gauge pressures are over ambient, absolute ones over vacuum. The gas law takes absolute
pressure and kelvin; the gauge figures are brought there and back with `ambient_pa`.
"""

import math
from typing import Literal

from ..figures import between, finite, not_negative, positive
from ..words import said, word
from .nitrogen import density, pressure_at, temperature

Gas = Literal["nitrogen", "ideal"]

STANDARD_AMBIENT_PA = 101325.0
REFERENCE_K = 293.15


def absolute(gauge_pa: float, ambient_pa: float, what: str = word("The gauge pressure")) -> float:
    """Return gauge plus ambient in Pa; refuse an ambient of nothing and a gauge at or under vacuum."""
    ambient = positive(ambient_pa, "The ambient pressure")
    total = finite(gauge_pa, what) + ambient
    if total <= 0:
        raise ValueError(
            said("{what} lies at or under a vacuum; check the figure and its unit.", what=said(what))
        )
    return total


def _check_gas(gas: str) -> None:
    if gas not in ("nitrogen", "ideal"):
        raise ValueError(said("The gas must be 'nitrogen' or 'ideal'."))


def gauge_at_temperature(
    gauge_pa: float,
    at_k: float,
    to_k: float,
    *,
    ambient_pa: float = STANDARD_AMBIENT_PA,
    gas: Gas = "nitrogen",
) -> float:
    """Return the gauge pressure in Pa of the same gas in the same volume at `to_k`.

    Nitrogen within 0.1 % of absolute pressure up to 290 psi gauge, −20 to 120 °C (0.104 % at 300
    psi). `ValueError` for absolute zero, a gauge under vacuum and figures past the gas model (`nitrogen`).
    Source: two-term virial equation; ``'ideal'`` is p/T constant.
    """
    _check_gas(gas)
    start = absolute(gauge_pa, ambient_pa)
    cold, hot = temperature(at_k), temperature(to_k)
    if gas == "ideal":
        return start * hot / cold - ambient_pa
    return pressure_at(density(start, cold), hot) - ambient_pa


def _volumes(volume_m3: float, displaced_m3: float) -> tuple[float, float]:
    volume = positive(volume_m3, "The gas volume")
    left = volume - finite(displaced_m3, "The displaced volume")
    if left <= volume * 1e-9:
        raise ValueError(said("More volume is taken up than there is gas volume; check the volumes."))
    return volume, left


def isothermal_gauge(
    gauge_pa: float,
    at_k: float,
    volume_m3: float,
    displaced_m3: float,
    *,
    ambient_pa: float = STANDARD_AMBIENT_PA,
    gas: Gas = "nitrogen",
) -> float:
    """Return the gauge pressure in Pa once `displaced_m3` is taken up slowly; negative is given back.

    Nitrogen within 0.3 % of absolute pressure up to 300 psi gauge and compressed by at most 35 %
    (0.4 % by 40 %). `ValueError` where no gas volume is left, and as in `gauge_at_temperature`.
    Source: virial equation; ideal p·V constant.
    """
    _check_gas(gas)
    start = absolute(gauge_pa, ambient_pa)
    kelvin = temperature(at_k)
    volume, left = _volumes(volume_m3, displaced_m3)
    if gas == "ideal":
        return start * volume / left - ambient_pa
    return pressure_at(density(start, kelvin) * volume / left, kelvin) - ambient_pa


def polytropic_gauge(
    gauge_pa: float,
    volume_m3: float,
    displaced_m3: float,
    exponent: float,
    *,
    ambient_pa: float = STANDARD_AMBIENT_PA,
) -> float:
    """Return the gauge pressure in Pa once `displaced_m3` is taken up quickly, as an ideal gas.

    `exponent` is 1 for slow, 1.4 for a stroke without any heat lost; 1 to 1.7 are taken.
    `ValueError` where no gas volume is left. Source: p·Vⁿ constant.
    """
    start = absolute(gauge_pa, ambient_pa)
    power = between(exponent, 1.0, 1.7, "The polytropic exponent")
    volume, left = _volumes(volume_m3, displaced_m3)
    return start * math.pow(volume / left, power) - ambient_pa


def gauge_before_hose(
    reading_pa: float, chamber_m3: float, hose_m3: float, *, ambient_pa: float = STANDARD_AMBIENT_PA
) -> float:
    """Return the gauge pressure in Pa that a chamber held before a gauge and its hose were joined to it.

    `hose_m3` is the volume inside gauge and hose, at ambient pressure before. Ideal gas at one
    temperature: the amounts of gas add up. `ValueError` for a chamber of nothing.
    """
    absolute(reading_pa, ambient_pa, "The reading")
    chamber = positive(chamber_m3, "The chamber's volume")
    hose = not_negative(hose_m3, "The volume of gauge and hose")
    # The ambient pressure that was in the hose already cancels out of the gauge figures.
    return reading_pa * (chamber + hose) / chamber


def cylinder_volume(bore_m: float, length_m: float, *, rod_m: float = 0.0) -> float:
    """Return a cylinder's volume in m³, ring-shaped where a rod of `rod_m` diameter fills the middle.

    `ValueError` for a bore of nothing, a negative length and a rod that fills the bore.
    """
    bore = positive(bore_m, "The bore")
    length = not_negative(length_m, "The length")
    rod = not_negative(rod_m, "The rod diameter")
    if rod >= bore:
        raise ValueError(said("The rod must be thinner than the bore."))
    return math.pi / 4 * (bore**2 - rod**2) * length


def ambient_at(height_m: float) -> float:
    """Return the standard ambient pressure in Pa at a geometric height, −500 to 5000 m.

    A standard day: the weather moves it by some 3 %. `ValueError` outside the range. Source:
    US Standard Atmosphere 1976, lowest layer.
    """
    height = between(height_m, -500, 5000, "The height above the sea in metres")
    geopotential = 6356766.0 * height / (6356766.0 + height)
    exponent = 9.80665 * 0.0289644 / (8.31432 * 0.0065)
    return STANDARD_AMBIENT_PA * math.pow(1 - 0.0065 * geopotential / 288.15, exponent)


def leak_rate(
    charged_gauge_pa: float,
    charged_k: float,
    found_gauge_pa: float,
    found_k: float,
    days: float,
    *,
    reference_k: float = REFERENCE_K,
    ambient_pa: float = STANDARD_AMBIENT_PA,
) -> float:
    """Return the pressure lost in Pa a day, both readings taken to `reference_k`; positive is a loss.

    Nitrogen. `ValueError` for days of nothing or less, and as in `gauge_at_temperature`.
    """
    span = positive(days, "The number of days")
    charged = gauge_at_temperature(charged_gauge_pa, charged_k, reference_k, ambient_pa=ambient_pa)
    found = gauge_at_temperature(found_gauge_pa, found_k, reference_k, ambient_pa=ambient_pa)
    return (charged - found) / span
