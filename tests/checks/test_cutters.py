"""`cutter-corner`, `cutter-reach` by hand. Cutters 6.35 mm reaching 32, 9.5 reaching 38, 12.7
reaching 51."""

from __future__ import annotations

import pytest

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.shop import Cutter, Shop
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
    from bodycad.geometry.plane.build import rounded

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


@pytest.mark.parametrize("name", ["cutter-corner", "cutter-reach"])
def test_nothing_to_route(name):
    assert [f.status for f in ask(board(), name)] == ["skip"]
