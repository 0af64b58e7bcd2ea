"""`neck-place` by hand: a pocket elsewhere, turned, or for another neck. Body of the strangers'
bench: 610 mm scale, 22 frets, its heel's end at HEEL_X."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import heel_end_x
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.neckjoint import NeckJoint
from tests.checks.bench import ask, holds
from tests.strangers.bench import BOLTS, HEEL, HEEL_X, NECK, instrument, quoin
from tests.strangers.necks import OwnNeck, Stud, Tongue

SHIPPED = NeckJoint(HEEL, 17.0, 6.4, BOLTS, masked=True)
OWN = OwnNeck(Tongue(), tuple(Stud(b.u, b.v, 44.0 - 17.0 - b.wood, b.length) for b in BOLTS))


AT = Place(HEEL_X)


def judged(neck, place=AT, **changes) -> dict:
    """Findings of `neck-place` by code for the bench body with that neck."""
    layout = quoin(swap={"neck": Placed("neck", neck, place)}, **changes).layout()
    return {f.code: f for f in ask(layout, "neck-place")}


@pytest.mark.parametrize("neck", [SHIPPED, OWN])
@pytest.mark.parametrize("left", [False, True])
def test_a_pocket_for_its_own_neck_passes(neck, left):
    found = judged(neck, left_handed=left)
    # The bench's heel does not narrow toward the nut as its fretboard does.
    assert [c for c, f in found.items() if f.status != "pass"] == ["neck-place.board.mouth"]
    holds(found["neck-place.along"], "pass", 0.0, 1e-9)
    clearance = neck.end_clearance if neck is SHIPPED else neck.play
    holds(found["neck-place.end"], "pass", clearance, 1e-9)


@pytest.mark.parametrize("neck", [SHIPPED, OWN])
@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "by, status", [(-3.0, "fail"), (0.7, "warn"), (1.2, "fail"), (0.3, "pass")]
)
def test_a_pocket_along_the_strings(neck, left, by, status):
    found = judged(neck, Place(HEEL_X + by), left_handed=left)["neck-place.along"]
    holds(found, status, abs(by), 1e-9)
    assert status == "pass" or f"x = {HEEL_X:.2f}" in found.cure


@pytest.mark.parametrize("neck", [SHIPPED, OWN])
@pytest.mark.parametrize("left", [False, True])
def test_half_a_degree_is_4_mm_at_the_nut(neck, left):
    found = judged(neck, Place(HEEL_X, 0.0, 0.5), left_handed=left)
    lever = 610.0 - HEEL_X
    holds(found["neck-place.nut"], "fail", lever * math.tan(math.radians(0.5)), 1e-6)
    holds(found["neck-place.heel"], "pass", 0.0, 1e-9)
    assert "by -0.50 degrees" in found["neck-place.nut"].cure


@pytest.mark.parametrize("neck", [SHIPPED, OWN])
def test_a_pocket_beside_the_strings(neck):
    found = judged(neck, Place(HEEL_X, 0.5))
    holds(found["neck-place.heel"], "warn", 0.5, 1e-9)
    holds(found["neck-place.nut"], "pass", 0.5, 1e-9)
    assert "by 0.50 mm toward the treble" in found["neck-place.heel"].cure
    holds(judged(neck, Place(HEEL_X, -1.0))["neck-place.heel"], "fail", 1.0, 1e-9)


def test_a_turned_pocket_whose_part_says_it_is_straight():
    """The cut is what leads the neck, whatever the record says."""

    class Straight(OwnNeck):
        def voids(self, part, place, thickness):
            return super().voids(part, replace(place, turn_deg=0.4), thickness)

    found = judged(Straight(OWN.tongue, OWN.studs))
    lever = 610.0 - HEEL_X
    holds(found["neck-place.nut"], "fail", lever * math.tan(math.radians(0.4)), 1e-6)


@pytest.mark.parametrize("changes", [{"scale": 628.65}, {"frets": 24}, {"overhang": 9.0}])
def test_a_pocket_for_another_neck(changes):
    other = replace(NECK, **changes)
    own = judged(SHIPPED, instrument=replace(instrument(), neck=other))["neck-place.along"]
    holds(own, "fail", abs(heel_end_x(other) - HEEL_X), 1e-9)
    there = judged(SHIPPED, Place(heel_end_x(other)), instrument=replace(instrument(), neck=other))
    holds(there["neck-place.along"], "pass", 0.0, 1e-9)


@pytest.mark.parametrize(
    "code, more, neck",
    [
        ("thickness", 2.0, replace(SHIPPED, heel=replace(HEEL, thickness=27.4))),
        ("thickness", 2.0, replace(OWN, tongue=Tongue(wood=21.0))),
        ("thickness", 1.0, replace(OWN, tongue=Tongue(board=7.4))),
        ("board", 1.0, replace(OWN, tongue=Tongue(board=7.4))),
        ("board", 0.9, replace(SHIPPED, board_thickness=5.5)),
        ("length", 4.0, replace(SHIPPED, heel=replace(HEEL, length=72.0))),
        ("length", 4.0, replace(OWN, tongue=Tongue(length=72.0))),
        ("width_end", 1.5, replace(SHIPPED, heel=replace(HEEL, width_end=57.5))),
        ("width_mouth", 1.5, replace(OWN, tongue=Tongue(width=57.5))),
        ("rod_depth", 9.5, replace(SHIPPED, heel=replace(HEEL, rod_depth=0.0))),
        ("rod_width", 2.4, replace(SHIPPED, heel=replace(HEEL, rod_width=4.0))),
    ],
)
def test_a_part_made_for_another_heel(code, more, neck):
    holds(judged(neck)[f"neck-place.size.{code}"], "fail", more, 1e-6)


@pytest.mark.parametrize("end, status", [(0.3, "pass"), (1.0, "warn"), (2.0, "fail")])
def test_room_behind_the_heel(end, status):
    holds(judged(replace(SHIPPED, end_clearance=end))["neck-place.end"], status, end, 1e-9)


def test_a_neck_that_points_at_the_bridge_fails():
    found = judged(SHIPPED, Place(HEEL_X, 0.0, 180.0))
    assert found["neck-place.ahead"].status == "fail"


@pytest.mark.parametrize("angle", [1.0, 3.0])
def test_a_turned_floor_moves_the_frets_toward_the_nut(angle):
    """The strings run 25.4 + 1.2 + 3.4 - 0.5 = 29.5 over the floor at the scale line: the turned
    heel's end stands HEEL_X cos(a) - 29.5 sin(a) from it."""
    a, tilted = math.radians(angle), replace(SHIPPED, angle_deg=angle)
    wanted = HEEL_X * math.cos(a) - 29.5 * math.sin(a)
    off = HEEL_X - wanted
    status = "fail" if off > 1.0 else "warn"
    holds(judged(tilted)["neck-place.along"], status, off, 1e-6)
    seat = Seat(instrument(), 17.0, angle)
    assert seat.end[0] == pytest.approx(wanted)
    holds(judged(tilted, Place(seat.end[0]))["neck-place.along"], "pass", 0.0, 1e-6)


def test_a_block_with_curved_sides_is_measured_at_its_widest():
    """Sides that are arcs of 2 mm height over 76 mm: 56 wide at the ends, 60 in the middle."""

    class Round(OwnNeck):
        def rooms(self, part, place, thickness):
            first, *more = super().rooms(part, place, thickness)
            arc = 2.0 * 2.0 / 76.0
            rows = [(0.0, -28.0, arc), (76.0, -28.0, 0.0), (76.0, 28.0, arc), (0.0, 28.0, 0.0)]
            plan = place.profile(profile(rows))
            return (replace(first, shape=Prism(plan, -17.0, 2.0)), *more)

    found = judged(Round(OWN.tongue, OWN.studs))
    holds(found["neck-place.size.width"], "fail", 4.0, 1e-6)


def test_no_joint_is_skipped():
    found = ask(quoin(swap={"neck": None}).layout(), "neck-place")
    assert [f.status for f in found] == ["skip"]
