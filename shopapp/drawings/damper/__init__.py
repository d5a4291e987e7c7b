"""Draw a damper with a remote reservoir and an internal floating piston (IFP) as a half-section."""

from shopapp.drawings.damper.balloons import Balloon
from shopapp.drawings.damper.numbers import DamperNumbers, Dimension, SectionWords, Spring
from shopapp.drawings.damper.section import damper_section
from shopapp.drawings.damper.twin import damper_table

__all__ = [
    "Balloon",
    "DamperNumbers",
    "Dimension",
    "SectionWords",
    "Spring",
    "damper_section",
    "damper_table",
]
