"""`one-piece` on a board of 400 x 300 x 44 mm: what is parted by its cuts, level by level, and what
hangs together although no cut leaves it alone in plan. Volumes are worked out by hand."""

from __future__ import annotations

import pytest

from bodycad.checks.wood.parted import parted
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.words import SIDES
from tests.checks.bench import T, ask, board, cut

THROUGH = set(SIDES)


def ring(low, high, gap=0.0, name="ring", face="front", opens=THROUGH):
    """Four slots round a block of 60 mm, each 10 mm wide; `gap` mm of wood are left at a corner."""
    sides = [
        (rectangle(70 - gap, 10, 0.0, -5.0 - gap / 2.0, 35.0), "a"),
        (rectangle(80, 10, 0.0, 0.0, -35.0), "b"),
        (rectangle(10, 80, 0.0, -35.0, 0.0), "c"),
        (rectangle(10, 80, 0.0, 35.0, 0.0), "d"),
    ]
    return [
        cut(f"{name}.{letter}", Prism(plan, low, high), face, opens=opens) for plan, letter in sides
    ]


def loose(layout):
    """Volume and cuts of each part that comes loose."""
    found = parted(layout.body)
    asked = [f for f in ask(layout, "one-piece") if f.status == "fail"]
    assert len(asked) == len(found) and all(f.cure and f.at for f in asked)
    return [(one.volume, set(one.cuts)) for one in found]


def test_a_board_hangs_together():
    layout = board()
    (found,) = ask(layout, "one-piece")
    assert found.status == "pass" and found.text.startswith("1 of 1 workpieces")


def test_a_board_of_two_halves_on_a_thread_does_not():
    """No cut at all: 200 mm squares joined by 0.4 mm of wood."""
    rows = [(-220, -100), (-10, -100), (-10, -0.2), (10, -0.2), (10, -100), (220, -100)]
    outline = profile([*rows, *((x, -y) for x, y in reversed(rows))])
    ((volume, cuts),) = loose(board(outline=outline))
    assert volume == pytest.approx(209.5 * 199.5 * T, rel=1e-6) and not cuts


def test_an_island_in_a_ring_falls_out():
    """60 x 60 x 44 mm less half of what is too narrow to hold, all round."""
    layout = board(*ring(-T, 0.0))
    ((volume, cuts),) = loose(layout)
    assert volume == pytest.approx(59.5**2 * T, rel=1e-9)
    assert cuts == {"ring.a.cut", "ring.b.cut", "ring.c.cut", "ring.d.cut"}
    (found,) = [f for f in ask(layout, "one-piece") if f.status == "fail"]
    assert abs(found.at[0][0]) < 30.0 and abs(found.at[0][1]) < 30.0


@pytest.mark.parametrize("floor, held", [(-T + 0.5, True), (-T, False)])
def test_a_floor_holds_the_island(floor, held):
    opens = {"front"} if held else THROUGH
    assert bool(loose(board(*ring(floor, 0.0, opens=opens)))) is not held


@pytest.mark.parametrize("gap, held", [(0.4, False), (2.0, True)])
def test_wood_at_a_corner_holds_it_where_it_is_wide_enough(gap, held):
    """A bridge of 0.4 mm holds nothing, one of 2 mm does."""
    assert bool(loose(board(*ring(-T, 0.0, gap)))) is not held


@pytest.mark.parametrize("depth, held", [(20.0, True), (22.0, False), (24.0, False)])
def test_rings_of_both_faces_that_meet_part_it(depth, held):
    """Two rings one over the other: 4 mm of wood between them hold, none do not."""
    front = ring(-depth, 0.0, opens={"front"})
    back = ring(-T, depth - T, name="back", face="back", opens={"back"})
    assert bool(loose(board(*front, *back))) is not held


def test_a_slot_from_edge_to_edge_parts_the_board():
    """Right of it are 400 / 2 - 50 - 5 mm of 300, square corners rounded by 20 mm."""
    layout = board(cut("slot", Prism(rectangle(10, 320, 0.0, 50.0, 0.0), -T, 0.0), opens=THROUGH))
    ((volume, cuts),) = loose(layout)
    assert volume == pytest.approx(145.0 * 300.0 * T, rel=0.01) and cuts == {"slot.cut"}


def test_a_slot_that_ends_in_the_wood_parts_nothing():
    layout = board(cut("slot", Prism(rectangle(10, 280, 0.0, 50.0, 0.0), -T, 0.0), opens=THROUGH))
    assert loose(layout) == []


def test_a_long_bore_across_the_board_parts_nothing():
    """In plan it leaves two areas; there is wood over and under it."""
    way = bore((50.0, -170.0, -22.0), (0, 1, 0), 10.0, 340.0)
    assert loose(board(cut("way", way, "edge", "BORE", {"edge"}))) == []


def test_what_one_cut_takes_whole_is_not_loose():
    layout = board(cut("hole", Prism(circle(30.0), -T, 0.0), opens=THROUGH))
    assert loose(layout) == []
