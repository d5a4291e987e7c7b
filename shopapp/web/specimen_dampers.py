"""Dampers of each construction for the page of specimens: invented figures that agree with each other."""

from __future__ import annotations

from shopapp.drawings.damper import Build, DamperNumbers, Dimension, Spring

ARRIVED = DamperNumbers(
    eye_centres=Dimension(712.8, "28 1/16 in"),
    stroke=Dimension(254, "10 in"),
    rod_diameter=Dimension(19.05, "3/4 in"),
    preload=Dimension(55.6, "2 3/16 in"),
    ifp_depth=Dimension(),
    gas="",
    springs=(Spring(102, "200 × 4"), Spring(457, "350 × 18")),
)
BUILT = DamperNumbers(
    eye_centres=Dimension(712.8, "28 1/16 in"),
    stroke=Dimension(254, "10 in"),
    body_bore=Dimension(60.3, "2 3/8 in"),
    rod_diameter=Dimension(19.05, "3/4 in"),
    preload=Dimension(55.6, "2 3/16 in"),
    reservoir_bore=Dimension(60.3, "2 3/8 in"),
    reservoir_length=Dimension(203.2, "8 in"),
    ifp_depth=Dimension(82.5, "3 1/4 in"),
    gas="140 psi at 20 °C",
    oil="1120 mL",
    springs=(Spring(102, "200 × 4"), Spring(457, "350 × 18")),
)
BARE = DamperNumbers(
    eye_centres=Dimension(),
    stroke=Dimension(),
    body_bore=Dimension(),
    rod_diameter=Dimension(),
    preload=Dimension(),
    reservoir_length=Dimension(),
    ifp_depth=Dimension(),
    gas="",
    oil="",
)
IFP_IN_BODY = DamperNumbers(
    build=Build.IFP_BODY,
    eye_centres=Dimension(455.6, "17 15/16 in"),
    stroke=Dimension(120.6, "4 3/4 in"),
    body_bore=Dimension(46, "1 13/16 in"),
    rod_diameter=Dimension(14.3, "9/16 in"),
    preload=Dimension(35, "1 3/8 in"),
    ifp_depth=Dimension(39.7, "1 9/16 in"),
    gas="150 psi at 20 °C",
    oil="310 mL",
    springs=(Spring(290, "450 × 11.4"),),
)
BLADDER = DamperNumbers(
    build=Build.BLADDER,
    eye_centres=Dimension(610, "610 mm"),
    stroke=Dimension(180, "180 mm"),
    body_bore=Dimension(50, "50 mm"),
    rod_diameter=Dimension(16, "16 mm"),
    preload=Dimension(32, "32 mm"),
    reservoir_length=Dimension(),
    gas="10 bar at 20 °C",
    oil="600 mL",
    springs=(Spring(420, "52 × 420"),),
)
EMULSION = DamperNumbers(
    build=Build.EMULSION,
    eye_centres=Dimension(400, "400 mm"),
    stroke=Dimension(110, "110 mm"),
    body_bore=Dimension(36, "36 mm"),
    rod_diameter=Dimension(14, "14 mm"),
    preload=Dimension(20, "20 mm"),
    gas="6 bar at 20 °C",
    oil="235 mL",
    springs=(Spring(310, "28 × 310"),),
)
THROUGH_ROD = DamperNumbers(
    build=Build.THROUGH_ROD,
    eye_centres=Dimension(320, "320 mm"),
    stroke=Dimension(65, "65 mm"),
    body_bore=Dimension(40, "40 mm"),
    rod_diameter=Dimension(14, "14 mm"),
    preload=Dimension(14, "14 mm"),
    ifp_depth=Dimension(19, "19 mm"),
    gas="4 bar at 20 °C",
    oil="97 mL",
    springs=(Spring(180, "95 × 180"),),
)
TWIN_TUBE = DamperNumbers(
    build=Build.TWIN_TUBE,
    eye_centres=Dimension(440, "440 mm"),
    stroke=Dimension(150, "150 mm"),
    body_bore=Dimension(32, "32 mm"),
    rod_diameter=Dimension(16, "16 mm"),
    preload=Dimension(10, "10 mm"),
    gas="3 bar at 20 °C",
    oil="340 mL",
    springs=(Spring(360, "22 × 360"),),
)


def every_construction() -> tuple[DamperNumbers, ...]:
    """Give one damper as it arrived, one as built, one nobody measured, and one of each other construction."""
    return (ARRIVED, BUILT, BARE, IFP_IN_BODY, BLADDER, EMULSION, THROUGH_ROD, TWIN_TUBE)
