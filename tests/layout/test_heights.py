"""Pickups that follow the strings: the wanted air under them, pressed at the last fret, wherever
the pickup stands. Body of the strangers' bench: see `tests/checks/test_clearance.py`, whose hand
sums these are."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.chance.built import Errors, as_built
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.cased import Blade, Under
from bodycad.parts.neckjoint import NeckJoint
from bodycad.parts.pickup import Humbucker, SingleCoil
from bodycad.units import measured
from tests.checks.bench import ask, board, humbucker
from tests.checks.test_clearance import pressed
from tests.strangers.bench import BOLTS, HEEL, HEEL_X, quoin


def laid_out(part, place=None, **changes):
    swap = {"pickup": Placed("pickup", part, place or Place(50.0)), "wire.pickup": None}
    swap |= changes.pop("swap", {})
    return quoin(swap=swap, **changes).layout()


def set_part(layout):
    return next(one.part for one in layout.placed if one.id == "pickup")


def least(layout) -> float:
    rows = ask(layout, "string-clearance")
    return min(f.value for f in rows if f.code == "string-clearance")


def test_a_pickup_rests_under_the_strings():
    """Rows at 59.5 and 40.5: string 1 is nearest over the nut's row, 2 mm over poles 0.5 high."""
    layout = laid_out(Humbucker(50.5))
    assert set_part(layout).rest == pytest.approx(pressed(1, 59.5) - 2.0 - 0.5, abs=1e-6)
    assert least(layout) == pytest.approx(2.0, abs=1e-6)
    top = layout.rooms_by_id["pickup.body"].shape.box[5]
    assert top == pytest.approx(pressed(1, 59.5) - 2.5, abs=1e-6)


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "part",
    [
        Humbucker(50.5, rest_height=Under(1.2)),
        SingleCoil(50.5, rest_height=Under(1.2)),
        Humbucker(50.5, rest_height=Under(1.2), blade=Blade()),
    ],
)
def test_the_air_is_as_wanted_for_either_hand_and_turned(part, left):
    for place in (Place(50.0), Place(50.0, 0.5, 8.0), Place(70.0, 0.0, -8.0)):
        assert least(laid_out(part, place, left_handed=left)) == pytest.approx(1.2, abs=1e-4)


def test_the_height_is_over_the_front_under_the_pickup():
    """On an arched front, 3 mm lower there: the same height in space, a number 3 mm greater, and
    its cuts 3 mm deeper."""
    plain, low = laid_out(Humbucker(50.5)), laid_out(Humbucker(50.5), Place(50.0, z=-3.0))
    for name in ("body", "feet", "pole.1"):
        boxes = (one.rooms_by_id[f"pickup.{name}"].shape.box for one in (plain, low))
        assert next(boxes) == pytest.approx(next(boxes), abs=1e-9)
    assert set_part(low).rest == pytest.approx(set_part(plain).rest + 3.0)
    assert low.by_id["pickup.route"].low == plain.by_id["pickup.route"].low - 3.0
    assert low.rooms_by_id["pickup.ring"].shape.box[2] == -3.0


@pytest.mark.parametrize("depth, angle", [(20.0, 0.0), (17.0, 1.0)])
def test_it_goes_with_the_neck(depth, angle):
    joint = NeckJoint(HEEL, depth, 6.4, BOLTS, masked=True, angle_deg=angle)
    layout = laid_out(Humbucker(50.5), swap={"neck": Placed("neck", joint, Place(HEEL_X))})
    assert least(layout) == pytest.approx(2.0, abs=1e-6)
    lower = set_part(laid_out(Humbucker(50.5))).rest - set_part(layout).rest
    assert lower == pytest.approx(3.0) if depth == 20.0 else lower < -2.0


def test_a_number_stays_and_without_a_neck_it_is_the_usual_height():
    assert set_part(laid_out(Humbucker(50.5, rest_height=7.0))).rest == 7.0
    assert board(humbucker()).rooms_by_id["pickup.body"].shape.box[5] == Humbucker.USUAL


def test_its_gap_says_how_far_it_may_be_off():
    part = set_part(laid_out(Humbucker(50.5, rest_height=Under(measured(1.5, 0.2)))))
    assert (part.rest_height.origin, part.rest_height.tolerance) == ("measured", 0.2)


def test_a_pickup_once_set_stays_in_a_body_as_built():
    """A pocket 1 mm too deep brings the strings 1 mm nearer; nobody has turned the screws yet."""
    layout = laid_out(Humbucker(50.5))
    built = as_built(layout, Errors(deeper={"neck.pocket": 1.0}))
    assert least(built) == pytest.approx(1.0, abs=0.02)
    assert not math.isclose(least(built), least(layout))


def test_every_part_of_a_makers_own_may_follow():
    class Shim(Humbucker):
        def under_strings(self, place, pressed):
            return replace(self, rest_height=pressed(place.x, place.y) - 5.0)

    low, high = (pressed(k, 50.0) - 5.0 for k in (1, 6))
    assert low < set_part(laid_out(Shim(50.5))).rest < high
