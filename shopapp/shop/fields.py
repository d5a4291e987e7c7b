"""Model pieces that every subject uses: the measurement in three columns, and the append-only table."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from django.db import models

from shopapp.calc import units

if TYPE_CHECKING:
    from shopapp.calc.units import Measurement


class Measured:
    """Keep a measurement as typed: `<name>_si` (float, SI unit), `<name>_unit`, `<name>_text`.

    Reading the attribute gives a `units.Measurement` or None; assigning one fills the three columns. The text is
    what a person typed and is printed again for ever; the SI value is what is compared and computed with.
    """

    def __init__(self, kind: str, *, null: bool = True) -> None:
        self.kind = kind
        self.null = null
        self.name = ""

    def contribute_to_class(self, cls: type[models.Model], name: str, **_kwargs: Any) -> None:
        self.name = name
        models.FloatField(null=self.null, blank=self.null).contribute_to_class(cls, f"{name}_si")
        models.CharField(max_length=12, blank=True, default="").contribute_to_class(cls, f"{name}_unit")
        models.CharField(max_length=60, blank=True, default="").contribute_to_class(cls, f"{name}_text")
        setattr(cls, name, self)

    def __get__(self, row: models.Model | None, _owner: type[models.Model]) -> Any:
        if row is None:
            return self
        si = getattr(row, f"{self.name}_si")
        if si is None:
            return None
        return units.Measurement(
            si=si,
            kind=self.kind,
            unit=getattr(row, f"{self.name}_unit"),
            text=getattr(row, f"{self.name}_text"),
        )

    def __set__(self, row: models.Model, value: Measurement | None) -> None:
        if value is not None and value.kind != self.kind:
            raise ValueError(f"{self.name} is a {self.kind}, not a {value.kind}")
        setattr(row, f"{self.name}_si", None if value is None else value.si)
        setattr(row, f"{self.name}_unit", "" if value is None else value.unit)
        setattr(row, f"{self.name}_text", "" if value is None else value.text)


class AppendOnly(models.Model):
    """A ledger: rows are written once. Triggers refuse UPDATE, DELETE and TRUNCATE (see shop/ledgers.py).

    A correction is a new row that names the old one in a unique `replaces`.
    """

    append_only: ClassVar[bool] = True

    class Meta:
        abstract = True
