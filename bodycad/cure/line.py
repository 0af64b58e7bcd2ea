"""Where on the line of one number a finding holds: which value to try next, from those tried.

A finding's figure is taken for a continuous function of the number. Between a value at which it
holds and one at which it does not, secant and bisection close in on the first that serves; beyond
the values tried, the secant goes on as long as the figure betters; between two values at which it
does not hold, a third may, where the figure changes fast enough to reach its limit on the way (a
Lipschitz bound from the steepest change seen on the line).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bodycad.cure.goal import Goal, Outcome
from bodycad.cure.number import GRIDS, SPAN, Number

STEEPER = 1.5
"""A figure may change so many times as fast as was seen."""
WALLS = 3
"""So many refused values on one side, and nothing farther is tried there."""
FLAT = 1e-9
"""A figure that changes by less has not changed."""
NARROW = 0.25
"""Between values closer than this (in the number's `unit`) no dip of a figure is looked for."""


@dataclass(frozen=True)
class Sample:
    """A value tried: what is lacking there (None without a figure), whether the finding holds with
    all that is watched, whether the value was refused, and whether the finding itself holds."""

    value: float
    short: float | None
    held: bool
    refused: bool = False
    met: bool = False


def samples(goal: Goal, number: Number, runs: Mapping[float, Outcome | None]) -> list[Sample]:
    """The values tried on a line in their order, the present one among them."""
    known = {**runs, number.now: goal.base}
    return [
        Sample(value, goal.short(run), goal.held(run), run is None, goal.met(run))
        for value, run in sorted(known.items())
    ]


def nearest(number: Number, tried: Iterable[Sample]) -> Sample | None:
    """The sample that holds nearest to the present value."""
    held = [one for one in tried if one.held]
    return min(held, key=lambda one: number.change(one.value), default=None)


def narrowed(number: Number, tried: Sequence[Sample], least: float | None = None) -> float | None:
    """The next value between the nearest that holds and the one before it that does not; None where
    the two are neighbours on the grid (that of the change, or `least`), or the figure says that the
    value before would not hold."""
    held = nearest(number, tried)
    if held is None:
        return None
    bad = _before(number, tried, held)
    grid = number.grid(number.change(held.value)) if least is None else least
    aim = (bad.value + held.value) / 2.0
    side = sum((one.value > number.now) == (held.value > number.now) for one in tried)
    if bad.short is not None and held.short is not None and bad.short > 0.0:
        slope = (bad.short - held.short) / abs(held.value - bad.value)
        if least is None and -held.short < slope * grid - FLAT:
            return None  # the value before would not do
        # Now and then halve, lest a curved figure creep.
        if side < 6 or side % 3:
            aim = bad.value + (held.value - bad.value) * bad.short / (bad.short - held.short)
    return number.inside(bad.value, held.value, aim, grid)


def onward(number: Number, tried: Sequence[Sample], sign: int, span: float = SPAN) -> float | None:
    """The next value outward on one side, where the figure betters that way; None where it does
    not, or nothing is left within `span`."""
    most = number.now + sign * span
    side = [one for one in tried if sign * (one.value - number.now) >= 0.0]
    side.sort(key=lambda one: number.change(one.value))
    told = [one for one in side if one.short is not None]
    end = side[-1]
    if not told or sum(one.refused for one in side) >= WALLS or number.change(end.value) >= span:
        return None
    if len(told) > 1:
        slope = _slope(told[-2], told[-1])
    else:  # the other side tells it
        other = [one for one in tried if one.short is not None and one not in side]
        slope = -_slope(told[0], min(other, key=lambda o: number.change(o.value))) if other else 0.0
    if slope <= FLAT:
        return None
    last, short = told[-1], told[-1].short or 0.0
    far = number.change(last.value) + max(short, 0.0) / slope
    if end is not last:  # past what was refused
        far = max(far, 2.0 * number.change(end.value) - number.change(last.value))
    if far > 2.0 * span:
        return None
    return number.inside(end.value, most + sign * GRIDS[-1], number.now + sign * min(far, span))


def dip(
    number: Number,
    tried: Sequence[Sample],
    least: float,
    only: tuple[Sample, Sample] | None = None,
) -> float | None:
    """Between which neighbours, farther apart than `least`, the figure may yet reach its limit:
    the value where it would; None where nowhere. `only`: between these two."""
    told = [one for one in tried if one.short is not None]
    steep = STEEPER * max((abs(_rise(a, b)) for a, b in pairwise(told)), default=0.0)
    if steep <= FLAT:
        return None
    found: list[tuple[float, float]] = []
    for a, b in [only] if only else pairwise(tried):
        wide = b.value - a.value
        if a.short is None or b.short is None or a.held or b.held or wide <= least:
            continue
        lowest = (a.short + b.short - steep * wide) / 2.0
        aim = a.value + (a.short - b.short + steep * wide) / (2.0 * steep)
        ends = (
            (a.value, b.value)
            if number.change(a.value) < number.change(b.value)
            else (b.value, a.value)
        )
        value = number.inside(*ends, aim, GRIDS[-1] if least < NARROW * number.unit else 0.0)
        if lowest <= 0.0 and value is not None:
            found.append((lowest, value))
    return min(found)[1] if found else None


def window(number: Number, tried: Sequence[Sample], spot: float) -> float | None:
    """The next value on the way to `spot`, between the last at which the finding fails and one at
    which something else does; None where the gap is too narrow for both to hold."""
    low, high = sorted((number.now, spot))
    way = [one for one in tried if low <= one.value <= high]
    way.sort(key=lambda one: number.change(one.value))
    last = max(k for k, one in enumerate(way) if not one.met)
    if last + 1 == len(way):
        return None
    one, two = sorted(way[last : last + 2], key=lambda sample: sample.value)
    return dip(number, tried, GRIDS[-1], (one, two))


def flat(tried: Sequence[Sample]) -> bool:
    """Whether no value tried changed the figure, or held."""
    shorts = [one.short for one in tried if not one.refused]
    if any(one.held for one in tried) or any((s is None) != (shorts[0] is None) for s in shorts):
        return False
    told = [s for s in shorts if s is not None]
    return not told or max(told) - min(told) <= FLAT


def _before(number: Number, tried: Sequence[Sample], held: Sample) -> Sample:
    """The sample before one, as seen from the present value."""
    low, high = sorted((number.now, held.value))
    inner = [one for one in tried if low <= one.value <= high and one is not held]
    return max(inner, key=lambda one: number.change(one.value))


def _rise(one: Sample, two: Sample) -> float:
    """Change of what is lacking per change of the value."""
    return ((two.short or 0.0) - (one.short or 0.0)) / (two.value - one.value)


def _slope(near: Sample, far: Sample) -> float:
    """How fast it betters outward."""
    return ((near.short or 0.0) - (far.short or 0.0)) / abs(far.value - near.value)
