"""Pilots are drilled to their depth at full diameter; the drill's point goes on beyond it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.checks.runner import run
from bodycad.geometry.solids.bore import bore
from bodycad.layout.void import Void
from bodycad.shop import Shop
from bodycad.tools import Drill
from tests.exports.bodies import design_of, hole

TWIST = 1.2 / math.tan(math.radians(59.0))
"""Length of the point of a 2.4 mm twist drill of 118 degrees, mm."""


def made(void, **changes):
    return replace(design_of(void), **changes).layout().by_id[void.id].shape.hole


def test_a_pilot_keeps_its_depth_at_full_diameter_and_gains_the_point():
    found = made(hole("p.screw", 60.0, 0.0, 2.4, 20.0, operation="PILOT"))
    assert (found.shoulder, found.tip_deg) == (pytest.approx(20.0, abs=1e-12), 118.0)
    assert found.end == pytest.approx((60.0, 0.0, -20.0 - TWIST), abs=1e-12)


def test_the_point_is_that_of_the_drill_on_hand():
    shop = Shop(drills=(Drill(2.4, 60.0, 135.0), Drill(2.3, 60.0, 90.0)))
    found = made(hole("p.screw", 60.0, 0.0, 2.4, 20.0, operation="PILOT"), shop=shop)
    assert found.tip_deg == 135.0
    none = Shop(drills=(Drill(9.0, 60.0),))
    assert made(hole("p.screw", 60.0, 0.0, 2.4, 20.0, operation="PILOT"), shop=none).tip_deg == 118


@pytest.mark.parametrize(
    "void",
    [
        hole("p.seat", 60.0, 0.0, 14.0, 10.0, "back"),
        hole("p.screw", 60.0, 0.0, 2.4, 20.0, operation="PILOT", tip=90.0),
        Void("wire", "p", "front", "CHANNEL", bore((60, 0, -9), (-1, 0, -0.1), 6.0, 80.0)),
    ],
)
def test_a_flat_seat_a_given_point_and_a_way_for_wires_stay(void):
    assert made(void) is void.shape


@pytest.mark.parametrize("hand", [False, True])
def test_the_wood_under_a_pilot_is_counted_to_the_tip(hand):
    """39.5 mm deep in 44: 4.5 mm under its full diameter, 3.78 under its tip."""
    pilot = hole("p.screw", 0.0, 0.0, 2.4, 39.5, operation="PILOT")
    report = run(replace(design_of(pilot), left_handed=hand).layout())
    (under,) = (f.value for f in report.findings if f.code == "floor" and f.limit)
    assert under == pytest.approx(4.5 - TWIST, abs=1e-3)
