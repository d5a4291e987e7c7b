"""Invented shim stacks for the page of specimens: both sides of a piston, and one side out beside back."""

from __future__ import annotations

from shopapp.bench.queries.stacks import stack_words
from shopapp.calc import stacks
from shopapp.drawings.stack import Fit, discs, rows, stack_comparison, stack_drawing
from shopapp.drawings.svg import Svg

OUT = "4 x 44x0.20, 36x0.10 c, 40x0.20, 36x0.20, 32x0.20, 28x0.15"
BACK = "3 x 44x0.20, 36x0.10 c, 40x0.20, 36x0.20, 32x0.20, 28x0.20, 24x0.30"
REBOUND = "2 x 38x0.25, 34x0.20, 30x0.20, 26x0.20, 22x0.20, 18x0.30"
HELD = Fit(piston_mm=47, clamp_mm=16)


def stack_samples() -> list[Svg]:
    """Draw the stacks: both sides, a comparison, and one that is still being built."""
    out, back, rebound = (stacks.read(text) for text in (OUT, BACK, REBOUND))
    words = stack_words()
    begun = stacks.compare(out, back[:4])
    return [
        stack_drawing(discs(out), discs(rebound), fit=HELD, words=words, width=390),
        stack_comparison(rows(stacks.compare(out, back)), name=words.compression, fit=HELD, words=words),
        stack_comparison(rows(begun, building=True), name=words.compression, fit=HELD, words=words, opened=6),
    ]
