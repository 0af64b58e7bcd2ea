"""Cuts made in another way where the kernel fails at the first."""

import math
from dataclasses import replace

import numpy as np
import pytest
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

from bodycad.errors import SolidError
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.volume import skin_volume
from bodycad.solid import kernel, occ
from bodycad.solid.due import OUTSIDES_AGREE, tools_of
from bodycad.solid.skin import edged_slab, skin_solid
from bodycad.solid.ways import ENOUGH, WAYS, Way, cut
from tests.oracle.woods import a_wood

HOLE = Bore((40.0, 30.0, 1.0), (0.6, 0.0, -0.8), 8.0, 30.0, 118.0)


@pytest.mark.parametrize("seam", [60.0, 123.0, 251.0])
def test_a_bore_with_its_seam_turned_is_the_same_hole(seam):
    plain, turned = (kernel.solid_of(HOLE, "hole", one) for one in (0.0, seam))
    assert kernel.volume(turned) == pytest.approx(HOLE.volume, rel=1e-9)
    left = kernel.volume(plain.cut(turned)) + kernel.volume(turned.cut(plain))
    assert left < 1e-6 * HOLE.volume


def test_the_seam_is_turned_where_the_plain_cut_takes_nothing():
    """As it does of a bore at a slanted rim, whose seam meets the rim's own joint."""
    body = occ.Solid.makeBox(100.0, 60.0, 40.0, occ.Vector(0.0, 0.0, -40.0))
    beside = ("hole", kernel.solid_of(HOLE.moved(500.0, 0.0, 0.0), "hole"))
    seams = []

    def seamed(seam):
        seams.append(seam)
        return [("hole", kernel.solid_of(HOLE, "hole", seam))]

    gone = kernel.volume(body.intersect(kernel.solid_of(HOLE, "hole")))
    due = 100.0 * 60.0 * 40.0 - gone
    found = cut(body, [beside], "a hole", due, 0.01, lambda made: made.Solids()[0], seamed=seamed)
    assert found.way.seam and seams == [found.way.seam]
    assert np.isclose(kernel.volume(found.solid), due, atol=0.01)


def test_what_has_no_bores_is_not_tried_with_other_seams():
    body = occ.Solid.makeBox(10.0, 10.0, 10.0, occ.Vector(0.0, 0.0, 0.0))
    tool = ("tool", occ.Solid.makeBox(5.0, 5.0, 20.0, occ.Vector(20.0, 0.0, 0.0)))
    found = cut(body, [tool], "nothing", 1.0, 0.01, lambda made: made.Solids()[0])
    assert not found.way.seam and any(way.seam for way in WAYS)


def test_a_cut_leaves_what_it_was_given_as_it_was():
    """One that joins near places would else widen the tolerances for the ways tried after it."""
    body = occ.Solid.makeBox(40.0, 40.0, 10.0, occ.Vector(0.0, 0.0, 0.0))
    tool = occ.Solid.makeBox(30.0, 30.0, 9.99, occ.Vector(0.01, 0.01, 0.0))
    was = [loosest(one) for one in (body, tool)]
    kernel.cut(body, [("tool", tool)], "a corner", fuzzy=0.05)
    assert [loosest(one) for one in (body, tool)] == was


def test_a_tool_far_larger_than_the_body_is_cut_by_what_is_near():
    """Body 126 of the random ones, whose four carves the kernel gets wrong when they are cut in one
    operation."""
    skin = a_wood(126).skin
    due = skin_volume(skin)
    assert kernel.volume(skin_solid(skin)) == pytest.approx(due, rel=OUTSIDES_AGREE)


@pytest.fixture(scope="module")
def pointed():
    """The slab of random body 129 and a bore whose point comes out of its back: the kernel gives
    nothing back, whichever way the bore is turned or shifted."""
    piece = a_wood(129)
    shape = tools_of(piece).shapes["v15"]
    return edged_slab(piece.skin), ("v15", kernel.solid_of(shape, "v15"))


def test_a_cut_that_gives_nothing_back_is_an_error_that_names_it(pointed):
    """It ended the process."""
    body, tool = pointed
    with pytest.raises(SolidError, match=r"v15 \(1 tools\): the kernel refused it"):
        kernel.cut(body, [tool], tool[0])


def test_walls_are_written_as_splines_where_nothing_else_is_cut(pointed):
    """It takes what the bore without its point takes, and less than all of the cone more."""
    body, (name, tool) = pointed
    shape = tools_of(a_wood(129)).shapes[name]
    shaft = kernel.solid_of(replace(shape, length=shape.shoulder, tip_deg=180.0), name)
    whole = kernel.volume(body)
    least = whole - kernel.volume(kernel.cut(body, [(name, shaft)], name))
    cone = math.pi * shape.radius**2 * shape.tip / 3.0
    ways = (Way(), Way("as splines", splined=True))
    found = cut(
        body, [(name, tool)], name, whole - least, cone, lambda made: made.Solids()[0], ways
    )
    assert found.way.splined and not found.specks
    assert 0.0 < whole - kernel.volume(found.solid) - least < cone


def test_a_tool_is_raised_where_the_kernel_leaves_wood_in_it():
    """The contour of random body 189: cut as drawn it leaves 7,525 of 126,000 mm3."""
    skin = a_wood(189).skin
    (contour,) = skin.contours
    tool, due = kernel.solid_of(contour.carve, contour.id), skin_volume(skin)
    ways = [way for way in WAYS if way == Way() or way.shift[2] > 0.0]
    found = cut(edged_slab(skin), [(contour.id, tool)], contour.id, due, 5.0, whole, ways)
    assert found.way.words == "raised by 0.0005 mm"
    assert kernel.volume(found.solid) == pytest.approx(due, abs=5.0)


def whole(made):
    return kernel.sound(made, "the body", "cut")


@pytest.mark.parametrize(("due", "count"), [(800.0, ENOUGH), (900.0, None)])
def test_every_way_is_tried_but_where_the_design_is_at_fault(due, count):
    """Where what is left is what is due, and still no one solid, three ways are enough."""
    body = occ.Solid.makeBox(10.0, 10.0, 10.0, occ.Vector(0.0, 0.0, 0.0))
    tool = ("tool", occ.Solid.makeBox(2.0, 20.0, 20.0, occ.Vector(4.0, -5.0, -5.0)))
    tried = []

    def after(made):
        tried.append(made)
        return kernel.sound(made, "the board", "after the slot")

    with pytest.raises(SolidError, match="the board: falls into 2 pieces"):
        cut(body, [tool], "all", due, 1.0, after, [way for way in WAYS if not way.singly])
    assert len(tried) == (count or sum(not (way.seam or way.singly) for way in WAYS))


def test_what_one_tool_alone_does_is_told_before_what_all_do():
    body = occ.Solid.makeBox(10.0, 10.0, 10.0, occ.Vector(0.0, 0.0, 0.0))
    gone = ("gone", occ.Solid.makeBox(30.0, 30.0, 30.0, occ.Vector(-5.0, -5.0, -5.0)))

    def after(made):
        raise SolidError("the voids: nothing")

    with pytest.raises(SolidError, match="^gone: nothing is left"):
        cut(body, [gone], "the voids", 1.0, 0.01, after)


def loosest(solid):
    return ShapeAnalysis_ShapeTolerance().Tolerance(solid.wrapped, 1)
