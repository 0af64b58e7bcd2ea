"""The neck where strings and scale want it, against rigid turning by complex numbers."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from bodycad.errors import InputError
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import (
    Heel,
    Neck,
    board_end_x,
    board_half_width,
    heel_end_x,
    last_fret_x,
    mouth_x,
)
from bodycad.instrument.seat import Seat, heel_plan
from bodycad.instrument.strings import strings

SET = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
HEEL = Heel(54.4, 56.3, 64.0, 25.4, 7.0, board_overlap=6.0)


def played(scale=635.0, **changes) -> Instrument:
    given = {"frets": 24, "nut_width": 42.0, "nut_spread": 35.0, "width_at_last_fret": 56.5}
    neck = Neck(scale, heel=HEEL, **{**given, "overhang": 4.0, **changes})
    return Instrument(neck, SET, 52.5)


def test_level_neck_lies_as_drawn():
    own = played()
    seat, neck = Seat(own, 17.0), own.neck
    assert seat.end == (heel_end_x(neck), 0.0, -17.0)
    assert seat.mouth == (mouth_x(neck), 0.0, -17.0)
    assert seat.block.box[::2] == pytest.approx((160.75, 224.75))
    x0, y0, x1, _ = seat.board.box
    assert (x0, x1) == (board_end_x(neck), 635.0)
    assert -y0 == pytest.approx(board_half_width(neck, x0))
    assert seat.underside(np.array([[160.0, 3.0]])) == pytest.approx([25.4 - 6.4 - 17.0])


def test_strings_over_a_level_neck_by_hand():
    """Board 8.4 over the front, fret 1.2: crowns at 9.6. String 1 (action 1.6, nut 0.5) stands 2.7
    over them at the scale line, 1.6 halfway; pressed at fret 24 it meets the crown a quarter of the
    scale out."""
    own = played()
    seat, line = Seat(own, 17.0), own.lines[0]
    assert seat.string(1, 0.0)[2] == pytest.approx(9.6 + 2.7)
    assert seat.string(1, 317.5)[2] == pytest.approx(9.6 + 1.6)
    assert seat.string(6, 0.0)[2] == pytest.approx(9.6 + 3.1)
    assert seat.string(3, 100.0)[1] == pytest.approx(own.lines[2].y_at(100.0))
    fret = last_fret_x(own.neck)
    assert seat.pressed(1, fret)[2] == pytest.approx(9.6)
    assert seat.pressed(1, fret + 5.0)[2] == pytest.approx(9.6)
    back = own.saddle_points[0][0]
    bears = 9.6 + 0.5 + 2.2 * (635.0 - back) / 635.0
    assert seat.pressed(1, back)[2] == pytest.approx(bears) == seat.string(1, back)[2]
    half = seat.pressed(1, (back + fret) / 2.0)
    assert half[2] == pytest.approx((9.6 + bears) / 2.0)
    assert half[1] == pytest.approx(line.y_at((back + fret) / 2.0))
    assert seat.pressed(1, 317.5, 12)[2] == pytest.approx(9.6)


@pytest.mark.parametrize("angle", [-2.0, 0.0, 1.0, 3.5, 5.0])
def test_turned_neck_is_rigid(angle):
    """Every point of the neck is that of the level drawing times exp(-i angle) in the (x, z) plane;
    of the points so turned, the string at the scale line lies over x = 0, the mouth 17 deep."""
    own = played()
    seat, neck = Seat(own, 17.0, angle), own.neck
    turn = cmath.exp(-1j * math.radians(angle))
    over = 25.4 + 1.2 + 1.6 + 1.8 - 0.5
    drawn = {
        "end": complex(heel_end_x(neck), 0.0),
        "mouth": complex(mouth_x(neck), 0.0),
        "nut": complex(635.0, 25.4),
        "string": complex(0.0, over),
    }
    turned = {name: point * turn for name, point in drawn.items()}
    put = complex(turned["string"].real, turned["mouth"].imag + 17.0)
    for name in ("end", "mouth", "nut"):
        x, _, z = getattr(seat, name)
        assert complex(x, z) == pytest.approx(turned[name] - put, abs=1e-9)
    x, _, z = seat.point(0.0, 0.0, over)
    assert complex(x, z) == pytest.approx(turned["string"] - put, abs=1e-9)
    for along in (20.0, 200.0):
        under = complex(along, 19.0) * turn - put
        there = seat.underside(np.array([[under.real, 0.0]]))
        assert float(there[0]) == pytest.approx(under.imag, abs=1e-9)
        crown = 26.6 + 0.5 + 2.2 * (635.0 - along) / 635.0
        string = complex(along, crown) * turn - put
        found = seat.string(1, string.real)
        assert found[2] == pytest.approx(string.imag, abs=1e-9)
        assert found[1] == pytest.approx(own.lines[0].y_at(along), abs=1e-9)


def test_fanned_board_ends_along_its_last_fret_and_mirrors():
    own = played((635.0, 660.0), frets=24, overhang=12.0)
    seat = Seat(own, 17.0)
    for side in (-1.0, 1.0):
        y = side * board_half_width(own.neck, own.board_end.x)
        x = own.board_end.x_at(y)
        away = np.abs(seat.board.vertices[:, :2] - (x, y)).sum(axis=1).min()
        assert away < 0.1
    twin = Seat(own.mirrored(), 17.0)
    assert twin.board.area == pytest.approx(seat.board.area)
    for k in range(1, 7):
        x, y, z = seat.pressed(k, 60.0)
        assert twin.pressed(k, 60.0) == pytest.approx((x, -y, z))
        assert twin.string(k, 60.0)[2] == pytest.approx(seat.string(k, 60.0)[2])


def test_heel_plan_is_the_heels():
    """A rectangle of 56 x 76 less two corners of radius 7: each (1 - pi/4) 7^2."""
    plan = heel_plan(Heel(56.0, 56.0, 76.0, 25.4, 7.0))
    assert plan.area == pytest.approx(56.0 * 76.0 - 2.0 * 49.0 * (1.0 - math.pi / 4.0))
    assert plan.box == pytest.approx((0.0, -28.0, 76.0, 28.0))


@pytest.mark.parametrize(
    "call",
    [
        lambda: Seat("neck", 17.0),
        lambda: Seat(played(), -1.0),
        lambda: Seat(played(), 17.0, 30.0),
        lambda: Seat(played(), 17.0, 0.0, 0.0),
        lambda: Seat(played(), 17.0).string(1, float("nan")),
    ],
)
def test_the_impossible_is_refused(call):
    with pytest.raises(InputError):
        call()
