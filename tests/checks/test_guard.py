"""A guard on the front by hand: 160 x 90 mm of 2.4 mm sheet about (0, -80) over a route of 60 x 50
mm, 34 mm deep, on the square board. Sizes are common practice, no source."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodycad.design import measure_first
from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.edge import Chamfer, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Bush, Fit, Mass
from bodycad.layout.layout import Placed
from bodycad.layout.made import Made
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void
from bodycad.parts.blade import BladeSwitch
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.channel import Channel
from bodycad.parts.control import Pot
from bodycad.parts.guard import SHEET, Guard
from tests.checks.bench import ask, bevel, board, holds, necked, none, one
from tests.sample import Loose

PLAN = rectangle(160.0, 90.0, 8.0)
SCREWS = ((72.0, 38.0), (72.0, -38.0), (-72.0, 38.0), (-72.0, -38.0))


def guard(turn_deg: float = 0.0, **changes) -> Placed:
    given = {"plan": PLAN, "screws": SCREWS, **changes}
    return Placed("guard", Guard(**given), Place(0.0, -80.0, turn_deg))


def route(depth: float = 34.0, length: float = 60.0, width: float = 50.0, x: float = 0.0) -> Placed:
    plan = rectangle(length, width, 6.35)
    return Placed("route", Cavity(plan, Depth(depth), None, face="front"), Place(x, -80.0))


def pot(x: float = 0.0, y: float = -80.0, **changes) -> Placed:
    given = {"panel": 2.4, "guard": "guard", **changes}
    return Placed("pot", Pot("route", **given), Place(x, y))


def blade(turn_deg: float = 0.0, x: float = 0.0, **changes) -> Placed:
    given = {"panel": 2.4, "guard": "guard", **changes}
    return Placed("blade", BladeSwitch("route", **given), Place(x, -80.0, turn_deg))


def held(*parts: Placed, **changes):
    return board(guard(), route(), *parts, **changes)


def bad(layout, *checks: str) -> set[str]:
    return {f.code for c in checks for f in ask(layout, c) if f.status in ("fail", "error")}


OWN = (
    "control-clamp",
    "control-room",
    "piece-fit",
    "ring-cover",
    "wall",
    "edge",
    "breakout",
    "land",
)


def test_a_right_guard_with_a_pot_passes():
    layout = held(pot())
    assert not bad(layout, *OWN, "assembly", "floor", "pilot-tip")
    assert layout.homes["pot.hole"].id == "guard.plate" and not layout.voids_of("pot")


@pytest.mark.parametrize(
    "bush, spare, status", [(9.5, 3.1, "pass"), (7.0, 0.6, "warn"), (6.3, -0.1, "fail")]
)
def test_a_bush_clamps_the_guard_and_no_wood(bush, spare, status):
    """The bush less 4 for nut and washer, less 2.4 mm of sheet."""
    found = one(held(pot(bush=bush)), "control-clamp", "pot", "guard.plate")
    holds(found, status, spare)


def test_a_bush_in_the_body_says_what_is_under_it():
    """A hole in the guard needs no void under it; one in the wood does."""
    assert none(held(pot()), "complete", "pot.hole")
    layout = board(Placed("route", Cavity(rectangle(60, 50, 8), Depth(34.0))), pot(guard=None))
    records = tuple(replace(r, under=None) if isinstance(r, Bush) else r for r in layout.interfaces)
    less = replace(layout, interfaces=records)
    assert one(less, "complete", "pot.hole").code == "complete.bush.under"
    assert none(layout, "complete", "pot.hole")


@pytest.mark.parametrize(
    "depth, spare, status", [(30.0, 4.0, "pass"), (32.5, 1.5, "warn"), (35.0, -1.0, "fail")]
)
def test_a_pot_under_the_guard_to_the_routes_floor(depth, spare, status):
    """34 mm of route under the sheet."""
    found = one(held(pot(depth=depth)), "control-room", "pot", "route.cavity", text="the bottom")
    holds(found, status, spare)


@pytest.mark.parametrize(
    "x, spare, status", [(14.0, 4.0, "pass"), (16.5, 1.5, "warn"), (17.5, 0.5, "fail")]
)
def test_a_pot_under_the_guard_to_the_routes_wall(x, spare, status):
    """The wall at 30, the can's radius 12."""
    found = one(held(pot(x)), "control-room", "pot", "route.cavity", text="the wall")
    holds(found, status, spare)


@pytest.mark.parametrize(
    "x, spare, status", [(30.0, 3.2, "pass"), (33.0, 0.2, "warn"), (34.0, -0.8, "fail")]
)
def test_a_washer_beside_an_opening_of_the_guard(x, spare, status):
    """A window of 20 mm whose side stands at x = 42; the washer reaches 4.8 + 4 mm."""
    window = Void(
        "w.w", "w", "front", "POCKET", Prism(rectangle(20, 40, 4), -2.4, 0.0), {"front", "back"}
    )

    class Window(Loose):
        def openings(self, part, place, piece):
            if piece.id != "guard.plate":
                return ()
            return (replace(window, shape=window.shape.moved(52.0, 0.0)),)

    layout = held(pot(x, depth=5.0), Placed("w", Window()))
    found = one(layout, "control-clamp", "pot.hole", "w.w")
    holds(found, status, spare)
    assert math.dist(*found.at) == pytest.approx(abs(spare), abs=1e-6)


@pytest.mark.parametrize(
    "y, spare, status", [(-120.0, -5.3, "fail"), (-114.0, 0.7, "pass"), (-114.5, 0.2, "warn")]
)
def test_a_washer_at_the_rim_of_the_guard(y, spare, status):
    """The rim at y = -125, its bevel 1.5 wide, the washer 8.8."""
    layout = board(guard(), route(width=86.0), pot(y=y))
    found = one(layout, "control-clamp", "pot.hole", "guard.plate.edge")
    holds(found, status, spare)
    assert math.dist(*found.at) == pytest.approx(abs(spare), abs=1e-6)


def test_a_washer_against_a_plate():
    """A plate whose side stands at x = 20 on the front: 20 - 8.8 = 11.2 away, then 2.2."""
    plate = Room("p.plate", "p", "plate", Prism(rectangle(20, 20, 1, 30.0, -80.0), 0.0, 3.0))
    for x, spare in ((0.0, None), (9.0, 2.2)):
        back = Placed("route", Cavity(rectangle(90, 50, 8), Depth(leave=6.0)), Place(0, -80))
        layout = board(back, pot(x, panel=6.0, guard=None), Placed("p", Loose((), (plate,))))
        if spare is None:
            assert none(layout, "control-clamp", "pot.hole", "p.plate")
        else:
            holds(one(layout, "control-clamp", "pot.hole", "p.plate"), "pass", spare)


@pytest.mark.parametrize(
    "depth, spare, status", [(30.0, 4.0, "pass"), (32.5, 1.5, "warn"), (35.0, -1.0, "fail")]
)
def test_a_blade_switch_to_the_floor(depth, spare, status):
    found = one(held(blade(depth=depth)), "control-room", "blade", "route.cavity", text="bottom")
    holds(found, status, spare)


@pytest.mark.parametrize(
    "length, spare, status", [(64.0, 3.5, "pass"), (60.0, 1.5, "warn"), (58.0, 0.5, "fail")]
)
def test_a_blade_switchs_body_to_the_wall(length, spare, status):
    """A body 57 mm long in a route of `length`."""
    layout = board(guard(), route(length=length), blade(depth=30.0))
    holds(one(layout, "control-room", "blade", "route.cavity", text="the wall"), status, spare)


@pytest.mark.parametrize(
    "screw, spare, status", [(8.0, 4.4, "pass"), (4.2, 0.6, "warn"), (3.5, -0.1, "fail")]
)
def test_a_blade_switchs_screws_reach_its_frame(screw, spare, status):
    """The screw less 2.4 of sheet, less 1.2 of thread."""
    layout = held(blade(depth=30.0, screw_length=screw))
    holds(one(layout, "control-clamp", "blade.screw.1", "guard.plate"), status, spare)


@pytest.mark.parametrize(
    "hole, spare, status", [(3.5, 0.25, "pass"), (3.1, 0.05, "warn"), (2.9, -0.05, "fail")]
)
def test_a_blade_switchs_screws_pass_the_guard(hole, spare, status):
    """Half of the hole less half of a 3 mm thread."""
    layout = held(blade(depth=30.0, screw_hole=hole))
    holds(one(layout, "piece-fit", "blade.screw.1", "blade.screw.1", text="spare"), status, spare)


def test_a_blade_switch_in_wood():
    """Under 5 mm of wood: screws of 8 mm reach 3, 1.8 more than the frame; 0.5 mm of play."""
    back = Placed("route", Cavity(rectangle(70, 50, 8), Depth(leave=5.0)), Place(0, -80))
    layout = board(back, blade(panel=5.0, guard=None, depth=30.0))
    holds(one(layout, "control-clamp", "blade.screw.2", "wood"), "pass", 1.8)
    holds(one(layout, "control-clamp", "blade", "blade.screw.2"), "pass", 0.5)
    assert not bad(layout, "control-room", "assembly", "wall")
    # A lever that is longer than its slot stands in the wood.
    stuck = board(back, blade(panel=5.0, guard=None, depth=30.0, throw=28.0))
    assert one(stuck, "assembly", "blade", text="lever").status == "fail"


@pytest.mark.parametrize("throw, status", [(24.0, "pass"), (26.0, "warn"), (27.4, "fail")])
def test_a_lever_in_the_guards_slot(throw, status):
    """1 mm of lever in 1.6 of slot: 0.3 at its sides. The slot's round ends have 0.8 mm about x =
    12.7; the lever's corners stand 0.5 off the middle."""
    end = 0.8 - math.hypot(max(throw / 2.0 - 12.7, 0.0), 0.5)
    layout = held(blade(depth=30.0, throw=throw))
    holds(one(layout, "piece-fit", "guard.plate", "blade.lever"), status, min(0.3, end))


@pytest.mark.parametrize(
    "x, spare, status",
    [(0.0, 37.0, "pass"), (48.0, 2.0, "warn"), (49.0, 1.0, "fail"), (60.0, -10.0, "fail")],
)
def test_the_guard_covers_the_route_under_it(x, spare, status):
    """The route's end at x + 30, the rim at 80; along y 45 - 25 = 20 mm hidden at most."""
    layout = board(guard(screws=((72.0, 38.0), (-72.0, -38.0))), route(x=x))
    holds(
        one(layout, "ring-cover", "guard", "route.cavity", text="covers"), status, min(spare, 20.0)
    )


def test_a_route_that_the_guard_shows_is_not_asked():
    layout = board(guard(shows=("route.cavity",)), route(x=60.0), pot(60.0))
    assert none(layout, "ring-cover", "guard", "route.cavity")
    # Nothing else hides it: that is asked where a control hangs in it.
    assert one(layout, "control-room", "route.cavity").code == "control-room.open"


def test_a_channel_that_comes_out_under_the_guard_is_hidden():
    """A ground hole of 3.2 mm, 45 degrees steep, whose mouth is a slot 4.53 mm long about x = 60;
    its way on under the wood to x = 100 is no opening."""
    ground = Channel((60.0, -80.0, 0.0), (100.0, -80.0, -40.0), (), 3.2, "front", "ground")
    layout = board(guard(), Placed("ground", ground))
    found = one(layout, "ring-cover", "guard", "ground", text="covers")
    holds(found, "pass", 80.0 - 60.0 - 1.6 * 2.0**0.5, 0.01)


@pytest.mark.parametrize(
    "u, spare, status",
    [(38.0, 7.2, "pass"), (34.5, 3.7, "warn"), (33.0, 2.2, "fail"), (28.0, 0.0, "fail")],
)
def test_a_guards_screw_beside_the_route(u, spare, status):
    """The route's wall at 30, the pilot 1.6 wide; a screw over the route bites no wood."""
    layout = board(guard(screws=((u, 0.0), (-72.0, 38.0), (72.0, 38.0))), route())
    found = one(layout, "ring-cover", "guard.screw.1", "route.cavity")
    holds(found, status, spare)
    if spare == 0.0:
        assert one(layout, "assembly", "guard", text="screw").status == "fail"


def test_a_hung_pot_that_stands_over_no_route():
    layout = board(guard(), route(), pot(x=55.0))
    assert one(layout, "piece-fit", "pot.hole").code == "piece-fit.nothing"


def test_two_holes_of_what_hangs_in_one_guard():
    """Holes of 9.6 mm, 10.6 apart: 1.0 mm of sheet; limits 1.5 and 2.0."""
    two = Placed("two", Pot("route", 2.4, guard="guard"), Place(10.6, -80.0))
    found = one(board(guard(), route(length=90.0), pot(), two), "wall", "pot.hole", "two.hole")
    holds(found, "fail", 1.0)


@pytest.mark.parametrize("gap, status", [(0.4, "pass"), (0.1, "warn"), (-2.0, "fail")])
def test_what_stands_beside_the_guard(gap, status):
    """A bridge's plate whose side stands `gap` beyond the rim at x = 80; where they share 2 mm, the
    figure is that no opening holds it."""
    plate = Prism(rectangle(40.0, 20.0, 0.0, 100.0 + gap, -80.0), 0.0, 3.0)
    room = Room("p.plate", "p", "plate", plate)
    layout = board(guard(), Placed("p", Loose((), (room,))))
    found = one(layout, "piece-fit", "guard.plate", "p.plate")
    assert found.status == status
    if gap > 0.0:
        holds(found, status, gap)


def test_what_stands_far_beside_the_guard_is_not_listed():
    room = Room("p.plate", "p", "plate", Prism(rectangle(40, 20, 0, 104.0, -80.0), 0.0, 3.0))
    assert none(
        board(guard(), Placed("p", Loose((), (room,)))), "piece-fit", "guard.plate", "p.plate"
    )


@pytest.mark.parametrize("radius, status, spare", [(4.0, "pass", 1.0), (8.0, "fail", -3.0)])
def test_a_rounded_edge_under_the_guard(radius, status, spare):
    """The rim at y = -145, 5 mm from the body's side, less the roundover's radius."""
    low = Placed("guard", Guard(PLAN, SCREWS), Place(0.0, -100.0))
    found = one(board(low, front=Roundover(radius)), "land", "guard.plate", "edge")
    holds(found, status, spare)


def test_a_contour_under_the_guard():
    layout = board(guard(), contours=[bevel("front", (60.0, 0.0), 0.0)])
    assert [f.status for f in ask(layout, "land") if f.subjects[0] == "guard.plate"] == ["fail"]


def test_the_sheet_and_its_bevel():
    layout = held(pot())
    sheet = layout.pieces[1]
    assert sheet.skin.front == Chamfer(1.5) and sheet.thickness == 2.4 and sheet.sheet
    assert sheet.frame.z == pytest.approx(2.4) and sheet.frame.turned_over is False
    mass = [r for r in layout.stated(Mass) if r.part == "guard"]
    assert mass[0].kg == pytest.approx(SHEET * PLAN.area * 2.4)
    # A square rim has no bevel; one as high as the sheet is refused.
    assert board(guard(bevel=0.0)).pieces[1].skin.front.drop == 0.0
    with pytest.raises(InputError, match="bevel"):
        Guard(PLAN, SCREWS, bevel=2.3)


def test_a_guard_over_bare_wood_hides_nothing():
    layout = board(guard())
    assert none(layout, "ring-cover", "guard", "route.cavity")
    assert not bad(layout, "assembly", "land", "piece-fit", "pilot-tip")


def test_a_cavity_from_the_front_has_no_cover_of_its_own():
    with pytest.raises(InputError, match="cover of a cavity from the front"):
        Cavity(PLAN, Depth(20.0), Cover(), face="front")
    bare = Cavity(rectangle(60.0, 50.0, 8.0), Depth(20.0), None)
    assert not bare.rooms("x", Place(), 44.0) and not bare.pieces("x", Place(), board().body)


def test_an_uncovered_cavity_with_a_control_is_named():
    bare = Placed("route", Cavity(rectangle(60, 50, 8), Depth(leave=6.0), None), Place(0, -80))
    layout = board(bare, pot(panel=6.0, guard=None))
    assert one(layout, "control-room", "route.cavity").code == "control-room.open"
    lidded = Placed("route", Cavity(rectangle(60, 50, 8), Depth(leave=6.0)), Place(0, -80))
    assert none(board(lidded, pot(panel=6.0, guard=None)), "control-room", "route.cavity")


def test_a_turned_guard_keeps_its_figures_and_a_left_handed_one_too():
    """All turned by 30 degrees about the guard's middle, and mirrored: the same figures."""

    def laid(turn: float, left: bool = False):
        spot = Place(0.0, -80.0, turn)
        x, y = spot.point(10.0, 4.0)
        return board(
            guard(turn),
            Placed("route", route().part, spot),
            Placed("pot", pot().part, Place(x, y, turn)),
            left_handed=left,
        )

    def figures(layout):
        return {
            f.identity: f.value
            for c in ("control-clamp", "control-room", "piece-fit", "ring-cover")
            for f in ask(layout, c)
            if f.value is not None
        }

    still = figures(laid(0.0))
    assert len(still) > 12
    for other in (laid(30.0), laid(30.0, True)):
        assert figures(other) == pytest.approx(still, abs=1e-6)


def test_a_block_that_lies_in_a_route_meets_the_guard():
    """A block from -20 to -2 mm in the route: 2 mm under the sheet."""
    room = Room("b.b", "b", "part", Prism(circle(10.0, 0.0, -80.0), -20.0, -2.0))
    fit = Fit(part="b", kind="control", name="block", room="b.b", outer="route.cavity", hangs=True)
    layout = held(Placed("b", Loose((), (room,), (fit,))))
    found = [f for f in ask(layout, "control-room") if f.subjects[0] == "b"]
    assert {f.subjects[1] for f in found} == {"guard.plate", "route.cavity"}


def test_a_part_as_it_really_is_goes_into_the_openings_that_were_drawn():
    """A longer switch in the slot and holes that were cut; a wider can under the hole drilled."""
    drawn = BladeSwitch("route", 2.4, guard="guard")
    longer = replace(drawn, length=58.0, slot_length=28.0, screw_span=42.0)
    fitted = longer.fitted("blade", drawn, Made())
    assert (fitted.length, fitted.slot_length, fitted.screw_span) == (58.0, 27.0, 41.3)
    wood = Pot("control", 6.0)
    made = Made(deeper={"control.cavity": 0.3}, thicker=0.2)
    assert replace(wood, hole=9.9).fitted("pot", wood, made) == replace(wood, panel=5.9)
    sheet = Pot("route", 2.4, guard="guard")
    assert sheet.fitted("pot", sheet, made).panel == 2.4
    measure_first(held(blade(depth=30.0), pot(20.0)))


@pytest.mark.parametrize(
    "panel, off, status", [(2.4, 0.0, "pass"), (2.8, 0.4, "warn"), (6.0, 3.6, "fail")]
)
def test_a_control_drawn_for_another_sheet(panel, off, status):
    """A guard of 2.4 mm; the control says how thick it takes it to be."""
    layout = held(pot(panel=panel, bush=12.0))
    found = [f for f in ask(layout, "control-clamp") if f.code == "control-clamp.sheet"]
    holds(found[0], status, off)


def test_a_slot_that_runs_beyond_the_cavitys_wall():
    """A cavity that ends at x = 20 under a body 57 mm long; one that ends at 5 under the lever."""
    back = Placed("route", Cavity(rectangle(70, 50, 8), Depth(leave=5.0)), Place(-15, -80))
    layout = board(back, blade(panel=5.0, guard=None, depth=30.0))
    side = one(layout, "control-room", "blade", "route.cavity", text="the wall")
    holds(side, "fail", 20.0 - 28.5)
    beyond = Placed("route", back.part, Place(-30, -80))
    assert (
        one(board(beyond, blade(panel=5.0, guard=None)), "assembly", "blade", text="wood").status
        == "fail"
    )


def test_a_guard_without_a_notch_meets_the_neck():
    """Its rim at x = 160 lies over the heel, which begins at 124; at 120 it clears it."""
    for end, status in ((160.0, "fail"), (120.0, "pass")):
        plan = rectangle(100.0, 90.0, 8.0, end - 50.0, 0.0)
        over = Placed("guard", Guard(plan, ((30.0, 30.0), (30.0, -30.0))), Place(0, 0))
        layout = board(necked(), over)
        found = [f for f in ask(layout, "piece-fit") if f.subjects == ("guard.plate", "neck.heel")]
        assert [f.status for f in found] == ([status] if status == "fail" else [])


def test_a_route_for_wires_alone_is_hidden_too():
    bare = Placed(
        "way", Cavity(rectangle(60, 30, 8), Depth(20.0), None, face="front"), Place(0, 60)
    )
    wire = Placed("wire", Channel((0.0, 60.0, -15.0), (-60.0, 60.0, -15.0), ("way.cavity",)))
    assert one(board(bare, wire), "control-room", "way.cavity").code == "control-room.open"
    over = Placed("guard", Guard(PLAN, SCREWS), Place(0, 60))
    assert none(board(bare, wire, over), "control-room", "way.cavity")
    assert none(board(bare), "control-room", "way.cavity")


@pytest.mark.parametrize("name, title", [("guard", "the guard"), ("shield", "the guard shield")])
def test_a_guard_is_called_what_it_is_once(name, title):
    screws = (-30.0, 0.0), (30.0, 0.0)
    sheet = Guard(rectangle(80.0, 60.0, 5.0), screws).pieces(name, Place(0.0), board().body)
    assert [piece.title for piece in sheet] == [title]
