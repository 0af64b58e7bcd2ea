"""The heights that follow the strings: what is set under them once the instrument is strung."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Placed

Pressed = Callable[[float, float], float]
"""Height over the plain front (z = 0), at a plan point, of the underside of the string nearest to
it, pressed at the last fret, mm."""


def heights_set(parts: Iterable[Placed], seat: Seat) -> tuple[Placed, ...]:
    """The placed parts of a right-handed body whose strings run as the neck on `seat` leads them,
    each that follows the strings set under them.

    A part answers it by a method `under_strings(place, pressed)`, which returns it as it is set (or
    itself), its cuts the same: see `Pressed`."""
    lines = seat.instrument.lines

    def pressed(x: float, y: float) -> float:
        line = min(lines, key=lambda one: abs(one.y_at(x) - y))
        return seat.pressed(line.number, x)[2]

    def as_set(one: Placed) -> Placed:
        if not hasattr(one.part, "under_strings"):
            return one
        part = one.part.under_strings(one.place, pressed)
        return one if part is one.part else replace(one, part=part)

    return tuple(map(as_set, parts))
