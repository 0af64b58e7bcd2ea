"""The tools: every cut has one, and what the shop lacks is told."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest

from bodycad import Cutter, Drill, EdgeBit, Shop
from bodycad.checks.rules.cutters import edges
from bodycad.checks.rules.reach import drill_reach
from bodycad.checks.rules.wires import wire_path
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Rim, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.making.holes import holes
from bodycad.making.row import named
from bodycad.making.shaped import follower
from bodycad.making.toolbox import CUTTER, DRILL, EDGE_BIT, GUIDE, tools
from bodycad.tools import DRILLS
from bodycad.words import EdgeForm, Nose
from tests import sample
from tests.making.conftest import NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_cut_has_its_tool(name, layouts):
    """Each void, outline, ledge and edge of each piece, each hole of the schedule, each datum pin;
    one drill makes a hole; and a shop as it comes lacks nothing."""
    layout = layouts[name]
    machines = [t for t in tools(layout) if t.kind in (CUTTER, EDGE_BIT, DRILL)]
    found = Counter(use for tool in machines for use in tool.uses)
    due = {v.id for p in layout.pieces for v in p.voids}
    due |= {f"{p.id}.outline" for p in layout.pieces}
    for piece in layout.pieces:
        for owner, _, edge, _ in edges(piece):
            if edge.form is EdgeForm.STRAIGHT:
                due.add(f"{piece.id}.ledge")
            elif edge.form is not None:
                due.add(owner)
    due |= {hole.id for hole in holes(layout)}
    due |= {f"pin.{k}" for k in range(1, len(layout.blank.pins) + 1)}
    shaped = {c.id for p in layout.pieces for c in p.skin.contours}
    assert {re.sub(r"(ledge)\.\d+$", r"\1", use) for use in found} - shaped == due
    drilled = Counter(use for tool in machines if tool.kind == DRILL for use in tool.uses)
    assert set(drilled.values()) == {1}
    assert not [tool.what for tool in machines if tool.lacking]


def test_a_bearing_bit_that_does_not_reach(layouts):
    """Bramble is 49 mm thick, and the longest bearing bit comes 48.4 deep: the list says so, and no
    cutter of the programs is too short."""
    lacking = [tool for tool in tools(layouts["bramble"]) if tool.lacking]
    assert [(t.kind, t.what, t.uses) for t in lacking] == [
        (GUIDE, "12.7 x 25.4 mm bearing bit", ("body.outline",))
    ]
    assert (lacking[0].deepest, lacking[0].reach) == (50.0, 48.4)


def by_use(layout, use, kind=None):
    """The first tool for a use, of a kind where one is given."""
    return next(t for t in tools(layout) if use in t.uses and kind in (None, t.kind))


def test_the_tools_of_teasel(layouts):
    """By hand: a pocket with 6.35 mm corners, 17 deep, takes the widest cutter, a route with 3.2 mm
    ones, 26 deep at the ears, only the narrowest; the outline goes through 44 mm."""
    layout = layouts["teasel"]
    wide, narrow = by_use(layout, "neck.pocket"), by_use(layout, "body.ledge")
    assert "pickup.neck.ears" in narrow.uses and "neck.pocket" not in narrow.uses
    assert (wide.size, wide.deepest, wide.reach) == (12.7, 44.0, 51.0)
    assert "body.outline" in wide.uses
    assert (narrow.size, narrow.deepest, narrow.reach) == (6.35, 26.0, 32.0)
    bit = by_use(layout, "body.back.edge")
    assert (bit.kind, bit.size) == (EDGE_BIT, 6.0)
    string = by_use(layout, "bridge.string.3")
    assert (string.size, string.what) == (3.2, "long twist drill")
    ferrule = by_use(layout, "bridge.ferrule.1")
    assert (ferrule.what, ferrule.size, ferrule.deepest) == ("brad-point bit", 7.9375, 11.0)
    pilot = by_use(layout, "neck.bite.1")
    # Screws 35 mm under the head, 2 of them in the ferrule and 18 in the body: 15 in the neck, the
    # drill's point counted.
    assert (pilot.size, pilot.deepest) == (3.175, pytest.approx(15.0))
    bush = by_use(layout, "pickup.neck.route", GUIDE)
    assert bush.what == "6.35 mm cutter in the 11 mm bush"


def test_a_hole_that_no_drill_makes(layouts):
    shop = Shop(drills=tuple(d for d in DRILLS if not 21.0 < d.diameter < 23.0))
    layout = replace(layouts["teasel"], shop=shop)
    lacking = [tool for tool in tools(layout) if tool.lacking]
    assert [(t.kind, t.size, t.uses, t.on_hand) for t in lacking] == [
        (DRILL, 22.2, ("jack.cup",), False)
    ]
    failed = {f.subjects for f in drill_reach(layout) if f.status == "fail"}
    assert failed == {("jack.cup",)}


def test_a_long_drill_is_to_be_bought_where_the_shop_has_none(layouts):
    """The claw's pilots go 27 mm deep, past a cavity of two hundred: short drills make none."""
    shop = Shop(drills=tuple(d for d in DRILLS if d.reach < 140.0))
    layout = replace(layouts["campion"], shop=shop)
    drills = [tool for tool in tools(layout) if tool.kind == DRILL and tool.lacking]
    lacking, long = (
        {use for tool in drills for use in tool.uses},
        ("vibrato.claw", "wire", "ground"),
    )
    assert lacking == {hole.id for hole in holes(layout) if hole.id.startswith(long)}
    asked = *wire_path(layout), *drill_reach(layout)
    assert lacking <= {f.subjects[0] for f in asked if f.status == "fail"}


def test_a_drill_that_does_not_reach(layouts):
    """What drill-reach fails is lacking, the pins' holes too."""
    short = tuple(Drill(d.diameter, min(d.reach, 40.0), d.point_deg) for d in DRILLS)
    layout = replace(layouts["teasel"], shop=Shop(drills=short))
    lacking = {use for tool in tools(layout) if tool.lacking for use in tool.uses}
    failed = {
        subject
        for f in drill_reach(layout)
        if f.status == "fail" and f.code == "drill-reach"
        for subject in f.subjects
    }
    assert {"jack.bore", "wire.pickups", "ground", "pin.1", "pin.2", "pin.3"} <= failed <= lacking


def test_a_corner_that_no_cutter_makes(layouts):
    """Corners of 3.2 mm in the routes are too tight for a cutter of 9.5; 44 mm of outline are too
    deep for one that reaches 30."""
    shop = Shop(cutters=(Cutter(9.5, 60.0), Cutter(12.7, 60.0)))
    layout = replace(layouts["teasel"], shop=shop)
    lacking = [tool for tool in tools(layout) if tool.lacking and tool.kind == CUTTER]
    assert {(t.what, t.on_hand) for t in lacking} == {("straight cutter, narrower", False)}
    assert {use.split(".")[0] for t in lacking for use in t.uses} == {"pickup"}
    layout = replace(layouts["teasel"], shop=Shop(cutters=(Cutter(6.35, 30.0),)))
    lacking = [tool for tool in tools(layout) if tool.lacking and tool.kind == CUTTER]
    deep = {use for t in lacking for use in t.uses}
    assert {"body.outline", "control.cavity", "switch.cavity"} == deep


def test_an_edge_that_no_bit_cuts(layouts):
    shop = Shop(bits=(EdgeBit("roundover", 3.0),))
    layout = replace(layouts["teasel"], shop=shop)
    (lacking,) = [tool for tool in tools(layout) if tool.lacking]
    assert (lacking.kind, lacking.size, lacking.uses) == (EDGE_BIT, 6.0, ("body.back.edge",))


def test_what_the_hand_holds(layouts):
    """Inserts want their driver, a barrel its thin spanner, a rod its key; teasel none of these."""
    words = {name: {t.what for t in tools(layouts[name])} for name in ("teasel", "tansy")}
    assert "driver for threaded inserts" in words["tansy"]
    assert "key or pin for the truss rod" in words["tansy"]
    assert not {"driver for threaded inserts", "key or pin for the truss rod"} & words["teasel"]
    assert {"clamps", "soldering iron", "countersink", "screwdriver"} <= words["teasel"]


def test_like_holes_are_counted():
    uses = "bridge.string.1", "bridge.string.2", "bridge.1.hole", "bridge.2.hole", "ground.1"
    assert named(uses) == ("bridge.string (2)", "bridge.hole (2)", "ground.1")


def test_the_ball_nose_of_a_shaped_rim_is_the_one_that_the_grid_names():
    """The smallest, also where no contour but an edge without a bit shapes the face."""
    balls = Cutter(12.7, 51.0, Nose.BALL), Cutter(6.0, 40.0, Nose.BALL)
    layout = sample.design(contours=False).layout()
    rim = Rim(((8.0, 0.0), (4.0, 1.0), (0.0, 4.0)))
    skin = Skin(rectangle(300, 200, 20.0), 44.0, rim, Square())
    shop = replace(layout.shop, cutters=(Cutter(12.7, 51.0), *balls))
    layout = replace(layout.with_body(skin=skin, voids=()), shop=shop)
    found = by_use(layout, "body.front.edge", CUTTER)
    assert found.size == 6.0 and "ball-nose" in found.what and follower(shop)[0] == balls[1]
