"""The body before its voids: edge treatments and contours, right or refused by name.

References: the layout's own sums, themselves checked against Steiner's and Pappus's formulas in
tests/layout.
"""

from __future__ import annotations

import math

import pytest

from bodycad.errors import SolidError
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Chamfer, Cove, Ledge, Lowered, Rim, Roundover, Square
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.contours import (
    arched_top,
    bevel,
    blend,
    fall_away,
    rounded_corner,
    scoop,
)
from bodycad.layout.volume import edged_volume, skin_volume
from bodycad.solid import kernel
from bodycad.solid.skin import edged_slab, skin_solid
from tests.sample import skin as sample_skin

T = 44.0
BOARD = rectangle(400, 300, 30)
WAISTED = profile(
    [
        (-200, -100, 0.4),
        (-60, -100, -0.15),
        (60, -100, 0.4),
        (190, -90, 0.0),
        (190, 90, 0.4),
        (60, 100, -0.15),
        (-60, 100, 0.4),
        (-200, 100, 0.3),
    ]
)
EDGES = {
    "square": (Square(), Square()),
    "both round": (Roundover(10.0), Roundover(3.0)),
    "almost half": (Roundover(T / 2 - 0.1), Roundover(T / 2 - 0.1)),
    "binding": (Ledge((1.5,), 6.4), Square()),
    "binding and round": (Ledge((0.5, 1.5), 6.4), Roundover(6.0)),
    "bound both": (Ledge((1.5,), 6.4), Ledge((1.5,), 3.0)),
}


@pytest.mark.parametrize("name", EDGES)
@pytest.mark.parametrize(
    "outline",
    [BOARD, hull([(-120, 0, 150), (150, 40, 90), (100, -60, 60)])],
    ids=["board", "round"],
)
def test_edges_have_their_volume(name, outline):
    skin = Skin(outline, T, *EDGES[name])
    made = edged_slab(skin)
    assert made.ShapeType() == "Solid" and made.isValid()
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-8)
    x0, y0, z0, x1, y1, z1 = kernel.box(made)
    assert (x0, y0, z0, x1, y1, z1) == pytest.approx(
        (*outline.box[:2], -T, *outline.box[2:], 0.0), abs=1e-4
    )


def test_a_waisted_outline_with_kinks_is_right():
    skin = Skin(WAISTED, T, Roundover(4.0), Square())
    made = edged_slab(skin)
    assert made.isValid()
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-8)


def test_the_sample_with_contours():
    skin = sample_skin()
    assert kernel.volume(skin_solid(skin)) == pytest.approx(skin_volume(skin), rel=1e-7)


CONTOURS = {
    "forearm": fall_away("contour.forearm", "front", T, (-60.0, 60.0), 120.0, 70.0, 14.0),
    "heel": fall_away("contour.heel", "back", T, (150.0, -40.0), -20.0, 60.0, 10.0, (-60.0, 60.0)),
    "belly": scoop("contour.belly", "back", T, (-50.0, 60.0), 70.0, 80.0, 8.0),
}


@pytest.mark.parametrize(
    "names", [["forearm"], ["heel"], ["belly"], ["forearm", "heel", "belly"]], ids="+".join
)
@pytest.mark.parametrize(
    "edges",
    [(Roundover(6.0), Roundover(6.0)), (Ledge((1.5,), 6.4), Roundover(6.0))],
    ids=["round", "bound"],
)
def test_contours_tangent_to_their_face_and_climbing_ones(names, edges):
    skin = Skin(BOARD, T, *edges, tuple(CONTOURS[name] for name in names))
    assert kernel.volume(skin_solid(skin)) == pytest.approx(skin_volume(skin), rel=1e-6)


def test_an_arched_top_over_a_heel_of_several_contours():
    """A recurve and a flat rim, bound; a scoop, an eased slope and a rounded corner behind; a blend
    and a bevel take more of the arch."""
    crown = hull([(-60, 0, 40), (110, 0, 14)])
    shapes = (
        arched_top("top", "front", T, crown, 90.0, 9.0, 60.0),
        blend("arm", "front", T, (-120.0, 90.0), 110.0, 50.0, 14.0),
        bevel("cutaway", "front", T, (170.0, -60.0), -40.0, 40.0, 20.0, ease=5.0),
        scoop("scoop", "back", T, (140.0, 60.0), 70.0, 80.0, 8.0),
        bevel("slope", "back", T, (120.0, -40.0), -20.0, 60.0, 10.0, ease=12.0),
        rounded_corner("corner", "back", T, (190.0, -130.0), -45.0, 30.0, 25.0),
    )
    skin = Skin(BOARD, T, Ledge((1.5,), 6.0), Roundover(3.0), shapes)
    made = skin_solid(skin)
    assert made.isValid()
    assert kernel.volume(made) == pytest.approx(skin_volume(skin), rel=1e-6)


def test_an_edge_lowered_to_the_rim_of_an_arched_top():
    """Where the crown's fall still stands over the rim the edge leaves a wall in it."""
    top = arched_top("top", "front", T, circle(60.0), 130.0, 8.0, 40.0)
    skin = Skin(BOARD, T, Lowered(Roundover(5.0), 8.0), Square(), (top,))
    assert kernel.volume(skin_solid(skin)) == pytest.approx(skin_volume(skin), rel=1e-6)


def test_two_roundovers_of_half_the_thickness_leave_no_side():
    skin = Skin(BOARD, T, Roundover(T / 2), Roundover(T / 2))
    made = edged_slab(skin)
    assert made.isValid() and len(made.Faces()) == 2 + 2 * 8
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-8)


@pytest.mark.parametrize("edge", [Cove(8.0), Rim(((9.0, 0.0, -0.1), (3.0, 3.0, 0.2), (0.0, 6.5)))])
def test_a_hollow_edge_under_a_contour_tangent_to_its_face(edge):
    """The kernel's plain cut takes nothing at all here, and calls the result valid."""
    contour = fall_away("contour.forearm", "front", T, (-60.0, 60.0), 120.0, 70.0, 14.0)
    skin = Skin(BOARD, T, edge, Square(), (contour,))
    assert kernel.volume(skin_solid(skin)) == pytest.approx(skin_volume(skin), rel=1e-5)


def kinked(degrees, corner=30.0):
    rise = math.tan(math.radians(degrees / 2.0)) * 200.0
    points = [(-200, -150), (0, -150 - rise), (200, -150), (200, 150), (-200, 150)]
    return rounded(points, [30, 0, 30, corner, 30])


@pytest.mark.parametrize("degrees", [0.0005, 0.01, 0.5, 2, 9.3, 30, -0.0005, -0.02, -2, -30])
@pytest.mark.parametrize("edge", [Roundover(12.0), Cove(6.0), Ledge((1.5,), 6.4)])
def test_kinks_out_and_in_are_mitred_and_turned(degrees, edge):
    skin = Skin(kinked(degrees), T, edge, Roundover(3.0))
    made = edged_slab(skin)
    assert made.isValid()
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-7)


@pytest.mark.parametrize("radius", [0.0, 0.5, 4.93, 5.9, 5.9999, 6.0, 6.0001, 6.1])
def test_a_bulge_tighter_than_the_roundover_is_one_solid(radius):
    """Where the outline bulges more tightly than the edge is wide, its sides meet in a mitre."""
    skin = Skin(
        kinked(0.0, radius), T, Roundover(6.0), Chamfer(2.0, 3.0) if radius > 2 else Square()
    )
    made = edged_slab(skin)
    assert made.isValid()
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-7)


def test_a_square_mitre_by_hand():
    # Sections z under the face of a board with sharp corners are rectangles, drawn in by
    # s = r - sqrt(r^2 - (r - z)^2): their areas summed over z.
    a, b, r = 200.0, 120.0, 8.0
    made = edged_slab(Skin(rectangle(a, b), T, Roundover(r), Square()))
    mean, square = r * (1.0 - math.pi / 4.0), r * r * (5.0 / 3.0 - math.pi / 2.0)
    kept = a * b - 2.0 * (a + b) * mean + 4.0 * square
    assert kernel.volume(made) == pytest.approx(a * b * (T - r) + kept * r, rel=1e-9)


SPIKE = [(-200, -150), (200, -150), (200, -4), (300, 0), (200, 4), (200, 150), (-200, 150)]
HORN = [(-200, -150), (200, -150), (200, 20), (300, 20), (300, 30), (200, 30), (-200, 150)]


@pytest.mark.parametrize(("points", "radius"), [(SPIKE, 0.0), (HORN, 0.0), (HORN, 4.0)])
def test_a_horn_narrower_than_its_edges_is_one_solid(points, radius):
    skin = Skin(rounded(points, radius), T, Roundover(6.0), Square())
    made = edged_slab(skin)
    assert made.isValid()
    assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=1e-6)


def test_a_ledge_wider_than_the_body_is_refused():
    with pytest.raises(SolidError, match="front binding ledge .*nothing of the front is left"):
        edged_slab(Skin(rectangle(40, 10, 2), T, Ledge((6.0,), 5.0), Square()))


def test_a_contour_that_cuts_the_body_in_two_is_named():
    saw = Carve(rectangle(3.0, 200.0), (0.0, 0.0), 0.0, (-200.0, 200.0))
    skin = Skin(BOARD, T, Square(), Square(), (Contour("contour.saw", "front", saw),))
    with pytest.raises(SolidError, match="contour.saw: falls into 2 pieces; loose"):
        skin_solid(skin)


def test_a_round_outline_is_a_torus_corner():
    # Pappus: a full roundover of radius r on a disc of radius R loses 2 pi (R - d) r^2 (1 - pi/4).
    big, r = 100.0, 8.0
    area = r * r * (1.0 - math.pi / 4.0)
    inward = r * r * r * (5.0 / 6.0 - math.pi / 4.0) / area
    made = edged_slab(Skin(circle(2 * big), T, Roundover(r), Square()))
    lost = math.pi * big**2 * T - kernel.volume(made)
    assert lost == pytest.approx(2.0 * math.pi * (big - inward) * area, rel=1e-6)
