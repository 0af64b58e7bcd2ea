"""The neck as it stands once it is fitted, beside its drawing: what its strings lead follows it.

A pocket is never cut without error, and a heel never fills it without play. Two threads stretched
along the outer strings show where the neck truly points, the 12th fret measured off the nut and
once more where its scale ends. What is already cut stays; what is cut next follows the strings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated

from bodycad.declare import Count, Id, declared, mm
from bodycad.units import default

Off = Annotated[float, mm(-5.0, 5.0)]
"""How far a fitted neck may stand from its drawing: past that its pocket is cut anew."""
Point = tuple[float, float]


@dataclass(frozen=True)
@declared("the fitted neck")
class Fitted:
    """How far the neck, once fitted, leads strings and scale beside their drawing, mm.

         saddles                          end of the fretboard
        - - -+- - - - - - - - - - - - - - - -+--------=====  the fitted neck's middle line
             | aside                         | aside_at_board
        -----+-------------------------------+-------------  the centreline as drawn

        aside, aside_at_board: from the centreline to the middle between two threads that are
        stretched along the outer strings, positive toward the bass strings, for either hand.
        along: from the scale line as drawn to twice the length from nut to 12th fret, measured
        from the nut, positive where that ends nearer the nut than drawn.

    `stays`: ids of placed parts that are already cut for the neck as drawn. Every other part that
    bears, holds or senses strings is turned and moved with the neck; all else stays."""

    aside: Off = default(0.0, 0.3)
    aside_at_board: Off = default(0.0, 0.1)
    along: Off = default(0.0, 0.3)
    stays: Annotated[tuple[Id, ...], Count(0, 500)] = field(default=(), metadata={"size": False})

    def turn_deg(self, board_end: float) -> float:
        """How far the neck is turned; board_end: x of the fretboard's end, mm."""
        return math.degrees(math.atan2(self.aside_at_board - self.aside, board_end))

    def moved(self, point: Point, board_end: float) -> Point:
        """Where a plan point that follows the neck lies."""
        turn = math.radians(self.turn_deg(board_end))
        c, s = math.cos(turn), math.sin(turn)
        x, y = point
        return c * x - s * y + self.along, s * x + c * y + self.aside

    def y_at(self, x: float, board_end: float) -> float:
        """y in mm of the neck's own middle line at `x`."""
        slope = (self.aside_at_board - self.aside) / board_end
        return self.aside + slope * (x - self.along)
