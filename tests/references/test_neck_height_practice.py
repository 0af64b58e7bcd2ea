"""Neck geometry against figures that makers go by: common practice, no source."""

import math

import pytest

from bodycad.instrument.neck import Neck, board_half_width, last_fret_x
from bodycad.instrument.stack import Stack, saddle_height, solve


def neck(scale, frets):
    return Neck(scale, frets, 43, 35, 56)


@pytest.mark.parametrize(
    "scale, frets, left",
    [
        (609.6, 21, 181.2),
        (609.6, 22, 171.1),
        (609.6, 24, 152.4),
        (628.65, 21, 186.9),
        (628.65, 22, 176.4),
        (628.65, 24, 157.2),
        (635, 21, 188.8),
        (635, 22, 178.2),
        (635, 24, 158.8),
        (647.7, 21, 192.6),
        (647.7, 22, 181.8),
        (647.7, 24, 161.9),
        (685.8, 21, 203.9),
        (685.8, 22, 192.4),
        (685.8, 24, 171.4),
        (727.1, 21, 216.2),
        (727.1, 22, 204.0),
        (727.1, 24, 181.8),
        (863.6, 20, 272.0),
        (863.6, 21, 256.7),
        (863.6, 22, 242.3),
        (863.6, 24, 215.9),
    ],
)
def test_last_fret_to_saddle_line(scale, frets, left):
    assert last_fret_x(neck(scale, frets)) == pytest.approx(left, abs=0.051)


def test_board_from_43_to_56_widens_2_1_mm_over_a_pocket():
    n = neck(647.7, 22)
    assert 2 * (board_half_width(n, 200) - board_half_width(n, 276)) == pytest.approx(
        2.1, abs=0.051
    )


@pytest.mark.parametrize(
    "bridge, board, angle", [(16, 9.5, 0.7), (16, 6, 1.8), (17.5, 5, 2.6), (19, 4, 3.4)]
)
def test_neck_angle_examples(bridge, board, angle):
    """25.5 scale, pivot at the last of 22 frets, fret 1.2, string plane 2 x 1.8 - 0.5 at the
    saddle."""
    stack = Stack(25.4 - board, 25.4, 181.8, 1.8, 1.8, 0.5, 1.2, bridge_height=bridge)
    assert solve(stack, for_="angle").angle_deg == pytest.approx(angle, abs=0.051)


@pytest.mark.parametrize(
    "shim, angle, rise, within",
    [(0.25, 0.19, 0.85, 0.0051), (0.5, 0.38, 1.7, 0.051), (1.0, 0.75, 3.4, 0.051)],
)
def test_wedge_under_a_76_mm_pocket(shim, angle, rise, within):
    flat = Stack(15.9, 25.4, 76 + 182, 1.6, 1.8, 0.5, 1.2)
    tilt = math.degrees(math.atan(shim / 76))
    tilted = Stack(15.9, 25.4, 76 + 182, 1.6, 1.8, 0.5, 1.2, angle_deg=tilt)
    assert tilt == pytest.approx(angle, abs=0.0051)
    assert saddle_height(tilted) - saddle_height(flat) == pytest.approx(rise, abs=within)
