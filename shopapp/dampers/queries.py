"""What pages read of dampers: by tag or serial, with owner and place."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from shopapp.customers.models import Vehicle
from shopapp.dampers.models import PLACES, Damper, DamperModel, Fitting, Ownership
from shopapp.shop.finding import found
from shopapp.shop.services.search_terms import fold, fold_number


def dampers(text: str = "") -> QuerySet[Damper]:
    """List dampers by maker and serial, with model, owner and place; `text` narrows by tag, serial, maker or model."""
    rows = Damper.objects.select_related("model").prefetch_related(owner_now(), place_now())
    if text.strip():
        rows = rows.filter(found(text, target_kind="damper"))
    return rows.order_by("maker", "serial_folded", "tag")


def owner_now() -> Prefetch[str, QuerySet[Ownership], str]:
    """Read who owns the dampers now into `owned`."""
    return Prefetch(
        "ownerships",
        queryset=Ownership.objects.filter(current=True).select_related("customer"),
        to_attr="owned",
    )


def place_now() -> Prefetch[str, QuerySet[Fitting], str]:
    """Read where the dampers sit now into `fitted`."""
    return Prefetch(
        "fittings", queryset=Fitting.objects.filter(current=True).select_related("vehicle"), to_attr="fitted"
    )


def twin_of(maker: str, serial: str) -> Damper | None:
    """Find the damper of this serial and maker, however both are spelled; None for a blank serial."""
    folded = fold_number(serial)[:60]
    if not folded:
        return None
    rows = Damper.objects.filter(serial_folded=folded).select_related("model")
    return next((row for row in rows if fold(row.maker) == fold(maker)), None)


def with_serial(serial: str) -> list[Damper]:
    """List the dampers of this serial, of whatever maker."""
    folded = fold_number(serial)[:60]
    if not folded:
        return []
    return list(Damper.objects.filter(serial_folded=folded).select_related("model").order_by("pk"))


def by_tag(tag: str) -> Damper | None:
    """Give the damper of a tag's eight digits."""
    return Damper.objects.filter(tag=tag).select_related("model").first()


def owner_of(damper: Damper) -> Ownership | None:
    """Give who owns a damper now."""
    return damper.ownerships.filter(current=True).select_related("customer").first()


def models(*, retired: bool = False) -> QuerySet[DamperModel]:
    """List models by maker and name; retired ones only when asked."""
    rows = DamperModel.objects.prefetch_related("adjusters")
    return (rows if retired else rows.filter(retired_at__isnull=True)).order_by("maker", "name")


def fitted_on(vehicle: Vehicle) -> list[Fitting]:
    """List what is fitted on a vehicle now, corner by corner."""
    rows = Fitting.objects.filter(vehicle=vehicle, current=True, damper__retired_at__isnull=True)
    order = {place: at for at, (place, _name) in enumerate(PLACES)}
    return sorted(
        rows.select_related("damper__model"), key=lambda row: (order.get(row.place, len(order)), row.number)
    )


def history_of(pk: int) -> Damper | None:
    """Read one damper with everyone who owned it (`owners`) and everywhere it sat (`places`), newest first."""
    owners = Ownership.objects.select_related("customer").order_by("-current", "-since", "-pk")
    places = Fitting.objects.select_related("vehicle").order_by("-current", "-since", "-pk")
    return (
        Damper.objects.select_related("model")
        .prefetch_related(
            Prefetch("ownerships", queryset=owners, to_attr="owners"),
            Prefetch("fittings", queryset=places, to_attr="places"),
        )
        .filter(pk=pk)
        .first()
    )
