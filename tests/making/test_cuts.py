"""The cuts of whole designs: nothing forgotten, nothing too deep, each from the depth down to which
it is open, and what no cutter gets to is told here and by the checks."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bodycad import load_design
from bodycad.checks.order.jobs import Hold, Job, Work, met
from bodycad.checks.rules.cutters import corner, reach
from bodycad.geometry.plane.areas import common, joined, less, size
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.edge import Ledge, Rim, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Stretch
from bodycad.layout.void import Void, from_front
from bodycad.making.aside import aside
from bodycad.making.cuts import EDGE, LEDGE, OUTLINE, cuts, unreached
from bodycad.making.order import cut_order
from bodycad.making.tabs import tabs
from bodycad.making.told import notes_of
from bodycad.making.upright import depth_of, in_plan
from bodycad.shop import Shop
from bodycad.tools import Cutter, Drill, EdgeBit
from bodycad.words import SIDES, Face, Nose
from tests import sample
from tests.drawn import layout_of

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
NAMES = ("teasel", "campion", "bramble")


@pytest.fixture(scope="module")
def layouts():
    made = {name: load_design(DESIGNS / f"{name}.py").layout() for name in NAMES}
    made["left"] = load_design(DESIGNS / "teasel.py", ["left_handed=true"]).layout()
    return made


def with_shop(layout, **changes):
    return replace(layout, shop=replace(layout.shop, **changes))


def board(*voids, skin=None, shop=None):
    """A plain board with ready-made voids."""
    plain = skin or Skin(rectangle(300, 200, 20.0), 44.0, Square(), Square())
    design = sample.design()
    body = replace(design.layout().body, skin=plain, voids=tuple(voids))
    return replace(design.layout(), pieces=(body,), shop=shop or Shop())


def pocket(name, plan, depth, **more):
    return Void(name, "p", "front", "POCKET", from_front(plan, depth), frozenset({"front"}), **more)


@pytest.mark.parametrize("name", [*NAMES, "left"])
def test_every_cut_of_the_layout_is_made_and_none_deeper_than_drawn(layouts, name):
    layout = layouts[name]
    made = cuts(layout)
    for piece in layout.pieces:
        own = [cut for cut in made if cut.piece == piece.id]
        served = {i for cut in own for i in cut.ids}
        for void in piece.voids:
            if not (void.face in SIDES and in_plan(void, void.face)):
                assert void.id not in served
                continue
            its = [cut for cut in own if void.id in cut.ids]
            deep = depth_of(void, piece.thickness)
            assert its and max(cut.depth for cut in its) <= deep + 0.01
            if (prism := void.shape.prism) is not None and prism.tilted:
                deep = -prism.floor_range[1]
            if len({cut.face for cut in its}) == 1:
                assert its[0].face == void.face and its[0].depth == pytest.approx(deep, abs=0.011)
            else:  # met from both faces
                assert sum({cut.face: cut.depth for cut in its}.values()) >= piece.thickness
        outline = [cut for cut in own if cut.operation == OUTLINE]
        assert {cut.face: cut.depth for cut in outline} == dict(piece.outline_cuts)
        edges = [e for face in piece.faces for e in piece.skin.edges(face)]
        assert len(edges) == sum(cut.operation in (EDGE, LEDGE) for cut in own)
        assert all(cut.depth <= cut.tool.reach for cut in own if not isinstance(cut.tool, EdgeBit))


@pytest.mark.parametrize("name", [*NAMES, "left"])
def test_cleared_and_unreached_are_the_whole_region(layouts, name):
    """Of every routed void, by area; a run past the outline is no part of it."""
    layout = layouts[name]
    made, missed = cuts(layout), unreached(layout)
    for piece in layout.pieces:
        body = (Region(piece.skin.outline),)
        for void in piece.voids:
            if void.shape.hole is None and in_plan(void, void.face):
                wood = common((Region(void.shape.plan),), body)
                own = [c.area for c in made if c.piece == piece.id and void.id in c.ids]
                rest = [(u.region,) for u in missed if void.id in u.ids]
                left = size(less(wood, joined(*own, *rest)))
                assert left <= 1e-4 * size(wood), (void.id, left)


@pytest.mark.parametrize("name", [*NAMES, "left"])
def test_each_cut_begins_where_it_is_open_and_takes_nothing_that_stays(layouts, name):
    """Worked in order on columns of wood, some hundred under every cut."""
    layout, rng = layouts[name], np.random.default_rng(3)
    for piece in layout.pieces:
        for face in piece.faces:
            own = [c for c in cuts(layout) if c.piece == piece.id and c.face == face]
            routed = [c for c in own if isinstance(c.tool, Cutter) and c.operation != OUTLINE]
            spots = np.vstack([np.zeros((0, 2)), *(_spots(c.area, rng) for c in routed)])
            level, way = piece.skin.level(face), -1.0 if face is Face.FRONT else 1.0
            inside = piece.skin.inset(spots) > 1e-6
            due = _due(piece, face, spots)
            deep = np.zeros(len(spots))
            for cut in routed:
                under = _within(cut.area, spots)
                assert (deep[under & inside] >= cut.start - 1e-6).all(), (cut.ids, level, way)
                assert (due[under & inside] >= cut.depth - 0.011).all(), cut.ids
                deep = np.where(under, np.maximum(deep, cut.depth), deep)


def _spots(area, rng):
    found = []
    for region in area:
        x0, y0, x1, y1 = region.outer.box
        found.append(rng.uniform((x0, y0), (x1, y1), (150, 2)))
    spots = np.vstack(found)
    return spots[_within(area, spots)]


def _within(area, spots):
    """Clear of the border by 0.01 mm."""
    held = np.zeros(len(spots), bool)
    for region in area:
        own = region.outer.signed_distance(spots) < -0.01
        for hole in region.holes:
            own &= hole.signed_distance(spots) > 0.01
        held |= own
    return held


def _due(piece, face, spots):
    """How deep the layout cuts under a face at each spot."""
    deep = np.zeros(len(spots))
    for void in piece.voids:
        if void.face == face and in_plan(void, face):
            held = void.shape.plan.signed_distance(spots) < 0.0
            deep = np.where(held, np.maximum(deep, depth_of(void, piece.thickness)), deep)
    inset = piece.skin.inset(spots)
    for edge in [piece.skin.edge(face)]:
        if isinstance(edge, Ledge):
            deep = np.where(inset < edge.reach, np.maximum(deep, edge.height), deep)
    return deep


SHOPS = (
    (Cutter(25.0, 60.0),),
    (Cutter(16.0, 60.0),),
    (Cutter(6.35, 20.0), Cutter(12.7, 30.0)),
    (Cutter(3.0, 10.0), Cutter(12.7, 100.0)),
)


@pytest.mark.parametrize("cutters", SHOPS, ids=str)
@pytest.mark.parametrize("name", ["teasel", "bramble"])
def test_what_no_cutter_reaches_is_a_finding(layouts, name, cutters):
    """And what the checks fail in a region stays there."""
    layout = with_shop(layouts[name], cutters=cutters)
    codes = "cutter-corner", "cutter-corner.narrow"
    bad = {f.subjects[0] for f in corner(layout) if f.status == "fail" and f.check in codes}
    missed = {i.replace("body.ledge", "body.front.edge") for u in unreached(layout) for i in u.ids}
    assert bad == missed


def test_a_region_too_small_for_any_cutter_is_told_whole():
    small = pocket("p.small", rectangle(20, 5), 10.0)
    deep = pocket("p.deep", rectangle(60, 40, 8.0).moved(60.0), 40.0)
    layout = board(small, deep, shop=Shop(cutters=(Cutter(6.35, 20.0),)))
    told = {one.ids: one for one in unreached(layout)}
    assert told["p.small",].size == math.inf and told["p.small",].region.area == 100.0
    assert told["p.deep",].cutter is None and told["p.deep",].depth == 40.0
    assert not any("p.small" in cut.ids or "p.deep" in cut.ids for cut in cuts(layout))


def test_a_corner_that_a_deeper_pocket_clears_is_not_left():
    """A square recess whose corner lies in a round pocket."""
    recess = pocket("p.recess", rectangle(40, 40, 0.0, -20.0, -20.0), 5.0)
    round_ = pocket("p.round", circle(40), 20.0)
    told = unreached(board(recess, round_))
    assert len(told) == 3 and {one.ids for one in told} == {("p.recess",)}


def test_the_depth_it_begins_at():
    """Below a recess that covers it all; at the face where one covers a part."""
    recess = pocket("p.recess", rectangle(80, 60, 8.0), 4.0)
    within = pocket("p.within", rectangle(60, 40, 8.0), 20.0)
    across = pocket("p.across", rectangle(30, 120, 8.0, 80.0, 0.0), 20.0)
    half = pocket("p.half", rectangle(40, 20, 8.0, -40.0, 0.0), 12.0)
    made = {cut.ids[0]: cut for cut in cuts(board(recess, within, across, half))}
    assert made["p.within"].start == 4.0 and made["p.half"].start == 0.0
    assert made["p.across"].start == 0.0 and made["p.recess"].start == 0.0
    assert made["p.within"].passes[-1] == 20.0 and made["p.within"].passes[0] > 4.0


def test_a_pocket_that_opens_to_the_edge_may_run_out():
    """Its square corners on the outline are cleared from outside, the ones in the wood are not."""
    open_ = pocket("p.open", rectangle(60, 40, 0.0, 120.0, 0.0), 15.0)
    shut = board(open_)
    assert len(unreached(shut)) == 4
    layout = board(replace(open_, opens=frozenset({"front", "edge"})))
    assert len(unreached(layout)) == 2 and all(u.at[0] < 100.0 for u in unreached(layout))
    (cut, *rest) = (c for c in cuts(layout) if c.ids == ("p.open",))
    assert max(r.outer.box[2] for r in cut.area) > 150.0 and all(c.rest for c in rest)


def test_a_ball_nose_makes_no_floor():
    layout = board(pocket("p.p", rectangle(60, 40, 8.0), 15.0))
    balls = Shop(cutters=(Cutter(12.7, 51.0), Cutter(6.35, 51.0, Nose.BALL)))
    made = cuts(replace(layout, shop=balls))
    assert {c.tool.nose for c in made if isinstance(c.tool, Cutter)} == {Nose.FLAT}
    with pytest.raises(Exception, match="flat nose"):
        Shop(cutters=(Cutter(6.35, 51.0, Nose.BALL),))


def test_a_tilted_floor_is_cut_level_to_its_highest_place():
    plan = rectangle(60, 40, 8.0)
    tilted = Prism(plan, -20.0, 0.0, slope=(0.05, 0.0))
    void = Void("p.tilted", "p", "front", "POCKET", tilted, frozenset({"front"}))
    (cut,) = (c for c in cuts(board(void)) if c.ids == ("p.tilted",))
    assert cut.depth == pytest.approx(20.0 - 0.05 * 30.0)


def test_edges_and_their_bits():
    outline = rectangle(300, 200, 20.0)
    stretch = Stretch(Roundover(6.0), (100.0, -100.0), (100.0, 100.0))
    rim = Rim(((8.0, 0.0), (4.0, 1.0), (0.0, 4.0)))
    layout = board(skin=Skin(outline, 44.0, stretch, rim))
    made = [cut for cut in cuts(layout) if cut.operation == EDGE]
    assert [(c.ids, c.tool, c.depth) for c in made] == [
        (("body.front.edge.1",), EdgeBit("roundover", 6.0), 6.0)
    ]
    chain = made[0].along
    assert chain.a[0] == pytest.approx((100, -100)) and chain.b[-1] == pytest.approx((100, 100))


def test_a_hole_without_its_drill_is_routed():
    """A 30.5 mm hole, for which no drill is on hand; and a long way that is met from both faces."""
    wide = Void("p.wide", "p", "front", "BORE", sample_bore(30.5, 12.0), frozenset({"front"}))
    long_ = Void("p.long", "p", "front", "BORE", sample_bore(3.2, 44.0), frozenset(SIDES))
    made = {(c.ids[0], c.face): c for c in cuts(board(wide, long_))}
    assert isinstance(made["p.wide", "front"].tool, Cutter)
    assert isinstance(made["p.long", "front"].tool, Drill)
    assert [made["p.long", face].depth for face in SIDES] == [22.5, 22.5]


def test_a_changed_ratio_moves_the_program_and_the_order_alike():
    """44 mm through at 5.5 mm is 8 diameters: at once by the rule of 10, from both by one of 7."""
    way = Void("p.way", "p", "front", "BORE", sample_bore(5.5, 44.0), frozenset(SIDES))
    for warn, faces in ((10.0, 1), (7.0, 2)):
        limit = replace(Shop().limit("drill-reach.ratio"), warn=warn)
        shop = replace(Shop(), limits={**Shop().limits, "drill-reach.ratio": limit})
        layout = board(way, shop=shop)
        own = [cut for cut in cuts(layout) if cut.ids == ("p.way",)]
        assert len(own) == faces == 1 + met(way, layout.body, shop)


def test_a_hole_that_a_cutter_makes_is_not_met_from_both_faces():
    """A hole of 30.5 mm, for which there is no drill: a cutter of 51 mm reaches through 44."""
    wide = Void("p.wide", "p", "front", "BORE", sample_bore(30.5, 44.0), frozenset(SIDES))
    layout = board(wide)
    assert not met(wide, layout.body, layout.shop)
    assert {cut.face for cut in cuts(layout) if cut.ids == ("p.wide",)} == {"front"}


@pytest.mark.parametrize(
    ("cutters", "depths", "status"),
    [
        ([(12.7, 51.0), (6.35, 25.0)], {22.5}, "pass"),
        ([(12.7, 51.0), (6.35, 22.2)], {22.5}, "fail"),
        ([(12.7, 25.0), (6.35, 51.0)], {44.0}, "pass"),
        ([(8.2, 51.0), (6.35, 25.0)], {22.5}, "pass"),
    ],
)
def test_a_window_is_cut_from_both_faces_where_what_enters_its_corners_reaches_half(
    cutters, depths, status
):
    """Corners of 4 mm in a 44 mm board: a cutter of 12.7 mm that reaches through is no help."""
    window = pocket("p.w", rectangle(60.0, 60.0, 4.0, 0.0, 0.0), 44.0)
    window = replace(window, opens=frozenset(SIDES))
    layout = board(window, shop=Shop(cutters=tuple(Cutter(*one) for one in cutters)))
    own = [cut for cut in cuts(layout) if cut.ids == ("p.w",)]
    assert {cut.depth for cut in own} == depths
    assert {cut.face for cut in own} == ({*SIDES} if depths == {22.5} else {Face.FRONT})
    assert bool(unreached(layout)) == (status == "fail")
    (said,) = (f for f in reach(layout) if f.subjects == ("p.w",))
    assert said.status == status and ("each face" in said.text) == (depths == {22.5})


def sample_bore(diameter, depth):
    from bodycad.geometry.solids.bore import bore

    return bore((40.0, 30.0, 0.0), (0.0, 0.0, -1.0), diameter, depth)


@pytest.mark.parametrize("name", [*NAMES, "left"])
def test_tabs_stand_on_firm_flats_clear_of_cuts_and_pins(layouts, name):
    layout = layouts[name]
    found = tabs(layout)
    for piece in layout.pieces:
        own = [tab for tab in found if tab.piece == piece.id]
        assert 2 <= len(own) <= 4
        spots = np.array([tab.at for tab in own])
        assert np.abs(piece.skin.inset(spots)).max() < 1e-6
        for void in piece.voids:
            assert (void.shape.plan.signed_distance(spots) > 10.0).all(), void.id
        for pin in piece.blank.pins if piece.blank else ():
            assert (np.hypot(*(spots - (pin.x, pin.y)).T) > 10.0 + pin.diameter / 2.0).all()
        total = piece.skin.outline.length
        for tab in own:
            # The wood of the tab: from where the other face's cuts end, `height` mm.
            far = tab.face.opposite
            gone = float(piece.skin.fall(far, np.array([tab.at]))[0])
            ledge = piece.skin.edge(far)
            gone += ledge.height if isinstance(ledge, Ledge) else 0.0
            assert tab.depth + tab.height == pytest.approx(piece.thickness - gone, abs=0.006)
            assert tab.depth > 0.0 and tab.region.outer.box
        if piece is layout.body:
            apart = np.linalg.norm(spots[:, None] - spots[None], axis=2)
            assert np.sort(apart, axis=1)[:, 1].min() > total / 20.0


@pytest.mark.parametrize("name", ("bramble", "teasel"))
def test_how_high_a_tab_stands_is_what_no_step_before_the_outline_takes(name):
    """By the cut order: all that earlier steps cut of the other face at the tab's middle."""
    layout = layout_of(name)
    steps, body = cut_order(layout).steps, layout.body
    last = next(s for s in steps if s.work is Work.OUTLINE and s.jobs[0].piece is body)
    early = {job.work for s in steps[: last.number - 1] for job in s.jobs if job.piece is body}
    assert not early & {Work.LEDGE, Work.EDGE, Work.CONTOUR}
    own = [tab for tab in tabs(layout) if tab.piece == "body"]
    for tab in own:
        assert tab.stands == pytest.approx(body.thickness - tab.depth) and tab.stands > tab.height
    heights = {"bramble": "16.08 to 19.4", "teasel": "10.4"}[name]
    (note,) = (n for n in last.notes if "tabs hold it" in n)
    assert f"4 tabs hold it, {heights} mm high as they are sawn (4 mm of that" in note


def test_no_tabs_where_none_are_asked_for_or_none_can_stand():
    assert tabs(board(shop=Shop(tabs=0))) == ()
    assert tabs(board(skin=Skin(circle(16), 44.0, Square(), Square()))) == ()


@pytest.mark.parametrize(("diameter", "count"), [(80.0, 4), (60.0, 4), (30.0, 2), (16.0, 0)])
def test_a_round_plate_is_held_or_said_to_be_loose(diameter, count):
    """Every place of a circle is as round as any: tabs stand 40 mm apart along it at least, across
    all of the cutter's way; where none can, the step and the program's cross say so."""
    layout = board(skin=Skin(circle(diameter), 44.0, Square(), Square()))
    body, found = layout.body, tabs(layout)
    assert len(found) == count
    for tab in found:
        x, y = np.array(tab.at) / (diameter / 2.0)
        for side in (-3.99, 3.99):
            foot = np.array([x, y]) * math.sqrt(diameter**2 / 4.0 - 16.0) + side * np.array([-y, x])
            assert tab.region.outer.signed_distance(foot[None])[0] < 0.0
    face = body.faces[-1]
    told = [one.words for one in aside(layout, body, face) if one.id == "body.outline"]
    job = Job("body:outline", Work.OUTLINE, body, Hold.FLAT, face, ("body.outline",))
    said = [note for note in notes_of([job], layout) if "no tab holds it" in note]
    assert told == said and len(said) == (count == 0)
    assert not [one for one in aside(layout, body, face.opposite) if one.id == "body.outline"]
