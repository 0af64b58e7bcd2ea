"""`cutter-corner`, `cutter-reach` by hand. Cutters 6.35 mm reaching 32, 9.5 reaching 38, 12.7
reaching 51."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import circle, rectangle, rounded
from bodycad.geometry.solids.edge import Chamfer, Cove, Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.stretch import Stretch
from bodycad.shop import Shop
from bodycad.tools import Cutter, EdgeBit
from tests.checks.bench import ask, board, cut, holds, one


def routed(corner: float, depth: float, thickness: float = 60.0, shop: Shop = Shop()):
    return board(
        cut("a", Prism(rectangle(60.0, 50.0, corner), -depth, 0.0)), thickness=thickness, shop=shop
    )


@pytest.mark.parametrize(
    "corner, depth, spare, status",
    [
        (3.2, 20.0, 0.025, "pass"),
        (3.0, 20.0, -0.175, "fail"),
        (4.0, 35.0, -0.75, "fail"),
        (5.0, 35.0, 0.25, "pass"),
        (0.0, 20.0, -3.175, "fail"),
    ],
)
def test_the_tightest_corner(corner, depth, spare, status):
    """Down to 32 mm the 6.35 cutter reaches, then the 9.5."""
    holds(one(routed(corner, depth), "cutter-corner", "a.cut"), status, spare)


def test_no_cutter_reaches():
    found = one(routed(10.0, 55.0), "cutter-corner", "a.cut")
    assert found.status == "fail" and "no cutter" in found.text


@pytest.mark.parametrize(
    "corner, depth, spare, status",
    [
        (3.2, 26.0, 6.0, "pass"),
        (3.2, 31.0, 1.0, "warn"),
        (3.2, 33.0, -1.0, "fail"),
        (6.35, 33.0, 18.0, "pass"),
    ],
)
def test_the_longest_cutter_that_fits(corner, depth, spare, status):
    holds(one(routed(corner, depth), "cutter-reach", "a.cut"), status, spare)


def test_corners_outside_the_body_do_not_count():
    """A neck pocket's square mouth lies past the end: only its two inner corners count."""
    shape = rounded(
        [(170.0, -28.0), (215.0, -28.0), (215.0, 28.0), (170.0, 28.0)], (6.35, 0.0, 0.0, 6.35)
    )
    layout = board(cut("neck", Prism(shape, -17.0, 0.0), opens=("front", "edge")))
    holds(one(layout, "cutter-corner", "neck.cut"), "pass", 3.175)


def test_a_round_pocket_takes_any_cutter_smaller_than_itself():
    layout = board(cut("a", Prism(circle(9.6), -20.0, 0.0)))
    holds(one(layout, "cutter-corner", "a.cut"), "pass", 4.8 - 3.175)


def test_a_back_cavity_is_measured_from_the_back():
    shape = Prism(rectangle(60.0, 50.0, 7.0), -44.0, -6.0)
    holds(one(board(cut("b", shape, "back")), "cutter-reach", "b.cut"), "pass", 51.0 - 38.0)


def test_the_shops_own_cutters():
    holds(
        one(routed(3.2, 20.0, shop=Shop(cutters=(Cutter(8.0, 25.0),))), "cutter-corner", "a.cut"),
        "fail",
        -0.8,
    )


def hollow(radius: float, mouth: float = 40.0, **changes):
    """A board with a slot in its end, `mouth` mm wide, that ends in corners of `radius`."""
    half = mouth / 2.0
    spots = [(200, 150), (-200, 150), (-200, half), (-140, half), (-140, -half), (-200, -half)]
    sharp = [*spots, (-200, -150), (200, -150)]
    corners = (0, 0, 0, radius, radius, 0, 0, 0)
    return board(outline=rounded(sharp, corners), **changes)


def halved(layout):
    """The same body, its outline cut half from each face."""
    return layout.with_body(blank=replace(layout.blank, outline_from=None))


def test_a_hollow_of_the_outline_is_a_corner_too():
    """44 mm deep only the 12.7 reaches; half from each face, 22.5 mm as the halves overlap, the
    6.35 does."""
    layout = hollow(0.5)
    holds(one(layout, "cutter-corner", "body.outline"), "fail", 0.5 - 6.35)
    holds(one(hollow(6.5), "cutter-corner", "body.outline"), "pass", 0.15)
    holds(one(hollow(6.5), "cutter-reach", "body.outline"), "pass", 51.0 - 44.0)
    layout = halved(hollow(5.0))
    holds(one(layout, "cutter-corner", "body.outline"), "pass", 5.0 - 3.175)
    holds(one(layout, "cutter-reach", "body.outline"), "pass", 38.0 - 22.5)
    assert one(hollow(6.3), "cutter-reach", "body.outline").status == "fail"


def test_a_hollow_narrower_than_the_cutter_is_not_reached():
    """A throat 10 mm wide before a room 40 mm wide, all corners 7 mm round."""
    throat = [(-200, 5), (-170, 5), (-170, 20), (-110, 20), (-110, -20), (-170, -20), (-170, -5)]
    rest = [(-200, -5), (-200, -150), (200, -150), (200, 150), (-200, 150)]
    corners = (0, 0, 7, 7, 7, 7, 0, 0, 0, 0, 0, 0)
    layout = board(outline=rounded([*throat, *rest][::-1], corners[::-1]))
    found = one(layout, "cutter-corner", "body.outline", text="too narrow")
    assert found.status == "fail" and found.code == "cutter-corner.narrow"
    (x, y, _), (u, v, _) = found.at
    assert -200.0 <= x <= -165.0 and -200.0 <= u <= -165.0
    assert not [f for f in ask(halved(layout), "cutter-corner") if "narrow" in f.code]


def test_a_waist_of_a_pocket_is_not_passed():
    """Two rooms joined by a passage 5 mm wide: the 6.35 cutter goes into both, not through."""
    room = [(-60, 20), (-60, -20), (-10, -20), (-10, -2.5), (10, -2.5), (10, -20), (60, -20)]
    more = [(60, 20), (10, 20), (10, 2.5), (-10, 2.5), (-10, 20)]
    shape = rounded([*room, *more], (4, 4, 4, 0, 0, 4, 4, 4, 4, 0, 0, 4))
    layout = board(cut("a", Prism(shape, -20.0, 0.0)))
    holds(one(layout, "cutter-corner", "a.cut", text="radius"), "pass", 4.0 - 3.175)
    assert one(layout, "cutter-corner", "a.cut", text="too narrow").status == "fail"
    thin = replace(layout, shop=Shop(cutters=(Cutter(4.0, 22.0),)))
    assert not [f for f in ask(thin, "cutter-corner") if "narrow" in f.code]


def test_a_ledge_is_rounder_than_its_outline_by_its_width():
    """1.4 mm wide and 6.4 high: every cutter reaches, the least has 3.175; 51 - 6.4 to spare."""
    layout = hollow(2.5, front=Ledge((0.5, 1.0), 6.4))
    holds(one(layout, "cutter-corner", "body.front.edge"), "pass", 2.5 + 1.4 - 3.175)
    sharp = hollow(1.0, front=Ledge((0.5, 1.0), 6.4))
    holds(one(sharp, "cutter-corner", "body.front.edge"), "fail", 1.0 + 1.4 - 3.175)
    holds(
        one(hollow(9.0, front=Ledge((1.5,), 6.4)), "cutter-reach", "body.front.edge"), "pass", 44.6
    )
    tall = hollow(9.0, front=Ledge((1.5,), 6.4), shop=Shop(cutters=(Cutter(12.0, 5.0),)))
    holds(one(tall, "cutter-reach", "body.front.edge"), "fail", -1.4)


@pytest.mark.parametrize(
    "edge, status, off",
    [
        (Roundover(6.0), "pass", 0.0),
        (Roundover(7.2), "warn", -0.8),
        (Cove(6.35), "pass", 0.0),
        (Chamfer(4.0), "pass", 0.0),
        (Chamfer(14.0), "warn", -2.0),
        (Chamfer(4.0, 6.0), "pass", None),
    ],
)
def test_the_bit_for_an_edge_is_on_hand(edge, status, off):
    """Radii by the shop's own list; a bit for chamfers cuts every width up to its own at 45
    degrees, another angle is planed."""
    found = one(
        hollow(20.0, back=edge), "cutter-corner", "body.back.edge", text="body.back.edge, a"
    )
    assert (found.code, found.status) == ("cutter-corner.bit", status)
    assert found.value == (None if off is None else pytest.approx(off))


def test_the_bearing_rolls_through_the_hollows():
    """A bearing of 9.5 mm in a hollow of 4.5 mm is short by 0.25; along the sound stretch of the
    edge there is no hollow."""
    found = one(hollow(4.5, back=Roundover(6.0)), "cutter-corner", "body.back.edge", text="bearing")
    holds(found, "fail", 4.5 - 4.75)
    small = Shop(bits=(EdgeBit("roundover", 6.0, 6.0),))
    layout = hollow(4.5, back=Roundover(6.0), shop=small)
    holds(one(layout, "cutter-corner", "body.back.edge", text="bearing"), "pass", 1.5)
    part = Stretch(Roundover(6.0), (190.0, 150.0), (-190.0, 150.0))
    layout = hollow(4.5, back=part)
    assert one(layout, "cutter-corner", "body.back.edge.1").code == "cutter-corner.bit"


def test_what_opens_in_both_faces_is_cut_from_both():
    """A slot right through 59 mm: half and 0.5 mm more from each face, which the 6.35 cutter
    reaches."""
    layout = board(
        cut("a", Prism(rectangle(60.0, 20.0, 3.2), -59.0, 0.0), opens=("front", "back")),
        thickness=59.0,
    )
    holds(one(layout, "cutter-corner", "a.cut"), "pass", 0.025)
    holds(one(layout, "cutter-reach", "a.cut"), "pass", 2.0)


def test_a_slot_by_any_word_is_routed():
    """What is no round hole is routed, whatever operation names it."""
    for word in ("BORE", "PILOT", "POST", "CHANNEL"):
        layout = board(cut("a", Prism(rectangle(60.0, 2.0, 1.0), -20.0, 0.0), operation=word))
        holds(one(layout, "cutter-corner", "a.cut"), "fail", 1.0 - 3.175)


def test_a_bare_board_has_its_outline():
    """44 mm on its own: the longest cutter has 7 mm to spare, and there is no hollow to round."""
    assert [f.subjects for f in ask(board(), "cutter-reach")] == [("body.outline",)]
    holds(one(board(), "cutter-reach", "body.outline"), "pass", 7.0)
