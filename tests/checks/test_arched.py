"""An arched top by hand: a board whose front falls away all round a crown of R 20 about the middle,
9 mm in 120, and is level from there: the flat rim.

Without a recurve the section is one round of R (120^2 + 9^2) / 18 = 804.5 mm about a point under
the crown's border, so that s mm out from it the face lies R - sqrt(R^2 - s^2) lower.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.chance.witness import as_gap
from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Chamfer, Ledge, Lowered, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import on_front
from bodycad.layout.contours import arched_top, fall_away
from bodycad.layout.interface import Land
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room
from bodycad.parts.cavity import Cavity
from bodycad.parts.control import Pot
from bodycad.parts.mount import Ring
from bodycad.parts.pickup import Humbucker
from tests.checks.bench import T, ask, board, cavity, controls, cut, holds, joint, none, one
from tests.sample import Loose

R = 804.5
BORDER = 20.0
TOP = arched_top("top", "front", T, circle(2.0 * BORDER), run=120.0, drop=9.0)


def fall(x: float, y: float = 0.0) -> float:
    """How far the front lies under the crown, mm."""
    s = math.hypot(x, y) - BORDER
    return R - math.sqrt(R * R - s * s) if s > 0.0 else 0.0


def arched(*parts, **given):
    return board(*parts, contours=[TOP], **given)


def lies(x: float, radius: float, slope: float = 0.0, face: str = "front") -> Placed:
    """A disc that lies on a face; with a slope also its room, whose base falls along x."""
    plan = circle(2.0 * radius, x, 0.0)
    land = Land(part="plate", name="plate.foot", face=face, plan=plan)
    if not slope:
        return Placed("plate", Loose((), says=(land,)))
    base = Prism(plan, -fall(x), 10.0, (slope, 0.0), (x, 0.0))
    return Placed(
        "plate", Loose((), room=(Room("plate.base", "plate", "plate", base),), says=(land,))
    )


@pytest.mark.parametrize(
    "x, radius, status", [(30, 10, "pass"), (44, 10, "warn"), (70, 20, "fail")]
)
def test_a_flat_plate_rocks_on_an_arch_by_what_falls_away_under_it(x, radius, status):
    layout = arched(lies(x, radius))
    due = fall(x + radius) - fall(x - radius)
    holds(one(layout, "land", "plate.foot", "front"), status, due)
    holds(one(layout, "land", "plate.foot", "edge"), "pass", min(200.0 - x, 150.0) - radius, 1e-6)


def test_a_base_that_slopes_with_the_arch_lies_closer():
    """Its base falls along the chord from 50 to 90 mm out: what is left is the chord's sagitta and
    what falls away to both sides."""
    slope = -(fall(90.0) - fall(50.0)) / 40.0
    layout = arched(lies(70.0, 20.0, slope))
    way = np.stack(np.meshgrid(np.linspace(-20, 20, 201), np.linspace(-20, 20, 201)), -1)
    spots = way.reshape(-1, 2)[np.hypot(*way.reshape(-1, 2).T) <= 20.0]
    air = [slope * u + fall(70.0 + u, v) for u, v in spots]
    holds(one(layout, "land", "plate.foot", "front"), "pass", max(air) - min(air), 0.02)


@pytest.mark.parametrize("slope, status, left", [(0.0, "fail", 4.65), (5.71, "pass", 0.336)])
def test_a_ring_whose_base_slopes_follows_the_arch(slope, status, left):
    """A front that falls away from a ridge across it alone. A ring 46.5 mm wide lies 56.75 to
    103.25 mm out: its ends are 2.00 - 6.65 = 4.65 mm apart in height, a slope of 5.71 degrees; what
    is left is the sagitta of that chord."""
    ridge = slot(260.0, 20.0, turn_deg=90.0)
    top = arched_top("top", "front", T, ridge, run=120.0, drop=9.0)
    place = on_front(board(contours=[top]).skin, 90.0, 0.0)
    pickup = Humbucker(52.0, rest_height=8.0, ring=Ring(slope_deg=slope))
    layout = board(Placed("pickup", pickup, place), contours=[top])
    holds(one(layout, "land", "pickup.ring", "front"), status, left, 0.01)
    codes = {f.code: f.status for f in ask(layout, "assembly") if "pickup" in f.subjects}
    assert codes["assembly.rest"] == status


def test_a_plain_back_under_an_arched_front_is_no_arch():
    layout = arched(lies(70.0, 20.0, face="back"))
    assert none(layout, "land", "plate.foot", "back")


def test_a_flat_on_the_rim_lies_flat():
    """Beyond 140 mm from the middle the rim is level, 9 mm down; a bevel there is still a bevel."""
    layout = arched(lies(170.0, 15.0))
    holds(one(layout, "land", "plate.foot", "front"), "pass", 0.0)
    arm = fall_away("arm", "front", T, (180.0, 0.0), 0.0, 15.0, 12.0)
    both = board(lies(170.0, 15.0), contours=[TOP, arm])
    assert one(both, "land", "plate.foot", "arm").status == "fail"


@pytest.mark.parametrize("x, status", [(0.0, "pass"), (80.0, "warn"), (110.0, "fail")])
def test_a_washer_on_the_slope_stands_askew(x, status):
    """The washer reaches 8.8 mm from the axis."""
    pot = Placed("pot", Pot("control", 10.0), Place(x, 0.0, z=-fall(x)))
    layout = arched(controls(leave=10.0, x=x, y=0.0), pot)
    low, high = fall(x + 8.8), fall(x - 8.8)
    if x == 0.0:
        assert none(layout, "control-clamp", "pot.hole", "front")
    else:
        holds(one(layout, "control-clamp", "pot.hole", "front"), status, low - high)
    wood = one(layout, "control-clamp", "pot", "control.cavity")
    assert wood.value == pytest.approx(9.5 - 4.0 - (10.0 - high), abs=1e-3)


@pytest.mark.parametrize("leave, status", [(16.0, "pass"), (11.0, "warn"), (10.0, "fail")])
def test_the_floor_of_a_cavity_is_measured_to_the_arch(leave, status):
    """Nearest at its corner farthest out, (130, 10): to the round's centre under the border."""
    s = math.hypot(130.0, 10.0) - BORDER
    due = R - math.hypot(s, R - leave)
    found = one(arched(cavity("c", 120.0, 0.0, 20.0, 20.0, leave)), "floor", "c.cut", "top")
    holds(found, status, due, 1e-6)
    assert found.bound == 0.0


def test_a_front_pocket_keeps_its_walls_on_an_arch():
    """Its mouth lies in the arch, a gentle slope: no fin, no breakout."""
    layout = arched(cut("p", Prism(rectangle(60.0, 40.0, 6.0, 60.0, 0.0), -25.0, 0.0)))
    for check in ("edge", "breakout", "floor"):
        assert {f.status for f in ask(layout, check)} <= {"pass", "skip"}, check


@pytest.mark.parametrize(
    "z, codes", [(None, set()), (0.0, {"assembly.rest"}), (-6.0, {"assembly.wood"})]
)
def test_a_ring_that_states_a_wrong_height_hovers_or_stands_in_the_wood(z, codes):
    """10 x 20 about (75, 0), 1.6 to 2.3 mm down. At its own height it rests on the highest place
    under it, and gaps by the rest; at the crown's it hovers."""
    ring = rectangle(10.0, 20.0)
    low = on_front(arched().skin, 75.0, 0.0, under=ring).z if z is None else z
    room = Room("pickup.ring", "pickup", "ring", Prism(ring.moved(75.0, 0.0), low, 6.0))
    layout = arched(Placed("pickup", Loose((), room=(room,))))
    found = [f for f in ask(layout, "assembly") if "pickup" in f.subjects]
    assert {f.code for f in found if f.status == "fail"} == codes
    if z is None:
        assert low == pytest.approx(-fall(70.0), abs=1e-9)


def test_a_place_on_the_front_has_the_height_of_the_face_there():
    skin = arched().skin
    place = on_front(skin, 90.0, 30.0, 15.0)
    assert (place.x, place.y, place.turn_deg) == (90.0, 30.0, 15.0)
    assert place.z == pytest.approx(-fall(90.0, 30.0), abs=1e-9)
    assert on_front(skin, 5.0, 5.0).z == 0.0
    under = on_front(skin, 70.0, 0.0, under=circle(40.0))
    assert under.z == pytest.approx(-fall(50.0), abs=1e-9)


def test_an_edge_over_a_lower_rim_cuts_only_air():
    """The rim lies 9 mm down all round the board: a roundover of 3 at the plain face is lost, one
    lowered to the rim is not, nor is one of 12; a binding follows by itself."""
    (lost,) = [f for f in ask(arched(front=Roundover(3.0)), "contour-end") if f.status == "fail"]
    assert lost.code == "contour-end.edge" and lost.subjects == ("edge.front", "body")
    for edge in (Lowered(Roundover(3.0), 9.0), Roundover(12.0), Ledge((1.5,), 6.0), Square()):
        assert {f.status for f in ask(arched(front=edge), "contour-end")} == {"pass"}
    part = fall_away("arm", "front", T, (0.0, 90.0), 90.0, 40.0, 12.0)
    found = ask(board(contours=[part], front=Roundover(3.0)), "contour-end")
    assert {f.status for f in found} == {"pass"}


def test_a_lowered_edge_is_its_edge_under_the_rim():
    edge = Lowered(Roundover(3.0), 9.0)
    skin = Skin(rectangle(400.0, 300.0), T, edge, Square(), (TOP,))
    inset = [(200.0 - s, 100.0) for s in (0.0, 1.0, 2.999, 3.001)]
    round_ = [3.0 - math.sqrt(9.0 - (3.0 - s) ** 2) for s in (0.0, 1.0, 2.999)]
    assert -skin.height("front", np.array(inset)) == pytest.approx([9 + d for d in round_] + [9.0])
    assert edge.form == Roundover(3.0).form and "9.00 under" in edge.words
    assert Lowered(Chamfer(2.0), 4.0).drop == 6.0
    for wrong in (Square(), Ledge((1.5,), 6.0)):
        with pytest.raises(InputError, match="a lowered edge"):
            Lowered(wrong, 9.0)


def test_a_cavity_leaves_its_wood_under_the_front_where_it_stands():
    """6 mm under a front that lies 5 mm down: its ceiling is at -11, the same depth from the back
    whatever the place."""
    plan = rectangle(40.0, 30.0, 8.0)
    for depth, high in ((Depth(leave=6.0), -11.0), (Depth(30.0), 30.0 - T)):
        (hollow, *_) = Cavity(plan, depth).voids("c", Place(z=-5.0), T)
        assert hollow.high == pytest.approx(high)
    with pytest.raises(InputError, match="the depth of c.cavity"):
        Cavity(plan, Depth(T - 4.0)).voids("c", Place(z=-5.0), T)


def test_errors_reach_a_hole_in_the_side_under_an_arch():
    """What a contour takes inside the outline is known by the contour's id: a bore from the side
    that comes near it is carried through by chance too."""
    hole = bore((200.0, 0.0, -15.5), (-1.0, 0.0, 0.0), 6.0, 40.0)
    layout = arched(cut("h", hole, "edge", "BORE"))
    found = one(layout, "floor", "h.cut", "top")
    holds(found, "warn", 3.5, 0.02)
    assert found.between[1] == "top"
    contacts = as_gap(found, layout, False)
    assert contacts and contacts[0].owners[1].id == "top"


def test_a_height_that_a_part_does_not_count_from_is_refused():
    """A neck's pocket is cut to its depth under the crown: whoever places it on the arch means a
    depth under the front there, and says so with place.below(depth)."""
    place = on_front(arched().skin, 124.0, 0.0)
    assert place.z == pytest.approx(-fall(124.0)) and place.z < -5.0
    with pytest.raises(InputError, match="the height z of the place of neck .*place.below"):
        arched(Placed("neck", joint(), place))
    deep = place.below(17.0)
    assert deep == pytest.approx(17.0 + fall(124.0))
    layout = arched(Placed("neck", joint(depth=deep), Place(124.0)))
    assert layout.by_id["neck.pocket"].low == pytest.approx(-deep)
