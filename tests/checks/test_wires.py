"""`wire-path` and `ground-path` by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bodycad.checks.wood.air import free_radius
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Link, Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.channel import Channel
from bodycad.parts.control import Pot
from bodycad.shop import Shop
from bodycad.tools import Drill
from tests.checks.bench import (
    ask,
    board,
    cavity,
    controls,
    cut,
    hardtail,
    holds,
    humbucker,
    necked,
    none,
    one,
    pocket,
)
from tests.sample import Loose

START, END = (0.0, -30.0, -10.0), (0.0, -70.0, -30.0)


def channel(
    start=START, end=END, through=("pickup.route", "control.cavity"), name="wire", **changes
) -> Placed:
    """From the pickup's route (36 mm either side of the centreline, 19 deep) down into the
    cavity."""
    return Placed(name, Channel(start, end, through, **changes))


def wired(*more: Placed, links=(), shop: Shop = Shop()):
    return board(humbucker(), controls(), *more, links=links, shop=shop)


def test_a_channel_that_opens_where_it_should():
    layout = wired(channel())
    for target in ("pickup.route", "control.cavity"):
        found = one(layout, "wire-path", "wire", target)
        holds(found, "pass", 100.0)
        assert found.unit == "%"


@pytest.mark.parametrize("y, status", [(-70.0, "pass"), (-54.0, "fail"), (-58.0, "fail")])
def test_a_channel_that_stops_short(y, status):
    """The cavity's wall is at y = -55. At 1 in 2 a 6.35 mm hole's section is all inside 1.42 mm
    past it."""
    layout = wired(channel(end=(0.0, y, -10.0 + (y + 30.0) / 2.0)))
    found = one(layout, "wire-path", "wire", "control.cavity")
    assert found.status == ("pass" if y <= -57.0 else status)


def test_half_a_section():
    """A level hole half beside the cavity: half of its section opens into it."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 72.0, 19.0),
        cavity("b", 50.0, -80.0, 100.0, 50.0, 6.0),
        channel((0.0, -30.0, -12.0), (0.0, -70.0, -12.0), ("a.cut", "b.cut")),
    )
    found = one(layout, "wire-path", "wire", "b.cut")
    assert found.status == "fail" and 40.0 < found.value < 60.0


def test_the_shank_in_the_route():
    """It starts in the 16 mm wide slot for the pickup's feet: 8 - 3.175; further back it rises
    through the open front."""
    holds(one(wired(channel()), "wire-path", "wire", "shank"), "pass", 8.0 - 3.175)


def test_a_drill_too_flat_over_the_far_rim():
    """1 in 20 up from z = -3: over the slot's far rim (y = 42.5), 72.5 mm behind its start, its
    axis is 0.625 mm over the front."""
    found = one(
        wired(channel((0.0, -30.0, -3.0), (0.0, -70.0, -5.0), ("pickup.route",))),
        "wire-path",
        "wire",
        "shank",
    )
    holds(found, "fail", 0.625 - 3.175, 0.03)


@pytest.mark.parametrize("rise", [24.0, 10.0])
def test_a_drill_passes_the_rim_at_its_true_distance(rise):
    """A 45 degree drill whose axis stands `rise` mm over the rim clears it by rise / sqrt 2, not by
    rise / 2."""
    layout = board(pocket("a", 0.0, 0.0, 200.0, 60.0, 19.0))
    z = np.linspace(0.001, rise, 2001)
    points = np.column_stack([np.zeros_like(z), 30.0 + z - rise, z])
    assert free_radius(layout.body, points, layout.voids).min() == pytest.approx(
        rise / math.sqrt(2.0), abs=0.01
    )


def test_air_beside_a_point():
    layout = board(pocket("a", 0.0, 0.0, 40.0, 60.0, 19.0))
    points = np.array(
        [
            [0.0, 0.0, 5.0],
            [100.0, 0.0, 5.0],
            [203.0, 0.0, 4.0],
            [203.0, 0.0, -4.0],
            [17.0, 0.0, 4.0],
            [100.0, 0.0, -5.0],
        ]
    )
    # 20.6 to the rim; 5 to the front; hypot(3, 4) past the end; 3; hypot(3, 4) to the pocket's rim;
    # 5 mm in wood.
    assert free_radius(layout.body, points, layout.voids) == pytest.approx(
        [math.hypot(20.0, 5.0), 5.0, 5.0, 3.0, 5.0, -5.0]
    )


@pytest.mark.parametrize("gap, free", [(60.0, 11.0), (5.0, 2.0)])
def test_a_drill_may_pass_the_mouth_of_a_hole_in_the_side(gap, free):
    """Just outside a 22 mm hole its rim is 11 mm away, not the 2 mm to the line of the side; not so
    where a horn stands in the hole's own line `gap` mm before the side."""
    shape = profile(
        [(-200, -100), (100, -100), (100, -101 - gap), (-60, -101 - gap), (-60, -130 - gap)]
        + [(160, -130 - gap), (160, 100), (-200, 100)]
    )
    hole = bore((0.0, -100.0, -22.0), (0.0, 1.0, 0.0), 22.0, 30.0)
    layout = board(
        cut("j", hole, "edge", "BORE"),
        pocket("a", 0.0, 20.0, 40.0, 60.0, 19.0),
        outline=shape,
    )
    found = free_radius(layout.body, np.array([[0.0, -102.0, -22.0]]), layout.voids)
    assert found[0] == pytest.approx(free)


@pytest.mark.parametrize("longest, status", [(300.0, "pass"), (60.0, "fail")])
def test_the_long_drill_is_of_the_holes_own_size(longest, status):
    """A long drill of another size makes no hole of 6.35 mm."""
    shop = Shop(drills=(Drill(6.35, 40.0), Drill(6.35, longest), Drill(8.0, 300.0)))
    found = one(wired(channel(), shop=shop), "wire-path", "wire", "chuck")
    assert found.status == status and f"the longest on hand is {longest:g} mm" in found.text


def test_the_chuck_stands_clear_by_its_own_radius():
    """At 45 degrees up from (0, -24, -8), s mm on each way: the pocket's wall is 6 + s away, its
    floor 11 + s, its sides 20. A ball of 19 is clear from s = 13 on; the hole itself is 16 on each
    way."""
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 60.0, 19.0),
        cavity("b", 0.0, -40.0, 40.0, 18.0, 6.0),
        channel((0.0, -24.0, -8.0), (0.0, -40.0, -24.0), ("a.cut", "b.cut")),
        shop=Shop(chuck=38.0),
    )
    holds(
        one(layout, "wire-path", "wire", "chuck"),
        "pass",
        300.0 - (16.0 + 13.0) * math.sqrt(2.0),
        0.6,
    )


def test_a_horn_behind_the_drill_stops_the_chuck():
    """Level through the end of the board toward a horn: clear air between them is not enough, for
    the chuck and the machine come behind it."""
    outline = profile(
        [
            (-200, -100),
            (100, -100),
            (100, 60),
            (160, 60),
            (160, -100),
            (220, -100),
            (220, 100),
            (-200, 100),
        ]
    )
    wire = channel((100.0, 0.0, -10.0), (50.0, 0.0, -10.0), ("a.cut",))
    layout = board(
        pocket("a", 40.0, 0.0, 40.0, 40.0, 20.0),
        wire,
        outline=outline,
        shop=Shop(chuck=20.0, drills=(Drill(6.35, 200.0),)),
    )
    found = one(layout, "wire-path", "wire", "chuck")
    # The first 60 mm behind the start are air, the horn's 60 are not: clear again 10 mm past it, at
    # x = 230.
    holds(found, "pass", 200.0 - 50.0 - 130.0, 0.6)


@pytest.mark.parametrize(
    "bundle, spare, status", [(4.0, 2.35, "pass"), (6.0, 0.35, "warn"), (7.0, -0.65, "fail")]
)
def test_a_way_wide_enough(bundle, spare, status):
    layout = wired(
        channel(),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        links=[Link("pickup", "pot", bundle)],
    )
    holds(one(layout, "wire-path", "pickup", "pot"), status, spare)


@pytest.mark.parametrize(
    "bundles, percent, status",
    [((3.0, 3.0), 44.64, "pass"), ((4.0, 4.0), 79.36, "warn"), ((4.0, 4.0, 4.0), 119.04, "fail")],
)
def test_bundles_share_a_hole(bundles, percent, status):
    """Each fits the 6.35 mm hole alone: 9 and 9 of its 40.32 (mm2, but for pi / 4), 16 and 16, and
    three times 16."""
    pots = [Placed(f"pot.{k}", Pot("control", 6.0), Place(30.0 * k, -80.0)) for k in range(3)]
    links = [Link("pickup", f"pot.{k}", bundle) for k, bundle in enumerate(bundles)]
    layout = wired(channel(), *pots, links=links)
    holds(one(layout, "wire-path", "wire", "bundles"), status, percent)


def test_a_connection_without_a_way():
    layout = wired(
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)), links=[Link("pickup", "pot")]
    )
    found = one(layout, "wire-path", "pickup", "pot")
    assert found.status == "fail" and found.value is None and "no way" in found.text


def test_two_pots_in_one_cavity_need_no_channel():
    layout = board(
        controls(length=90.0),
        Placed("one", Pot("control", 6.0), Place(-20.0, -80.0)),
        Placed("two", Pot("control", 6.0), Place(20.0, -80.0)),
        links=[Link("one", "two", 20.0)],
    )
    found = one(layout, "wire-path", "one", "two")
    assert found.status == "pass" and "one pocket holds both" in found.text


def test_no_wire_goes_through_a_neck_screws_hole():
    """The pocket's screw holes open into the cavity behind it: that is no way for a wire."""
    layout = board(
        necked(),
        pocket("a", 150.0, 0.0, 10.0, 10.0, 18.0),
        cavity("b", 150.0, 0.0, 70.0, 50.0, 30.0),
        links=[Link("a", "b")],
    )
    found = one(layout, "wire-path", "a", "b")
    assert found.status == "fail" and "no way" in found.text


def ground(start=(0.0, -30.0, 0.0), end=(0.0, -70.0, -30.0), **changes) -> Placed:
    return channel(
        start,
        end,
        ("control.cavity",),
        "ground",
        diameter=3.2,
        from_face="front",
        kind="ground",
        **changes,
    )


@pytest.mark.parametrize(
    "y, spare, status", [(-30.0, 7.333, "pass"), (-37.0, 0.333, "warn"), (-38.0, -0.667, "fail")]
)
def test_the_ground_holes_mouth_under_the_plate(y, spare, status):
    """3 down in 5: the mouth is 3.2 / 0.6 = 5.333 mm long; the plate's side is at y = -40."""
    layout = board(
        humbucker(60.0), hardtail(), controls(), ground((0.0, y, 0.0), (0.0, y - 40.0, -30.0))
    )
    holds(one(layout, "ground-path", "ground", "bridge.plate"), status, spare)


def test_no_ground_hole():
    found = ask(board(humbucker(60.0), hardtail()), "ground-path")
    assert [f.status for f in found] == ["fail"] and "no ground hole" in found[0].text


def test_a_ground_hole_that_misses_the_cavity():
    layout = board(humbucker(60.0), hardtail(), controls(), ground(end=(0.0, -45.0, -11.25)))
    assert one(layout, "ground-path", "ground", "control.cavity").status == "fail"


def test_a_level_ground_hole():
    hole = channel(
        (0.0, -30.0, -20.0), (0.0, -70.0, -20.0), ("control.cavity",), "ground", kind="ground"
    )
    found = one(
        board(humbucker(60.0), hardtail(), controls(), hole),
        "ground-path",
        "ground",
        "bridge.plate",
    )
    assert found.status == "fail" and "level" in found.text


def test_nothing_to_ask():
    assert [f.status for f in ask(board(), "wire-path")] == ["skip"]
    assert [f.status for f in ask(board(hardtail()), "ground-path")] == ["skip"]
    assert none(board(), "wire-path", "wire", "shank")


def test_each_of_two_bridges_has_a_ground_hole_of_its_own():
    """Two bridges side by side, each over its own hole: none is asked to serve the other. Without
    the second hole the second bridge fails, and one that comes out under no plate fails too."""
    two = Placed("other", Hardtail(52.5), Place(-17.0, 100.0))
    second = ground((0.0, 95.0, 0.0), (0.0, 55.0, -30.0))
    far = cavity("far", 0.0, 50.0, 40.0, 20.0, 6.0)
    second = Placed("ground.2", replace(second.part, through=("far.cut",)))
    parts = humbucker(60.0), hardtail(), two, controls(), far, ground()
    found = {f.subjects: f.status for f in ask(board(*parts, second), "ground-path")}
    assert found == {("ground", "bridge.plate"): "pass", ("ground.2", "other.plate"): "pass"}
    alone = {f.subjects: f.status for f in ask(board(*parts), "ground-path")}
    assert alone == {("ground", "bridge.plate"): "pass", ("ground", "other.plate"): "fail"}
    stray = Placed("ground.2", replace(second.part, start=(-100.0, 95.0, 0.0)))
    found = {f.subjects: f.status for f in ask(board(*parts, stray), "ground-path")}
    assert found["ground.2", "other.plate"] == "fail"


def test_a_post_is_grounded_through_its_hole():
    """Metal that stands in a void is reached by a ground way that leads through that void."""
    post = bore((0.0, -20.0, 0.0), (0, 0, -1), 11.0, 20.0)
    void = Void("post.hole", "post", "front", "POST", post, frozenset({"front"}))
    metal = Terminal(part="post", kind="ground", voids=(void.id,), linked=False)
    wire = channel((0.0, -20.0, -15.0), (0.0, -70.0, -15.0), (void.id, "control.cavity"))
    for kind, status in (("ground", "pass"), ("wire", "fail")):
        way = Placed("wire", replace(wire.part, kind=kind))
        placed = Placed("post", Loose((void,), says=(metal,)))
        layout = board(humbucker(60.0), controls(), placed, way)
        assert [f.status for f in ask(layout, "ground-path")] == [status]


def test_a_channel_that_leads_nowhere_and_one_that_is_routed():
    found = one(wired(channel(through=())), "wire-path", "wire")
    assert found.status == "fail" and "into nothing" in found.text
    trough = cut("trough", Prism(rectangle(10.0, 60.0, 0.0, 0.0, -50.0), -12.0, 0.0))
    routed = replace(trough.part.cut[0], operation="CHANNEL", meets=frozenset({"pickup.route"}))
    layout = wired(Placed("trough", Loose((routed,))))
    assert one(layout, "wire-path", routed.id).code == "wire-path.routed"


def test_a_link_to_metal_ends_at_its_ground_hole():
    """A wire from the bridge runs in the ground hole under its plate, 3.2 mm wide."""
    pot = Placed("pot", Pot("control", 6.0), Place(0.0, -80.0))
    layout = board(
        humbucker(60.0), hardtail(), controls(), pot, ground(), links=[Link("bridge", "pot", 1.0)]
    )
    holds(one(layout, "wire-path", "bridge", "pot"), "pass", 2.2)


def test_a_kind_of_wire_that_is_none():
    with pytest.raises(InputError, match="kind.*grond.*signal, ground, power"):
        channel(kind="grond")
