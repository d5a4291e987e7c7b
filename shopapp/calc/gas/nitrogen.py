"""Nitrogen as a real gas: the virial equation cut after its second term.

p = R·T/v · (1 + B(T)/v), B by Tsonopoulos's correlation. Against the reference equation of
state it keeps within 0.1 % of absolute pressure at constant volume (0.104 % at worst: 300 psi,
from −20 to 120 °C) and 0.3 % in compression by up to 35 % of the volume (0.4 % by 40 %), for
charges up to 300 psi gauge from −20 to 120 °C; near 1000 psi it is 1 to 2 % off.
"""

import math

from ..figures import finite, positive
from ..words import said, word

GAS_CONSTANT = 8.31446261815324
"""J/(mol·K), exact (SI, 2019)."""

_CRITICAL_K = 126.192
_CRITICAL_PA = 3.3958e6
_ACENTRIC = 0.0372

COLDEST_K = 150.0
HOTTEST_K = 600.0
HIGHEST_PA = 2e7
_DENSEST = 20_000.0
"""mol/m³; past it two terms say nothing any more."""


def temperature(k: float, what: str = word("The temperature")) -> float:
    """Return a temperature in kelvin; refuse absolute zero and what the gas model does not reach."""
    kelvin = finite(k, what)
    if kelvin <= 0:
        raise ValueError(said("{what} must be above absolute zero (−273.15 °C).", what=said(what)))
    if not COLDEST_K <= kelvin <= HOTTEST_K:
        raise ValueError(
            said("{what} must lie between −123 and 327 °C; check the figure and its unit.", what=said(what))
        )
    return kelvin


def second_virial(k: float) -> float:
    """Return B(T) of nitrogen in m³/mol. Source: Tsonopoulos (1974), simple and acentric terms."""
    t = temperature(k) / _CRITICAL_K
    simple = 0.1445 - 0.330 / t - 0.1385 / t**2 - 0.0121 / t**3 - 0.000607 / t**8
    acentric = 0.0637 + 0.331 / t**2 - 0.423 / t**3 - 0.008 / t**8
    return GAS_CONSTANT * _CRITICAL_K / _CRITICAL_PA * (simple + _ACENTRIC * acentric)


def compressibility(absolute_pa: float, k: float) -> float:
    """Return Z of nitrogen at an absolute pressure (up to 20 MPa) and a temperature in kelvin.

    Within 0.3 % up to 300 psi gauge, −20 to 120 °C. `ValueError` for a pressure that is not
    above a vacuum or too high, and for absolute zero.
    """
    pressure = positive(absolute_pa, "The absolute pressure")
    if pressure > HIGHEST_PA:
        raise ValueError(
            said("The pressure is too high for the gas model (200 bar); check the figure and its unit.")
        )
    reduced = 4 * second_virial(k) * pressure / (GAS_CONSTANT * k)
    if reduced <= -1:
        raise ValueError(
            said("The gas is too cold and too dense for the gas model; check pressure and temperature.")
        )
    return (1 + math.sqrt(1 + reduced)) / 2


def density(absolute_pa: float, k: float) -> float:
    """Return the molar density of nitrogen in mol/m³; errors as in `compressibility`."""
    return absolute_pa / (compressibility(absolute_pa, k) * GAS_CONSTANT * k)


def pressure_at(mol_per_m3: float, k: float) -> float:
    """Return the absolute pressure in Pa of nitrogen at a molar density.

    `ValueError` past 20 000 mol/m³, and where the cut series would fall as the gas is pressed.
    """
    virial = second_virial(k)
    if mol_per_m3 > _DENSEST or 1 + 2 * virial * mol_per_m3 <= 0:
        raise ValueError(
            said("The gas would be pressed together further than can be worked out; check the volumes.")
        )
    return mol_per_m3 * GAS_CONSTANT * k * (1 + virial * mol_per_m3)
