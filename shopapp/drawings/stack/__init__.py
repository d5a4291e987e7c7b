"""Draw shim stacks to scale: both sides of a piston, or one side taken out beside what goes back."""

from shopapp.drawings.stack.compared import stack_comparison
from shopapp.drawings.stack.numbers import Disc, Fit, Row, StackWords, discs, rows
from shopapp.drawings.stack.sides import stack_drawing

__all__ = ["Disc", "Fit", "Row", "StackWords", "discs", "rows", "stack_comparison", "stack_drawing"]
