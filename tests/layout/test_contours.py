"""Contours by their trade shapes: heights of the shaped face worked by hand from their numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, hull, rectangle, slot
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.contours import (
    arched_top,
    bevel,
    blend,
    fall_away,
    rounded_corner,
    scoop,
)
from bodycad.layout.volume import skin_volume

T = 44.0
START = (0.0, 0.0)
OUTLINE = rectangle(400.0, 300.0)


def under(contour, *places, face="front"):
    """How far the shaped face lies under the plain one at plan points, mm."""
    skin = Skin(OUTLINE, T, Square(), Square(), (contour,))
    return skin.fall(face, np.array(places, float))


@pytest.mark.parametrize("face", ["front", "back"])
def test_a_bevel_is_a_plane(face):
    """6 mm in 60: a tenth, from the line on and out to the edge."""
    flat = bevel("arm", face, T, START, 0.0, run=60.0, drop=6.0)
    places = [(-5.0, 0.0), (0.0, 9.0), (30.0, -80.0), (60.0, 0.0), (180.0, 40.0)]
    assert under(flat, *places, face=face) == pytest.approx([0.0, 0.0, 3.0, 6.0, 18.0])
    turned = bevel("arm", face, T, START, 90.0, run=60.0, drop=6.0)
    assert under(turned, (80.0, 30.0), face=face) == pytest.approx([3.0])


def test_an_eased_bevel_is_tangent_to_both():
    """3 in 4 (a slope of 36.87 degrees, half of which has the tangent 1/3), eased with R 30: the
    round begins 10 mm before the line and ends 10 mm down the slope, 8 mm on and 6 mm deep; over
    the line it is 30 - sqrt(30^2 - 10^2) = 1.716 mm deep."""
    eased = bevel("heel", "front", T, START, 0.0, run=40.0, drop=30.0, ease=30.0)
    places = [(-10.0, 0.0), (0.0, 0.0), (8.0, 0.0), (20.0, 0.0)]
    deep = 30.0 - math.sqrt(800.0)
    assert under(eased, *places) == pytest.approx([0.0, deep, 6.0, 15.0], abs=1e-9)
    close = under(eased, (-10.0 + 1e-3, 0.0), (8.0 - 1e-3, 0.0), (8.0 + 1e-3, 0.0))
    assert close == pytest.approx([0.0, 6.0 - 0.75e-3, 6.0 + 0.75e-3], abs=1e-6)


def test_a_blend_is_level_at_both_ends():
    """10 mm in 60: round + hollow = (3600 + 100) / 20 = 185; with a hollow of 45 the round of 140
    takes 140/185 of run and drop."""
    ogee = blend("arm", "front", T, START, 0.0, run=60.0, drop=10.0, hollow=45.0)
    share = 140.0 / 185.0
    places = [(-1.0, 0.0), (0.01, 0.0), (60.0 * share, 0.0), (59.99, 0.0), (60.0, 0), (150.0, 0)]
    due = [0.0, 0.0, 10.0 * share, 10.0, 10.0, 10.0]
    assert under(ogee, *places) == pytest.approx(due, abs=1e-5)
    at = 30.0
    assert under(ogee, (at, 0.0)) == pytest.approx(140.0 - math.sqrt(140.0**2 - at * at))
    even = blend("arm", "front", T, START, 0.0, run=60.0, drop=10.0)
    assert under(even, (30.0, 7.0)) == pytest.approx(5.0)
    plain = blend("arm", "front", T, START, 0.0, run=60.0, drop=10.0, hollow=0.0)
    fall = fall_away("arm", "front", T, START, 0.0, run=60.0, drop=10.0)
    grid = np.column_stack([np.linspace(-10.0, 100.0, 50), np.zeros(50)])
    assert under(plain, *grid) == pytest.approx(under(fall, *grid), abs=1e-9)


def test_a_rounded_corner_is_a_quarter_round_over_the_corner():
    """R 25 that begins 20 mm before the corner: 25 - sqrt(625 - 400) = 10 mm deep at the corner,
    25 - sqrt(625 - 225) = 5 mm deep 5 mm before it; 135 degrees: toward -x and +y."""
    corner = rounded_corner("heel", "back", T, (50.0, 20.0), 135.0, radius=25.0, inset=20.0)
    way = np.array([-1.0, 1.0]) / math.sqrt(2.0)
    along = np.array([1.0, 1.0]) / math.sqrt(2.0)
    places = [np.array([50.0, 20.0]) + u * way + 9.0 * along for u in (-21.0, -20.0, -5.0, 0.0)]
    assert under(corner, *places, face="back") == pytest.approx([0.0, 0.0, 5.0, 10.0], abs=1e-9)
    whole = rounded_corner("heel", "back", T, (50.0, 20.0), 0.0, radius=25.0)
    steep = math.radians(80.0)
    last = 25.0 * math.sin(steep), 25.0 * (1.0 - math.cos(steep))
    assert under(whole, (25.0 + last[0], 0.0), face="back") == pytest.approx([last[1]])
    on = 25.0 + last[0] + 1.0
    assert under(whole, (on, 0.0), face="back") == pytest.approx([last[1] + math.tan(steep)])


@pytest.mark.parametrize(
    "make, match",
    [
        (lambda: bevel("b", "front", T, START, 0.0, run=5.0, drop=6.0), "the drop"),
        (lambda: blend("b", "front", T, START, 0.0, run=6.0, drop=6.0), "less than the run"),
        (lambda: blend("b", "front", T, START, 0.0, 60.0, 10.0, hollow=190.0), "the hollow"),
        (lambda: rounded_corner("c", "back", T, START, 0.0, 20.0, inset=21.0), "the inset"),
        (lambda: bevel("b", "front", T, START, 0.0, 60.0, 6.0, span=(5.0, 5.0)), "the span"),
        (lambda: arched_top("t", "front", T, circle(30.0), 8.0, 8.0), "less than the run"),
        (lambda: arched_top("t", "front", T, rectangle(30, 9), 80.0, 8.0), "round all over"),
        (
            lambda: arched_top("t", "front", T, circle(9), 80.0, 8.0, fall=((0, 0), (80.0, 7.0))),
            "from .0, 0. to .80, 8.",
        ),
    ],
)
def test_numbers_that_make_no_such_shape_are_refused(make, match):
    with pytest.raises(InputError, match=match):
        make()


def test_several_on_one_face_take_what_the_deepest_of_them_takes():
    """A scoop, a slope and a rounded corner of one heel: at each place the deepest counts."""
    heel = (
        scoop("scoop", "back", T, (60.0, 30.0), 70.0, 80.0, 10.0),
        bevel("slope", "back", T, (20.0, 0.0), 10.0, run=80.0, drop=9.0, ease=20.0),
        rounded_corner("corner", "back", T, (120.0, 60.0), 40.0, radius=30.0),
    )
    grid = np.stack(np.meshgrid(np.arange(-190, 190, 7), np.arange(-140, 140, 7)), -1)
    grid = grid.reshape(-1, 2).astype(float)
    each = np.array([under(one, *grid, face="back") for one in heel])
    together = Skin(OUTLINE, T, Square(), Square(), heel).fall("back", grid)
    assert together == pytest.approx(each.max(axis=0), abs=1e-12)
    assert {int(k) for k in each.argmax(axis=0)[together > 0.5]} == {0, 1, 2}


def test_an_arched_top_falls_by_its_section_curve_all_round():
    """Crown: a slot 100 long and 40 wide. 8 mm in 80 without a recurve: the round has a radius of
    (6400 + 64) / 16 = 404; half way out it is 404 - sqrt(404^2 - 40^2) deep, along as across and
    round the ends."""
    top = arched_top("top", "front", T, slot(100.0, 40.0), run=80.0, drop=8.0)
    half = 404.0 - math.sqrt(404.0**2 - 40.0**2)
    slant = 30.0 + 60.0 / math.sqrt(2.0), 60.0 / math.sqrt(2.0)
    places = [(0.0, 0.0), (49.0, 0.0), (0.0, 60.0), (90.0, 0.0), slant, (10.0, -100.0), (0.0, 140)]
    due = [0.0, 0.0, half, half, half, 8.0, 8.0]
    assert under(top, *places) == pytest.approx(due, abs=1e-9)
    below = arched_top("top", "back", T, slot(100.0, 40.0), run=80.0, drop=8.0)
    assert under(below, *places, face="back") == pytest.approx(due, abs=1e-9)
    assert under(below, *places) == pytest.approx(np.zeros(7))


def test_an_arched_top_with_a_recurve_runs_out_level():
    """8 mm in 80 with a recurve of R 101, a quarter of the two radii's sum of 404: the round ends
    after three quarters of run and drop, and the hollow runs out level into the rim."""
    top = arched_top("top", "front", T, circle(40.0), run=80.0, drop=8.0, recurve=101.0)
    out = [(20.0 + s, 0.0) for s in (60.0, 79.99, 80.0, 120.0)]
    assert under(top, *out) == pytest.approx([6.0, 8.0, 8.0, 8.0], abs=1e-6)
    at = 20.0
    hollow = 8.0 - (101.0 - math.sqrt(101.0**2 - (at - 10.0) ** 2))
    assert under(top, (20.0 + 70.0, 0.0)) == pytest.approx([hollow])


def test_an_arched_top_by_a_section_curve_of_ones_own():
    """Its lowest line 6.5 mm down in a channel 60 mm out, the rim 6 mm down."""
    fall = ((0.0, 0.0, 0.05), (60.0, 6.5, -0.1), (80.0, 6.0))
    top = arched_top("top", "front", T, circle(40.0), run=80.0, drop=6.0, fall=fall)
    assert under(top, (80.0, 0.0), (100.0, 0.0), (150.0, 0.0)) == pytest.approx([6.5, 6.0, 6.0])
    lowest = under(top, *[(x, 0.0) for x in np.linspace(60.0, 110.0, 500)])
    assert lowest.max() > 6.5


def test_what_an_arched_top_takes_by_hand():
    """Round a disc crown of R 20 on a disc of R 150, a cone: 10 mm in 100, and a rim 30 mm wide.
    By Pappus the triangle takes 2 pi (20 + 200/3) 500, the rim 2 pi 135 x 300."""
    cone = arched_top("top", "front", T, circle(40.0), 100.0, 10.0, fall=((0, 0), (100.0, 10.0)))
    skin = Skin(circle(300.0), T, Square(), Square(), (cone,))
    taken = 2.0 * math.pi * ((20.0 + 200.0 / 3.0) * 500.0 + 135.0 * 300.0)
    assert math.pi * 150.0**2 * T - skin_volume(skin) == pytest.approx(taken, rel=1e-6)


@pytest.mark.parametrize("turn", [0.0, 37.0])
def test_an_arched_top_is_the_same_mirrored_and_moved(turn):
    crown = hull(((-40.0, 5.0, 30.0), (60.0, 0.0, 12.0))).moved(3.0, 4.0, turn)
    top = arched_top("top", "front", T, crown, 70.0, 9.0, 50.0)
    places = np.random.default_rng(1).uniform(-140.0, 140.0, (50, 2))
    here = under(top, *places)
    flipped = places * np.array([1.0, -1.0])
    assert under(top.mirrored(), *flipped) == pytest.approx(here, abs=1e-9)
    assert under(top.moved(5.0, -3.0), *(places + [5.0, -3.0])) == pytest.approx(here, abs=1e-9)


def test_a_straight_contour_is_still_a_carve():
    """What is swept along a line ends somewhere; an arched top does not."""
    assert isinstance(bevel("b", "front", T, START, 0.0, 60.0, 6.0).carve.straight, Carve)
    assert arched_top("t", "front", T, circle(30.0), 80.0, 8.0).carve.straight is None
