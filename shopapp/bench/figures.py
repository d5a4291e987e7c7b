"""The three figures that the bench computes: the charge to set today, the IFP check, turns of the preload adjuster.

They come from `shopapp.calc` with the figures of the job's sheet. Where one is missing they say so in words and give
nothing else: no figure is invented. The maker's sheet overrides whatever is worked out here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from shopapp.bench.limits import SHEET_K, Limits
from shopapp.calc import gas, springs, units
from shopapp.shop.models import Shop
from shopapp.specs import figures as names
from shopapp.specs import queries as specs
from shopapp.specs.models import ServiceSpec


@dataclass(frozen=True, slots=True)
class Computed:
    """One computed figure in words; `lines` are what it was worked out to, `trouble` what must not be built."""

    words: str
    si: float | None = None
    unit: str = ""
    text: str = ""
    lines: tuple[str, ...] = ()
    trouble: bool = False


def ambient(shop: Shop | None) -> float:
    """Give the standard ambient pressure in Pa at the shop's altitude; at the sea where none is set."""
    altitude = shop.altitude if shop is not None else None
    return gas.ambient_at(altitude.si if altitude is not None else 0.0)


@dataclass(frozen=True, slots=True)
class Units:
    """Print figures in the shop's own units."""

    shop: Shop | None
    default: dict[str, str] = field(default_factory=dict)

    def show(self, si: float, name: str, *, unit: str = "", places: int | None = None) -> str:
        """Print a figure of the registry, in `unit` or in the one the shop offers first."""
        given = self.shop.default_units if self.shop is not None else {}
        comma = bool(self.shop and self.shop.decimal_comma)
        kind = names.NAMES[name].kind
        return units.fmt(si, unit or names.unit_for(name, given), kind, places=places, decimal_comma=comma)

    def force(self, si: float) -> str:
        """Print a force."""
        given = self.shop.default_units if self.shop is not None else {}
        return units.fmt(si, given.get("force") or "N", "force")


def charge(limits: Limits | None, body_k: float | None, shop: Shop | None) -> Computed:
    """Give the gauge reading to set on a body at `body_k`, so that it is the sheet's charge at 20 °C."""
    aim = limits.aim if limits is not None else None
    if limits is None or aim is None:
        return Computed(_("The sheet gives no charge."))
    show = Units(shop)
    unit = limits.unit or "psi"
    at_20 = show.show(aim, "charge", unit=unit)
    if body_k is None:
        return Computed(_("%s at 20 °C. Read the body's temperature first.") % at_20)
    try:
        si = gas.gauge_at_temperature(aim, SHEET_K, body_k, ambient_pa=ambient(shop))
    except ValueError as problem:
        return Computed(str(problem))
    text = show.show(si, "charge", unit=unit)
    body = show.show(body_k, "body temperature", places=0)
    words = _("Set %(set)s on a body at %(body)s: %(sheet)s at 20 °C.")
    return Computed(words % {"set": text, "body": body, "sheet": at_20}, si=si, unit=unit, text=text)


def ifp(spec: ServiceSpec | None, depth_m: float | None, shop: Shop | None) -> Computed:
    """Check the IFP at `depth_m` (else at the sheet's own depth): gas length, bump, hot bump, cold; cap and floor."""
    if spec is None:
        return Computed(_("No sheet: the IFP cannot be checked."))
    found = _gas_figures(spec)
    try:
        geometry = specs.geometry(spec, depth_m)
        if geometry is None or found is None:
            return Computed(_("The sheet lacks figures, so the IFP cannot be checked: %s.") % _lacking(spec))
        check = gas.ifp_check(geometry, found[0], SHEET_K, found[1], ambient_pa=ambient(shop))
    except ValueError as problem:
        return Computed(str(problem), trouble=True)
    trouble = check.meets_cap or check.meets_floor or not check.clearance_ok
    lines = _ifp_lines(check, Units(shop))
    if _aim(spec, "hot temperature") is None:
        lines = (_("The sheet gives no hottest temperature of the oil: hot means 20 °C here."), *lines)
    return Computed(_ifp_words(check, _built(spec)), lines=lines, trouble=trouble)


def _lacking(spec: ServiceSpec) -> str:
    """Name the figures that the IFP check needs and the sheet does not give."""
    wanted = (*names.GEOMETRY, "charge")
    return ", ".join(
        names.label_of(name, _built(spec)) for name in wanted if _aim(spec, name) is None
    ).lower()


def _built(spec: ServiceSpec) -> str:
    """Give the construction that a sheet is for: its words differ where the IFP runs in the body."""
    return spec.model.construction


def _gas_figures(spec: ServiceSpec) -> tuple[float, float] | None:
    """Give charge (Pa over ambient, at 20 °C) and hottest temperature (K) of a sheet: 20 °C where it gives none."""
    charge_pa = _aim(spec, "charge")
    return None if charge_pa is None else (charge_pa, _hottest(spec))


def _hottest(spec: ServiceSpec) -> float:
    return max(_aim(spec, "hot temperature") or SHEET_K, SHEET_K)


def _bounding(spec: ServiceSpec) -> tuple[float, float]:
    """Give charge and hottest temperature to hold cap and floor to: a charge in words counts as no gas at all."""
    return _aim(spec, "charge") or 0.0, _hottest(spec)


def _aim(spec: ServiceSpec, name: str) -> float | None:
    row = specs.figure(spec, name)
    return None if row is None else specs.middle(row.low_si, row.target_si, row.high_si)


def _ifp_words(check: gas.IfpCheck, construction: str) -> str:
    if check.meets_cap:
        return _("At full bump the IFP would meet the cap. Set it deeper.")
    if check.meets_floor:
        return {
            "ifp body": _(
                "In the cold the IFP would meet the end of its room in the body. Set it less deep."
            ),
            "through-rod": _(
                "In the cold the piston would meet the floor of the compensator. Set it less deep."
            ),
        }.get(construction, _("In the cold the IFP would meet the floor of the reservoir. Set it less deep."))
    if not check.clearance_ok:
        return _("At full bump less gas is left than the sheet wants.")
    return _("The IFP stays free of cap and floor.")


def _ifp_lines(check: gas.IfpCheck, show: Units) -> tuple[str, ...]:
    def length(si: float) -> str:
        return show.show(si, "ifp depth")

    def pressure(si: float | None) -> str:
        return show.show(si, "charge") if si is not None else _("none: no gas left")

    ratio = (
        f"{check.compression_ratio:.2f}" if check.compression_ratio is not None else _("none: no gas left")
    )
    if show.shop is not None and show.shop.decimal_comma:
        ratio = ratio.replace(".", ",")
    return (
        _("Gas length, rod out: %s") % length(check.gas_length_m),
        _("Gas volume, rod out: %s") % show.show(check.gas_volume_m3, "gas recess"),
        _("IFP moves over the full stroke: %s") % length(check.ifp_travel_m),
        _("Gas length at full bump: %s") % length(check.gas_length_bump_m),
        _("Compression ratio: %s") % ratio,
        _("Charge at full bump, quick: %s") % pressure(check.gauge_bump_pa),
        _("Gas length hot, at full bump: %s") % length(check.gas_length_hot_bump_m),
        _("Charge hot, at full bump: %s") % pressure(check.gauge_hot_bump_pa),
        _("Gas force on the rod, rod out: %s") % show.force(check.rod_force_n),
        _("Meets the cap: %s") % (_("yes") if check.meets_cap else _("no")),
        _("Gap wanted at full bump: %s") % (_("kept") if check.clearance_ok else _("not kept")),
        _("Meets the floor in the cold: %s") % (_("yes") if check.meets_floor else _("no")),
    )


def depth_bounds(spec: ServiceSpec | None, shop: Shop | None) -> tuple[float, float] | None:
    """Give the least and the greatest IFP depth in m that keep it free of cap and floor; None without the figures.

    Found by halving: the cap is met by every lesser depth, the floor by every greater one. Where no depth will do,
    the greatest is 0: every reading lies past it.
    """
    geometry = specs.geometry(spec) if spec is not None else None
    if spec is None or geometry is None:
        return None
    found = _bounding(spec)
    ambient_pa = ambient(shop)

    def meets(depth_m: float, what: str) -> bool:
        try:
            placed = specs.geometry(spec, depth_m)
            if placed is None:
                return True
            check = gas.ifp_check(placed, found[0], SHEET_K, found[1], ambient_pa=ambient_pa)
        except ValueError:
            # Outside the reservoir: past the cap on one side, past the floor on the other.
            return (depth_m < geometry.ifp_depth_m) == (what == "cap")
        return check.meets_cap if what == "cap" else check.meets_floor

    deepest = geometry.reservoir_length_m
    least = _halve(lambda depth: not meets(depth, "cap"), 1e-6, deepest)
    most = _halve(lambda depth: meets(depth, "floor"), 1e-6, deepest)
    if least is None or most is None or least > most:
        return (0.0, 0.0)
    return least, most


def _halve(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    """Find where a question turns from no to yes between `low` and `high`; None where it never does."""
    if holds(low):
        return low
    if not holds(high):
        return None
    for _round in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def meets_cap_or_floor(spec: ServiceSpec | None, depth_m: float, shop: Shop | None) -> str:
    """Say why an IFP depth can never be built; "" where it can, or where the sheet lacks the figures to tell."""
    if spec is None:
        return ""
    found = _bounding(spec)
    try:
        geometry = specs.geometry(spec, depth_m)
        if geometry is None:
            return ""
        check = gas.ifp_check(geometry, found[0], SHEET_K, found[1], ambient_pa=ambient(shop))
    except ValueError as problem:
        return str(problem)
    return _ifp_words(check, _built(spec)) if check.meets_cap or check.meets_floor else ""


def preload_turns(
    from_m: float | None, to_m: float | None, pitch_m: float | None, shop: Shop | None, *, unit: str = ""
) -> Computed:
    """Say how far to turn the preload adjuster from one reading to another: towards or away from the spring.

    The reading runs from the cap face to the ring: where it grows, the ring goes towards the spring. It tells nothing
    of the spring's force; that needs free and fitted length. `unit` is the one in which the wanted reading was taken,
    so that the words say what the tape says; without it the shop's own.
    """
    if to_m is None:
        return Computed(_("The preload was not read on arrival: there is nothing to go back to."))
    wanted = Units(shop).show(to_m, "preload", unit=unit)
    if from_m is None:
        return Computed(_("Wanted: %s. Read the adjuster as it stands to see the turns.") % wanted)
    if not pitch_m:
        return Computed(_("Wanted: %s. The sheet gives no pitch of the thread.") % wanted)
    try:
        turns = springs.collar_turns(from_m, to_m, pitch_m)
    except ValueError as problem:
        return Computed(str(problem))
    text = units.fmt(abs(turns), "turn", "count", places=2, decimal_comma=bool(shop and shop.decimal_comma))
    if text.startswith(("0.00", "0,00")):
        return Computed(_("The adjuster stands at %s.") % wanted, si=turns, unit="turn", text=text)
    way = _("%s towards the spring") if turns > 0 else _("%s away from the spring")
    words = _("%(turns)s, to %(wanted)s.") % {"turns": way % text, "wanted": wanted}
    return Computed(words, si=turns, unit="turn", text=text)
