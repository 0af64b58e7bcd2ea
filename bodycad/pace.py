"""How fast the shop works: what the time estimate of the cut order is added up from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import between, declared, mm

Minutes = Annotated[float, between(0.0, 240.0, "min")]


@dataclass(frozen=True)
@declared("the shop's pace")
class Pace:
    """How fast the shop works: a guess, to be replaced by what you time yourself (common practice,
    no source).

    `feed`: how far a router cutter goes in a minute, mm; `stepover`: how much of its diameter a
    pass beside the last one takes; `carve`: wood that is carved by hand in a minute, cm3; `hole`,
    `tool`, `setup`: minutes for a hole, for a change of tool, and for clamping the work anew."""

    feed: Annotated[float, mm(50.0, 20000.0)] = 1000.0
    stepover: Annotated[float, between(0.05, 1.0)] = 0.4
    carve: Annotated[float, between(0.05, 1000.0, "cm3 a minute")] = 2.0
    hole: Minutes = 1.0
    tool: Minutes = 4.0
    setup: Minutes = 12.0
