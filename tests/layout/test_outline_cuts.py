"""Which faces are worked, in which order, and how deep the outline is cut from each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.workpiece import Workpiece
from tests import sample


@pytest.mark.parametrize(
    "outline_from, faces, cuts",
    [
        ("back", ("front", "back"), {"back": 44.0}),
        ("front", ("back", "front"), {"front": 44.0}),
        # Half of 44 and 0.5 mm past the middle.
        (None, ("front", "back"), {"front": 22.5, "back": 22.5}),
    ],
)
@pytest.mark.parametrize("hand", [False, True])
def test_the_face_that_cuts_the_outline_through_is_the_last(outline_from, faces, cuts, hand):
    body = sample.design(left_handed=hand).layout().body
    body = replace(body, blank=replace(body.blank, outline_from=outline_from))
    assert body.faces == faces and body.outline_cuts == cuts


def test_a_piece_that_is_worked_on_the_front_alone_is_cut_out_there():
    plate = Workpiece("plate", Skin(rectangle(60.0, 40.0), 10.0, Square(), Square()))
    assert plate.faces == ("front",) and plate.outline_cuts == {"front": 10.0}
    rounded = replace(plate, skin=replace(plate.skin, back=Roundover(3.0)))
    assert rounded.faces == ("front", "back") and rounded.outline_cuts == {"back": 10.0}
