"""`cut-way` on a board of 400 x 300 x 44 mm: cuts that no tool comes to as it is said, and those
that it does."""

from __future__ import annotations

import math

import pytest

from bodycad.checks.wood.drilled import drilled_from
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.words import Face
from tests.checks.bench import T, ask, bevel, board, cut, one

DOWN, UP = (0, 0, -1), (0, 0, 1)


def barred(layout):
    """What is found beside the count: code, subjects and words."""
    *found, count = ask(layout, "cut-way")
    assert count.status == "pass" and all(f.status == "fail" and f.cure and f.at for f in found)
    return [(f.code, f.subjects) for f in found]


def block(size, low, high, x=0.0):
    return Prism(rectangle(size, size, 6.4, x, 0.0), low, high)


def test_a_dish_of_the_front_said_to_be_cut_from_the_back():
    """6 mm deep in front: from the back 38 mm of wood lie in the way."""
    layout = board(cut("dish", block(40.0, -6.0, 0.0), "back", opens={"front"}))
    found = one(layout, "cut-way", "dish.cut")
    assert "as deep as 38.00 mm" in found.text and found.at[0][2] == -6.0
    assert found.cure == "write face 'front': dish.cut is open to the front"
    assert barred(board(cut("dish", block(40.0, -6.0, 0.0)))) == []


@pytest.mark.parametrize("way, start", [(DOWN, 0.0), (UP, -15.0)])
def test_a_hole_of_the_front_said_to_be_drilled_from_the_back(way, start):
    """15 mm deep in front: from the back 29 mm of wood, whichever end is drawn first."""
    shape = bore((0.0, 0.0, start), way, 8.0, 15.0)
    found = one(board(cut("a", shape, "back", "BORE", {"front"})), "cut-way", "a.cut")
    assert "as deep as 29.00 mm" in found.text and "write face 'front'" in found.cure
    assert barred(board(cut("a", shape, "front", "BORE"))) == []


@pytest.mark.parametrize("mouth, free", [(30.0, False), (43.8, False), (43.95, True), (50.0, True)])
def test_a_room_under_a_smaller_mouth(mouth, free):
    """A room of 44 mm from 10 to 26 mm under the back: a tool that takes it takes the mouth as wide
    as the room. Within a tenth of a mm it is as wide."""
    room = cut("room", block(44.0, 10.0 - T, 26.0 - T), "back", opens=set(), meets={"mouth.cut"})
    layout = board(room, cut("mouth", block(mouth, -T, 10.0 - T), "back"))
    assert barred(layout) == ([] if free else [("cut-way", ("room.cut",))])
    if not free:
        found = one(layout, "cut-way", "room.cut")
        assert "as deep as 10.00 mm" in found.text and found.at[0][2] == 10.0 - T
        assert found.cure.startswith("raise room.cut to the back")


def test_a_sealed_room_and_a_sealed_hole():
    room = cut("room", block(44.0, 10.0 - T, 26.0 - T), "back", opens=set())
    hole = cut("hole", bore((100.0, 0.0, -20.0), DOWN, 8.0, 10.0), operation="BORE", opens=set())
    aslant = bore((-100.0, 0.0, -20.0), (1, 0, -1), 6.0, 15.0)
    layout = board(room, hole, cut("aslant", aslant, operation="BORE", opens=set()))
    assert barred(layout) == [("cut-way", (f"{name}.cut",)) for name in ("room", "hole", "aslant")]
    assert "20.00 mm" in one(layout, "cut-way", "hole.cut").text
    assert "at its very start" in one(layout, "cut-way", "aslant.cut").text


def test_a_wide_hole_under_a_narrow_one():
    """6 mm at the face and 14 mm from 15 mm down; the other way round a drill goes in."""
    narrow, wide = bore((0, 0, 0), DOWN, 6.0, 15.0), bore((0, 0, -15), DOWN, 14.0, 10.0)
    under = board(
        cut("a", narrow, operation="BORE"),
        cut("b", wide, operation="BORE", opens=set(), meets={"a.cut"}),
    )
    assert barred(under) == [("cut-way", ("b.cut",))]
    over = board(
        cut("a", bore((0, 0, 0), DOWN, 14.0, 15.0), operation="BORE"),
        cut("b", bore((0, 0, -15), DOWN, 6.0, 10.0), "front", "BORE", set(), {"a.cut"}),
    )
    assert barred(over) == []


def test_one_cut_drawn_twice():
    """Holes by whichever end is drawn first; a hole of another depth is another cut."""
    one_, same = bore((0, 0, 0), DOWN, 8.0, 15.0), bore((0, 0, -15), UP, 8.0, 15.0)
    deeper = bore((0, 0, 0), DOWN, 8.0, 15.2)
    for other, found in ((one_, True), (same, True), (deeper, False)):
        layout = board(
            cut("a", one_, "front", "BORE"), cut("b", other, "front", "BORE", meets={"a.cut"})
        )
        assert barred(layout) == ([("cut-way.twice", ("a.cut", "b.cut"))] if found else [])
    rooms = cut("a", block(40.0, -9.0, 0.0)), cut("b", block(40.0, -9.0, 0.0))
    assert barred(board(*rooms)) == [("cut-way.twice", ("a.cut", "b.cut"))]
    assert barred(board(rooms[0], cut("b", block(40.2, -9.0, 0.0)))) == []


def test_an_upright_hole_said_to_be_drilled_from_the_edge():
    layout = board(cut("a", bore((0, 0, 0), DOWN, 8.0, 15.0), "edge", "BORE", {"front"}))
    found = one(layout, "cut-way", "a.cut")
    assert "comes from the front" in found.text and found.cure == "write face 'front'"


def test_a_hole_from_the_edge():
    """From the outline inward, or in a cup; not from within the wood outward."""
    cup = cut("cup", bore((0, -150, -22), (0, 1, 0), 20.0, 8.0), "edge", "BORE")
    hole = bore((0, -142, -22), (0, 1, 0), 8.0, 30.0)
    within = cut("a", hole, "edge", "BORE", {"edge"}, {"cup.cut"})
    assert barred(board(cup, within)) == []
    assert barred(board(cut("a", hole, "edge", "BORE"))) == [("cut-way", ("a.cut",))]
    outward = bore((0, -120, -22), (0, -1, 0), 8.0, 30.0)
    assert barred(board(cut("a", outward, "edge", "BORE"))) == [("cut-way", ("a.cut",))]


def test_a_slot_routed_from_the_edge():
    """A slot that runs out of the side is open; one that ends in it, or narrows, is not."""
    turned = Prism(slot(60.0, 12.0, 0.0, -150.0, 80.0), -28.0, -16.0)
    assert barred(board(cut("a", turned, "edge", opens={"edge"}))) == []
    inside = Prism(slot(60.0, 12.0, 0.0, -100.0, 90.0), -28.0, -16.0)
    assert barred(board(cut("a", inside, "edge", opens={"edge"}))) == [("cut-way", ("a.cut",))]
    narrows = Prism(circle(30.0, 0.0, -140.0), -28.0, -16.0)
    assert barred(board(cut("a", narrows, "edge", opens={"edge"}))) == [("cut-way", ("a.cut",))]


def test_a_point_that_lies_toward_the_face():
    """A pilot that is drawn with flat ends gets its point at the right end; one drawn with a point
    toward its face is told."""
    flat = bore((0, 0, -12), UP, 3.0, 12.0)
    layout = board(cut("a", flat, "front", "PILOT"))
    assert barred(layout) == []
    hole = layout.by_id["a.cut"].shape.hole
    assert hole.start == (0.0, 0.0, 0.0) and hole.end[2] < -12.0 and hole.tip > 0.0
    pointed = Bore((0, 0, -12), UP, 3.0, 12.0, 118.0)
    found = one(board(cut("a", pointed, "front", "BORE")), "cut-way", "a.cut")
    assert "its point lies toward that face" in found.text


def test_cuts_that_begin_in_others_are_free():
    """A stepped pocket; a hole from its floor; one from the front into a cavity of the back; and
    what begins under the plain face where a contour takes the wood over it."""
    step = cut("step", block(80.0, -10.0, 0.0))
    deep = cut("deep", block(40.0, -25.0, -10.0), opens=set(), meets={"step.cut"})
    hole = bore((0, 0, -25), DOWN, 8.0, 10.0)
    pilot = cut("pilot", hole, "front", "PILOT", set(), {"deep.cut"})
    assert barred(board(step, deep, pilot)) == []
    cavity = cut("box", block(60.0, -T, -6.0, 100.0), "back")
    shaft = bore((100, 0, -6), UP, 9.0, 6.0)
    assert barred(board(cavity, cut("pot", shaft, "front", "BORE", meets={"box.cut"}))) == []
    low = Prism(circle(20.0, 175.0, 0.0), -20.0, -5.0)
    carved = board(cut("a", low), contours=(bevel("front", (130.0, 0.0), 0.0),))
    assert barred(carved) == []
    assert barred(board(cut("a", low))) == [("cut-way", ("a.cut",))]


def test_a_hole_in_a_tilted_floor():
    """The floor is 12 mm deep in the middle and rises 0.2 mm a mm: over the hole's axis it is 7 mm
    deep. A drill that starts there takes the wedge beside it, and not 10 mm of wood."""
    tilted = Prism(rectangle(60.0, 40.0), -12.0, 0.0, (0.2, 0.0), (0.0, 0.0))
    for start, free in ((-7.0, True), (-6.0, True), (-17.0, False)):
        hole = bore((25.0, 0.0, start), DOWN, 4.0, 20.0)
        pilot = cut("b", hole, "front", "PILOT", set(), {"a.cut"})
        found = barred(board(cut("a", tilted), pilot))
        assert found == ([] if free else [("cut-way", ("b.cut",))]), start


def test_a_slanted_hole_is_drilled_from_where_its_cavity_opens():
    """Whatever face it is said to have; only one that comes out of a face must name the right
    one."""
    cavity = cut("box", block(80.0, -T, -10.0), "back")
    rise = math.tan(math.radians(30.0))
    inner = bore((20, 0, -30), (1, 0, rise), 6.0, 50.0)
    layout = board(cavity, cut("way", inner, "front", "CHANNEL", set(), {"box.cut"}))
    way = layout.by_id["way.cut"]
    assert barred(layout) == [] and drilled_from(way, layout.body) is Face.BACK
    out = bore((20, 0, -30), (1, 0, rise), 6.0, 64.0)
    layout = board(cavity, cut("way", out, "front", "BORE", {"front"}, {"box.cut"}))
    assert "comes from the back" in one(layout, "cut-way", "way.cut").text
    layout = board(cavity, cut("way", out, "back", "BORE", {"front"}, {"box.cut"}))
    assert barred(layout) == []


def test_wood_behind_a_way_for_wires_is_asked_about_once():
    """A wire's way that begins in wood is wire-path's to tell; any other hole is told here."""
    shape = bore((0, 0, -20), (1, 0, 0), 6.0, 60.0)
    box = cut("box", block(40.0, -T, -10.0, 60.0), "back")
    layout = board(box, cut("way", shape, "front", "CHANNEL", set(), {"box.cut"}))
    assert barred(layout) == []
    shanks = [f for f in ask(layout, "wire-path") if f.subjects == ("way.cut", "shank")]
    assert [f.status for f in shanks] == ["fail"]
    layout = board(box, cut("way", shape, "front", "BORE", set(), {"box.cut"}))
    assert barred(layout) == [("cut-way", ("way.cut",))]
