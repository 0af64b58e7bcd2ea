"""`drill-reach`, `control-reach` and `vibrato-swing` by hand."""

import math

import pytest

from bodycad.checks.rules.reach import control_reach, drill_reach
from bodycad.checks.rules.swing import vibrato_swing
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.blank import on_edge
from bodycad.layout.interface import Sweep
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.jack import StrapButton
from bodycad.shop import Shop
from bodycad.tools import FLAT, Drill
from tests.checks_more.bench import BOARD, bench, hole, loose, only, pocket


@pytest.mark.parametrize("reach, status", [(40.0, "pass"), (32.0, "warn"), (28.0, "fail")])
def test_a_30_mm_hole_and_the_drill_on_hand(reach, status):
    """The point of a 5 mm twist drill is 1.5 mm long (2.5 over the tangent of 59 degrees)."""
    found = list(
        drill_reach(
            bench(
                loose(hole("p.hole", 0, 0, 5.0, 30.0)),
                shop=Shop(drills=(Drill(5.0, reach + 1.502), Drill(8.0, 90.0))),
            )
        )
    )
    assert [(f.value, f.status) for f in found] == [
        (pytest.approx(reach - 30.0, abs=0.003), status)
    ]


def test_a_longer_drill_on_hand_is_taken_where_the_shorter_one_only_just_reaches():
    drills = Drill(5.0, 33.0, FLAT), Drill(5.0, 90.0, FLAT)
    layout = bench(loose(hole("p.hole", 0, 0, 5.0, 30.0)), shop=Shop(drills=drills))
    assert [(f.value, f.status) for f in drill_reach(layout)] == [(pytest.approx(60.0), "pass")]


@pytest.mark.parametrize("reach, status", [(37.0, "fail"), (45.0, "pass")])
def test_a_hole_in_the_floor_of_a_cut_is_as_deep_as_it_lies_under_the_face(reach, status):
    """20 mm of wood under a pocket 19 mm deep: the drill must come 39 mm below the face."""
    own = Void("p.hole", "p", "front", "BORE", bore((0, 0, -19.0), (0, 0, -1.0), 5.0, 20.0))
    layout = bench(
        loose(pocket("p.cut", -15.0, 15.0, -19.0, 0.0, "p"), own),
        shop=Shop(drills=(Drill(5.0, reach, FLAT),)),
    )
    assert [(f.value, f.status) for f in drill_reach(layout)] == [
        (pytest.approx(reach - 39.0), status)
    ]


def test_no_drill_of_that_diameter_fails():
    found = list(
        drill_reach(
            bench(loose(hole("p.hole", 0, 0, 5.0, 30.0)), shop=Shop(drills=(Drill(8.0, 90.0),)))
        )
    )
    assert [(f.status, f.value) for f in found] == [("fail", None)]


@pytest.mark.parametrize("diameter, status", [(3.0, ["pass"]), (2.9, ["pass", "warn"])])
def test_depth_over_diameter_is_advice(diameter, status):
    """30 mm: ten diameters of 3 mm pass, 10.34 of 2.9 mm warn."""
    found = list(drill_reach(bench(loose(hole("p.hole", 0, 0, diameter, 30.0)))))
    assert [f.status for f in found] == status
    if len(found) > 1:
        assert found[1].value == pytest.approx(30.0 / 2.9) and found[1].limit is None


def test_a_through_hole_is_drilled_from_both_faces():
    """3.2 mm through 44 mm: 22 from each face, one finding for the whole row; the drill for wires
    is 150 mm long with a point of 0.96."""
    row = [hole(f"p.{i}", 12.0 * i, 0, 3.2, 44.0, opens=("front", "back")) for i in range(6)]
    found = list(drill_reach(bench(loose(*row))))
    assert [f.value for f in found] == [pytest.approx(150.0 - 22.96, abs=0.003)] and len(
        found[0].subjects
    ) == 6


def test_depth_from_the_edge_begins_at_the_wood():
    """The strap screw's pilot is drawn from outside; only its 26 mm in wood count, and the point
    beyond: half of 2.8 over the tangent of 59 degrees, 0.841 mm (found to 0.05 mm)."""
    layout = bench(
        Placed("s", StrapButton(-22.0), on_edge(BOARD, -200.0, 0.0)),
        shop=Shop(drills=(Drill(2.8, 28.0),)),
    )
    assert only(drill_reach(layout), "drill-reach", "s.screw").value == pytest.approx(
        28.0 - 26.841, abs=0.051
    )


def test_the_drills_that_a_shop_owns_by_default_do_not_make_every_hole():
    """A 3 mm twist drill is 66 mm deep with a point of 0.9; 5.2 and 13.3 mm are in no set."""
    layout = bench(loose(hole("p.hole", 0, 0, 3.0, 67.0)))
    assert [f.status for f in drill_reach(layout)] == ["fail", "warn"]
    for diameter in (5.2, 13.3):
        found = list(drill_reach(bench(loose(hole("p.hole", 0, 0, diameter, 20.0)))))
        assert [(f.status, f.value) for f in found] == [("fail", None)]


def test_a_ferrule_seats_on_a_flat_floor():
    """An 8 mm twist drill leaves a cone under a ferrule: only a bit with a flat floor will do."""
    for point, status in ((118.0, "fail"), (FLAT, "pass")):
        drills = (Drill(3.2, 90.0), Drill(8.0, 90.0, point), Drill(2.5, 90.0))
        layout = bench(Placed("bridge", Hardtail(52.5), Place(0.0)), shop=Shop(drills=drills))
        ids = tuple(f"bridge.ferrule.{k}" for k in range(1, 7))
        assert only(drill_reach(layout), "drill-reach", *ids).status == status


def test_the_holes_of_a_cover_are_drilled_too():
    """5.2 mm screw holes in a plate: no such drill in the sets."""
    cover = Cover(screws=((-40.0, 0.0), (40.0, 0.0)), screw_hole=5.2)
    layout = bench(Placed("c", Cavity(rectangle(80.0, 50.0, 8.0), Depth(leave=6.0), cover)))
    found = [f for f in drill_reach(layout) if "c.cover.screw.1" in f.subjects]
    assert [(f.status, f.subjects) for f in found] == [
        ("fail", ("c.cover.screw.1", "c.cover.screw.2"))
    ]


@pytest.mark.parametrize("drill, status", [(3.5, []), (3.45, []), (3.3, ["fail"])])
def test_a_screw_goes_into_the_hole_that_the_drill_makes(drill, status):
    """A cover's 3.333 mm screws in holes drawn 3.4: a 3.3 mm drill counts as theirs, and its hole
    is 0.033 mm too narrow."""
    cover = Cover(screws=((-40.0, 0.0), (40.0, 0.0)), screw_hole=3.4, pilot=2.0)
    cavity = Cavity(rectangle(80.0, 50.0, 8.0), Depth(leave=6.0), cover)
    shop = Shop(drills=(Drill(drill, 60.0), Drill(2.0, 60.0)))
    found = [f for f in drill_reach(bench(Placed("c", cavity), shop=shop)) if "play" in f.code]
    assert [f.status for f in found] == 2 * status
    for one in found:
        assert one.value == pytest.approx(3.3 - 2.0 / 0.6) and one.subjects[1] == "drill"


def test_no_holes_is_skipped():
    assert [f.status for f in drill_reach(bench(loose()))] == ["skip"]


def test_bad_drill():
    with pytest.raises(InputError):
        Drill(0.0, 10.0)


def knob(x, y, diameter=20.0):
    return bench(
        loose(rooms=(Room("p.knob", "p", "knob", bore((x, y, 1.0), (0, 0, 1), diameter, 16.0)),))
    )


@pytest.mark.parametrize("y, status", [(-60.0, "pass"), (-50.0, "warn"), (-45.0, "fail")])
def test_knob_to_the_outer_string(y, status):
    """Outer centres 52.5 apart at the saddles and 35 at the nut (gauges alike): string 1 runs at
    -26.25 + 8.75 * 100/647.7 = -24.899 over x = 100, at an angle of atan(8.75/647.7)."""
    found = only(control_reach(knob(100.0, y)), "control-reach", "p.knob", "string.1")
    due = (-24.899 - y) * math.cos(math.atan(8.75 / 647.7)) - 10.0
    assert found.value == pytest.approx(due, abs=0.001) and found.status == status


@pytest.mark.parametrize(
    "y, spare, status", [(-120.0, 20.0, "pass"), (-130.0, 10.0, "warn"), (-134.0, 6.0, "fail")]
)
def test_knob_to_the_edge(y, spare, status):
    found = only(control_reach(knob(0.0, y)), "control-reach", "p.knob", "edge")
    assert found.value == pytest.approx(spare) and found.status == status


def test_behind_the_saddles_the_string_ends():
    """At x = -100 the nearest string is its saddle point, not the line drawn on."""
    layout = knob(-100.0, -26.25)
    x, _ = layout.instrument.saddle_points[0]
    assert only(
        control_reach(layout), "control-reach", "p.knob", "string.1"
    ).value == pytest.approx(100.0 + x - 10.0, abs=0.05)


def pair(apart, over=0.0, left_handed=False):
    """Two parts' knobs, 20 mm across and 16 mm high, whose axes stand `apart` mm apart, the second
    `over` mm higher."""
    first, second = (
        Room(f"{name}.knob", name, "knob", bore((x, -80.0, z), (0, 0, 1), 20.0, 16.0))
        for name, x, z in (("p", 0.0, 1.0), ("q", apart, 1.0 + over))
    )
    parts = loose(rooms=(first,)), loose(rooms=(second,), name="q")
    return bench(*parts, left_handed=left_handed)


@pytest.mark.parametrize("left_handed", [False, True])
@pytest.mark.parametrize(
    "apart, over, status",
    [(15.0, 0.0, "fail"), (20.9, 15.0, "fail"), (27.9, 0.0, "warn"), (28.0, 0.0, "pass")],
)
def test_two_knobs_leave_room_for_fingers(apart, over, status, left_handed):
    layout = pair(apart, over, left_handed)
    found = only(control_reach(layout), "control-reach.apart", "p.knob", "q.knob")
    assert (found.status, found.value) == (status, pytest.approx(max(apart - 20.0, 0.0)))


@pytest.mark.parametrize("apart, over", [(0.0, 16.0), (60.1, 0.0)])
def test_knobs_over_each_other_or_far_apart_are_not_asked(apart, over):
    codes = {f.code for f in control_reach(pair(apart, over))}
    assert codes == {"control-reach.string", "control-reach.edge"}


def test_no_knobs_is_skipped():
    assert [f.status for f in control_reach(bench(loose()))] == ["skip"]


def swing(length, width, low=-30.0):
    block = Room("p.block", "p", "swing", Prism(rectangle(40.0, 80.0), low, 10.0))
    return bench(
        loose(
            pocket(
                "p.route",
                -length / 2,
                length / 2,
                -44.0,
                0.0,
                "p",
                width=width,
                opens=("front", "back"),
            ),
            pocket("p.small", -5.0, 5.0, -44.0, 0.0, "p", width=10.0, opens=("front", "back")),
            rooms=(block,),
        )
    )


@pytest.mark.parametrize(
    "length, width, spare, status",
    [(46.0, 84.0, 2.0, "pass"), (42.0, 84.0, 1.0, "warn"), (38.0, 84.0, -1.0, "fail")],
)
def test_block_in_its_route(length, width, spare, status):
    found = only(vibrato_swing(swing(length, width)), "vibrato-swing", "p.block", "p.route")
    assert found.value == pytest.approx(spare, abs=1e-9) and found.status == status


def test_block_over_a_floor():
    """Route floor at -31.5 under a block that swings down to -30."""
    block = Room("p.block", "p", "swing", Prism(rectangle(40.0, 80.0), -30.0, 10.0))
    layout = bench(
        loose(
            pocket("p.route", -30.0, 30.0, -31.5, 0.0, "p", width=100.0, opens=("front",)),
            rooms=(block,),
        )
    )
    assert only(
        vibrato_swing(layout), "vibrato-swing", "p.block", "p.route"
    ).value == pytest.approx(1.5)


def test_block_without_a_route_fails_and_no_block_is_skipped():
    block = Room("p.block", "p", "swing", Prism(rectangle(40.0, 80.0), -30.0, 10.0))
    assert [f.status for f in vibrato_swing(bench(loose(rooms=(block,))))] == ["fail"]
    assert [f.status for f in vibrato_swing(bench(loose()))] == ["skip"]


def test_a_square_knob_counts_to_its_nearest_corner_or_side():
    """A pad 20 mm square at (0, -130): 10 mm to the side of the board at y = -150."""
    pad = Room("p.knob", "p", "part", Prism(rectangle(20.0, 20.0, 0.0, 0.0, -130.0), 1.0, 5.0))
    hand = Sweep(part="p", kind="hand", room=pad.id)
    layout = bench(loose(rooms=(pad,), says=(hand,)))
    found = only(control_reach(layout), "control-reach", "p.knob", "edge")
    assert found.value == pytest.approx(10.0)
    strings = only(control_reach(layout), "control-reach", "p.knob", "string.1")
    assert 93.0 < strings.value < 94.0  # 120 less half the spread of 52.5 at the saddle


def test_a_block_swings_in_the_void_that_its_sweep_names():
    """A round block of 40 mm in another part's hole of 50: 5 mm all round."""
    block = Room("p.block", "p", "part", bore((0.0, 0.0, -30.0), (0, 0, 1), 40.0, 40.0))
    route = hole("q.route", 0.0, 0.0, 50.0, 36.0, part="q")
    sweep = Sweep(part="p", kind="block", room=block.id, within=(route.id,))
    layout = bench(loose(rooms=(block,), says=(sweep,)), loose(route, name="q"))
    found = only(vibrato_swing(layout), "vibrato-swing", "p.block", "q.route")
    assert found.value == pytest.approx(5.0)
