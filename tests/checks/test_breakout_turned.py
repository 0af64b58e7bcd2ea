"""How far a void breaks out does not depend on how the body lies, and is what one works out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.checks.wood.escape import poke
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.outline import smooth_outline
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.contours import fall_away

T = 44.0
TURNS = (0.0, 17.0, 33.0, 45.0, 71.3, 90.0, 127.0, 201.7)


def turned(x: float, y: float, turn: float) -> tuple[float, float]:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return c * x - s * y, s * x + c * y


def way(turn: float, down: float) -> tuple[float, float, float]:
    level = math.cos(math.radians(down))
    return (*turned(level, 0.0, turn), -math.sin(math.radians(down)))


@pytest.mark.parametrize("turn", TURNS)
def test_a_bore_out_of_a_square_side(turn):
    # From 100 mm beside the middle, 12 mm wide, 10 degrees down, 120 mm long to a flat end: the
    # rim's upper point is farthest out, 100 + 120 cos 10 + 6 sin 10 from the middle; the side, 200.
    plan = rectangle(400.0, 300.0).moved(turn_deg=turn)
    hole = bore((*turned(100.0, 0.0, turn), -1.0), way(turn, 10.0), 12.0, 120.0)
    far, spot = poke(hole, Skin(plan, T, Square(), Square()), "edge")
    due = 120.0 * math.cos(math.radians(10.0)) + 6.0 * math.sin(math.radians(10.0)) - 100.0
    assert far == pytest.approx(due, abs=0.005)
    assert turned(*spot[:2], -turn)[0] == pytest.approx(200.0 + due, abs=0.005)


@pytest.mark.parametrize("turn", TURNS)
def test_a_pocket_under_a_contour(turn):
    # The face falls by 12 mm over 60 mm from x = 40 on, on a round of (60^2 + 12^2) / 24 = 156 mm
    # radius. A pocket from the back to 8 mm under the plain front, out to x = 97, lies 57 mm along:
    # the face is 156 - sqrt(156^2 - 57^2) lower there.
    plan = rectangle(400.0, 300.0).moved(turn_deg=turn)
    fall = fall_away("arm", "front", T, turned(40.0, 0.0, turn), turn, run=60.0, drop=12.0)
    skin = Skin(plan, T, Square(), Square(), (fall,))
    pocket = Prism(rectangle(30.0, 23.0, 4.0, x=82.0).moved(turn_deg=turn), -T, -8.0)
    far, _ = poke(pocket, skin, "front")
    due = 156.0 - math.sqrt(156.0**2 - 57.0**2) - 8.0
    assert far == pytest.approx(due, abs=0.005)


def test_a_slanted_bore_out_of_a_curved_body_however_it_lies():
    ring = [
        (200.0 * math.cos(t), (140.0 + 20.0 * math.cos(3.0 * t)) * math.sin(t))
        for t in np.arange(24) * math.pi / 12.0
    ]
    plan, found = smooth_outline(ring), []
    for turn in TURNS:
        skin = Skin(plan.moved(turn_deg=turn), T, Roundover(8.0), Roundover(5.0))
        start = turned(90.0, 60.0, turn)
        for down, tip in ((7.0, 118.0), (-11.0, 180.0)):
            hole = bore((*start, -20.0), way(turn + 25.0, down), 9.0, 95.0, tip)
            found.append((down, poke(hole, skin, "edge")[0]))
    for down in (7.0, -11.0):
        figures = [far for one, far in found if one == down]
        assert min(figures) > 5.0 and max(figures) - min(figures) < 0.005
