"""Where a drill enters a board 400 x 300 x 44 mm, by hand."""

import math

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.entry import entry

SKIN = Skin(rectangle(400.0, 300.0), 44.0, Square(), Square())


@pytest.mark.parametrize(
    "start, way, along",
    [
        ((0.0, 0.0, 0.0), (0, 0, -1), 0.0),
        ((0.0, 0.0, 3.0), (0, 0, -1), 3.0),
        ((0.0, 0.0, -50.0), (0, 0, 1), 6.0),
        ((0.0, 0.0, -20.0), (1, 0, -1), 0.0),
        # 11 mm out of the side, level; at 45 degrees to the side.
        ((-211.0, 0.0, -22.0), (1, 0, 0), 11.0),
        ((-211.0, 0.0, -22.0), (1, 1, 0), 11.0 * math.sqrt(2.0)),
        # 2 mm over the front, falling 1 in 2: 2 sqrt(5).
        ((0.0, 0.0, 2.0), (2, 0, -1), 2.0 * math.sqrt(5.0)),
        # Over the front and beside the board: at the front's level it is still 10 mm outside.
        ((-214.0, 0.0, 2.0), (2, 0, -1), 7.0 * math.sqrt(5.0)),
        # It leads away.
        ((0.0, 0.0, 2.0), (0, 0, 1), 60.0),
        ((-250.0, 0.0, -22.0), (-1, 0, 0), 60.0),
    ],
)
def test_how_far_from_the_start(start, way, along):
    assert entry(bore(start, way, 6.0, 60.0), SKIN) == pytest.approx(along, abs=1e-9)
