"""A bay whose sheet asks for the stacks: taken out while it is stripped, read again while the rod is built."""

from __future__ import annotations

import copy
from typing import Any

from shopapp.calc import stacks
from tests.bench_client.bay import Bay

OUT = "3 x 44x0.20, 36x0.10 c, 40x0.20, 36x0.20, 32x0.20, 28x0.15"
STEPS = (
    (301, "strip", "removed", "compression", "Compression stack as removed"),
    (302, "strip", "removed", "rebound", "Rebound stack as removed"),
    (303, "rod", "built", "compression", "Compression stack as built"),
    (304, "rod", "built", "rebound", "Rebound stack as built"),
)


class ShimBay(Bay):
    """Serve a sheet with four steps for stacks more, and read what is recorded there as the program does."""

    def __init__(self) -> None:
        super().__init__()
        like = next(step for step in self.sheet["steps"] if step["figure"] == "oil volume")
        for pk, stage, phase, side, name in STEPS:
            step = copy.deepcopy(like) | {
                "key": f"{pk}:", "id": pk, "stage": stage, "phase": phase, "name": name, "text": "",
                "figure": f"{side} stack", "unit_kind": "stack", "default_unit": "mm", "limits": None, "tools": [],
                "side": side, "stack_name": f"{side.capitalize()} stack", "seat": None, "clamp": None,
                "required": False, "as_found": phase == "removed", "caution": "",
            }  # fmt: skip
            before = {127, 135, *(row[0] for row in STEPS)}
            at = max(
                i for i, s in enumerate(self.sheet["steps"]) if s["stage"] == stage and s["id"] in before
            )
            self.sheet["steps"].insert(at + 1, step)

    def _stored(self, entry: dict[str, Any]) -> dict[str, Any]:
        step = next((one for one in self.sheet["steps"] if one["id"] == entry["step"]), None)
        if step is None or step["unit_kind"] != "stack" or entry["kind"] != "reading":
            return super()._stored(entry)
        stack = stacks.read(entry["words"] or OUT)
        shims = [
            {
                "diameter": shim.diameter.si, "thickness": shim.thickness.si, "label": stacks.label(shim),
                "crossover": shim.crossover,
            }
            for shim in stack
        ]  # fmt: skip
        stored = super()._stored({**entry, "kind": "note"})
        height = sum(shim.thickness.si for shim in stack)
        words = entry["words"] or OUT
        return stored | {
            "kind": "reading", "si": height, "unit": "mm", "shims": shims, "words": words,
            "text": f"{len(stack)} shims, {height * 1e3:.2f} mm",
        }  # fmt: skip
