"""The body before its voids: edge treatments and contours, right or refused by name.

References: the layout's own sums, themselves checked against Steiner's and Pappus's formulas in
tests/layout.
"""

from __future__ import annotations

import math
import re

import pytest

from bodycad.errors import SolidError
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Ledge, Roundover, Square
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.contours import fall_away, scoop
from bodycad.layout.volume import edged_volume, skin_volume
from bodycad.solid import kernel
from bodycad.solid.skin import edged_slab, skin_solid, worst_kink
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


def test_a_waisted_outline_with_kinks_is_right_or_refused():
    skin = Skin(WAISTED, T, Roundover(4.0), Square())
    try:
        made = edged_slab(skin)
    except SolidError as err:
        assert "roundover of 4 mm" in str(err)
    else:
        assert kernel.volume(made) == pytest.approx(edged_volume(skin), rel=4e-6)


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


def test_half_the_thickness_on_both_faces_says_what_works():
    with pytest.raises(SolidError) as caught:
        edged_slab(Skin(BOARD, T, Roundover(22.0), Roundover(22.0)))
    text = str(caught.value)
    assert (
        "back roundover of 22 mm on a 44 mm body" in text
        and "0.1 mm under half the thickness, 21.9 mm" in text
    )
    works = float(re.search(r"largest radius that works here is ([\d.]+)", text)[1])
    assert 21.8 <= works < 22.0
    edged_slab(Skin(BOARD, T, Roundover(22.0), Roundover(works)))


def kinked(degrees):
    rise = math.tan(math.radians(degrees / 2.0)) * 200.0
    return rounded(
        [(-200, -150), (0, -150 - rise), (200, -150), (200, 150), (-200, 150)], [30, 0, 30, 30, 30]
    )


def test_a_kink_that_spoils_the_fillet_is_named_with_its_place():
    # The kernel calls this fillet valid; its volume is 61 mm3 off.
    with pytest.raises(SolidError) as caught:
        edged_slab(Skin(kinked(2.0), T, Roundover(12.0), Square()))
    text = str(caught.value)
    assert "worst kink is 2.0 degrees at (0.0, -153.5)" in text and "are due" in text
    works = float(re.search(r"largest radius that works here is ([\d.]+)", text)[1])
    skin = Skin(kinked(2.0), T, Roundover(works), Square())
    assert kernel.volume(edged_slab(skin)) == pytest.approx(edged_volume(skin), rel=4e-6)


@pytest.mark.parametrize("degrees", [0.01, 0.5, 9.3, 30.0])
def test_other_kinks_are_right_or_refused(degrees):
    skin = Skin(kinked(degrees), T, Roundover(6.0), Square())
    try:
        made = edged_slab(skin)
    except SolidError as err:
        assert f"{degrees:.1f} degrees" in str(err)
    else:
        assert made.isValid() and kernel.volume(made) == pytest.approx(edged_volume(skin), rel=4e-6)


def test_worst_kink_of_smooth_and_sharp():
    assert worst_kink(BOARD)[0] < 1e-9
    angle, at = worst_kink(kinked(9.3))
    assert angle == pytest.approx(9.3) and at == pytest.approx(
        (0.0, -150 - math.tan(math.radians(4.65)) * 200)
    )


def test_a_ledge_wider_than_the_body_is_refused():
    with pytest.raises(SolidError, match="front binding ledge .*nothing is left inside it"):
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
