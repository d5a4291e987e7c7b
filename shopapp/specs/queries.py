"""What pages and other subjects read of specifications and procedures."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from shopapp.calc.gas import Geometry
from shopapp.dampers.models import Adjuster, Damper, DamperModel
from shopapp.specs import figures
from shopapp.specs.models import Procedure, ServiceSpec, SpecFigure, Step


def spec_for(damper: Damper) -> ServiceSpec | None:
    """Give the sheet a damper is built to: its own newest released one, else the newest released of its model.

    None where the model's released sheets are of several variants: which of them this damper is, nobody knows, and
    another variant's figures could hurt somebody.
    """
    released = ServiceSpec.objects.filter(released_at__isnull=False).select_related("model")
    own = released.filter(damper=damper).order_by("-issue").first()
    if own is not None or damper.model_id is None:
        return own
    return spec_of_model(damper.model_id)


def spec_of_model(model: int) -> ServiceSpec | None:
    """Give the sheet that a damper of a model is built to where it has none of its own."""
    released = ServiceSpec.objects.filter(released_at__isnull=False).select_related("model")
    of_model = released.filter(model_id=model, damper__isnull=True)
    if of_model.values("variant").distinct().count() > 1:
        return None
    return of_model.order_by("-issue", "-released_at").first()


def procedure_for(name: str, construction: str) -> Procedure | None:
    """Give the released procedure for a kind of work (or one of that name) and a construction, "" where not known.

    Only the construction's own, else one that serves any: the sign of zero of another would be the wrong one. Where a
    shop has several of its own, the one that bears the name asked for, else the one released last. Of each the newest
    version.
    """
    asked = Q(name=name) | Q(work=name)
    rows = Procedure.objects.filter(asked, released_at__isnull=False, retired_at__isnull=True)
    found = rows.filter(construction__in={"", construction}) if name else rows.none()
    newest = {row.name: row for row in found.order_by("version")}
    return max(
        newest.values(),
        key=lambda row: (row.construction != "", row.name == name, row.released_at, row.version),
        default=None,
    )


def works() -> list[str]:
    """List the kinds of work that released procedures are for, by name."""
    rows = Procedure.objects.filter(released_at__isnull=False, retired_at__isnull=True).exclude(work="")
    return sorted(set(rows.values_list("work", flat=True)))


def figure(spec: ServiceSpec, name: str, position: str = "") -> SpecFigure | None:
    """Give a figure for a position; where the sheet gives one for all positions only, that one."""
    rows = {
        row.position: row for row in spec.figures.all() if row.name == name and row.position in (position, "")
    }
    return rows.get(position) or rows.get("")


def adjusters_of(model: DamperModel | None) -> QuerySet[Adjuster]:
    """List the adjusters of a model in their order; none for a damper without a model."""
    return Adjuster.objects.filter(model=model) if model is not None else Adjuster.objects.none()


def is_critical(step: Step) -> bool:
    """Say whether a tool past its date needs the owner's reason here: piston nut, IFP depth and charge, as built."""
    return step.phase == Step.Phase.BUILT and bool(step.figure) and figures.NAMES[step.figure].critical


def geometry(spec: ServiceSpec, depth_m: float | None = None) -> Geometry | None:
    """Give the reservoir of a sheet with the IFP at `depth_m` (else at its target, else mid-limits), in metres.

    None where the sheet lacks a figure that the IFP check needs. `ValueError` with a sentence for a depth at which
    nothing can be put together.
    """
    si = {
        row.name: middle(row.low_si, row.target_si, row.high_si)
        for row in spec.figures.all()
        if not row.position
    }
    return geometry_of(si, depth_to=spec.depth_to, depth_m=depth_m)


def middle(low: float | None, target: float | None, high: float | None) -> float | None:
    """Give what a figure aims at: its target, else the middle of its limits, else the one limit it has."""
    if target is not None:
        return target
    if low is not None and high is not None:
        return (low + high) / 2
    return low if low is not None else high


def geometry_of(
    si: dict[str, float | None], *, depth_to: str, depth_m: float | None = None
) -> Geometry | None:
    """Give the reservoir from SI figures by name; None where one is missing. `ValueError` where it is impossible."""
    values = {name: value for name, value in si.items() if value is not None}
    if depth_m is not None:
        values["ifp depth"] = depth_m
    if any(name not in values for name in figures.GEOMETRY):
        return None
    return Geometry(
        reservoir_bore_m=values["reservoir bore"],
        ifp_depth_m=values["ifp depth"],
        depth_to="oil_face" if depth_to == "oil_face" else "gas_face",
        ifp_thickness_m=values["ifp thickness"],
        cap_depth_m=values["cap depth"],
        reservoir_length_m=values["reservoir length"],
        rod_m=values["rod diameter"],
        stroke_m=values["stroke"],
        oil_m3=values["oil volume"],
        oil_expansion_per_k=values["oil expansion"],
        recess_m3=values.get("gas recess", 0.0),
        clearance_m=values.get("ifp clearance", 0.0),
    )
