"""Whether a drilled hole would open into a void if it went on: what its cure may say."""

from __future__ import annotations

from dataclasses import replace

from bodycad.geometry.distance.gap import meet
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.void import Void

FAR, STEP = 120.0, 2.0
"""How far on a hole is followed, and in what steps, mm."""


def meets_onward(bore: Bore, target: Void) -> float | None:
    """By how many mm more, in whole steps, a bore would meet a void; None where it passes it by."""
    far = replace(bore, length=bore.length + FAR)
    if not meet(far, target.shape):
        return None
    low, high = 0, round(FAR / STEP)
    while high - low > 1:
        middle = (low + high) // 2
        on = replace(bore, length=bore.length + STEP * middle)
        low, high = (low, middle) if meet(on, target.shape) else (middle, high)
    return STEP * high


def toward(hole: Void, target: Void) -> str:
    """How a void that stops short of another is brought into it, in words."""
    bore = hole.shape.hole
    more = meets_onward(bore, target) if bore else None
    if more is not None:
        return f"make {hole.id} {more:.0f} mm longer or more"
    if bore is not None:
        return f"aim {hole.id} at {target.id}: it passes beside it, however long it is"
    return f"move {hole.id} or {target.id} until they meet"
