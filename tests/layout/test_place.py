"""A place on a face of any height: what a part draws over it, and how deep its cuts go."""

import pytest

from bodycad import Place, Skin, Square, Void, Workpiece, bore, rectangle
from bodycad.parts.part import wood_screws


def test_a_part_on_a_lower_face_counts_from_that_face():
    place = Place(10.0, 20.0, 90.0, z=-6.0)
    assert place.at(3.0, 0.0, 2.0) == pytest.approx((10.0, 23.0, -4.0))
    assert place.below(15.0) == 21.0  # from the plain front, 15 mm under a face 6 mm lower


def test_a_mirrored_place_keeps_its_height():
    assert Place(10.0, 20.0, 30.0, z=-6.0).mirrored() == Place(10.0, -20.0, -30.0, True, -6.0)


def test_a_wood_screw_starts_at_the_face_and_ends_at_its_pilot():
    """A pilot drilled 21 mm deep from the plain front takes 15 mm of screw under a face 6 mm
    lower, slanted or not; a hole from the back knows no front."""
    down = bore((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), 2.0, 21.0, name="a.screw.1")
    slanted = bore((30.0, 0.0, 0.0), (0.6, 0.0, -0.8), 2.0, 25.0, name="a.screw.2")
    up = bore((0.0, 30.0, -44.0), (0.0, 0.0, 1.0), 2.0, 15.0, name="a.screw.3")
    holes = [
        Void(f"a.screw.{k}", "a", face, "PILOT", hole, frozenset({face}))
        for k, (face, hole) in enumerate((("front", down), ("front", slanted), ("back", up)), 1)
    ]
    piece = Workpiece("block", Skin(rectangle(200, 200), 44.0, Square(), Square()), tuple(holes))
    one, two, three = wood_screws("a", piece, [hole.id for hole in holes], z=-6.0)
    assert (one.at, one.reach) == ((0.0, 0.0, -6.0), pytest.approx(15.0))
    assert two.at == pytest.approx((34.5, 0.0, -6.0)) and two.reach == pytest.approx(17.5)
    assert (three.at, three.reach) == ((0.0, 30.0, -44.0), pytest.approx(15.0))
