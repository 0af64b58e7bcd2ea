"""Router templates: what a bush and a cutter, or a bearing, cut along each is the drawn cut."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.checks.order.rules import BEARING
from bodycad.exports.sheet import cut_sheet
from bodycad.geometry.plane.boolean import difference, union
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded
from bodycad.guides import BearingBit, GuideBush
from bodycad.layout.layout import Layout
from bodycad.making.blank_plan import blank_plan
from bodycad.making.fixtures import fixtures
from bodycad.making.guided import Track, choose
from bodycad.making.templates import templates
from bodycad.shop import Cutter, Shop
from bodycad.words import Nose
from tests.drawn import layout_of
from tests.making.cutting import beyond, grown, inside, outside, polygon

TOLD = 0.01
"""What a template may be off, mm."""
SOME = ("bistort", "bramble", "campion", "mallow", "tansy", "teasel")


@pytest.fixture(scope="module")
def found():
    return {name: templates(layout_of(name)) for name in SOME}


def tool(one):
    guide = one.guide
    return (guide.bush.outside if guide.bush else guide.cutter), guide.cutter


def corners(one):
    """Where a template says that its cutter leaves corners: discs about them."""
    discs = [shapely.Point(x, y).buffer(2.0 * one.guide.cutter) for x, y, _ in one.guide.tight]
    return shapely.union_all(discs) if discs else shapely.Point()


def opening(one):
    return next(v.shape.plan for v in one.sheet.voids if v.shape.hole is None)


@pytest.mark.parametrize("name", SOME)
def test_what_is_cut_is_what_is_drawn(found, name):
    """Within 0.01 mm, but at the corners that the template lists."""
    body = polygon(layout_of(name).skin.outline)
    routes = [t for t in found[name] if not t.outside]
    assert routes
    for one in routes:
        cut = inside(opening(one), *tool(one)).intersection(body)
        meant = polygon(one.plan).intersection(body)
        assert cut.difference(grown(meant, TOLD)).area < 1e-6, one.id
        left = meant.difference(grown(cut, TOLD)).difference(corners(one))
        assert left.area < 1e-6, one.id


@pytest.mark.parametrize("name", SOME)
def test_what_stays_round_an_outline_is_what_is_drawn(found, name):
    for one in found[name]:
        if one.outside:
            seen = corners(one)
            stays = outside(one.sheet.skin.outline, *tool(one)).difference(seen)
            assert beyond(stays, polygon(one.plan).difference(seen), TOLD) < 1e-6, one.id


@settings(max_examples=25, deadline=None)
@given(
    cutter=st.floats(3.0, 13.0),
    air=st.floats(3.0, 14.0),
    corner=st.floats(1.0, 9.0),
    nose=st.floats(1.0, 9.0),
    turn=st.floats(0.0, 90.0),
)
def test_any_bush_and_cutter(cutter, air, corner, nose, turn):
    """A route with a nose of wood, for any bush: what is chosen cuts it but for the listed corners;
    what is refused would have cut it wrong."""
    body = rectangle(90.0, 60.0, corner)
    post = circle(2.0 * nose, 0.0, 30.0 - nose / 2.0)
    drawn = difference(body, post)[0].outer.moved(7.0, -3.0, turn)
    shop = Shop(
        cutters=(Cutter(cutter, 60.0),),
        bushes=(GuideBush(cutter + air, 4.0),),
        bearing_bits=(),
        template_thickness=(6.0,),
    )
    guide = choose((Track(drawn),), 20.0, shop)
    line = Track(drawn).line(air / 2.0)
    cut = inside(line, cutter + air, cutter) if line is not None else None
    meant = polygon(drawn)
    if guide is None:
        assert cut is None or cut.difference(meant).area > 5e-4
        return
    assert cut.difference(grown(meant, TOLD)).area < 1e-6
    left = meant.difference(grown(cut, TOLD))
    for x, y, radius in guide.tight:
        assert radius < cutter / 2.0
        left = left.difference(shapely.Point(x, y).buffer(3.0 * cutter))
    assert guide.narrow or left.area < 1e-6


def test_a_cover_fits_its_recess(found):
    """Both cut along their templates: the gap that the design states, 0.3 mm, all round."""
    layout = layout_of("teasel")
    recess = next(t for t in found["teasel"] if t.cuts == ("control.recess",))
    cover = next(t for t in found["teasel"] if t.cuts == ("control.cover.outline",))
    hole = inside(opening(recess), *tool(recess))
    frame = cover.piece.frame
    plate = outside(cover.sheet.skin.outline, *tool(cover))
    points = [frame.point((x, y, 0.0))[:2] for x, y in shapely.get_coordinates(plate)]
    lid = shapely.Polygon(points)
    assert hole.contains(lid)
    gaps = shapely.distance(shapely.points(points), hole.boundary)
    assert gaps.min() == pytest.approx(0.3, abs=2e-3)
    assert gaps.max() == pytest.approx(0.3, abs=2e-3)
    assert layout.left_handed is False


def bushes_only():
    return Shop(bearing_bits=(), bushes=(GuideBush(16.0, 8.0), GuideBush(30.0, 8.0)))


def test_the_sum_of_the_offset():
    """A bush of 16 round a cutter of 6.35: (16 - 6.35) / 2 = 4.825 larger all round."""
    shop = Shop(bearing_bits=(), bushes=(GuideBush(16.0, 8.0),), cutters=(Cutter(6.35, 32.0),))
    route = rectangle(72.0, 40.0, 4.0)
    guide = choose((Track(route),), 18.0, shop)
    assert guide.off == pytest.approx(4.825)
    assert guide.sheet == 12.0 and guide.steps[0].setting == pytest.approx(30.0)
    box = Track(route).line(guide.off).box
    assert box == pytest.approx((-40.825, -24.825, 40.825, 24.825))
    assert Track(route).line(guide.off).least_inside_radius == pytest.approx(8.825)


def test_a_bush_takes_no_boss():
    """Bosses of 4.5 mm radius: a bush 4.825 mm off its cutter cannot follow them, one 4.325 mm off
    can; the first would take wood that its bush lets the cutter come to."""
    shape = layout_of("teasel").by_id["control.cavity"].shape.plan
    shop = Shop(bearing_bits=(), bushes=(GuideBush(16.0, 8.0),), cutters=(Cutter(6.35, 60.0),))
    assert choose((Track(shape),), 20.0, shop) is None
    line = Track(shape).line(4.825)
    assert inside(line, 16.0, 6.35).difference(polygon(shape)).area > 0.01
    assert choose((Track(shape),), 20.0, replace(shop, bushes=(GuideBush(15.0, 8.0),))) is not None
    assert choose((Track(shape),), 20.0, Shop()).bush is None


def test_a_bearing_must_find_the_template():
    """A recess of 2.5 mm: flutes of 12.7 in a sheet of 12 want 12.7 - 12 + 2 = 2.7 mm; flutes of
    6.35 none."""
    lone = Shop(bearing_bits=(BearingBit(12.7, 12.7, 40.0),), bushes=())
    lone = replace(lone, template_thickness=(12.0,))
    recess = rectangle(80.0, 50.0, 8.0)
    assert choose((Track(recess),), 2.5, lone) is None
    assert choose((Track(recess),), 2.8, lone).steps[0].start == pytest.approx(2.7)
    short = replace(lone, bearing_bits=(BearingBit(12.7, 6.35, 30.0),))
    assert choose((Track(recess),), 2.5, short).steps[0].setting == pytest.approx(14.5)


def test_a_long_bearing_bit_wants_the_waste_bored_out():
    """Flutes of 25.4 in a sheet of 12: the bearing finds it at 15.4 mm, more than one pass."""
    shop = Shop(bearing_bits=(BearingBit(12.7, 25.4, 48.4),), bushes=())
    step = choose((Track(rectangle(80.0, 50.0, 8.0)),), 30.0, shop).steps[0]
    assert (step.start, step.end, step.bored) == (pytest.approx(15.4), 30.0, True)


def test_a_deep_cavity_goes_on_without_its_template():
    """38 mm with bits that reach 36.4 through a 12 mm sheet: the rest follows the wall."""
    shop = Shop(
        bearing_bits=(BearingBit(12.7, 12.7, 35.7), BearingBit(12.7, 25.4, 48.4)), bushes=()
    )
    guide = choose((Track(rectangle(80.0, 50.0, 8.0)),), 38.0, shop)
    assert [(s.on, s.end, s.setting) for s in guide.steps] == [
        (True, pytest.approx(23.7), pytest.approx(35.7)),
        (False, 38.0, 38.0),
    ]
    assert guide.steps[1].start - guide.steps[0].end <= shop.pass_depth * 12.7 + 1e-9


def test_a_bush_ends_over_the_wood():
    """A bush of 8 mm does not stand in a sheet of 6."""
    shop = Shop(bearing_bits=(), bushes=(GuideBush(16.0, 8.0),), template_thickness=(6.0,))
    assert choose((Track(rectangle(80.0, 50.0, 8.0)),), 10.0, shop) is None


def test_no_ball_follows_a_template():
    """A ball-nosed cutter leaves no flat floor; the other reaches 20 - 12 of the 30 mm."""
    shop = Shop(
        bearing_bits=(),
        bushes=(GuideBush(16.0, 8.0),),
        cutters=(Cutter(6.35, 20.0), Cutter(12.7, 60.0, Nose.BALL)),
    )
    guide = choose((Track(rectangle(80.0, 50.0, 8.0)),), 30.0, shop)
    assert guide.cutter == 6.35 and guide.short == pytest.approx(22.0)


def test_tight_corners_are_listed():
    shop = Shop(bushes=(), bearing_bits=(BearingBit(9.5, 9.5, 40.0),))
    guide = choose((Track(rectangle(80.0, 50.0, 3.0)),), 10.0, shop)
    assert len(guide.tight) == 4 and {round(r, 6) for *_, r in guide.tight} == {3.0}


# Pins, faces and hands.


@pytest.mark.parametrize("name", SOME)
def test_pins_and_faces(found, name):
    """Pin holes are the blank's; each sheet holds its pins and opening with wall to spare; on the
    back it is drawn as seen from there."""
    pins = {(p.x, p.y, p.diameter) for p in layout_of(name).blank.pins}
    for one in found[name]:
        if one.sheet is None or one.outside:
            continue
        own = {(p.x, p.y, p.diameter) for p in one.located.holes}
        assert own <= pins
        rim, hole = one.sheet.skin.outline, opening(one)
        for x, y, d in own:
            spot = np.array([[x, y]])
            assert rim.signed_distance(spot)[0] <= -(d / 2.0 + 7.9)
            assert hole.signed_distance(spot)[0] >= d / 2.0 + 7.9
        base = layout_of(name).shop.router_base / 2.0
        x0, y0, x1, y1 = hole.box
        a, b, c, d = rim.box
        assert min(x0 - a, y0 - b, c - x1, d - y1) >= base - 1e-9
        flip = -1.0 if one.face == "back" else 1.0
        sheet = cut_sheet(one.sheet, one.face)
        drawn = [
            item.region.outer.circle
            for layer in sheet.layers
            for item in layer.items
            if item.region.outer.circle
        ]
        assert {(round(x, 9), round(y, 9), r) for (x, y), r in drawn} == {
            (round(x, 9), round(flip * y, 9), d / 2.0) for x, y, d in own
        }


def test_a_left_hand_mirrors_all_but_the_mark(found):
    layout = layout_of("teasel")
    for right, left in zip(found["teasel"], templates(layout.mirrored()), strict=True):
        assert right.id == left.id and right.guide.off == left.guide.off
        if right.outside:
            continue
        there = polygon(opening(right).mirrored())
        assert there.symmetric_difference(polygon(opening(left))).area < 1e-6
        assert [(p.x, -p.y) for p in right.located.holes] == [
            (p.x, p.y) for p in left.located.holes
        ]


@pytest.mark.parametrize("hand", [False, True])
def test_the_cut_corner_is_at_the_nut_to_the_left(hand):
    """As one looks at either face with the nut away: the upper right of the drawing."""
    layout = layout_of("teasel")
    for one in templates(layout.mirrored() if hand else layout):
        if one.outside:
            continue
        last = cut_sheet(one.sheet, one.face).layers[-1].items[0].region.outer
        x0, y0, x1, y1 = last.box
        assert not last.contains(x1 - 10.0, y1 - 10.0)
        for x, y in ((x0 + 10.0, y1 - 10.0), (x0 + 10.0, y0 + 10.0), (x1 - 10.0, y0 + 10.0)):
            assert last.contains(x, y)


def with_blank(layout: Layout, **changes) -> Layout:
    return layout.with_body(blank=replace(layout.blank, **changes))


def test_two_pins_fit_two_ways():
    layout = layout_of("teasel")
    for one in templates(with_blank(layout, pins=layout.blank.pins[:2])):
        if not one.outside:
            assert any("more than one way" in fault for fault in one.faults)
    for one in templates(with_blank(layout, pins=())):
        if not one.outside:
            assert "no datum pin" in one.located.words and not one.located.holes


def test_a_pocket_runs_out_no_farther_than_a_pin_lets_it(found):
    """Bramble's is drawn out to within 0.2 mm of the pin at the nut: its template stops short."""
    pocket = next(t for t in found["bramble"] if t.cuts == ("neck.pocket",))
    assert len(pocket.located.holes) == 3 and not pocket.faults
    led = opening(pocket).box[2] - pocket.guide.off
    assert led < pocket.plan.box[2] - 8.0


def test_a_pin_in_the_way_of_an_opening_is_left_out():
    layout = layout_of("teasel")
    first, second, third = layout.blank.pins
    near = replace(first, x=118.0, y=0.0)
    route = next(
        t
        for t in templates(with_blank(layout, pins=(near, second, third)))
        if t.cuts == ("pickup.neck.route",)
    )
    assert "pin 1 stands in the way" in route.located.words and len(route.located.holes) == 2
    assert any("more than one way" in fault for fault in route.faults)


def test_pins_of_an_outline_stand_in_deep_holes_of_the_face_that_it_is_cut_from(found):
    """The outline is cut last: every hole is there by then, and every route. Where holes are too
    few or too near each other, the drawn lines say the rest."""
    held = set()
    for name in SOME:
        layout = layout_of(name)
        one = next(t for t in found[name] if t.id == "outline")
        holes = {
            (round(v.shape.hole.start[0], 6), round(v.shape.hole.start[1], 6)): v
            for v in layout.voids
            if v.shape.hole is not None and v.shape.hole.upright
        }
        for pin in one.located.holes:
            void = holes[round(pin.x, 6), round(pin.y, 6)]
            assert one.face in layout.body.outline_cuts
            assert void.shape.hole.length >= 10.0 and one.face in {void.face, *void.opens}
        firm = len(one.located.holes) == 3 and one.located.off > 1.0
        assert firm or "drawn centreline" in one.located.words
        assert (
            one.located.holes or layout.body.faces[-1] == "front" or "turned over" in one.notes[-1]
        )
        held.add(firm)
    assert held == {True, False}


@pytest.mark.parametrize("name", SOME)
def test_what_of_the_blank_a_template_meets_is_said(found, name):
    """A washer under the sheet, and a pin that the way of the neck has sunk."""
    plan = blank_plan(layout_of(name))
    for one in found[name]:
        if one.outside or one.sheet is None:
            continue
        told, rim = " ".join(one.notes), polygon(one.sheet.skin.outline)
        for k, hold in enumerate(plan.holds, 1):
            assert (f"H{k}" in told) == (rim.distance(shapely.Point(hold)) < 8.0), (one.id, k)
        for k, pin in enumerate(plan.blank.pins, 1):
            low = any(
                polygon(way.outer).contains(shapely.Point(pin.x, pin.y)) for way in plan.approach
            )
            sunk = low and pin in one.located.holes and one.face == "front"
            assert (f"pin {k} stands in wood that is {plan.approach_depth:.2f}" in told) == sunk


def test_a_body_without_a_hole_gets_an_outline_template_all_the_same():
    layout = replace(layout_of("teasel"), interfaces=()).with_body(voids=())
    (one, *_) = templates(layout)
    assert one.id == "outline" and one.face == "front" and not one.located.holes
    assert any("more than one way" in fault for fault in one.faults)
    assert cut_sheet(one.sheet, one.face).layers[-1].name == "FRONT_OUTLINE_D1200"


def test_dowels_fit_the_holes_as_drilled(found):
    """Teasel's seats are drawn 14.15 and 7.90 and drilled 14 and 7.94 (5/16 in)."""
    one = next(t for t in found["teasel"] if t.id == "outline")
    sizes = sorted(pin.diameter for pin in one.located.holes)
    assert sizes == pytest.approx([4.7625, 7.9375, 14.0])
    assert "4.762, 7.938, 14 mm" in one.located.words
    drawn = sorted(v.shape.hole.diameter / 2.0 for v in one.sheet.voids if v.shape.hole is not None)
    assert drawn == pytest.approx([size / 2.0 for size in sizes])


# What a template says.


def said(found, name, cut):
    one = next(t for t in found[name] if cut in t.cuts)
    return " ".join((*one.notes, *one.faults))


SLOPES = (-0.0315, 0.0), (0.005, 0.0), (-0.03, 0.01), (0.0, 0.02)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("end", [None, 240.0, 272.0, 400.0])
@pytest.mark.parametrize("hand", [False, True])
def test_a_wedged_template_cuts_the_floor_as_drawn(slope, end, hand):
    """A sheet as steep as the floor sinks until it meets the wood under it: the blank, which may
    end before the sheet does, or the body alone. The tip is then everywhere at the floor."""
    layout = layout_of("bramble")
    void = layout.by_id["neck.pocket"]
    void = replace(void, shape=replace(void.shape, slope=slope))
    blank = None if end is None else replace(layout.blank, x1=end)
    layout = replace(layout, interfaces=()).with_body(voids=(void,), blank=blank)
    layout = layout.mirrored() if hand else layout
    one = next(t for t in templates(layout) if t.cuts == ("neck.pocket",))
    level, *_, wedged = one.guide.steps
    assert wedged.wedged and not one.guide.short
    floor, sheet = layout.by_id["neck.pocket"].shape.prism, polygon(one.sheet.skin.outline)
    board = layout.skin.outline if end is None else layout.blank.plan
    wood = shapely.get_coordinates(sheet.intersection(polygon(board)))
    steep = math.hypot(1.0, *floor.slope)
    rests = float((-wood @ np.array(floor.slope)).max())
    tip = rests - (wedged.setting - one.guide.sheet) * steep
    assert tip == pytest.approx(float(floor.floor(0.0, 0.0)), abs=2e-3)
    highest = -max(floor.floor(*p) for p in floor.plan.vertices[:, :2])
    assert one.depth == pytest.approx(highest, abs=0.05)
    assert level.end <= one.depth <= highest + 1e-9
    assert level.setting - one.guide.sheet == pytest.approx(level.end)


def test_a_tilted_floor_wants_wedges(found):
    """Bramble's pocket falls 1.8 degrees toward the nut: tan 1.8 deg = 3.15 mm in 100. Its sheet
    ends at x = 323, its blank at 272: there it turns, 24 mm beyond the opening."""
    words = said(found, "bramble", "neck.pocket")
    assert "up off the wood by 3.15 mm in 100" in words and "1.80 deg toward the nut" in words
    assert "the end of the wood under it at x = 272.00" in words
    assert "0.76 over the face at the opening's near end, 24.00 from where it turns" in words
    assert "its own end at x = 270.00" in said(found, "bramble", "neck.slot")


def test_packing_under_a_template_counts_in_the_reach_of_its_bits():
    """The fretboard's seat of yarrow stands 1.22 mm over the front: with a 6 mm sheet the 6.35 mm
    cutter, which reaches 32, comes 24.78 deep, not the 26 of the ears."""
    layout = layout_of("yarrow")
    reach = {f"{bit.diameter:g} x {bit.length:g} mm": bit.reach for bit in layout.shop.bearing_bits}
    for cutter in layout.shop.flat_cutters:
        reach[f"{cutter.diameter:g} mm cutter"] = cutter.reach
    front = [t for t in templates(layout) if t.face == "front" and t.piece is layout.body]
    for one in front:
        assert any("on packing as thick" in note for note in one.notes), one.id
        for step in one.guide.steps:
            assert step.on and step.setting == pytest.approx(
                step.end + one.guide.sheet + 1.22, abs=0.01
            )
            bit = next(words for words in reach if step.bit.startswith(words))
            assert step.setting <= reach[bit] + 1e-9, one.id
        wants = any("a 6.35 mm cutter that reaches 33.2" in fault for fault in one.faults)
        assert wants == one.id.endswith("ears")
    assert len(front) == 4
    (holes,) = (one for one in fixtures(layout) if one.id == "string-holes")
    assert any("on the front the fretboard's seat stands up to 1.22" in n for n in holes.notes)


def test_a_bearing_leaves_packing_with_its_template():
    """Flutes of 25.4 on packing of 4: the bearing rides on a sheet of 12 from 11.4 on, and where
    the wood beside begins 2 mm under the face it hangs in the air from 24.4 on."""
    shop = Shop(bearing_bits=(BearingBit(12.7, 25.4, 60.0),), bushes=(), template_thickness=(12.0,))
    plan = rectangle(80.0, 50.0, 8.0)
    step = choose((Track(plan),), 30.0, shop, 1.0).steps[-1]
    assert (step.start, step.end, step.setting) == pytest.approx((14.4, 30.0, 43.0))
    guide = choose((Track(plan, wall=2.0),), 30.0, shop, 4.0)
    assert guide.steps[0].start == pytest.approx(11.4)
    assert guide.reached == pytest.approx(25.4 + BEARING - 2.0 - 4.0) and guide.steps[-1].on


def test_an_arched_or_carved_face_comes_after(found):
    assert "before arch" in said(found, "bramble", "pickup.bridge.route")
    assert "before contour.forearm" in said(found, "teasel", "neck.pocket")
    assert "contour.heel" in said(found, "teasel", "body.outline")


@pytest.mark.parametrize("name", SOME)
def test_an_outline_template_is_told_by_the_face_that_it_lies_on(found, name):
    """The gallery's outlines are cut from the back: contours of the back matter, those of the front
    do not, whichever way the sheet is drawn; and a bare outline has no cut corner to heed."""
    one, skin = next(t for t in found[name] if t.id == "outline"), layout_of(name).skin
    assert one.on == "back" and one.turned == (one.face == "front") == (not one.located.holes)
    words = said(found, name, "body.outline")
    for contour in skin.contours:
        assert (contour.id in words) == (contour.face == "back")
    assert "shaped front" not in words and "cut corner" not in words


def test_a_cutter_that_is_too_short_is_said(found):
    words = said(found, "bramble", "pickup.neck.ears")
    assert "a 6.35 mm cutter that reaches 33.5 would do it" in words
    words = said(found, "mallow", "pickup.route")
    assert "a bearing bit of 6.40 mm or less that reaches 19.0 would do it" in words


def test_a_shop_without_guides_gets_no_template():
    layout = replace(layout_of("teasel"), shop=Shop(bushes=(), bearing_bits=()))
    for one in templates(layout):
        assert one.sheet is None and one.guide is None
        assert one.faults == ("no template: the shop owns neither a guide bush nor a bearing bit",)


def test_a_shop_with_bushes_alone():
    """Every template that there is then cuts as drawn; what a wide bush would spoil gets none."""
    layout = replace(layout_of("teasel"), shop=bushes_only())
    found = {one.id: one for one in templates(layout)}
    assert found["control-cavity"].guide.off == pytest.approx((16.0 - 12.7) / 2.0)
    cover = found["control-cover"]
    assert cover.guide.bush is not None
    stays = outside(cover.sheet.skin.outline, *tool(cover))
    assert beyond(stays, polygon(cover.plan), TOLD) < 1e-6


def test_an_opening_wider_than_the_base():
    layout = replace(layout_of("teasel"), shop=Shop(router_base=60.0))
    wide = next(t for t in templates(layout) if t.cuts == ("control.cavity",))
    assert any("wider than a 60 mm base" in note for note in wide.notes)


def test_a_thin_tongue_is_said():
    """A tongue of 4 mm between two arms of a route."""
    arms = [rectangle(60.0, 16.0, 4.0, 0.0, y) for y in (-10.0, 10.0)]
    back = rectangle(16.0, 36.0, 4.0, -22.0, 0.0)
    plan = union([*arms, back])[0].outer
    layout = layout_of("teasel")
    void = replace(
        layout.by_id["switch.cavity"],
        shape=replace(layout.by_id["switch.cavity"].shape, profile=plan.moved(52.0, -80.0)),
    )
    body = replace(layout, interfaces=()).with_body(voids=(void,))
    one = next(t for t in templates(body) if t.cuts == ("switch.cavity",))
    assert any("narrower than 6 mm" in fault for fault in one.faults)


def test_ids_are_unique_whatever_the_file_system_takes_for_one():
    layout = layout_of("teasel")
    void = layout.by_id["switch.recess"]
    twin = replace(void, id="Switch-Recess", meets=frozenset())
    names = [t.id.casefold() for t in templates(layout.with_body(voids=(*layout.voids, twin)))]
    assert len(names) == len(set(names))


def test_a_hull_route(found):
    """A slanted round route: the opening's arcs stay arcs."""
    plan = hull([(0.0, 0.0, 12.0), (40.0, 10.0, 8.0)])
    line = Track(plan).line(2.325)
    radii = sorted(line.segments.radius[line.segments.arc].tolist())
    assert radii[0] == pytest.approx(10.325) and radii[-1] == pytest.approx(14.325)
    square = rounded([(0, 0), (50, 0), (50, 30), (0, 30)], 5.0)
    assert len(Track(square).line(2.0).vertices) == len(square.vertices)
