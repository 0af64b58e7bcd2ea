"""`board-air` by hand: the fretboard's overlap over wood, over relief, and over what is fitted.

Body of the strangers' bench with a neck whose board runs 12 mm on past its heel: 25.4 - 6.4 = 19 mm
from the pocket's floor to the board's underside."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Ledge, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.instrument.neck import board_end_x, board_half_width
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.parts.neckjoint import NeckJoint
from tests.checks.bench import ask, holds
from tests.sample import Loose
from tests.strangers.bench import BOLTS, HEEL, NECK, OUTLINE, THICKNESS, instrument, quoin
from tests.strangers.necks import OwnNeck, Stud, Tongue

LONG = replace(NECK, heel=replace(HEEL, board_overlap=12.0))
PLAYED = replace(instrument(), neck=LONG)
END = board_end_x(LONG)
ON = "neck.board", "front"


def joint(depth=17.0, angle=0.0) -> NeckJoint:
    return NeckJoint(LONG.heel, depth, 6.4, BOLTS, angle_deg=angle, masked=True)


def laid(neck, *more, **changes):
    x = Seat(PLAYED, 17.0, getattr(neck, "angle_deg", 0.0)).end[0]
    swap = {"neck": Placed("neck", neck, Place(x))}
    return quoin(*more, swap=swap, instrument=PLAYED, **changes).layout()


def found(layout) -> dict:
    return {f.subjects: f for f in ask(layout, "board-air")}


def relief(depth: float, length: float = 30.0, width: float = 60.0) -> Placed:
    """A shallow pocket from the front round the board's end."""
    plan = rectangle(length, width, 3.0, END + 10.0, 0.0)
    shape = Prism(plan, -depth, 0.0)
    cut = Void("relief.cut", "relief", "front", "POCKET", shape, {"front"}, {"neck.pocket"})
    return Placed("relief", Loose((cut,)))


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "depth, air, status",
    [(17.0, 2.0, "pass"), (18.8, 0.2, "warn"), (19.0, 0.0, "warn"), (20.5, -1.5, "fail")],
)
def test_a_deep_pocket_puts_the_overlap_into_wood(depth, air, status, left):
    layout = laid(joint(depth), left_handed=left)
    holds(found(layout)[ON], status, air, 1e-9)


def test_a_makers_own_neck_is_asked_alike():
    studs = tuple(Stud(b.u, b.v, THICKNESS - 20.5 - b.wood, b.length) for b in BOLTS)
    own = OwnNeck(Tongue(), studs, slot=20.5)
    holds(found(laid(own))["neck.playing", "front"], "fail", -1.5, 1e-9)


@pytest.mark.parametrize("deep, air, status", [(2.0, 0.5, "pass"), (1.0, -0.5, "fail")])
def test_a_relief_in_the_front_is_counted(deep, air, status):
    layout = laid(joint(20.5), relief(deep))
    holds(found(layout)[ON], status, air, 1e-9)
    assert deep < 1.5 or "relief.cut" in found(layout)[ON].text


def test_a_relief_that_is_too_narrow_leaves_wood_under_the_board():
    holds(found(laid(joint(20.5), relief(3.0, width=50.0)))[ON], "fail", -1.5, 1e-9)


def test_a_deeper_cut_takes_a_shallow_floor_away():
    """A relief that lies inside a deeper one has no floor of its own."""
    plan = rectangle(40.0, 70.0, 3.0, END + 10.0, 0.0)
    deep = Void("deep.cut", "deep", "front", "POCKET", Prism(plan, -9.0, 0.0), {"front"})
    layout = laid(joint(20.5), relief(1.0), Placed("deep", Loose((deep,))))
    answer = found(layout)[ON]
    assert answer.status == "pass" and "no wood lies under" in answer.text


def test_a_front_that_falls_away_is_relief():
    """A plane that falls 0.2 a mm toward the nut from 20 mm before the board's end, over all of the
    overlap: the front is lowest at the nut's side, so the board's end is nearest, 4 mm over it."""
    rows = [(0.0, 0.0), (150.0, -30.0), (150.0, 10.0), (0.0, 10.0)]
    carve = Carve(profile(rows), (END - 20.0, 0.0), 0.0, (-200.0, 200.0))
    skin = Skin(OUTLINE, THICKNESS, Square(), Square(), (Contour("contour.top", "front", carve),))
    answer = found(laid(joint(20.5), skin=skin))[ON]
    holds(answer, "pass", 20.0 * 0.2 - 1.5, 0.05)
    assert 0.0 < answer.bound <= 0.06


@pytest.mark.parametrize("angle", [1.5, -1.0])
@pytest.mark.parametrize("edge", [Square(), Ledge((3.0,), 4.0)])
def test_a_turned_board_against_a_fine_grid(angle, edge):
    """The board's underside as a turned plane, wherever there is plain wood under it on a grid of
    0.25 mm."""
    neck, skin = joint(20.0, angle), Skin(OUTLINE, THICKNESS, edge, Square())
    layout = laid(neck, skin=skin)
    answer = found(layout)[ON]
    a, over = math.radians(angle), 29.5
    own = PLAYED.neck
    along = own.heel.length + board_end_x(own) + own.heel.board_overlap
    mouth = along * math.cos(a) - over * math.sin(a)
    x, y = np.meshgrid(np.arange(END - 2.0, 251.0, 0.25), np.arange(-30.0, 30.01, 0.25))
    under = -20.0 + 19.0 / math.cos(a) + (mouth - x) * math.tan(a)
    # Where along the board a point of its underside lies: back on the turned plane.
    back = (x - mouth) / math.cos(a) - 19.0 * math.tan(a) + along
    half = np.vectorize(lambda t: board_half_width(own, t))(back)
    on = (back >= END) & (np.abs(y) <= half)
    spots = np.column_stack([x[on], y[on]])
    pocket = layout.by_id["neck.pocket"].shape.plan
    wood = OUTLINE.segments.encloses(spots) & ~pocket.segments.encloses(spots)
    front = np.where(OUTLINE.signed_distance(spots) > -3.0, -4.0 if edge.drop else 0.0, 0.0)
    least = float((under[on] - front)[wood].min())
    assert answer.value == pytest.approx(least, abs=0.02 + answer.bound)
    assert answer.value - answer.bound <= least + 1e-9


@pytest.mark.parametrize("high, status", [(2.0, "fail"), (1.5, "warn"), (0.2, "pass")])
def test_a_part_under_the_overlap(high, status):
    """A disc that stands `high` over the front, under the board's underside at 2.0."""
    room = Room("disc.body", "disc", "part", Prism(circle(10.0, END + 4.0, 0.0), -1.0, high))
    layout = laid(joint(17.0), Placed("disc", Loose((), (room,))))
    answer = found(layout)["disc.body", "neck.board"]
    holds(answer, status, 2.0 - high, 1e-6)


def test_a_part_beside_the_board():
    room = Room("disc.body", "disc", "part", Prism(circle(10.0, END - 8.0, 0.0), -1.0, 9.0))
    answer = found(laid(joint(17.0), Placed("disc", Loose((), (room,)))))["disc.body", "neck.board"]
    holds(answer, "pass", 3.0, 1e-6)


def test_no_joint_is_skipped():
    assert [f.status for f in ask(quoin(swap={"neck": None}).layout(), "board-air")] == ["skip"]
