"""A plate bridge that carries a pickup, by hand: coil 70 x 18 mm, 48 mm before the row of holes,
turned by 10 degrees, 20 mm deep and 5 mm over the face; route 19 mm deep, 1.5 mm round it; plate
from 10 mm behind the row to 74 mm before it (common practice, no source)."""

from __future__ import annotations

import math

import pytest

from bodycad.checks.strings_served import running
from bodycad.errors import InputError
from bodycad.layout.interface import Poles
from bodycad.layout.layout import Link, Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge_pickup import Coil, PickupBridge
from bodycad.parts.channel import Channel
from tests.checks.bench import ask, board, holds, none, one
from tests.strangers.bench import quoin

TURN = math.radians(10.0)


def laid(left=False, turn=0.0, **sizes):
    """The bridge with its row of holes at x = -17."""
    part = PickupBridge(**{"spread": 52.5, **sizes})
    return board(Placed("bridge", part, Place(-17.0, 0.0, turn)), left_handed=left)


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("turn", [0.0, 1.0])
@pytest.mark.parametrize("through", [False, True])
def test_a_bridge_of_common_sizes(through, turn, left):
    layout = laid(left, turn, through=through)
    for check in ("pickup-room", "ring-cover", "ferrule-wall", "string-holes", "string-path"):
        assert not [f.text for f in ask(layout, check) if f.status == "fail"]
    holds(one(layout, "pickup-room", "bridge", "bridge.route", text="beside"), "pass", 1.5)


@pytest.mark.parametrize("depth, status", [(20.0, "pass"), (20.5, "warn"), (23.0, "fail")])
def test_room_under_the_coil(depth, status):
    """The route's floor is 19 mm under the face, the coil's end 5 mm less than its depth, 2 mm
    lower when it is let down."""
    found = one(laid(coil=Coil(depth=depth)), "pickup-room", "bridge", "bridge.route", text="under")
    holds(found, status, 19.0 - (depth - 5.0) - 2.0)


def test_a_route_that_looks_out_of_the_plate_is_refused():
    with pytest.raises(InputError, match="route of a bridge's pickup"):
        PickupBridge(52.5, coil=Coil(u=66.0))


@pytest.mark.parametrize("front, status", [(74.0, "pass"), (65.0, "warn"), (64.2, "fail")])
def test_the_plate_hides_the_route(front, status):
    """A round of 8.7 mm in each corner of the route, 27.8 mm and 1.8 mm from the coil's middle,
    turned by 10 degrees."""
    corner = 18.0 / 2.5 + 1.5
    far = 48.0 + (36.5 - corner) * math.sin(TURN) + (10.5 - corner) * math.cos(TURN) + corner
    screws = ((-5.0, -35.0), (-5.0, 35.0), (60.0, -36.0))
    found = one(laid(plate_front=front, screws=screws), "ring-cover", "bridge", "bridge.route")
    side = 40.0 - (36.5 - corner) * math.cos(TURN) - (10.5 - corner) * math.sin(TURN) - corner
    holds(found, status, min(front - far, side), 0.01)


@pytest.mark.parametrize("spacing, status", [(52.0, "pass"), (48.0, "warn"), (44.0, "fail")])
def test_its_poles_under_the_strings(spacing, status):
    """The strings run on the saddles' points; poles of a turned row are so much closer across, and
    stand 31 mm from the scale line, more or less by the turn."""
    layout, found = laid(coil=Coil(pole_spacing=spacing)), []
    for k, line in running(layout).items():
        v = (k - 3.5) * spacing / 5.0
        x, y = 31.0 + v * math.sin(TURN), v * math.cos(TURN)
        found.append(abs(y - line.y_at(x)))
    assert ask(layout, "pole-offset")[0].value == pytest.approx(max(found), abs=1e-6)
    assert ask(layout, "pole-offset")[0].status == status


def test_it_is_wired_and_grounded_as_a_pickup_and_a_bridge():
    wire = Channel((26.0, -26.0, -12.0), (-18.0, -72.0, -34.0), ("bridge.route", "control.cavity"))
    swap = {
        "bridge": Placed("bridge", PickupBridge(52.5), Place(-17.0)),
        "pickup": None,
        "wire.pickup": None,
    }
    links = Link("bridge", "volume", 4.0), Link("volume", "jack", 4.0)
    layout = quoin(Placed("wire.bridge", wire), swap=swap, links=links).layout()
    assert not [f.text for f in ask(layout, "complete") if f.status == "fail"]
    assert {f.status for f in ask(layout, "ground-path")} == {"pass"}
    bundle = one(layout, "wire-path", "bridge", "volume")
    assert bundle.status == "pass"
    cut_off = quoin(swap=swap, links=links).layout()
    assert one(cut_off, "wire-path", "bridge", "volume").status == "fail"
    assert none(layout, "complete", "bridge")


def test_a_pole_senses_a_pair():
    """Six poles under twelve strings: each string's own sensing point is its pair's pole."""
    layout = laid(strings=12, courses=(2,) * 6, through=False)
    (poles,) = layout.stated(Poles)
    assert len(poles.points) == 12 and len(set(poles.points)) == 6
    assert poles.points[::2] == poles.points[1::2]
    assert len([room for room in layout.rooms if ".pole." in room.id]) == 6
