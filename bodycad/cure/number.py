"""Numbers of a script that may be changed, and the values that a maker can set them to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import Any

from bodycad.script import Script

SPAN = 32.0
"""No number is changed by more than this, in its own unit."""
GRIDS = (0.05, 0.01, 0.001)
"""Values are rounded to the first of these that is at most half of the change, or finer where only
that serves."""
STEP = 0.5
"""The small step of a float, or an eighth of its value where that is less; an int's is 1."""
NIL = 0.01
"""A float of less is as good as nil."""
LADDER = (8.0, 24.0, 2.0, 16.0, 32.0, 1.0, 4.0, 12.0)
"""Changes that are tried where no small one leads on, in this order, in the number's `unit`."""


class Reluctance(IntEnum):
    """How unwilling a maker is to change what a number stands for, least first."""

    FREE = 0
    """A position, a depth, a shape: decided at the drawing board alone."""
    SIZE = 1
    """A size of a part that is not measured: another part may be bought."""
    LAST = 2
    """A measured size, the thickness of the stock, or a number of neck and strings."""
    NEVER = 3
    """Another instrument, or another judge: scale, frets, strings, tolerances, limits, waivers."""


@dataclass(frozen=True)
class Number:
    """A parameter that may be changed: name, present value, whether it is a whole number."""

    name: str
    now: float
    whole: bool

    @property
    def unit(self) -> float:
        """1, or half the value where that is less and not as good as nil."""
        return 1.0 if self.whole or abs(self.now) < NIL else min(1.0, abs(self.now) / 2.0)

    @property
    def step(self) -> float:
        """A small step."""
        if self.whole:
            return 1.0
        return STEP if abs(self.now) < NIL else min(STEP, abs(self.now) / 8.0)

    def moved(self, by: float) -> float:
        """The value after a change."""
        value = self.now + by
        return round(value) if self.whole else round(value, 9)

    @property
    def rungs(self) -> list[float]:
        """Values far from the present one, coarsely first, up and down in turn; round ones, for
        tools and parts come in round sizes."""
        digits = 0 if self.unit >= 1.0 else 1 if self.unit >= 0.1 else 3
        found = [self.moved(sign * rung * self.unit) for rung in LADDER for sign in (1, -1)]
        return list(dict.fromkeys(v if self.whole else round(v, digits) + 0.0 for v in found))

    def change(self, value: float) -> float:
        """By how much a value differs from the present one."""
        return abs(value - self.now)

    def grid(self, change: float) -> float:
        """The grid for values about `change` away: the first that is at most half of it."""
        return 1.0 if self.whole else next((g for g in GRIDS if g <= change / 2.0), GRIDS[-1])

    def inside(self, low: float, high: float, aim: float, least: float = 0.0) -> float | None:
        """The value strictly between two, `high` the farther from the present one, that lies
        nearest to `aim` and not before it where it can; on the coarsest grid that has one, which is
        at least `least`. None where no grid has one."""
        sign = 1.0 if high > low else -1.0
        fits = self.grid(max(self.change(low), self.change(high)))
        for grid in (1.0,) if self.whole else GRIDS:
            if grid > fits or grid < least:
                continue
            first = math.floor(sign * low / grid + 1e-6) + 1
            last = math.ceil(sign * high / grid - 1e-6) - 1
            if first <= last:
                k = min(max(math.ceil(sign * aim / grid - 1e-6), first), last)
                return round(sign * k) if self.whole else round(sign * k * grid, 6) + 0.0
        return None


def numbers(script: Script, values: Mapping[str, Any]) -> tuple[Number, ...]:
    """The script's float and int parameters at their present values."""
    found = []
    for one in script.parameters:
        now = values.get(one.name, one.default)
        if one.kind in (int, float) and isinstance(now, (int, float)) and not isinstance(now, bool):
            whole = one.kind is int
            found.append(Number(one.name, int(now) if whole else float(now), whole))
    return tuple(found)
