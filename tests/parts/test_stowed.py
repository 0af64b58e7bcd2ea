"""What lies in a cavity, a box for a battery, and the hull round controls, by hand."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Fit
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room
from bodycad.parts.battery import Battery, BatteryBox, Capacitor, WireRoom
from bodycad.parts.cavity import Cavity, Cover, cavity_round
from bodycad.parts.control import Pot, Toggle
from tests.checks.bench import ask, board, cavity, controls, cut, holds, none, one
from tests.sample import Loose


def battery(x: float = 0.0, **changes) -> Placed:
    return Placed("battery", Battery("control", 6.0, **changes), Place(x, -80.0))


@pytest.mark.parametrize(
    "height, spare, status", [(17.5, 18.0, "pass"), (34.0, 1.5, "warn"), (36.0, -0.5, "fail")]
)
def test_a_battery_to_the_cover(height, spare, status):
    """44 - 6 of wood - 2.5 of cover = 35.5 mm."""
    layout = board(controls(), battery(height=height))
    holds(one(layout, "control-room", "battery", "control.cover"), status, spare)


@pytest.mark.parametrize("x, spare, status", [(2.0, 3.75, "pass"), (5.0, 0.75, "fail")])
def test_a_battery_to_the_wall(x, spare, status):
    """The wall at 30, half the battery 24.25 long."""
    found = one(board(controls(), battery(x)), "control-room", "battery", "control.cavity")
    holds(found, status, spare)


@pytest.mark.parametrize("high, spare", [(-24.0, -6.5), (-38.5, -5.5)])
def test_a_battery_comes_out_past_what_is_fitted(high, spare):
    """A bar of another part, 6.5 mm high, between the battery (from -6 to -23.5) and the back: in
    its way by its height, or by what of it lies in the body."""
    bar = Prism(rectangle(16.0, 26.0, 0.0, 20.0, -80.0), high - 6.5, high)
    room = Room("bar.r", "bar", "part", bar)
    layout = board(controls(), battery(), Placed("bar", Loose((), (room,))))
    holds(one(layout, "control-room", "battery.battery", "bar.r"), "fail", spare)
    assert one(layout, "control-room", "battery.battery", "wood").status == "pass"


def test_a_battery_under_a_narrower_mouth_does_not_come_out():
    """A pocket of 60 mm from the back under a mouth of 40: the wood stands in its way."""
    block = Room("b.b", "b", "battery", Prism(rectangle(48.0, 26.0, 0.0, 0.0, -80.0), -30.0, -12.0))
    fit = Fit(part="b", kind="control", name="battery", room="b.b", outer="low.cut", hangs=True)
    inside = Prism(rectangle(60.0, 40.0, 0.0, 0.0, -80.0), -32.0, -6.0)
    low = cut("low", inside, "back", opens=())
    mouth = cavity("mouth", 0.0, -80.0, 40.0, 40.0, 31.0)
    layout = board(low, mouth, Placed("b", Loose((), (block,), (fit,))))
    found = one(layout, "control-room", "b.b", "wood")
    assert found.code == "control-room.out" and found.status == "fail" and found.value < -3.9


@pytest.mark.parametrize(
    "x, gap, status", [(27.0, 4.0, "pass"), (24.5, 1.5, "warn"), (23.5, 0.5, "fail")]
)
def test_a_capacitor_beside_a_can(x, gap, status):
    """The can's radius 12, half the capacitor 11 along u."""
    layout = board(
        controls(length=110.0),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        Placed("cap", Capacitor("control", 6.0), Place(x, -80.0)),
    )
    holds(one(layout, "control-room", "cap", "pot"), status, gap)


def test_wires_under_a_can_are_asked_by_the_height_between_them():
    """A can from -6 to -21; wires fixed to the bottom share its height: 0 apart where they share
    the plan."""
    layout = board(
        controls(),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        Placed("wires", WireRoom("control", 6.0), Place(0.0, -80.0)),
    )
    holds(one(layout, "control-room", "pot", "wires"), "fail", 0.0)


def test_what_lies_in_a_route_from_the_front_stands_on_its_floor():
    room = Capacitor("route", 34.0, face="front").rooms("cap", Place(), 44.0)[0]
    assert room.shape.box[2::3] == (-34.0, -20.0)


def box(x: float = 0.0, **changes) -> Placed:
    return Placed("box", BatteryBox(**changes), Place(x, -60.0))


def test_a_right_battery_box_passes():
    layout = board(box(), back=Roundover(3.0))
    asked = ("control-room", "ring-cover", "land", "floor", "assembly", "pilot-tip", "wall")
    assert not [f.text for c in asked for f in ask(layout, c) if f.status in ("fail", "warn")]


@pytest.mark.parametrize(
    "depth, spare, status", [(27.0, 5.0, "pass"), (23.0, 1.0, "warn"), (21.0, -1.0, "fail")]
)
def test_a_battery_box_in_its_route(depth, spare, status):
    """22 mm of box under a flange on the back."""
    found = one(board(box(route=Depth(depth))), "control-room", "box", "box.route", text="bottom")
    holds(found, status, spare)


@pytest.mark.parametrize("gap, status", [(2.5, "pass"), (1.5, "warn"), (0.8, "fail")])
def test_a_battery_box_to_its_routes_side(gap, status):
    """Corners of 3.2 about corners of 3: the sides come nearest."""
    layout = board(box(gap=gap, corner=3.2))
    holds(one(layout, "control-room", "box", "box.route", text="wall"), status, gap)


@pytest.mark.parametrize(
    "flange, spare, status", [(38.0, 2.5, "pass"), (36.0, 1.5, "warn"), (35.0, 1.0, "fail")]
)
def test_a_flange_over_its_route(flange, spare, status):
    """Half the flange less half of 33 mm of route."""
    found = one(board(box(flange_width=flange)), "ring-cover", "box", "box.route", text="covers")
    holds(found, status, spare)


@pytest.mark.parametrize(
    "span, spare, status", [(69.0, 4.5, "pass"), (67.0, 3.5, "warn"), (65.0, 2.5, "fail")]
)
def test_a_flanges_screws_beside_the_route(span, spare, status):
    """Half the span, less 29 of route, less 1 of pilot."""
    layout = board(box(screw_span=span))
    holds(one(layout, "ring-cover", "box.screw.1", "box.route"), status, spare)


def test_a_flange_over_a_rounded_edge():
    """The flange's side at y = -144, 6 mm from the body's side: 8 of roundover cut 2 under it."""
    low = Placed("box", BatteryBox(), Place(0.0, -125.0))
    holds(one(board(low, back=Roundover(8.0)), "land", "box.flange", "edge"), "fail", -2.0)


def test_the_hull_round_two_cans():
    """Two cans of 12 mm radius, 40 apart, 6 mm off: a slot of 18 mm radius."""
    two = [Placed(k, Pot("c", 6.0), Place(x, -80.0)) for k, x in (("a", -20.0), ("b", 20.0))]
    plan = cavity_round(*two, wall=6.0)
    assert plan.area == pytest.approx(math.pi * 18.0**2 + 40.0 * 36.0)
    assert plan.box == pytest.approx((-38.0, -98.0, 38.0, -62.0))
    layout = board(Placed("c", Cavity(plan, Depth(leave=6.0), Cover())), *two)
    for name in ("a", "b"):
        holds(one(layout, "control-room", name, "c.cavity"), "pass", 6.0)


@pytest.mark.parametrize("turn", [0.0, 30.0])
def test_the_hull_round_a_square_body_stands_off_its_sides_and_corners(turn):
    """A frame of 40 by 17 mm with corners of 1 mm: the hull is its offset by 6."""
    one_ = Placed("t", Toggle("c", 6.0), Place(5.0, 7.0, turn))
    plan = cavity_round(one_, wall=6.0)
    wide = rectangle(52.0, 29.0, 7.0).moved(5.0, 7.0, turn)
    assert plan.area == pytest.approx(wide.area)
    assert plan.box == pytest.approx(wide.box)
    assert none(board(), "control-room", "t", "c.cavity")


def test_a_hull_round_nothing_is_named():
    with pytest.raises(InputError, match="without room in a cavity"):
        cavity_round(Placed("x", Loose()))
