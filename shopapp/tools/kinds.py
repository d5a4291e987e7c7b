"""The kinds of tool that the shipped procedures name: made after a migrate, so that a shop need not guess a code."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Shipped:
    """One kind: its code as steps name it, its name, whether it has a check date, whether that is critical."""

    code: str
    name: str | Promise
    checked: bool = False
    critical: bool = False


SHIPPED = (
    Shipped("gauge", _("Pressure gauge"), checked=True, critical=True),
    Shipped("torque wrench", _("Torque wrench"), checked=True, critical=True),
    Shipped("depth tool", _("Depth tool"), checked=True, critical=True),
    Shipped("regulator", _("Nitrogen regulator"), checked=True),
    Shipped("spring compressor", _("Spring compressor"), checked=True),
    Shipped("ifp puller", _("IFP puller")),
)
