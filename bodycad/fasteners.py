"""Screws and inserts in wood: what they hold, and the root, pilot and head of a screw beside its
thread. N and mm.

Source: Wood Handbook (USDA FPL-GTR-190, 2010) ch. 8; its ultimate forms are test averages.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import declared, mm
from bodycad.errors import number
from bodycad.units import default

SCREW = 108.25
"""15,700 lb,in in N,mm: withdrawal of wood screws, ultimate."""
LAG = 125.4
"""8100 lb,in in N,mm: withdrawal of lag screws, ultimate (Wood Handbook ch. 8)."""
ROOT_SHARE = 2.0 / 3.0
"""Root over thread diameter of a cut wood screw: Wood Handbook ch. 8."""
PILOT_SHARE = 0.9 * ROOT_SHARE
"""Pilot over thread diameter: 90 % of the root in hardwood (Wood Handbook ch. 8)."""
SLIP = ((0.57, 44.13), (0.48, 31.99), (0.33, 23.17))
"""K in N/mm2 from a specific gravity on: see `screw_slip`."""
HEAD_SHARE = 2.0
"""Head over thread diameter of a countersunk wood screw (common practice, no source)."""

NUT_FACTOR = 0.2
"""K of T = K d F, plain dry steel (Shigley, Mechanical Engineering Design, from memory)."""
HAND_TORQUE = 4.86
"""N m that a hand reaches with a plastic screwdriver handle, mean of the greatest: Ergonomics 50
(2007) 1404-1418."""


@dataclass(frozen=True)
@declared("a threaded insert")
class Insert:
    """A threaded insert in the neck's block, which a machine screw bites.

             <-outside->
        ======|/////|======   under side of the block: the insert ends flush with it
              |/////|   ^ length
              |/////|   v           ^
              |_   _|   <-hole->    | depth of the hole at its full diameter:
                 V                  v the drill's point goes deeper

    outside: over its own thread; hole: drilled for it. Defaults are common practice for a 5 mm
    machine screw, no source. Raises InputError for a hole as wide as the thread."""

    outside: Annotated[float, mm(2.0, 30.0)] = default(9.0, 0.1)
    hole: Annotated[float, mm(1.5, 29.0)] = default(7.5, 0.1)
    length: Annotated[float, mm(2.0, 50.0)] = default(12.7, 0.3)
    depth: Annotated[float, mm(2.0, 60.0)] = default(14.0, 0.3)

    def __post_init__(self) -> None:
        remedy = "the insert's own thread must bite the wood round its hole"
        number("a threaded insert's hole", self.hole, high=self.outside, remedy=remedy)


def screw_torque(force: float, diameter: float) -> float:
    """N m at which a screw pulls with `force` N: T = K d F (see NUT_FACTOR). diameter: of the
    thread, mm. Raises InputError for negative numbers."""
    pull = number("a screw's pull", force, low=0.0)
    return NUT_FACTOR * number("a screw's diameter", diameter, low=0.0) / 1000.0 * pull


def screw_withdrawal(gravity: float, diameter: float, length: float) -> float:
    """N at which a wood screw draws out of side grain: 108.25 G^2 D L (Wood Handbook ch. 8).

    gravity: specific gravity on the volume at 12 %; diameter: of the thread outside, mm; length: of
    thread in the wood, mm. Raises InputError for numbers that no wood and no screw has."""
    return (
        SCREW
        * number("a specific gravity", gravity, 0.05, 1.4) ** 2
        * number("a screw's diameter", diameter, low=0.0)
        * number("a thread's length", length, low=0.0)
    )


def lag_withdrawal(gravity: float, diameter: float, length: float) -> float:
    """N at which a lag screw draws out of side grain: 125.4 G^1.5 D^0.75 L (Wood Handbook ch. 8).
    A threaded insert is taken for one of its outside diameter (common practice, no source): it
    gives less than the law of wood screws would for such a width.

    gravity, diameter, length: as of `screw_withdrawal`. Raises InputError."""
    return float(
        LAG
        * number("a specific gravity", gravity, 0.05, 1.4) ** 1.5
        * number("an insert's diameter", diameter, low=0.0) ** 0.75
        * number("an insert's length", length, low=0.0)
    )


def screw_slip(gravity: float, diameter: float, length: float | None = None) -> float:
    """N across a wood screw at which it begins to stay bent in its hole (the proportional limit):
    K D^2, less in proportion where the thread is shorter than 7 diameters.

    K by specific gravity for hardwoods: Wood Handbook ch. 8, table of test loads, from memory, as
    is the rule of 7 diameters; woods under 0.33 fall in proportion to their gravity. length: of
    thread in the wood, mm; None where the wood is passed from side to side. Raises InputError."""
    gravity = number("a specific gravity", gravity, 0.05, 1.4)
    across = number("a screw's diameter", diameter, low=0.0)
    known = next((k for least, k in SLIP if gravity >= least), SLIP[-1][1] * gravity / SLIP[-1][0])
    share = 1.0
    if length is not None and across > 0.0:
        share = min(number("a thread's length", length, low=0.0) / (7.0 * across), 1.0)
    return float(known * across**2 * share)
