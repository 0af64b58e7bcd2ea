"""`wall`, `floor`, `edge`, `breakout` on boards whose figures are worked by hand."""

from __future__ import annotations

import math

import pytest

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour
from tests.checks.bench import (
    T,
    ask,
    bevel,
    board,
    cavity,
    cut,
    holds,
    looser,
    none,
    one,
    pocket,
    with_shop,
)


@pytest.mark.parametrize(
    "apart, wall, status", [(45.5, 5.5, "pass"), (44.0, 4.0, "warn"), (42.0, 2.0, "fail")]
)
def test_two_pockets_side_by_side(apart, wall, status):
    """Two pockets 40 mm long, centres `apart`: the wall is apart - 40."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0), pocket("b", apart, 0.0, 40.0, 40.0, 15.0)
    )
    holds(one(layout, "wall", "a.cut", "b.cut"), status, wall)


def test_a_wall_is_measured_in_space():
    """3 mm beside and 4 mm above: 5 mm between the corners."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0), cavity("b", 43.0, 0.0, 40.0, 40.0, 24.0)
    )
    holds(one(layout, "wall", "a.cut", "b.cut"), "pass", 5.0)


def test_a_screw_that_meets_a_pocket_unbidden_fails():
    hole = cut("screw", bore((19.0, 0.0, 0.0), (0, 0, -1), 3.0, 15.0), operation="PILOT")
    found = one(board(pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0), hole), "wall", "a.cut", "screw.cut")
    holds(found, "fail", 0.0)
    assert "meet" in found.text


def test_declared_openings_are_no_walls():
    hole = cut(
        "hole", bore((0.0, 0.0, 0.0), (0, 0, -1), 8.0, 8.0), operation="BORE", meets=("b.cut",)
    )
    assert none(board(cavity("b", 0.0, 0.0, 40.0, 40.0, 6.0), hole), "wall", "b.cut", "hole.cut")


@pytest.mark.parametrize(
    "depth, wood, status", [(38.0, 6.0, "pass"), (40.0, 4.0, "warn"), (42.0, 2.0, "fail")]
)
def test_wood_to_the_plain_back(depth, wood, status):
    holds(
        one(board(pocket("a", 0.0, 0.0, 40.0, 40.0, depth)), "floor", "a.cut", "back"), status, wood
    )


@pytest.mark.parametrize(
    "depth, wood, status", [(25.0, 7.0, "pass"), (28.0, 4.0, "warn"), (30.0, 2.0, "fail")]
)
def test_a_hole_over_a_scoop(depth, wood, status):
    """A scoop of radius 100 that is 12 mm deep at its middle (top at z = -32) under a flat hole
    there."""
    scoop = Contour(
        "scoop", "back", Carve(circle(200.0, 0.0, -132.0), (0.0, 0.0), 90.0, (-60.0, 60.0))
    )
    hole = cut("hole", bore((0.0, 0.0, 0.0), (0, 0, -1), 10.0, depth), operation="BORE")
    holds(one(board(hole, contours=[scoop]), "floor", "hole.cut", "scoop"), status, wood, 0.011)


def test_a_steep_carve_of_the_back_that_runs_out_above_the_front():
    """Plane z = u - 44, 20 mm long, right up through the front; a pocket 20 deep whose side is at u
    = 10 has 14 mm under its corner, 14 / sqrt 2 to the plane."""
    from bodycad.geometry.plane.profile import profile

    steep = Carve(
        profile([(0.0, -T), (60.0, 16.0), (60.0, -T - 10.0), (0.0, -T - 10.0)]),
        (0.0, 0.0),
        0.0,
        (-10.0, 10.0),
    )
    layout = board(
        pocket("a", -10.0, 0.0, 40.0, 40.0, 20.0), contours=[Contour("steep", "back", steep)]
    )
    holds(one(layout, "floor", "a.cut", "steep"), "pass", 14.0 / math.sqrt(2.0), 0.011)


def test_a_cavity_under_a_forearm_bevel():
    """Plane z = -u/4; the corner at u = 40, z = -20 is (20 - 10) / sqrt(1 + 1/16) = 9.701 mm from
    it."""
    layout = board(
        cavity("b", 30.0, 0.0, 20.0, 30.0, 20.0), contours=[bevel("front", (0.0, 0.0), 0.0)]
    )
    holds(one(layout, "floor", "b.cut", "contour.front"), "pass", 10.0 / math.sqrt(1.0625), 0.011)


def test_a_neck_pocket_is_judged_only_where_there_is_body():
    """A pocket that runs out over the end: a bevel that starts 5 mm past the end takes nothing from
    it."""
    shape = Prism(rectangle(60.0, 40.0, 0.0, 200.0, 0.0), -30.0, 0.0)
    neck = cut("neck", shape, opens=("front", "edge"))
    layout = board(neck, contours=[bevel("back", (205.0, 0.0), 0.0, drop=30.0)])
    holds(one(layout, "floor", "neck.cut", "back"), "pass", 14.0)


def test_both_pieces_of_a_pocket_that_crosses_a_cutaway_are_judged():
    """The overrun crosses a gap and cuts into a horn again, there over a back bevel: the horn's
    wood counts.

    At the horn's end, x = 260, the bevel from x = 220 at 1/4 stands 10 mm over the back: 14 - 10 =
    4 mm upright under the pocket's low corner (260, -30). Square to the bevel it would be nearer,
    in the air beyond the end."""
    from bodycad.geometry.plane.profile import profile

    outline = profile(
        [
            (-200, -100),
            (260, -100),
            (260, 20),
            (230, 20),
            (230, -60),
            (200, -60),
            (200, 100),
            (-200, 100),
        ]
    )
    neck = cut(
        "neck", Prism(rectangle(120.0, 20.0, 0.0, 220.0, 0.0), -30.0, 0.0), opens=("front", "edge")
    )
    layout = board(neck, outline=outline, contours=[bevel("back", (220.0, 0.0), 0.0)])
    holds(one(layout, "floor", "neck.cut", "contour.back"), "warn", 4.0, 0.011)


@pytest.mark.parametrize(
    "radius, wood, status", [(6.0, 8.0, "pass"), (10.0, 4.0, "warn"), (12.0, 2.0, "fail")]
)
def test_wood_at_the_mouth_over_the_roundover(radius, wood, status):
    """A 30 mm pocket runs out of the end of a 44 mm board: 14 mm less the roundover is left
    there."""
    neck = cut(
        "neck", Prism(rectangle(60.0, 40.0, 0.0, 200.0, 0.0), -30.0, 0.0), opens=("front", "edge")
    )
    holds(one(board(neck, back=Roundover(radius)), "floor", "neck.cut", "edge.back"), status, wood)


def test_a_channel_counts_only_as_far_as_it_runs_in_wood():
    """At 45 degrees into a cavity whose wall is at x = 20: the 6 mm hole is all inside once its
    axis is r sin 45 = 2.121 past the wall, at z = -32.121; its lowest wood is 2.121 below, 44 -
    34.243 = 9.757."""
    wire = cut(
        "wire",
        bore((0.0, 0.0, -10.0), (1.0, 0.0, -1.0), 6.0, 30.0 * math.sqrt(2.0)),
        operation="CHANNEL",
        opens=(),
        meets=("b.cut", "a.cut"),
    )
    layout = board(
        pocket("a", -10.0, 0.0, 30.0, 30.0, 20.0), cavity("b", 45.0, 0.0, 50.0, 40.0, 4.0), wire
    )
    holds(one(layout, "floor", "wire.cut", "back"), "pass", 9.757, 0.01)


def test_no_wood_is_counted_where_a_hole_leads_into_an_open_cavity():
    hole = cut(
        "hole", bore((0.0, 0.0, 0.0), (0, 0, -1), 8.0, 8.0), operation="BORE", meets=("b.cut",)
    )
    layout = board(cavity("b", 0.0, 0.0, 40.0, 40.0, 6.0), hole)
    assert none(layout, "floor", "hole.cut", "back")
    # A hole half beside the cavity still has wood under that half.
    hole = cut(
        "hole", bore((20.0, 0.0, 0.0), (0, 0, -1), 8.0, 8.0), operation="BORE", meets=("b.cut",)
    )
    holds(
        one(board(cavity("b", 0.0, 0.0, 40.0, 40.0, 6.0), hole), "floor", "hole.cut", "back"),
        "pass",
        36.0,
    )


@pytest.mark.parametrize("inset, status", [(9.0, "pass"), (6.0, "warn"), (4.0, "fail")])
def test_wood_to_the_side(inset, status):
    holds(
        one(board(pocket("a", 180.0 - inset, 0.0, 40.0, 40.0, 20.0)), "edge", "a.cut", "edge"),
        status,
        inset,
    )


def test_a_roundover_thins_the_rim():
    """A back cavity 10 mm from the side, open at the back: 10 - 6 = 4 mm to where the roundover
    begins."""
    part = cavity("b", 170.0, 0.0, 40.0, 40.0, 6.0)
    holds(one(board(part), "edge", "b.cut", "edge"), "pass", 10.0)
    holds(one(board(part, back=Roundover(6.0)), "edge", "b.cut", "edge"), "fail", 4.0)


def test_a_binding_ledge_thins_the_rim():
    """A front pocket 9 mm from the side and a ledge 1.9 mm wide (strip 2.0 less 0.1 proud): 7.1
    mm."""
    layout = board(pocket("a", 171.0, 0.0, 40.0, 40.0, 20.0), front=Ledge((2.0,), 6.4))
    holds(one(layout, "edge", "a.cut", "edge"), "warn", 7.1)


def test_nothing_breaks_out_of_a_sound_board():
    found = ask(board(pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0)), "breakout")
    assert [f.status for f in found] == ["pass"] and "1 of 1" in found[0].text


def test_a_pocket_deeper_than_the_board():
    found = one(board(pocket("a", 0.0, 0.0, 40.0, 40.0, 44.8)), "breakout", "a.cut", "back")
    holds(found, "fail", -0.8)
    assert found.margin == pytest.approx(-0.8)


def test_a_slanted_hole_through_the_front():
    """At 30 degrees up from z = -10, 25 mm long: its end's rim stands at -10 + 12.5 + 3 cos 30 =
    5.098."""
    slant = cut(
        "hole",
        bore((0.0, 0.0, -10.0), (math.cos(math.pi / 6), 0.0, 0.5), 6.0, 25.0),
        "edge",
        "BORE",
        opens=(),
    )
    holds(
        one(board(slant), "breakout", "hole.cut", "front"),
        "fail",
        -(2.5 + 3.0 * math.cos(math.pi / 6)),
    )


def test_a_level_hole_under_a_bevel():
    """Plane z = -u/4; a hole of radius 4 along it at u = 40, z = -12: upright, its side passes the
    plane by 4 sqrt(1 + 1/16) - 2 = 2.123 mm."""
    level = cut(
        "hole", bore((40.0, -30.0, -12.0), (0.0, 1.0, 0.0), 8.0, 60.0), "edge", "BORE", opens=()
    )
    found = one(
        board(level, contours=[bevel("front", (0.0, 0.0), 0.0)]),
        "breakout",
        "hole.cut",
        "contour.front",
    )
    holds(found, "fail", -(4.0 * math.sqrt(1.0625) - 2.0), 0.01)


def test_a_hole_out_of_the_side():
    """A 10 mm hole centred 3 mm from the side pokes out by 2 mm."""
    hole = cut("hole", bore((0.0, 147.0, 0.0), (0, 0, -1), 10.0, 20.0), operation="BORE")
    holds(one(board(hole), "breakout", "hole.cut", "edge"), "fail", -2.0, 0.01)


def test_a_channel_that_starts_in_the_neck_pockets_mouth_breaks_nothing():
    """It begins 10 mm outside the body, in the air of the pocket, and enters the wood 30 mm
    inside."""
    neck = cut(
        "neck", Prism(rectangle(45.0, 40.0, 0.0, 192.5, 0.0), -20.0, 0.0), opens=("front", "edge")
    )
    wire = cut(
        "wire",
        bore((210.0, 0.0, -10.0), (-1, 0, 0), 6.0, 80.0),
        operation="CHANNEL",
        opens=(),
        meets=("neck.cut",),
    )
    layout = board(neck, wire)
    assert [
        f.text for name in ("edge", "breakout") for f in ask(layout, name) if f.status != "pass"
    ] == []
    # One that no pocket takes in does come out of the end.
    wire = cut(
        "wire", bore((210.0, 60.0, -10.0), (-1, 0, 0), 6.0, 80.0), operation="CHANNEL", opens=()
    )
    holds(one(board(neck, wire), "breakout", "wire.cut", "edge"), "fail", -10.0, 0.01)


@pytest.mark.parametrize("radius, over", [(11.0, None), (14.0, 2.0)])
def test_a_jack_cup_in_a_thick_roundover(radius, over):
    """A 20 mm cup at mid height reaches up to z = -12: a 14 mm roundover ends 2 mm below that."""
    cup = cut("jack", bore((-210.0, 0.0, -22.0), (1.0, 0.0, 0.0), 20.0, 30.0), "edge", "BORE")
    layout = board(cup, front=Roundover(radius))
    if over is None:
        assert none(layout, "breakout", "jack.cut", "edge.front")
    else:
        holds(one(layout, "breakout", "jack.cut", "edge.front"), "fail", -over)
    # Its lead outside the body meets no contour that runs out of the edge.
    assert none(layout, "breakout", "jack.cut", "front")


def test_the_shop_may_set_its_own_limit():
    layout = board(pocket("a", 0.0, 0.0, 40.0, 40.0, 42.0))
    found = one(with_shop(layout, looser("floor", 1.0, 2.0)), "floor", "a.cut", "back")
    holds(found, "pass", 2.0)
    assert found.limit == 1.0 and found.limit_source == "this test"


@pytest.mark.parametrize("name", ["floor", "wall", "edge", "breakout"])
def test_an_empty_board_has_its_answer(name):
    assert [f.status for f in ask(board(), name)] == ["pass"]


def test_thickness_counts_from_the_back():
    layout = board(pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0), thickness=T - 14.0)
    holds(one(layout, "floor", "a.cut", "back"), "pass", 10.0)
