"""Jacks on a plate, in a barrel and in a tilted cup, and strap locks, by hand, on the square board:
its end at x = -200, a cavity whose wall stands at x = -150 unless said otherwise."""

from __future__ import annotations

import math

import pytest

from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Roundover
from bodycad.layout.blank import on_edge
from bodycad.layout.interface import Land, Terminal
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.layout.void import Room
from bodycad.parts.jack import AngledJack, EndJack
from bodycad.parts.sidejack import BarrelJack, SideJack
from bodycad.parts.strap import StrapButton, StrapLock
from tests.checks.bench import ask, board, controls, holds, one
from tests.sample import Loose

OUTLINE = board().skin.outline


def side(outline=OUTLINE, at=(-200.0, 0.0), **changes) -> Placed:
    given = {"z": -22.0, "reach": 60.0, **changes}
    return Placed("jack", SideJack("control", **given), on_edge(outline, *at))


def barrel(y: float = 0.0, turn: float = 0.0, **changes) -> Placed:
    given = {"z": -22.0, "wall": 50.0, "length": 70.0, **changes}
    return Placed("jack", BarrelJack("control", **given), Place(-200.0, y, turn))


def angled(x: float = 0.0, turn_deg: float = 0.0, **changes) -> Placed:
    return Placed("jack", AngledJack(**changes), Place(x, -60.0, turn_deg))


def holed(x: float = -120.0, **changes) -> Placed:
    return controls(x=x, y=0.0, **changes)


def failing(layout, *checks: str) -> set[str]:
    return {f.code for c in checks for f in ask(layout, c) if f.status in ("fail", "error")}


ALL = (
    "jack-path",
    "land",
    "floor",
    "edge",
    "breakout",
    "assembly",
    "ring-cover",
    "pilot-tip",
    "wall",
)


def test_right_ones_pass():
    assert not failing(board(holed(), side()), *ALL)
    assert not failing(board(holed(), barrel()), *ALL, "control-clamp")
    assert not failing(board(angled()), *ALL)
    assert not failing(board(Placed("lock", StrapLock(-22.0), on_edge(OUTLINE, 200, 40))), *ALL)


@pytest.mark.parametrize("reach, status", [(60.0, "pass"), (45.0, "fail")])
def test_the_side_jacks_bore_reaches_the_cavity(reach, status):
    found = one(board(holed(), side(reach=reach)), "jack-path", "jack.bore", "control.cavity")
    assert found.status == status


@pytest.mark.parametrize(
    "radius, spare, status", [(4.0, 2.0, "pass"), (5.5, 0.5, "warn"), (9.0, -3.0, "fail")]
)
def test_a_side_plate_on_what_roundovers_leave(radius, spare, status):
    """44 mm less two roundovers, less 32 of plate, halved."""
    layout = board(holed(), side(), front=Roundover(radius), back=Roundover(radius))
    holds(one(layout, "land", "jack.plate", "edge", text="flat of the side"), status, spare)


@pytest.mark.parametrize(
    "bow, status", [(0.0, "fail"), (1.2, "pass"), (2.2, "warn"), (-1.2, "fail")]
)
def test_a_side_plate_on_a_round_edge(bow, status):
    """A plate 38 mm wide on a round body of 280 mm: 140 - sqrt(140^2 - 19^2) = 1.295 mm of rise,
    less what it is bent."""
    outline = circle(280.0)
    rise = 140.0 - math.sqrt(140.0**2 - 19.0**2)
    jack = side(outline, (-140.0, 0.0), bow=bow)
    layout = board(controls(x=-60.0, y=0.0), jack, outline=outline)
    holds(one(layout, "jack-path", "jack.plate", "edge"), status, abs(rise - bow), 0.02)


@pytest.mark.parametrize("height, status", [(17.0, "pass"), (22.0, "warn"), (30.0, "fail")])
def test_a_side_plates_screws_keep_off_the_faces(height, status):
    """Screws of 3.33 mm, 22 - height / 2 under the face: 4.05, 3.3 and 2.1 diameters."""
    rows = [f for f in ask(board(holed(), side(screw_rise=height)), "pilot-tip") if f.unit != "mm"]
    found = min((f for f in rows if f.value is not None), key=lambda f: f.value)
    holds(found, status, (22.0 - height / 2.0) * 0.6 / 2.0, 0.01)


@pytest.mark.parametrize(
    "length, spare, status", [(70.0, 14.0, "pass"), (56.5, 0.5, "warn"), (55.0, -1.0, "fail")]
)
def test_a_barrel_clamps_the_wood_to_its_cavity(length, spare, status):
    """The barrel less two nuts of 3 mm, less 50 of wood."""
    layout = board(holed(), barrel(length=length))
    holds(one(layout, "control-clamp", "jack", "control.cavity"), status, spare)


@pytest.mark.parametrize(
    "y, spare, status", [(0.0, 6.0, "pass"), (14.5, 0.5, "warn"), (17.0, -2.0, "fail")]
)
def test_a_wrench_on_the_barrels_nut(y, spare, status):
    """The cavity's walls at y = -25 and 25, a wrench's room of 20: 15 - y. In height the nut, at
    -22, has 16 - 10 = 6 to the wood over it, at -6."""
    layout = board(holed(corner=0.5), barrel(y))
    found = one(layout, "jack-path", "jack.nut", "wood")
    holds(found, status, spare, 0.05)


def test_a_nut_that_no_wrench_reaches():
    """A cavity whose wall stands 6 mm behind the nut's: 9 - ... the jaw runs into it."""
    shallow = holed(x=-147.0, length=6.0, width=60.0, corner=2.0)
    found = one(board(shallow, barrel()), "jack-path", "jack.nut", "wood")
    assert found.status == "fail" and found.value < 0.0


def test_an_oblique_barrel_leaves_its_nut_askew():
    """Turned by 20 degrees, washers of 17 mm: 17 tan 20 = 6.19 mm out of square."""
    layout = board(holed(width=90.0), barrel(-18.0, 20.0, wall=54.0, length=80.0))
    found = one(layout, "control-clamp", "jack.bore", "control.cavity")
    holds(found, "fail", 17.0 * math.tan(math.radians(20.0)), 0.02)


def test_an_angled_jacks_plug_ends_over_the_back():
    """33 degrees: the bore's end, 53 along it, at -28.9, its rim 8.5 cos 33 = 7.13 lower: 7.98 mm
    of the 44 are left; at 40 degrees 3.4, at 45 the rim is 0.5 above the back."""
    for tilt, status in ((33.0, "pass"), (40.0, "warn"), (45.0, "fail")):
        angle = math.radians(tilt)
        left = 44.0 - 53.0 * math.sin(angle) - 8.5 * math.cos(angle)
        found = one(board(angled(tilt_deg=tilt)), "floor", "jack.bore", "back")
        holds(found, status, left, 0.01)
    deep = board(angled(tilt_deg=50.0, reach=60.0))
    assert "breakout" in failing(deep, "breakout")


@pytest.mark.parametrize(
    "reach, spare, status", [(53.0, 1.0, "pass"), (52.2, 0.2, "warn"), (50.0, -2.0, "fail")]
)
def test_an_angled_jacks_plug_in_its_bore(reach, spare, status):
    """The plug's tip, 22 + 30 mm along the axis, before the bore's end; 1.5 mm at its side. One
    that stands in the wood stands there with its whole way."""
    found = one(board(angled(reach=reach)), "jack-path", "jack.plug", "wood")
    if spare > 0.0:
        holds(found, status, spare, 0.01)
    else:
        assert found.status == status and found.value <= spare


@pytest.mark.parametrize("length, status", [(60.0, "pass"), (45.0, "warn"), (43.0, "fail")])
def test_an_angled_jacks_plate_hides_its_cup(length, status):
    """The cup's mouth is 22.2 / sin 33 = 40.76 mm long, not the 59 of the whole hole in plan."""
    layout = board(angled(plate_length=length))
    found = one(layout, "ring-cover", "jack", "jack.cup", text="covers")
    holds(found, status, (length - 22.2 / math.sin(math.radians(33.0))) / 2.0, 0.01)


@pytest.mark.parametrize(
    "span, spare, status", [(41.0, 8.4, "pass"), (31.0, 3.4, "warn"), (28.0, 1.9, "fail")]
)
def test_an_angled_jacks_screws_beside_its_cup(span, spare, status):
    """Half the span, less 11.1 of cup, less 1 of pilot."""
    found = one(board(angled(screw_span=span)), "ring-cover", "jack.screw.2", "jack.cup")
    holds(found, status, spare, 0.01)


def test_an_angled_jack_into_a_cavity():
    """A cavity under the plug's tip takes the bore; one beside it does not."""
    into = controls(x=42.0, y=-60.0, length=40.0)
    right = board(into, angled(cavity="control", reach=62.0))
    assert one(right, "jack-path", "jack.bore", "control.cavity").status == "pass"
    astray = board(controls(x=42.0, y=20.0, length=40.0), angled(cavity="control", reach=62.0))
    assert one(astray, "jack-path", "jack.bore", "control.cavity").status == "fail"


def test_an_angled_jack_turned_and_left_handed():
    """Turned by 70 degrees about its datum the plug's way has the same air; mirrored too."""

    def room(layout):
        return one(layout, "jack-path", "jack.plug", "wood").value

    still = room(board(angled()))
    assert room(board(angled(turn_deg=70.0))) == pytest.approx(still, abs=1e-6)
    assert room(board(angled(turn_deg=70.0), left_handed=True)) == pytest.approx(still, abs=1e-6)


def lock(x: float = 0.0, z: float = -22.0, **changes) -> Placed:
    return Placed("lock", StrapLock(z, **changes), on_edge(OUTLINE, x, 150.0))


@pytest.mark.parametrize(
    "deep, spare, status", [(13.0, 7.0, "pass"), (16.0, 4.0, "warn"), (18.0, 2.0, "fail")]
)
def test_a_locks_cup_before_a_cavity(deep, spare, status):
    """A cavity 20 mm in from the side. A screw of no length to speak of."""
    near = controls(x=0.0, y=105.0, width=50.0)
    layout = board(near, lock(cup_depth=deep, pilot_depth=1.0))
    holds(one(layout, "wall", "control.cavity", "lock.cup"), status, spare)


def test_a_locks_screw_into_a_cavity():
    """13 + 20 mm of hole toward a wall at 30 mm."""
    near = controls(x=0.0, y=95.0, width=50.0)
    assert "wall" in failing(board(near, lock(pilot_depth=20.0)), "wall")


@pytest.mark.parametrize(
    "z, spare, status", [(-22.0, 6.0, "pass"), (-16.5, 0.5, "warn"), (-14.0, -2.0, "fail")]
)
def test_a_locks_lip_under_a_roundover(z, spare, status):
    """A lip of 20 mm about z, a roundover of 6."""
    layout = board(lock(z=z), front=Roundover(6.0), back=Roundover(6.0))
    holds(one(layout, "land", "lock.button", "edge", text="flat of the side"), status, spare)


def test_two_locks_hold_a_strap():
    found = [f.code for f in ask(board(lock(), lock_two()), "complete")]
    assert "complete.strap" not in found and "complete.strap" in [
        f.code for f in ask(board(lock()), "complete")
    ]


def lock_two() -> Placed:
    return Placed("other", StrapLock(-22.0), on_edge(OUTLINE, -200.0, 0.0))


@pytest.mark.parametrize("y, clear, status", [(16.0, 1.5, "warn"), (20.0, 5.5, "pass")])
def test_a_plugs_grip_beside_a_strap_button(y, clear, status):
    """A button 14 mm across at y on the end of the board; the grip is 15 wide."""
    button = Placed("strap", StrapButton(-22.0), on_edge(OUTLINE, -200.0, y))
    found = one(board(holed(), side(), button), "jack-path", "jack.grip", "strap.button")
    holds(found, status, clear, 0.011)


def test_a_plugs_grip_in_a_strap_button():
    button = Placed("strap", StrapButton(-22.0), on_edge(OUTLINE, -200.0, 12.0))
    found = one(board(holed(), side(), button), "jack-path", "jack.grip", "strap.button")
    assert found.status == "fail" and found.value < 0.0


@pytest.mark.parametrize("left_handed", [False, True])
@pytest.mark.parametrize("off, status", [(14.0, "warn"), (24.9, "warn"), (25.1, "pass")])
def test_a_straps_end_beside_a_jack(off, status, left_handed):
    """From the button's axis to a lip 25 mm across, and to a plate 45 mm along the edge."""
    jacks = ("jack.lip", 12.5, round_lip()), ("jack.plate", 22.5, side(plate_width=45.0))
    for lip, half, jack in jacks:
        for sign in (1.0, -1.0):
            at = on_edge(OUTLINE, -200.0, sign * (half + off))
            strap = Placed("strap", StrapButton(-22.0), at)
            layout = board(holed(), jack, strap, left_handed=left_handed)
            found = one(layout, "jack-path", "strap.button", lip)
            assert (found.status, found.limit) == (status, None), "advice never fails"
            assert found.value == pytest.approx(off, abs=1e-3)


def test_a_square_strap_button_of_a_makers_own_counts_by_its_axis_too():
    at, inward = (-200.0, 30.0, -22.0), (1.0, 0.0, 0.0)
    foot = Land(
        part="own", name="own.foot", face="edge", at=at, inward=inward, width=20.0, height=20.0
    )
    block = Room("own.button", "own", "button", bore(at, (-1.0, 0.0, 0.0), 20.0, 12.0))
    own = Placed("own", Loose((), (block,), (foot,)))
    found = one(board(holed(), round_lip(), own), "jack-path", "own.foot", "jack.lip")
    assert (found.status, found.value) == ("warn", pytest.approx(17.5, abs=1e-3))


def test_a_strap_button_far_from_the_jack_is_not_listed():
    strap = Placed("strap", StrapButton(-22.0), on_edge(OUTLINE, -200.0, 80.0))
    layout = board(holed(), round_lip(), strap)
    assert not [f for f in ask(layout, "jack-path") if f.code == "jack-path.strap"]


def round_lip() -> Placed:
    return Placed("jack", EndJack("control", -22.0, 60.0, lip=25.0), Place(-200.0, 0.0))


@pytest.mark.parametrize(
    "grip, spare, status", [(15.0, 3.6, "pass"), (19.0, 1.6, "warn"), (23.0, -0.4, "fail")]
)
def test_a_plugs_grip_in_its_cup(grip, spare, status):
    """Half of 22.2 less half of the grip."""
    found = one(board(angled(grip=grip)), "jack-path", "jack.grip", "jack.cup")
    holds(found, status, spare, 0.011)


def test_a_barrels_leads_end_in_its_cavity():
    """The barrel fills its bore, so no wire comes to it there."""
    layout = board(holed(), barrel())
    (ends,) = [t.voids for t in layout.stated(Terminal) if t.part == "jack"]
    assert "control.cavity" in ends and "jack.bore" not in ends
