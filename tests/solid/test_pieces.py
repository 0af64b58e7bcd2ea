"""Further workpieces in the kernel: each is judged like the body and stands in its place."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin, Square
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.solid import kernel, step, work
from bodycad.solid.body import COLOURS, room_solids
from bodycad.words import RoomKind
from designs import teasel
from tests.solid.bodies import board, pocket
from tests.strangers.bench import quoin

BOTH = frozenset({"front", "back"})


def plate(*more: Void) -> Workpiece:
    """A 60 x 40 mm plate, 4 thick, let into the back of a 44 mm board about (-50, 30), turned by 90
    degrees; a hole of 5 mm stands 20 mm from its middle."""
    hole = Void("plate.hole", "", "front", "BORE", bore((20, 0, 0), (0, 0, -1), 5.0, 4.0), BOTH)
    skin = Skin(rectangle(60.0, 40.0, 5.0), 4.0, Square(), Square())
    return Workpiece("plate", skin, (hole, *more), frame=Frame(-50.0, 30.0, -44.0, 90.0, True))


def made(piece: Workpiece, directory):
    layout = board(pocket("one", rectangle(40, 60, 5, 90.0), 20.0))
    layout = replace(layout, pieces=(layout.body, piece))
    return work.run(layout, directory)


def test_a_plate_is_judged_and_stands_in_its_place(tmp_path):
    found = made(plate(), tmp_path)
    assert [(f.status, f.subjects) for f in found] == [("pass", ("body",)), ("pass", ("plate",))]
    solids = sorted(step.read(tmp_path / "sample-layout.step").Solids(), key=kernel.volume)
    small, large = solids
    due = 4.0 * (60.0 * 40.0 - (4.0 - math.pi) * 5.0**2 - math.pi * 2.5**2)
    assert kernel.volume(small) == pytest.approx(due, rel=1e-9)
    assert kernel.rough_box(small) == pytest.approx((-70, 0, -44, -30, 60, -40), abs=1e-5)
    # The hole, at (20, 0) of the plate, is at (-50, 50): the middle of the wood lies the other way.
    x, y, z = kernel.centre(small)
    lost = math.pi * 2.5**2 * 4.0
    assert (x, y, z) == pytest.approx((-50.0, 30.0 - 20.0 * lost / due, -42.0), abs=1e-6)
    body = step.read(tmp_path / "sample-body.step").Solids()
    assert len(body) == 1 and kernel.volume(body[0]) == pytest.approx(kernel.volume(large))
    assert "PRODUCT('plate'" in (tmp_path / "sample-layout.step").read_text("ascii")


def test_a_cut_that_misses_its_plate_and_a_plate_that_falls_apart_are_named(tmp_path):
    stray = Void("plate.stray", "", "front", "BORE", bore((80, 0, 0), (0, 0, -1), 5, 4), BOTH)
    found = {f.subjects: f for f in made(plate(stray), tmp_path)}
    assert found["plate.stray",].status == "fail"
    assert "misses the plate" in found["plate.stray",].text
    saw = Void("plate.saw", "", "front", "POCKET", Prism(rectangle(3, 60), -4.0, 0.0), BOTH)
    (error,) = [f for f in made(plate(saw), tmp_path) if f.status == "error"]
    assert "the plate falls into 2 pieces" in error.text and "plate" in error.subjects


def test_there_is_one_colour_for_every_kind_of_room():
    """All of RoomKind and nothing else; every kind that a shipped part emits is a RoomKind."""
    assert set(COLOURS) == set(RoomKind) and len(COLOURS) == len(RoomKind)
    assert all(len(c) == 4 and all(0.0 <= v <= 1.0 for v in c) for c in COLOURS.values())
    for layout in (teasel.design().layout(), quoin().layout()):
        assert all(COLOURS[room.kind] for room in layout.rooms)


def test_a_room_that_a_piece_fills_is_made_once():
    layout = quoin().layout()
    assert "control.cover" in {room.id for room in layout.rooms}
    made_rooms = {one.id for one in room_solids(layout)}
    assert made_rooms == {room.id for room in layout.rooms} - {"control.cover"}
