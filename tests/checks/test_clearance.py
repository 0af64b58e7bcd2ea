"""`string-clearance` by hand: poles under the strings, pressed at the last fret.

Body of the strangers' bench: 610 mm, 22 frets; pocket 17 deep, so that the crowns stand 25.4 + 1.2
- 17 = 9.6 mm over the front and string 1 (action 1.6, nut 0.5) 2.7 over them at the saddle."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.neckjoint import NeckJoint
from bodycad.parts.pickup import Humbucker
from tests.checks.bench import ask, holds
from tests.strangers.bench import BOLTS, HEEL, HEEL_X, instrument, quoin
from tests.strangers.pickups import Slab

CROWNS, FRET = 9.6, 610.0 * 2.0 ** (-22.0 / 12.0)


def pressed(k: int, x: float) -> float:
    """Height of string `k` at `x`, straight from the last fret's crown to its saddle in tune."""
    own = instrument()
    action, back = {1: 1.6, 6: 1.8}[k], own.saddle_points[k - 1][0]
    bears = CROWNS + 0.5 + 2.0 * (action - 0.5) * (610.0 - back) / 610.0
    return CROWNS + (bears - CROWNS) * (FRET - x) / (FRET - back)


def judged(part, place=None, **changes) -> dict:
    swap = {"pickup": Placed("pickup", part, place or Place(50.0)), "wire.pickup": None}
    layout = quoin(swap=swap, **changes).layout()
    return {(f.code, f.subjects[1]): f for f in ask(layout, "string-clearance")}


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "rest, status, most",
    [
        (7.0, "pass", "pass"),
        (9.8, "warn", "pass"),
        (10.4, "fail", "pass"),
        (30.0, "fail", "pass"),
        (4.5, "pass", "warn"),
        (0.0, "pass", "fail"),
    ],
)
def test_rest_height(rest, status, most, left):
    """Poles 0.5 over the cover, rows at 59.5 and 40.5; 30 mm is above the strings by 20."""
    found = judged(Humbucker(50.5, rest_height=rest), left_handed=left)
    for k in (1, 6):
        near, far = pressed(k, 59.5) - rest - 0.5, pressed(k, 40.5) - rest - 0.5
        if k == 1:
            holds(found["string-clearance", "string.1"], status, near, 1e-6)
        assert found["string-clearance", f"string.{k}"].value == pytest.approx(near)
        holds(found["string-clearance.most", f"string.{k}"], most, far, 1e-6)
    words = found["string-clearance", "string.1"].text
    assert ("above string 1" in words) == (rest == 30.0)


def test_a_turned_pickup_is_measured_at_each_pole():
    turn = math.radians(15.0)
    found = judged(Humbucker(50.5, rest_height=8.0), Place(50.0, 0.0, 15.0))
    for k, v in ((1, -25.25), (6, 25.25)):
        spots = [50.0 + u * math.cos(turn) - v * math.sin(turn) for u in (9.5, -9.5)]
        air = [pressed(k, x) - 8.5 for x in spots]
        assert found["string-clearance", f"string.{k}"].value == pytest.approx(min(air))
        assert found["string-clearance.most", f"string.{k}"].value == pytest.approx(max(air))


@pytest.mark.parametrize("blade", [False, True])
def test_a_makers_own_pickup_is_asked_alike(blade):
    found = judged(Slab(over=11.2, blade=blade))
    for k in (1, 6):
        near = found["string-clearance", f"string.{k}"]
        holds(near, "warn" if near.value > 0.8 else "fail", pressed(k, 50.0) - 11.2, 1e-6)
    assert found["string-clearance", "string.1"].status == "fail"


def test_a_deeper_pocket_brings_the_strings_down_on_the_poles():
    """A pocket 3 mm deeper: 3 mm less air."""
    joint = NeckJoint(HEEL, 17.0, 6.4, BOLTS, masked=True)
    part = Humbucker(50.5, rest_height=7.0)
    swap = {"pickup": Placed("pickup", part, Place(50.0))}
    air = []
    for depth in (17.0, 20.0):
        swap["neck"] = Placed("neck", replace(joint, depth=depth), Place(HEEL_X))
        row = ask(quoin(swap=swap).layout(), "string-clearance")
        air.append(next(f.value for f in row if f.code == "string-clearance"))
    assert air[0] - air[1] == pytest.approx(3.0)


def test_without_pickup_or_neck_it_says_so():
    bare = quoin(swap={"pickup": None, "wire.pickup": None}, links=()).layout()
    assert [f.status for f in ask(bare, "string-clearance")] == ["skip"]
    loose = quoin(swap={"neck": None}).layout()
    assert [f.status for f in ask(loose, "string-clearance")] == ["skip"]
