"""`fixing`: screws counted, and their distances and strength by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.geometry.solids.bore import bore
from bodycad.instrument.load import total_tension
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge import Hardtail
from tests.checks.bench import ask, board, holds, instrument, one
from tests.drawn import layout_of

SLIP = 23.17 * 3.0**2
"""N of one 3 mm wood screw in red alder (specific gravity 0.41): K D^2, as long as 7 diameters."""


def bridge(*screws) -> Placed:
    return Placed("bridge", Hardtail(spread=52.5, screws=screws), Place(-17.0, 0.0))


@pytest.mark.parametrize("count, status", [(0, "fail"), (1, "fail"), (2, "pass"), (3, "pass")])
def test_screws_of_a_bridge_are_counted(count, status):
    spots = ((12.0, 0.0), (12.0, 30.0), (12.0, -30.0))[:count]
    found = one(board(bridge(*spots)), "fixing", "bridge.plate", "screws")
    holds(found, status, float(count))


def test_a_bezel_needs_no_screws():
    """It is pressed in: the window's rim of the box in the README, 13 mm wide."""
    layout = layout_of("teasel")
    ring = next(room for room in layout.rooms if room.kind == "ring")
    assert any(f.subjects[0] == ring.id for f in ask(layout, "fixing"))
    rim = replace(ring, shape=bore((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 13.0, 1.5))
    rooms = tuple(rim if room is ring else room for room in layout.rooms)
    small = replace(layout, rooms=rooms)
    assert not any(f.subjects[0] == ring.id for f in ask(small, "fixing"))


@pytest.mark.parametrize("left", [False, True])
def test_the_screws_of_a_bridge_against_its_strings(left):
    layout = board(bridge((12.0, 30.0), (12.0, -30.0)), left_handed=left)
    pull, found = total_tension(instrument()), one(layout, "fixing", "bridge", "strings")
    screws = [s for s in layout.interfaces if type(s).__name__ == "Screw" and s.part == "bridge"]
    by_hand = sum(SLIP / 9.0 * s.thread**2 * min(s.reach / (7.0 * s.thread), 1.0) for s in screws)
    assert found.value == pytest.approx(by_hand / pull, rel=1e-6) and len(screws) == 2
    assert one(board(bridge()), "fixing", "bridge", "strings").value == 0.0


@pytest.mark.parametrize("name", ["teasel", "campion"])
def test_what_lost_its_screws_fails(name):
    """Covers, rings and a guard, each alone."""
    layout = layout_of(name)
    sheets = {f.subjects[0] for f in ask(layout, "fixing") if f.code == "fixing"}
    assert len(sheets) >= 4
    bare = replace(
        layout, interfaces=tuple(i for i in layout.interfaces if type(i).__name__ != "Screw")
    )
    failing = {f.subjects[0] for f in ask(bare, "fixing") if f.status == "fail"}
    assert sheets - {"vibrato.plate"} <= failing  # the pivot is six posts


@pytest.mark.parametrize(
    ("spots", "status"),
    [
        (((20.0, 30.0), (-55.0, -30.0), (-110.0, 0.0)), "pass"),
        (((-58.0, 30.0), (-58.0, 24.0)), "warn"),
        (((-5.0, 30.0), (-5.0, 24.0)), "fail"),
    ],
)
def test_how_far_a_rim_is_from_its_next_screw(spots, status):
    """To the farthest corner of a plate 158 mm long, whose corners are rounded."""
    part = Hardtail(spread=52.5, screws=spots, plate_rear=125.0)
    layout = board(Placed("bridge", part, Place(100.0, 0.0)))
    (room,) = (r for r in layout.rooms if r.id == "bridge.plate")
    x0, y0, _, x1, y1, _ = room.shape.box
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    by_hand = max(min(math.dist(c, (100.0 + u, v)) for u, v in spots) for c in corners)
    found = one(layout, "fixing", "bridge.plate", "rim")
    assert found.status == status and by_hand - 3.0 < found.value <= by_hand
    assert math.dist(*found.at) == pytest.approx(found.value, abs=1e-9)
