"""Springs on a damper: rate, two springs stacked, preload, wheel rate, sag, coil bind.

Linear springs and a constant motion ratio. Motion ratio is spring travel over wheel travel
everywhere; some people quote it the other way round: ask.
"""

import math
from dataclasses import dataclass

from .figures import finite, not_negative, positive
from .words import said


def helical_rate(
    wire_m: float, mean_diameter_m: float, active_coils: float, shear_modulus_pa: float
) -> float:
    """Return a helical spring's rate in N/m: G·d⁴ / (8·D³·n).

    `mean_diameter_m` is outside diameter less wire. `ValueError` for anything not above zero
    and for a wire as thick as the coil. Source: Shigley ch. 10, EN 13906-1.
    """
    wire = positive(wire_m, "The wire diameter")
    mean = positive(mean_diameter_m, "The mean coil diameter")
    coils = positive(active_coils, "The number of active coils")
    modulus = positive(shear_modulus_pa, "The shear modulus")
    if wire >= mean:
        raise ValueError(
            said("The wire is as thick as the coil: the mean coil diameter is outside diameter less wire.")
        )
    return modulus * wire**4 / (8 * mean**3 * coils)


def series_rate(*rates_n_per_m: float) -> float:
    """Return the rate in N/m of springs stacked end to end: 1 / Σ(1/k); at least one is needed."""
    if not rates_n_per_m:
        raise ValueError(said("At least one spring rate is needed."))
    return 1 / math.fsum(1 / positive(rate, "A spring rate") for rate in rates_n_per_m)


@dataclass(frozen=True, slots=True)
class Tandem:
    """A tender on a main spring, in series until the tender has gone its travel.

    `rate_n_per_m` is that of both, `main_n_per_m` that of the main spring, alone past
    `crossover_force_n` and `crossover_m` (deflection of both together). It does not know
    where the main spring binds: see `travel_left`.
    """

    rate_n_per_m: float
    main_n_per_m: float
    crossover_force_n: float
    crossover_m: float

    def force_at(self, deflection_m: float) -> float:
        """Return the force in N at a deflection of both together; `ValueError` below zero."""
        deflection = not_negative(deflection_m, "The deflection")
        if deflection <= self.crossover_m:
            return deflection * self.rate_n_per_m
        return self.crossover_force_n + (deflection - self.crossover_m) * self.main_n_per_m

    def deflection_at(self, force_n: float) -> float:
        """Return the deflection in m of both together under a force; `ValueError` below zero."""
        force = not_negative(force_n, "The force")
        if force <= self.crossover_force_n:
            return force / self.rate_n_per_m
        return self.crossover_m + (force - self.crossover_force_n) / self.main_n_per_m


def tandem(tender_n_per_m: float, main_n_per_m: float, tender_travel_m: float) -> Tandem:
    """Return the pair of a tender and a main spring.

    `tender_travel_m` is what the tender may go before it binds or its stop ring lands.
    `ValueError` for anything not above zero. Source: springs in series carry one force.
    """
    tender = positive(tender_n_per_m, "The tender spring's rate")
    main = positive(main_n_per_m, "The main spring's rate")
    travel = positive(tender_travel_m, "The tender spring's travel")
    force = tender * travel
    return Tandem(
        rate_n_per_m=series_rate(tender, main),
        main_n_per_m=main,
        crossover_force_n=force,
        crossover_m=travel + force / main,
    )


def collar_turns(from_m: float, to_m: float, pitch_m: float) -> float:
    """Return the signed turns of the preload adjuster for a change of its reading.

    Positive where the reading grows. Whether that is more preload follows from the faces the
    reading is taken between, and is not known here. `ValueError` for a reading below zero and
    a pitch not above it.
    """
    start = not_negative(from_m, "The adjuster's reading")
    end = not_negative(to_m, "The adjuster's wanted reading")
    return (end - start) / positive(pitch_m, "The pitch of the thread")


def preload_force(rate_n_per_m: float, preload_m: float) -> float:
    """Return the spring's force in N at full extension: rate · preload.

    Preload is free length less fitted length, never a position on the threads. With a tender
    give the series rate while it is open. `ValueError` for a negative preload: a loose spring.
    """
    return positive(rate_n_per_m, "The spring rate") * not_negative(preload_m, "The preload")


def wheel_rate(rate_n_per_m: float, motion_ratio: float) -> float:
    """Return the rate at the wheel in N/m: k · (spring travel / wheel travel)², by virtual work."""
    return positive(rate_n_per_m, "The spring rate") * positive(motion_ratio, "The motion ratio") ** 2


@dataclass(frozen=True, slots=True)
class Sag:
    """Where one corner settles: damper travel used (0 when topped out), the same at the wheel, its share.

    `fraction` is of the wheel travel; over 1 means that the spring alone does not carry the load.
    """

    damper_travel_m: float
    wheel_m: float
    fraction: float


def sag(
    wheel_load_n: float,
    motion_ratio: float,
    rate_n_per_m: float,
    preload_m: float,
    gas_force_n: float,
    wheel_travel_m: float,
) -> Sag:
    """Return the static sag of one corner on one spring.

    The spring carries the wheel load over the motion ratio, less the gas force on the rod
    (taken constant). With a tender this is the main spring alone. `ValueError` for a figure
    below zero, and for a rate, ratio or travel of nothing. Source: statics.
    """
    load = not_negative(wheel_load_n, "The wheel load")
    ratio = positive(motion_ratio, "The motion ratio")
    rate = positive(rate_n_per_m, "The spring rate")
    preload = not_negative(preload_m, "The preload")
    gas = not_negative(gas_force_n, "The gas force")
    wheel_travel = positive(wheel_travel_m, "The wheel travel")
    damper_travel = max(0.0, (load / ratio - gas) / rate - preload)
    wheel = damper_travel / ratio
    return Sag(damper_travel_m=damper_travel, wheel_m=wheel, fraction=wheel / wheel_travel)


def travel_left(free_length_m: float, solid_height_m: float, preload_m: float, stroke_m: float) -> float:
    """Return the travel in m left before coil bind at full bump of one spring; negative when it binds.

    `ValueError` for a figure below zero and for a solid height not under the free length.
    """
    free = positive(free_length_m, "The free length")
    solid = positive(solid_height_m, "The solid height")
    if solid >= free:
        raise ValueError(said("The solid height must be less than the free length."))
    left = free - solid - not_negative(preload_m, "The preload") - not_negative(stroke_m, "The stroke")
    return finite(left, "The travel left")
