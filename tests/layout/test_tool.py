"""Tools run past what they open and into what they meet, and take no more wood than drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.tool import OVER, tool_shapes
from bodycad.layout.void import Void
from tests.sample import THICKNESS, design
from tests.solid.bodies import board, hole, pocket

T = THICKNESS


def one(void):
    return tool_shapes(board(void))[void.id]


@pytest.mark.parametrize("top", [0.0, -1e-6, -9e-4, 1e-6, 0.5])
def test_a_pocket_runs_past_the_face_it_opens(top):
    assert one(pocket("p", circle(10), 10.0, top)).high == pytest.approx(OVER, abs=1e-12)


def test_a_pocket_that_starts_below_the_face_stays():
    assert one(pocket("p", circle(10), 10.0, -3.0)).high == -3.0
    assert one(pocket("p", circle(10), 10.0, 0.0, opens="")).high == 0.0


def test_a_back_pocket_runs_down():
    void = Void("p", "p", "back", "POCKET", Prism(circle(10), -T, -T + 5), frozenset({"back"}))
    assert one(void).low == -T - OVER and one(void).high == -T + 5


@pytest.mark.parametrize("tilt", [0.0, 10.0, 40.0])
def test_a_through_hole_clears_both_faces_with_its_whole_disc(tilt):
    a = math.radians(tilt)
    made = one(
        hole(
            "h",
            bore((0, 0, 0), (math.sin(a), 0, -math.cos(a)), 8.0, T / math.cos(a)),
            opens="front back",
        )
    )
    rise = 4.0 * math.sin(a)
    assert made.start[2] - rise == pytest.approx(OVER) and made.end[2] + rise == pytest.approx(
        -T - OVER
    )
    assert made.diameter == 8.0


def test_a_blind_hole_keeps_its_bottom_and_point():
    drill = bore((0, 0, 0), (0, 0, -1), 8.0, 20.0, 118.0)
    made = one(hole("h", drill))
    assert made.end == pytest.approx(drill.end) and made.tip == drill.tip and made.start[2] == OVER


def test_an_edge_bore_starts_outside_a_round_edge():
    a = math.radians(20.0)
    drill = bore((-200, 0, -22), (math.cos(a), math.sin(a), 0), 22.0, 60.0)
    layout = board(hole("jack", drill, "edge", "edge"))
    made = tool_shapes(layout)["jack"]
    assert made.end == pytest.approx(drill.end)
    # The disc's inner rim: 11 mm to the side of the axis, which leans 20 degrees.
    assert made.start[0] + 11.0 * math.sin(a) <= -200.0 - OVER + 1e-9


@pytest.mark.parametrize("end", [-16.0, -16.0 + 5e-4])
def test_a_bore_that_ends_at_a_floor_runs_into_the_pocket(end):
    host = pocket("pocket", rectangle(60, 60), 16.0)
    drill = Void(
        "bolt",
        "p",
        "back",
        "BORE",
        bore((0, 0, -T), (0, 0, 1), 5.0, T + end),
        frozenset({"back"}),
        frozenset({"pocket"}),
    )
    made = tool_shapes(board(host, drill))["bolt"]
    assert made.end[2] == pytest.approx(-16.0 + OVER) and made.start[2] == -T - OVER


def test_it_does_not_where_that_would_take_wood():
    host = pocket("pocket", rectangle(60, 60, 0, 32.0, 0.0), 16.0)
    drill = Void(
        "bolt",
        "p",
        "back",
        "BORE",
        bore((0, 0, -T), (0, 0, 1), 5.0, T - 16.0),
        frozenset({"back"}),
        frozenset({"pocket"}),
    )
    assert tool_shapes(board(host, drill))["bolt"].end[2] == pytest.approx(-16.0)


def test_it_clears_a_tilted_floor():
    host = replace(
        pocket("pocket", rectangle(60, 60), 16.0),
        shape=Prism(rectangle(60, 60), -16.0, 0.0, (0.02, 0.0)),
    )
    drill = Void(
        "bolt",
        "p",
        "back",
        "BORE",
        bore((0, 0, -T), (0, 0, 1), 10.0, T - 16.0),
        frozenset({"back"}),
        frozenset({"pocket"}),
    )
    assert tool_shapes(board(host, drill))["bolt"].end[2] == pytest.approx(
        -16.0 + 5.0 * 0.02 + OVER
    )


def test_every_void_of_the_sample_has_its_tool_in_order():
    layout = design().layout()
    assert list(tool_shapes(layout)) == [void.id for void in layout.voids]
