"""Every drilled hole as the bench gets it, against the layout's own voids and sums by hand."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from bodycad.checks.order.jobs import Work
from bodycad.checks.order.sequence import sequence
from bodycad.checks.rules.reach import drill_reach
from bodycad.checks.rules.seated import necks
from bodycad.checks.rules.wires import wire_path
from bodycad.exports.drilling.table import write_csv
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import flatten
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Screw
from bodycad.layout.void import Void
from bodycad.making.blank_plan import blank_plan
from bodycad.making.heel_holes import axes
from bodycad.making.hole import HoleFit
from bodycad.making.holes import holes, letter, set_ups
from bodycad.making.marking import compass, mark_of, tilt, way_of
from bodycad.making.order import cut_order
from bodycad.parts.neckjoint import Bolt
from bodycad.shop import Shop
from bodycad.tools import Drill
from bodycad.words import Face
from tests.checks.bench import bevel, board, cut, necked, one
from tests.drawn import layout_of
from tests.exports import bodies

CLOSE = 1e-9
SHOWN = ("bistort", "bramble", "tansy", "teasel", "woodruff")
"""Designs that between them have every kind of hole: in claws, posts, inserts, jacks, channels."""


def bores(layout):
    """Every bore of every piece by its void's id, by a walk that knows nothing of the schedule."""
    return {v.id: (v, p) for p in layout.pieces for v in p.voids if v.shape.hole is not None}


@pytest.mark.parametrize("name", [*SHOWN, "campion"])
def test_a_drill_stands_out_of_its_chuck_as_far_as_the_checks_ask(name):
    """Of every way for wires and every pilot in a cavity's wall the schedule names a drill that
    reaches what the check says it needs, not what the hole is deep alone."""
    layout = layout_of(name)
    found = [f for asked in (wire_path, drill_reach) for f in asked(layout)]
    needs = {f.subjects[0]: f for f in found if f.subjects[1:] == ("chuck",)}
    own = [hole for hole in holes(layout) if hole.id in needs]
    assert len(own) == len(needs) > 0
    for hole in own:
        need = float(re.search(r"needs a drill (\d+) mm", needs[hole.id].text)[1])
        assert hole.out + hole.drill.point == pytest.approx(need, abs=3.0)
        assert hole.drill.reach >= need > hole.full
        assert f"{hole.out:.0f} mm of drill out of the chuck" in hole.notes[0]


@pytest.mark.parametrize("name", SHOWN)
@pytest.mark.parametrize("left", [False, True])
def test_every_bore_is_told_exactly_once(name, left):
    """Both faces and the edge of every piece; on the bore's own axis, down to its own end."""
    layout = layout_of(name).mirrored() if left else layout_of(name)
    found, drawn = holes(layout), bores(layout)
    cut = [hole for hole in found if hole.id in drawn]
    assert sorted(hole.id for hole in cut) == sorted(drawn)
    assert len({hole.tag for hole in found}) == len(found)
    assert len(found) - len(cut) == sum(screw.bitten for screw in layout.stated(Screw))
    for hole in cut:
        void, piece = drawn[hole.id]
        shape = void.shape.hole
        assert hole.piece == piece.id and hole.diameter == shape.diameter
        assert shape.off_axis(hole.at) < CLOSE and shape.off_axis(hole.end) < CLOSE
        ends = [shape.start, shape.at(np.array([shape.shoulder]))[0].tolist()]
        assert min(math.dist(hole.end, end) for end in ends) < CLOSE
        if shape.tip > 0.0:
            assert hole.tip - hole.full == pytest.approx(shape.tip, abs=CLOSE)


@pytest.mark.parametrize("name", ["teasel", "bistort", "woodruff"])
def test_the_other_hand_is_the_mirror_image(name):
    """The same tags, drills and depths; every y, direction and lean with the other sign."""
    layout = layout_of(name)
    for one_, two in zip(holes(layout), holes(layout.mirrored()), strict=True):
        assert (one_.tag, one_.id, one_.face, one_.drill) == (two.tag, two.id, two.face, two.drill)
        assert one_.xy[0] == pytest.approx(two.xy[0], abs=1e-6)
        assert one_.xy[1] == pytest.approx(-two.xy[1], abs=1e-6)
        assert one_.full == pytest.approx(two.full) and one_.tilt_deg == pytest.approx(two.tilt_deg)
        turned = one_.direction_deg + two.direction_deg
        assert turned % 360.0 == pytest.approx(0.0, abs=1e-6) or turned % 360.0 > 359.999999
        assert one_.pins == pytest.approx(two.pins)
        if one_.edge is not None and abs(one_.edge.along) > 1e-6:
            assert one_.edge.along == pytest.approx(-two.edge.along, abs=1e-6)
            assert one_.edge.straight == pytest.approx(two.edge.straight)


def test_the_demo_by_hand():
    """44 mm thick. A ferrule's seat of 11 leaves 33; a neck screw's of 9, under a pocket of 17,
    leaves 18; the bridge's pilots of 20 with a 2.4 mm point of 118 degrees, 0.72, leave 23.28."""
    by_id = {hole.id: hole for hole in holes(layout_of("teasel"))}
    seat, bolt = by_id["bridge.ferrule.1"], by_id["neck.bolt.2.seat"]
    assert (seat.wood.left, seat.wood.to) == (pytest.approx(33.0), "the plain front")
    assert (bolt.wood.left, bolt.wood.to) == (pytest.approx(18.0), "neck.pocket")
    point = 1.2 / math.tan(math.radians(59.0))
    assert by_id["bridge.screw.1"].wood.left == pytest.approx(44.0 - 20.0 - point)
    assert by_id["bridge.string.1"].wood is None and by_id["bridge.string.1"].both
    # The back is seen from the back: what lies at y = -26.25 in the wood is up there.
    assert seat.face is Face.BACK and seat.at[1] == -26.25 and seat.xy == (-17.0, 26.25)
    assert (seat.fit, bolt.fit, bolt.fits) == (HoleFit.PRESS, HoleFit.SEAT, 14.0)


def test_wood_left_under_a_shaped_face():
    """By the nearest of a dense grid of the shaped back to the rim and the tip of the hole."""
    slope = bevel("back", (60.0, 0.0), -90.0)
    layout = board(contours=[slope])
    void = bodies.hole("p.deep", 60.0, -30.0, 6.0, 26.0, operation="PILOT", tip=118.0)
    layout = layout.with_body(voids=(replace(void, part=""),))
    hole = next(h for h in holes(layout) if h.id == "p.deep")
    assert hole.wood.to == slope.id
    xs, ys = (np.arange(a - 12.0, a + 12.0, 0.15) for a in (60.0, -30.0))
    grid = np.stack(np.meshgrid(xs, ys), -1).reshape(-1, 2)
    skin = np.column_stack([grid, layout.skin.height("back", grid)])
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    low = turn * 0.0 - 26.0 + 3.0 / math.tan(math.radians(59.0))
    rim = np.column_stack([60.0 + 3.0 * np.cos(turn), -30.0 + 3.0 * np.sin(turn), low])
    ends = np.vstack([rim, void.shape.hole.end])
    least = min(float(np.linalg.norm(skin - end, axis=1).min()) for end in ends)
    assert hole.wood.left == pytest.approx(least, abs=0.02)
    assert hole.wood.bound <= 0.01 and hole.serves == "p deep"


def test_the_wider_of_two_on_one_centre_comes_first():
    """Seat before hole from one face; from both faces, the seat before the second half."""
    layout = layout_of("teasel")
    by_id = {hole.id: hole for hole in holes(layout)}
    hole, seat = by_id["neck.bolt.1.hole"], by_id["neck.bolt.1.seat"]
    assert hole.after == (seat.tag,) and seat.after == () and seat.shares == (hole.tag,)
    string, ferrule = by_id["bridge.string.3"], by_id["bridge.ferrule.3"]
    assert string.after == () and string.half_after == (ferrule.tag,)
    for rows in set_ups(layout).values():
        order = [one_.tag for one_ in rows]
        for one_ in rows:
            assert all(order.index(tag) < order.index(one_.tag) for tag in one_.after)


def test_a_carve_over_a_hole_comes_after_it():
    """The heel of the demo's screws 1 and 4 is carved after they are drilled."""
    by_id = {hole.id: hole for hole in holes(layout_of("teasel"))}
    assert by_id["neck.bolt.1.seat"].before == ("contour.heel",)
    assert by_id["neck.bolt.2.seat"].before == ()
    # Depths count from the plain back: 9 mm, whatever the carve takes away before or after.
    assert by_id["neck.bolt.1.seat"].at[2] == -44.0 and by_id["neck.bolt.1.seat"].full == 9.0


def test_a_hole_in_a_cavitys_wall_is_drilled_from_where_the_cavity_opens():
    """A way that begins in a cavity of the back is drilled from the back, whatever its void says;
    one from a pocket of the front, from the front."""
    by_id = {hole.id: hole for hole in holes(layout_of("woodruff"))}
    drawn = layout_of("woodruff").by_id
    assert drawn["wire.1"].face is Face.FRONT and by_id["wire.1"].face is Face.BACK
    assert by_id["wire.1"].inside == ("battery.route",) and by_id["wire.1"].tilt_deg < 90.0
    assert by_id["wire.1"].start == pytest.approx(45.0 + drawn["wire.1"].shape.start[2])
    assert by_id["wire.3"].face is Face.FRONT and by_id["wire.3"].inside == ("neck.pocket",)


@pytest.mark.parametrize("name", ["bistort", "bramble", "woodruff"])
def test_schedule_and_cut_order_lay_the_body_on_the_same_face(name):
    layout = layout_of(name)
    told = {(hole.piece, hole.id): hole.face for hole in holes(layout)}
    done = [job for job in sequence(layout).jobs if job.work is Work.VOID]
    drilled = [job for job in done if job.void.shape.hole is not None]
    assert len(drilled) == len(bores(layout))
    assert [job.name for job in drilled if job.face is not told[job.piece.id, job.void.id]] == []
    assert any(job.face is not job.void.face for job in drilled)


def test_a_hole_drawn_toward_its_face_is_drilled_from_it(tmp_path):
    """A window of the front, drawn up from the cavity behind it: from the front, through."""
    box = cut("box", Prism(rectangle(60.0, 60.0, 6.4), -44.0, -19.0), "back")
    shaft = bore((0.0, 0.0, -19.0), (0, 0, 1), 8.0, 19.0)
    layout = board(box, cut("window", shaft, "front", "BORE", meets={"box.cut"}))
    (hole,) = holes(layout)
    assert (hole.face, hole.at, hole.way) == (Face.FRONT, (0.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    assert (hole.full, hole.start, hole.through, hole.inside) == (19.0, 0.0, True, ())
    write_csv(layout, tmp_path / "drilling.csv")  # reads it back


@pytest.mark.parametrize("face", list(Face))
def test_tilt_and_direction_lead_back(face):
    """A way, told as tilt and direction and led back, over the sphere."""
    draw = np.random.default_rng(5)
    for way in draw.normal(size=(200, 3)):
        unit = tuple((way / np.linalg.norm(way)).tolist())
        assert way_of(*tilt(unit, face), face) == pytest.approx(unit, abs=1e-12)


def test_directions_in_words():
    assert compass(0.0, "bass", "treble") == "toward the nut"
    assert compass(92.0, "bass", "treble") == "toward the bass"
    assert compass(-136.0, "bass", "treble") == "toward the tail and treble"
    assert compass(179.0, "bass", "treble") == compass(-179.0, "bass", "treble")


def test_places_on_the_edge():
    """Along the edge by a fine polygon of the outline, straight by Pythagoras; the jack plate's
    screws stand 17 mm apart in height."""
    layout = layout_of("woodruff")
    by_id = {hole.id: hole for hole in holes(layout)}
    outline = layout.skin.outline
    mark = mark_of(outline)
    assert mark[1] == 0.0 and abs(outline.signed_distance(np.array([mark]))[0]) < 1e-9
    rim = flatten(outline, 1e-4)
    rim = np.vstack([rim, rim[:1]])
    ends = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rim, axis=0).T))])

    def station(x, y):
        return float(ends[np.hypot(*(rim - (x, y)).T).argmin()])

    for name in ("jack.bore", "strap.tail.screw", "strap.point.cup"):
        hole = by_id[name]
        away = (station(*hole.at[:2]) - station(*mark)) % ends[-1]
        gap = abs(away - hole.edge.along % ends[-1])
        step = float(np.hypot(*np.diff(rim, axis=0).T).max())
        assert min(gap, ends[-1] - gap) < step
        assert hole.edge.straight == pytest.approx(math.dist(mark, hole.at[:2]))
        assert hole.edge.height == pytest.approx(22.5)
        assert abs(hole.edge.aside_deg) < 0.01 and hole.edge.rise_deg == 0.0
    low, high = by_id["jack.screw.2"].edge.height, by_id["jack.screw.1"].edge.height
    assert high - low == pytest.approx(17.0)


def test_the_edge_is_seen_from_outside():
    """A board 400 by 300: seen from the tail (x = -200) with the front up, the right hand points to
    -y, for the viewer looks toward +x. A bore that leans toward -y leans to the right."""
    lean = Void(
        "p.lean", "", "edge", "BORE", bore((-200.0, 60.0, -22.0), (1.0, -0.5, 0.2), 8.0, 40.0),
        frozenset({"edge"}),
    )  # fmt: skip
    layout = bodies.layout_of().with_body(voids=(lean,))
    place = holes(layout)[0].edge
    assert place.along == pytest.approx(-60.0) and place.straight == pytest.approx(60.0)
    assert place.aside_deg == pytest.approx(math.degrees(math.atan(0.5)))
    size = math.hypot(1.0, 0.5, 0.2)
    assert place.rise_deg == pytest.approx(math.degrees(math.asin(0.2 / size)))


def test_the_necks_own_pilots_by_hand():
    """The demo's screw 1 seats 9 mm over the back at z = -35 and reaches 33: its tip lies at -2.
    The pocket is 17 deep: 15 in the neck. A block 19 thick ends at +2: 4 under the fretboard."""
    rows = [hole for hole in holes(layout_of("teasel")) if hole.piece == "neck.heel"]
    assert [hole.id for hole in rows] == [f"neck.bite.{k}" for k in (1, 2, 3, 4)]
    first = rows[0]
    assert first.tip == pytest.approx(15.0) and first.wood.to == "fretboard"
    assert first.wood.left == pytest.approx(4.0)
    assert first.full == pytest.approx(15.0 - first.drill.point)
    assert (first.fit, first.fits, first.diameter) == (HoleFit.PILOT, 4.2, 3.1)
    # 48 mm from the heel's end, 16 toward the bass; from the back the bass side is down.
    assert first.xy == (pytest.approx(48.0), pytest.approx(-16.0))


def test_an_inserts_hole_is_as_deep_as_it_says():
    rows = [hole for hole in holes(layout_of("tansy")) if hole.piece == "neck.heel"]
    assert len(rows) == 4
    for hole in rows:
        assert (hole.fit, hole.fits, hole.diameter) == (HoleFit.INSERT, 8.6, 7.4)
        assert hole.full == pytest.approx(14.0)
        assert hole.tip == pytest.approx(14.0 + hole.drill.point)


@pytest.mark.parametrize("left", [False, True])
def test_a_tilted_heels_own_frame_leads_to_the_screws_tips(left):
    """From the heel's end, along its slope and off it, along the drill: there is each tip."""
    layout = board(necked(Bolt(50.0, -16.0, 12.0), Bolt(20.0, 10.0, 12.0), angle_deg=2.0))
    layout = layout.mirrored() if left else layout
    (neck,) = necks(layout)
    rows = [hole for hole in holes(layout) if hole.piece == neck.joint.heel]
    for hole, screw in zip(rows, neck.screws, strict=True):
        own = np.array([hole.at[k] + hole.tip * hole.way[k] for k in range(3)])
        led = np.array(neck.end) + own @ np.array(axes(neck))
        tip = np.array(screw.at) + float(screw.reach) * np.array(screw.way)
        assert led == pytest.approx(tip, abs=1e-9)
        assert hole.tilt_deg == pytest.approx(2.0, abs=1e-6)


def test_a_screw_in_what_is_no_heel_gets_its_hole_too():
    """A room 10 mm thick under the front, bitten by a screw of the shop's own part: 12 mm of air
    from the seat to the room, 6 mm of screw in it; one that ends short of it has no hole."""
    layout = layout_of("teasel")
    heel = layout.rooms_by_id["neck.heel"]
    x, y = heel.shape.plan.centroid
    low = heel.shape.box[2]
    extra = Screw(
        part="strap.tail", number=9, hole="strap.tail.screw", at=(x, y, low - 12.0),
        way=(0.0, 0.0, 1.0), thread=4.0, reach=18.0, bites="neck.heel", pilot=3.0,
    )  # fmt: skip
    layout = replace(layout, interfaces=(*layout.interfaces, extra))
    hole = next(one_ for one_ in holes(layout) if one_.id == "strap.tail.bite.9")
    assert hole.tip == pytest.approx(6.0, abs=1e-6) and hole.face is Face.BACK
    assert hole.at == pytest.approx((x, y, low), abs=1e-6)
    short = replace(layout, interfaces=(*layout.interfaces[:-1], replace(extra, reach=12.0)))
    assert "strap.tail.bite.9" not in {one_.id for one_ in holes(short)}


def test_a_drill_that_the_shop_lacks_is_said_and_found():
    """The row says so, and drill-reach fails for it."""
    layout = replace(layout_of("teasel"), shop=Shop(drills=(Drill(3.2, 150.0),)))
    hole = next(one_ for one_ in holes(layout) if one_.id == "volume.hole")
    assert hole.drill is None and hole.notes == ("no drill on hand makes 9.60 mm",)
    assert one(layout, "drill-reach", "volume.hole", text="no drill").status == "fail"


def test_no_drills_tag_is_that_of_a_place_to_hold_the_blank_down():
    for name in SHOWN:
        layout = layout_of(name)
        held = {f"H{k}" for k, _ in enumerate(blank_plan(layout).holds, 1)}
        assert held and not held & {hole.tag for hole in holes(layout)}


def test_a_row_is_true_of_the_drill_that_it_names():
    """Posts drawn with a flat end, for which a pointed drill is all there is: 49 mm of wood, 20 at
    full diameter, and the point of 118 deg."""
    own = [hole for hole in holes(layout_of("bramble")) if hole.id.startswith("tail.post")]
    point = 11.5 / 2.0 / math.tan(math.radians(59.0))
    for hole in own:
        assert hole.flat and hole.drill.point_deg == hole.point_deg == 118.0
        assert (hole.full, hole.tip) == pytest.approx((20.0, 20.0 + point))
        assert hole.wood.left == pytest.approx(29.0 - point) and "flat" not in hole.bit


def test_a_flat_end_without_a_flat_bit_is_said():
    """A cone of 3 mm radius and 118 degrees goes 1.8 mm deeper."""
    layout = bodies.layout_of(bodies.hole("p.flat", 0.0, 0.0, 6.0, 12.0))
    layout = replace(layout, shop=Shop(drills=(Drill(6.0, 90.0),)))
    (hole,) = holes(layout)
    assert hole.flat and hole.notes[0].endswith("goes 1.8 mm deeper")


def test_a_hole_begun_on_a_floor_says_where():
    """A pilot in the floor of a route 19 deep, drawn from there: its depth is from the front."""
    route = bodies.pocket("p.route", rectangle(40.0, 40.0, 4.0), 19.0)
    pilot = bodies.hole("p.pilot", 0.0, 0.0, 2.0, 10.0, operation="PILOT")
    shape = replace(pilot.shape.hole, start=(0.0, 0.0, -19.0))
    pilot = replace(pilot, shape=shape, opens=frozenset(), meets=frozenset({"p.route"}))
    (hole,) = holes(bodies.layout_of(route, pilot))
    assert (hole.start, hole.inside) == (19.0, ("p.route",)) and hole.at[2] == 0.0
    assert hole.full == pytest.approx(29.0)


def test_a_hole_whose_place_in_its_part_was_not_measured_is_marked_through_it():
    """The plate's screws and a pickup's height screws, but not those that the script places."""
    for name, part, marked in (("mallow", "bridge", 5), ("mallow", "pickup", 4), ("teasel", "", 0)):
        rows = [hole for hole in holes(layout_of(name)) if hole.part == part or not part]
        note = f"where it stands in {part} was not measured: mark it through the part itself"
        assert sum(note in hole.notes for hole in rows) == marked
        assert sum("not measured" in " ".join(hole.notes) for hole in rows) == marked
    told = [step for step in cut_order(layout_of("mallow")).steps if "bridge.screw.1" in step.ids]
    assert any("mark it through the part itself" in " ".join(step.notes) for step in told)


def test_letters_leave_out_what_reads_as_a_figure():
    assert [letter(k) for k in (0, 6, 7, 22, 23, 46)] == ["A", "G", "J", "Z", "AA", "BA"]


def test_a_screw_is_told_by_its_hole():
    """A vibrato has screws at its pivot, its claw and its cover: a number alone tells none."""
    found = {hole.id: hole.serves for hole in holes(layout_of("campion"))}
    assert found["vibrato.pivot.1"] == "vibrato: pivot 1 screw bites"
    assert found["vibrato.claw.2"] == "vibrato: claw 2 screw bites"
    assert found["vibrato.screw.1"] == "vibrato: screw 1 bites"
    assert found["vibrato.cover.screw.1"] == "vibrato: screw 1 passes"


def test_three_holes_on_one_centre_come_widest_first():
    sizes = ((20.0, 3.0), (12.0, 8.0), (6.0, 14.0))
    layout = bodies.layout_of(
        *(bodies.hole(f"p.{d:g}", 10.0, 5.0, diameter=d, depth=deep) for d, deep in sizes)
    )
    own = [hole.diameter for hole in holes(layout) if hole.id.startswith("p.")]
    assert own == [20.0, 12.0, 6.0]
