"""Single bridges on a fanned scale, by hand: saddle travel 10 mm, the string's end 14 mm behind its
middle, plate 9 mm wide."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck
from bodycad.instrument.strings import strings
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge_single import GroundFoil, SingleBridge, single_bridges
from tests.checks.bench import ask, board, holds, humbucker, one

SET = (".010", ".013", ".017", ".026w", ".036w", ".046w", ".062w")
NECK = Neck((648.0, 686.0), 24, 48.0, 42.0, 68.0, overhang=14.0, straight_fret=7.0)
FANNED = Instrument(NECK, strings(SET), bridge_spread=63.0)


def laid(bridge=None, moved=None, left=False, ahead=None):
    """Seven single bridges on the fan, those of `moved` shifted along and across their string."""
    rows = []
    for placed in single_bridges(FANNED, bridge or SingleBridge(), "b", ahead):
        along, aside = (moved or {}).get(placed.id, (0.0, 0.0))
        x, y = placed.place.point(along, aside)
        rows.append(replace(placed, place=replace(placed.place, x=x, y=y)))
    return board(*rows, played=FANNED, left_handed=left)


def bad(layout, *checks):
    return [f.code for check in checks for f in ask(layout, check) if f.status == "fail"]


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("through", [False, True])
def test_each_stands_along_its_own_string(through, left):
    layout = laid(SingleBridge(through=through), left=left)
    for k in range(1, 8):
        holds(one(layout, "saddle-window", f"b.{k}.saddle"), "pass", 5.0, 1e-6)
        if not through:
            found = one(layout, "string-path", f"b.{k}", f"b.{k}", text="aside")
            holds(found, "pass", 0.0, 1e-6)
    assert not bad(layout, "string-holes", "string-path", "ferrule-wall", "wall", "breakout")


def test_the_travel_left_toward_the_nut():
    layout = laid(ahead=3.0)
    for k in range(1, 8):
        found = one(layout, "saddle-window", f"b.{k}.saddle")
        assert found.value == pytest.approx(3.0, abs=1e-6)


def test_plates_beside_each_other():
    """Saddle points 10.5 mm apart across: string 4 stands 10.5 mm from string 3 square to the
    middle, less where both lean. Plates as wide as that touch."""
    (a, b) = (FANNED.saddle_points[k] for k in (2, 3))
    way = math.radians((FANNED.lines[2].angle_deg + FANNED.lines[3].angle_deg) / 2.0)
    apart = abs((b[1] - a[1]) * math.cos(way) - (b[0] - a[0]) * math.sin(way))
    for width, status in ((9.0, "pass"), (apart - 0.25, "warn"), (apart + 0.5, "fail")):
        found = one(laid(SingleBridge(width=width)), "string-path", "b.3", "b.4")
        assert found.status == status
        if status == "pass":
            # They fan out toward the bridge: the fronts are nearest, 0.016 of their 20 mm.
            assert found.value == pytest.approx(apart - width, abs=0.35)


def test_a_bridge_beside_its_string_and_one_out_of_travel():
    layout = laid(moved={"b.1": (0.0, -1.0), "b.6": (-8.0, 0.0)})
    assert one(layout, "string-holes", "b.1", "string.1").status == "fail"
    holds(one(layout, "saddle-window", "b.6.saddle"), "fail", 5.0 - 8.0, 1e-6)
    assert bad(layout, "saddle-window") == ["saddle-window"]


def test_a_foil_grounds_them_all():
    """Plates that lie on a foil of 0.1 mm touch it; without it, no string is grounded."""
    rows = [*single_bridges(FANNED, SingleBridge(foil=0.1), "b")]
    slant = math.degrees(math.atan(-38.0 * 2.0 ** (-7.0 / 12.0) / 63.0))
    foil = Placed("foil", GroundFoil(80.0, 14.0), Place(-6.0, 0.0, -slant))

    def grounds(*parts):
        found = ask(board(*parts, humbucker(60.0), played=FANNED), "complete")
        return [f for f in found if f.code == "complete.ground"]

    assert not grounds(*rows, foil)
    assert len(grounds(*rows)) == 7
    own = [*single_bridges(FANNED, SingleBridge(grounded=True), "b")]
    assert not grounds(*own)
