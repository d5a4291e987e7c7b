"""Draw a damper of each construction as a half-section, from its own numbers."""

from shopapp.drawings.damper.balloons import Balloon
from shopapp.drawings.damper.numbers import Build, DamperNumbers, Dimension, SectionWords, Spring
from shopapp.drawings.damper.section import damper_section
from shopapp.drawings.damper.twin import damper_table

__all__ = [
    "Balloon",
    "Build",
    "DamperNumbers",
    "Dimension",
    "SectionWords",
    "Spring",
    "damper_section",
    "damper_table",
]
