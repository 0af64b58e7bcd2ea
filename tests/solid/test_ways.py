"""Cuts made in another way where the kernel fails at the first."""

import numpy as np
import pytest

from bodycad.geometry.solids.bore import Bore
from bodycad.solid import kernel, occ
from bodycad.solid.ways import WAYS, cut

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
