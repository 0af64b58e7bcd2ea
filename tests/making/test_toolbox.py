"""The tools: every cut has one, and what the shop lacks is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad import Cutter, Drill, EdgeBit, Shop
from bodycad.checks.rules.cutters import edges, ledges, routed
from bodycad.checks.rules.reach import drill_reach
from bodycad.making.toolbox import CUTTER, DRILL, EDGE_BIT, named, tools
from bodycad.tools import DRILLS
from bodycad.words import EdgeForm
from tests.making.conftest import NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_cut_has_one_tool(name, layouts):
    """Each void, outline, ledge and edge of each piece, each datum pin; none twice."""
    layout = layouts[name]
    due = [cut.subject for p in layout.pieces for cut in (*routed(p), *ledges(p))]
    due += [v.id for p in layout.pieces for v in p.voids if v.shape.hole is not None]
    formed = (EdgeForm.STRAIGHT, None)
    due += [o for p in layout.pieces for o, _, edge, _ in edges(p) if edge.form not in formed]
    due += [f"body.pin.{k}" for k in range(1, len(layout.blank.pins) + 1)]
    machines = [t for t in tools(layout) if t.kind in (CUTTER, EDGE_BIT, DRILL)]
    found = [use for tool in machines for use in tool.uses if ".pilot." not in use]
    assert sorted(found) == sorted(due)
    assert not [tool.what for tool in machines if tool.lacking]


def by_use(layout, use):
    return next(tool for tool in tools(layout) if use in tool.uses)


def test_the_tools_of_teasel(layouts):
    """By hand: a pocket with 6.35 mm corners, 17 deep, takes the widest cutter, a route with 3.2 mm
    ones, 26 deep at the ears, only the narrowest; the outline goes through 44 mm."""
    layout = layouts["teasel"]
    wide, narrow = by_use(layout, "neck.pocket"), by_use(layout, "pickup.neck.route")
    assert (wide.size, wide.deepest, wide.reach) == (12.7, 44.0, 51.0)
    assert "body.outline" in wide.uses
    assert (narrow.size, narrow.deepest, narrow.reach) == (6.35, 26.0, 32.0)
    bit = by_use(layout, "body.back.edge")
    assert (bit.kind, bit.size) == (EDGE_BIT, 6.0)
    string = by_use(layout, "bridge.string.3")
    assert (string.size, string.what) == (3.2, "long twist drill")
    ferrule = by_use(layout, "bridge.ferrule.1")
    assert (ferrule.what, ferrule.size, ferrule.deepest) == ("brad-point bit", 8.0, 11.0)
    pilot = by_use(layout, "neck.heel.pilot.1")
    # Screws 35 mm under the head, 2 of them in the ferrule and 18 in the body: 15 in the neck.
    assert pilot.deepest == pytest.approx(15.0 + Drill(3.175, 69.0).point)


def test_a_hole_that_no_drill_makes(layouts):
    shop = Shop(drills=tuple(d for d in DRILLS if not 21.0 < d.diameter < 23.0))
    layout = replace(layouts["teasel"], shop=shop)
    lacking = [tool for tool in tools(layout) if tool.lacking]
    assert [(t.kind, t.size, t.uses, t.on_hand) for t in lacking] == [
        (DRILL, 22.2, ("jack.cup",), False)
    ]
    failed = {f.subjects for f in drill_reach(layout) if f.status == "fail"}
    assert failed == {("jack.cup",)}


def test_a_drill_that_does_not_reach(layouts):
    short = tuple(Drill(d.diameter, min(d.reach, 40.0), d.point_deg) for d in DRILLS)
    layout = replace(layouts["teasel"], shop=Shop(drills=short))
    lacking = {use for tool in tools(layout) if tool.lacking for use in tool.uses}
    failed = {
        subject
        for f in drill_reach(layout)
        if f.status == "fail" and f.code == "drill-reach"
        for subject in f.subjects
    }
    assert failed and failed <= lacking
    pins = {use for use in lacking if use.startswith("body.pin.")}
    assert (
        lacking - failed
        == pins
        | {use for use in lacking if any(use in t.uses for t in tools(layout) if t.on_hand)}
        - failed
    )


def test_a_corner_that_no_cutter_makes(layouts):
    """Corners of 3.2 mm in the routes are too tight for a cutter of 9.5."""
    shop = Shop(cutters=(Cutter(9.5, 60.0), Cutter(12.7, 60.0)))
    layout = replace(layouts["teasel"], shop=shop)
    (lacking,) = [tool for tool in tools(layout) if tool.lacking and tool.kind == CUTTER]
    assert lacking.on_hand is False and lacking.size == pytest.approx(6.4)
    assert {use.split(".")[0] for use in lacking.uses} == {"pickup"}


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
