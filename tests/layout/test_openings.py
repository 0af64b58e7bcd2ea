"""What hangs from another part's workpiece cuts its own openings there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from bodycad.chance.built import Errors, as_built
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.words import SIDES
from tests.checks.bench import board

HIGH = 2.4


@dataclass(frozen=True)
class Sheet:
    """A sheet on the front, held by one pilot."""

    def voids(self, part, place, thickness):
        hole = bore(place.at(30.0, 0.0), (0, 0, -1), 2.0, 10.0)
        return (Void(f"{part}.pilot", part, "front", "PILOT", hole, {"front"}),)

    def rooms(self, part, place, thickness):
        return ()

    def interfaces(self, part, place, piece):
        return ()

    def pieces(self, part, place, piece):
        skin = Skin(rectangle(80.0, 40.0, 3.5), HIGH, Square(), Square())
        frame = Frame(place.x, place.y, HIGH, place.turn_deg)
        return (Workpiece(f"{part}.plate", skin, frame=frame, part=part, sheet=True),)


@dataclass(frozen=True)
class Lamp:
    """A lamp in a hole of the sheet."""

    host: str = "sheet.plate"
    name: str = ""

    def voids(self, part, place, thickness):
        return ()

    def rooms(self, part, place, thickness):
        return (Room(f"{part}.lamp", part, "part", bore(place.at(0, 0), (0, 0, 1), 5.0, 4.0)),)

    def interfaces(self, part, place, piece):
        return ()

    def openings(self, part, place, piece):
        if piece.id != self.host:
            return ()
        x, y, _ = piece.frame.own(place.at(0.0, 0.0))
        shape = bore((x, y, 0.0), (0, 0, -1), 6.0, piece.thickness)
        return (Void(f"{part}.hole", self.name or part, "front", "BORE", shape, frozenset(SIDES)),)


def laid(*lamps: Placed, turn_deg: float = 30.0, **changes):
    return board(Placed("sheet", Sheet(), Place(10.0, -40.0, turn_deg)), *lamps, **changes)


def test_a_hole_in_anothers_sheet_stands_under_what_hangs_there():
    """The sheet is turned; the hole's place in its own frame comes back to the lamp's."""
    layout = laid(Placed("lamp", Lamp(), Place(22.0, -31.0)))
    hole = layout.by_id["lamp.hole"]
    home = layout.homes["lamp.hole"]
    assert home.id == "sheet.plate" and hole.part == "lamp"
    assert home.frame.point(hole.shape.hole.start) == pytest.approx((22.0, -31.0, HIGH))
    assert "lamp.hole" not in {v.id for v in layout.voids}


def test_an_own_profile_is_the_profile_turned_back():
    for over in (False, True):
        frame = Frame(12.0, -7.0, 3.0, 25.0, turned_over=over)
        plan = rectangle(30.0, 10.0, 2.0, 5.0, 1.0)
        back = frame.own_profile(frame.profile(plan))
        assert back.box == pytest.approx(plan.box, abs=1e-12)
        assert back.vertices == pytest.approx(plan.vertices, abs=1e-12)


def test_a_left_handed_sheet_has_the_mirrored_hole():
    lamp = Placed("lamp", Lamp(), Place(22.0, -31.0))
    layout = laid(lamp, left_handed=True)
    home = layout.homes["lamp.hole"]
    assert home.frame.point(home.by_id["lamp.hole"].shape.hole.start) == pytest.approx(
        (22.0, 31.0, HIGH)
    )


def test_what_hangs_from_a_sheet_goes_where_the_sheet_goes():
    layout = laid(Placed("lamp", Lamp(), Place(22.0, -31.0)))
    built = as_built(layout, Errors(shifts={"sheet": (0.3, -0.2)}))
    home = built.homes["lamp.hole"]
    assert home.frame.point(home.by_id["lamp.hole"].shape.hole.start)[:2] == pytest.approx(
        (22.3, -31.2)
    )
    before, after = (one.rooms_by_id["lamp.lamp"].shape.start for one in (layout, built))
    assert after == pytest.approx((before[0] + 0.3, before[1] - 0.2, before[2]))
    thicker = as_built(layout, Errors(thicker=0.3))
    assert "lamp.hole" in thicker.homes


def test_an_opening_belongs_to_the_part_that_answers_it():
    with pytest.raises(InputError, match="lamp.hole"):
        laid(Placed("lamp", Lamp(name="sheet")))
    cut = laid(Placed("one", Lamp(), Place(22.0, -31.0)), Placed("two", Lamp(), Place(2.0, -45.0)))
    assert [v.id for v in cut.pieces[1].voids] == ["one.hole", "two.hole"]
    other = laid(Placed("lamp", replace(Lamp(), host="none.plate")))
    assert "lamp.hole" not in other.homes
