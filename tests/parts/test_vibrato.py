"""Vibratos by hand: block 12 to 26 mm behind the pivot and 38 mm tall, tipped by 14 degrees; slot
from 7 to 38 mm behind it; cavity from 74 mm before to 44 mm behind it, 17 mm deep, under a cover of
2.5 mm (common practice, no source)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Placed
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.parts.bridge_vibrato import Block, Claw, PostVibrato, ScrewVibrato
from bodycad.parts.channel import Channel
from bodycad.shop import Shop
from bodycad.tools import Drill
from bodycad.words import Wire
from tests.checks.bench import ask, board, cut, holds, none, one, pocket
from tests.strangers.bench import quoin

DIVE = math.radians(14.0)
X = 5.0


def tipped(*more, block=None, kind=ScrewVibrato, place=None, shop=None, left=False, **sizes):
    """The board with a vibrato whose pivot stands at x = 5."""
    if block is not None:
        sizes["block"] = block
    placed = Placed("bridge", kind(52.5, **sizes), place or Place(X))
    return board(placed, *more, shop=shop or Shop(), left_handed=left)


def test_the_swing_of_a_block():
    """A point (u, w) tips to (u c + w s, w c - u s). Between the pivot and 20 mm under it the rear
    face, which runs from (-26 c, 26 s) down along (-s, -c), is farthest back at the lower end."""
    c, s = math.cos(DIVE), math.sin(DIVE)
    block = Block(dive_deg=14.0)
    low, high = block.swept(-40.0, 0.0)
    assert low == pytest.approx(-26.0 * c - 38.0 * s, abs=1e-4) and high == pytest.approx(-12.0)
    run = (20.0 + 26.0 * s) / c
    assert block.swept(-20.0, 0.0)[0] == pytest.approx(-26.0 * c - run * s, abs=1e-3)
    assert block.lowest == pytest.approx(-38.0)
    pulled = Block(dive_deg=0.0, pull_deg=5.0)
    c, s = math.cos(math.radians(5.0)), math.sin(math.radians(5.0))
    assert pulled.lowest == pytest.approx(-38.0 * c - 26.0 * s, abs=1e-4)
    assert pulled.swept(-45.0, 0.0)[1] == pytest.approx(-12.0 * c + 38.0 * s, abs=1e-4)
    assert block.swept(-60.0, -50.0) is None


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    ("row", "width", "spare", "status"),
    [
        (20.0, 68.0, 6.25, "pass"),  # to its end beside the outer strings, 7.75 mm
        (13.0, 68.0, -0.5, "fail"),  # 1 mm behind that face
        (20.0, 56.5, 0.5, "warn"),  # the outer strings 26.25 mm beside the middle
        (20.0, 20.0, -17.75, "fail"),
    ],
)
def test_the_holes_of_the_strings_lie_in_the_block(row, width, spare, status, left):
    """Less half of a hole of 3 mm."""
    layout = tipped(block=Block(width=width), string_row=row, left=left)
    holds(one(layout, "vibrato-swing", "bridge", "block"), status, spare)


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("turn", [0.0, 3.0])
def test_a_vibrato_of_common_sizes_swings_free(left, turn):
    layout = tipped(place=Place(X, 0.0, turn), left=left)
    holds(one(layout, "vibrato-swing", "bridge.swing.slot", "bridge.slot"), "pass", 3.0)
    back = one(layout, "vibrato-swing", "bridge.swing.hollow", "bridge.cover")
    holds(back, "pass", 3.5)
    holds(one(layout, "vibrato-swing", "bridge.springs", "bridge.cover"), "pass", 4.5)
    assert [piece.id for piece in layout.pieces] == ["body", "bridge.cover"]
    for check in ("wall", "breakout", "floor", "cutter-corner", "cutter-reach", "complete"):
        assert not [
            f.text for f in ask(layout, check) if f.status == "fail" and "bridge" in str(f.subjects)
        ]


@pytest.mark.parametrize("length, status", [(31.0, "pass"), (29.0, "warn"), (26.0, "fail")])
def test_a_slot_too_short_behind_the_block(length, status):
    """The slot's floor lies 29.5 mm under the face; there the block, tipped, comes 34.2 mm behind
    the pivot, and the slot ends at 7 mm and its length. Its corners of 3.2 mm are nearer than its
    sides, 3 mm beside the block."""
    c, s = math.cos(DIVE), math.sin(DIVE)
    far = 26.0 * c + min((29.5 + 26.0 * s) / c, 38.0) * s
    found = one(tipped(slot_length=length), "vibrato-swing", "bridge.swing.slot", "bridge.slot")
    behind = 7.0 + length - far
    near = 3.2 - math.hypot(0.2, 3.2 - behind) if behind < 3.2 else 3.0
    holds(found, status, near, 0.002)


@pytest.mark.parametrize("height, status", [(38.0, "pass"), (40.5, "warn"), (44.0, "fail")])
def test_a_block_taller_than_the_body_under_its_cover(height, status):
    """The cover's inner face lies 41.5 mm under the front."""
    layout = tipped(block=Block(height=height))
    found = one(layout, "vibrato-swing", "bridge.swing.hollow", "bridge.cover")
    holds(found, status, 41.5 - height)


def test_a_block_in_a_thin_body_stands_out():
    part = ScrewVibrato(52.5)
    layout = board(Placed("bridge", part, Place(X)), thickness=38.0)
    found = one(layout, "vibrato-swing", "bridge.swing.hollow", "bridge.cover")
    holds(found, "fail", 35.5 - 38.0)


@pytest.mark.parametrize("tilt, status", [(8.0, "pass"), (5.5, "warn"), (4.0, "fail")])
def test_the_drill_for_the_claw_leaves_over_the_far_rim(tilt, status):
    """It starts 10 mm over the back at the wall, 122 mm before the rim of the cover's recess."""
    way = math.radians(tilt)
    spare = (122.0 * math.tan(way) - 10.0) * math.cos(way) - 1.4
    layout = tipped(claw=Claw(tilt_deg=tilt))
    found = one(layout, "drill-reach", "bridge.claw.1", "shank")
    holds(found, status, spare, 0.05)


@pytest.mark.parametrize("reach, status", [(300.0, "pass"), (245.0, "warn"), (230.0, "fail")])
def test_the_drill_for_the_claw_brings_its_chuck_clear(reach, status):
    """The axis is 20 mm under the back (the chuck's radius) so far behind its start, 2 mm before
    the wall: (30 - 2 s) / s, for s the sine of 8 degrees; 27 mm of it and its point in the
    hole."""
    s = math.sin(math.radians(8.0))
    found = ask(tipped(shop=Shop(drills=(Drill(2.8, reach),))), "drill-reach")
    found = [f for f in found if f.subjects == ("bridge.claw.1", "chuck")]
    assert [f.status for f in found] == [status]
    if found[0].value is not None:
        assert found[0].value == pytest.approx(reach - 27.84 - (30.0 - 2.0 * s) / s, abs=0.6)


@pytest.mark.parametrize("d, status", [(6.0, "pass"), (4.0, "warn"), (2.0, "fail")])
def test_a_claws_screw_before_a_neck_pocket(d, status):
    """Its pilot ends 25 mm from the wall at x = 79, its point 1.4 / tan 59 farther."""
    tip = X + 74.0 + (25.0 + 1.4 / math.tan(math.radians(59.0))) * math.cos(math.radians(8.0))
    layout = tipped(pocket("deep", tip + d + 20.0, 0.0, 40.0, 60.0, 40.0))
    for k in (1, 2):
        holds(one(layout, "pilot-tip", f"bridge.claw.{k}", "deep.cut"), status, d, 0.02)


def test_a_claws_screw_that_comes_out_in_a_cavity():
    hollow = cut("control", Prism(rectangle(20.0, 20.0, 0.0, X + 95.0, -12.5), -44.0, -6.0), "back")
    found = [f for f in ask(tipped(hollow), "pilot-tip") if "bridge.claw.1" in f.subjects]
    assert "fail" in {f.status for f in found}
    assert not [f for f in found if "bridge.claw.2" in f.subjects and f.status == "fail"]


@pytest.mark.parametrize("d, status", [(6.0, "pass"), (4.0, "warn"), (2.0, "fail")])
def test_a_slot_beside_a_pickups_route(d, status):
    """The slot's nut side is at x = -2, its end 37 mm off the middle."""
    layout = tipped(pocket("route", -2.0 + d + 10.0, 35.0, 20.0, 20.0, 20.0))
    holds(one(layout, "wall", "bridge.slot", "route.cut"), status, d)


@pytest.mark.parametrize("d, status", [(12.0, "pass"), (8.0, "warn"), (4.0, "fail")])
def test_the_pivot_screws_before_a_route(d, status):
    """They are pulled toward the nut as posts are; their pilots are 2.4 mm wide."""
    layout = tipped(pocket("route", X + 1.2 + d + 10.0, 0.0, 20.0, 80.0, 15.0))
    for k in range(1, 7):
        holds(one(layout, "post-web", f"bridge.pivot.{k}", "route.cut"), status, d)


@pytest.mark.parametrize("rise, sunk", [(3.0, False), (1.0, True)])
def test_a_floating_plate_needs_room_to_dip(rise, sunk):
    """Pulled by 3 degrees its rear end, 40 mm behind the posts, goes down by 2.09 mm."""
    block = Block(height=41.0, pull_deg=3.0)
    layout = tipped(kind=PostVibrato, block=block, rise=rise)
    found = [f for f in ask(layout, "assembly") if f.code == "assembly.wood" and f.status == "fail"]
    assert bool(found) is sunk
    if sunk:
        assert found[0].value == pytest.approx(rise - 40.0 * math.sin(math.radians(3.0)), abs=0.01)


@pytest.mark.parametrize("d, status", [(12.0, "pass"), (8.0, "warn"), (5.0, "fail")])
def test_posts_of_a_vibrato_before_a_route(d, status):
    """Bushes of 10 mm, 74 mm apart."""
    route = pocket("route", X + 5.0 + d + 10.0, -37.0, 20.0, 30.0, 18.0)
    layout = tipped(route, kind=PostVibrato)
    holds(one(layout, "post-web", "bridge.post.1", "route.cut"), status, d)


GROUND = Channel(
    (-30, -34, -36), (-50, -72, -24), ("bridge.cavity", "control.cavity"), 3.2, "", "ground"
)


def test_the_claw_is_grounded():
    swap = {"bridge": Placed("bridge", ScrewVibrato(52.5), Place(X))}
    with_wire = quoin(swap={**swap, "ground": Placed("ground", GROUND)}).layout()
    assert {f.status for f in ask(with_wire, "ground-path")} == {"pass"}
    without = quoin(swap={**swap, "ground": None}).layout()
    found = [f for f in ask(without, "ground-path") if f.status == "fail"]
    assert [f.subjects for f in found] == [("bridge",)]


@dataclass(frozen=True)
class Loose(ScrewVibrato):
    """A vibrato that forgets where its ground wire ends."""

    def interfaces(self, part, place, piece):
        found = super().interfaces(part, place, piece)
        return tuple(i for i in found if not (isinstance(i, Terminal) and i.kind is Wire.GROUND))


def test_a_vibrato_without_a_ground_is_named():
    swap = {"bridge": Placed("bridge", Loose(52.5), Place(X)), "ground": None}
    found = [f for f in ask(quoin(swap=swap).layout(), "complete") if f.code == "complete.ground"]
    assert len(found) == 6 and all(f.status == "fail" for f in found)


def test_sizes_of_the_hollow_are_sizes_of_the_vibrato():
    part = ScrewVibrato(52.5)
    other = replace(
        part, hollow=replace(part.hollow, cover=replace(part.hollow.cover, thickness=3.0))
    )
    layout = board(Placed("bridge", other, Place(X)))
    holds(one(layout, "vibrato-swing", "bridge.swing.hollow", "bridge.cover"), "pass", 3.0)
    assert none(layout, "vibrato-swing", "bridge.swing.hollow", "back")


def test_a_block_that_turns_out_taller_swings_in_the_wood_as_drawn():
    """The cavity and its cover's plan stay as drawn; what the part is comes with it."""
    drawn = ScrewVibrato(52.5)
    taller = replace(
        drawn,
        block=Block(height=39.0),
        hollow=replace(drawn.hollow, cover=replace(drawn.hollow.cover, gap=0.5, thickness=3.0)),
    )
    made = Made()
    fitted = taller.fitted("bridge", drawn, made)
    assert fitted.block.height == 39.0 and fitted.hollow.cover.thickness == 3.0
    assert fitted.hollow.cover.gap == drawn.hollow.cover.gap
