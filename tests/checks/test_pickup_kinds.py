"""Kinds of pickups by hand: what their poles serve, how they grow, how they are held."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, replace

import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.along import fan_turn_deg, pole_spacing_at
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck
from bodycad.instrument.strings import strings
from bodycad.layout.interface import Hides, Land
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.parts.cased import Blade
from bodycad.parts.guard import Guard
from bodycad.parts.mount import DirectMount, Ears, GuardMount, Ring
from bodycad.parts.pickup import Humbucker, SingleCoil, SmallHumbucker, Soapbar, SplitPair
from bodycad.units import measured
from tests.checks.bench import TABLE, ask, bevel, board, cavity, hardtail, holds, necked, one

BASS = (".045w", ".065w", ".080w", ".100w", ".130w")
LOW = (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w", ".074w")


def bass(count: int = 4) -> Instrument:
    """864 mm, 38 mm at the nut and 57 mm at the saddles, equal centres."""
    neck = Neck(864.0, 20, 45.0, 38.0, 64.0)
    return Instrument(neck, strings(BASS[:count]), bridge_spread=57.0, equal="centres")


def many(count: int, scale=686.0) -> Instrument:
    neck = Neck(scale, 24, 9.0 * count - 9.0, 7.0 * count - 8.0, 9.5 * count, overhang=12.0)
    return Instrument(
        neck, strings(LOW[:count]), bridge_spread=10.5 * count - 10.5, equal="centres"
    )


def placed(part, x=0.0, y=0.0, turn_deg=0.0) -> Placed:
    return Placed("pickup", part, Place(x, y, turn_deg))


# How they grow with their poles.


def test_wider_poles_lengthen_frame_feet_and_ring():
    """62.4 mm between the outer poles are 9.4 mm more than 53."""
    own = Humbucker(62.4, poles=7)
    assert own.frame_length == pytest.approx(70.0 + 9.4)
    assert own.feet_span == pytest.approx(83.0 + 9.4)
    assert own.ring.length == pytest.approx(91.0 + 9.4)
    assert own.ring.screw_length == pytest.approx(82.0 + 9.4)
    assert own.frame_length.origin == "default"
    for spacing in (46.0, 49.5, 53.0):
        assert Humbucker(spacing).frame_length == 70.0 and Humbucker(spacing).ring.length == 91.0
    wider = replace(own, pole_spacing=72.8, poles=8)
    assert wider.frame_length == pytest.approx(70.0 + 19.8)
    assert wider.ring.length == pytest.approx(91.0 + 19.8)


def test_what_is_measured_does_not_grow():
    own = Humbucker(62.4, poles=7, frame_length=measured(81.0), ring=Ring(length=measured(99.0)))
    assert own.frame_length == 81.0 and own.ring.length == 99.0
    assert own.ring.screw_length == pytest.approx(91.4)
    assert own.feet_span == pytest.approx(92.4)


@pytest.mark.parametrize(
    "poles, spacing, length, screws",
    [(6, 50.0, 85.5, 10.0), (4, 57.0, 89.5, 19.0), (5, 70.0, 102.5, 26.25), (7, 62.4, 94.9, 15.6)],
)
def test_soapbars_for_four_to_seven_strings(poles, spacing, length, screws):
    """A quarter of the spacing from the middle, the nearest place midway between two poles."""
    own = Soapbar(spacing, poles=poles)
    assert own.frame_length == pytest.approx(length)
    assert own.screws == (pytest.approx((0.0, -screws)), pytest.approx((0.0, screws)))
    step = spacing / (poles - 1)
    between = [(k - (poles - 2) / 2.0) * step for k in range(poles - 1)]
    assert min(abs(screws - v) for v in between) == pytest.approx(0.0, abs=1e-9)


def test_half_a_split_pair_is_as_long_as_its_strings_want():
    assert SplitPair(57.0).frame_length == pytest.approx(19.0 + 38.0)
    # Three of five strings 17 mm apart.
    assert SplitPair(68.0, poles=5).frame_length == pytest.approx(34.0 + 38.0)


# What their poles serve.


@pytest.mark.parametrize("turn", [0.0, 8.0, -12.0])
def test_a_slanted_single_coil_is_judged_pole_by_pole(turn):
    """Six poles in one row, each turned by a complex number, against strings that run from 52.5 mm
    apart at the saddles to 35 at 635."""
    found = ask(board(placed(SingleCoil(52.0), 30.0, 0.0, turn)), "pole-offset")[0]
    worst = 0.0
    for k in range(6):
        spot = 30.0 + complex(0.0, -26.0 + 10.4 * k) * cmath.exp(1j * math.radians(turn))
        half = (52.5 - 17.5 * spot.real / 635.0) / 2.0
        worst = max(worst, abs(spot.imag - half * (2 * k / 5 - 1.0)))
    assert found.value == pytest.approx(worst, abs=1e-9)


@pytest.mark.parametrize(
    "count, kind", [(4, Soapbar), (5, Soapbar), (7, Humbucker), (8, SmallHumbucker)]
)
@pytest.mark.parametrize("fan", [0.0, 30.0])
def test_worked_out_poles_follow_the_strings(count, kind, fan):
    """Strings at equal centres, the pickup along the fan: every pole lies on its string."""
    own = many(count, (686.0 - fan, 686.0) if fan else 686.0)
    turn = fan_turn_deg(own, 60.0)
    part = kind(pole_spacing_at(own, 60.0, turn), poles=count)
    part = replace(part, coil_spacing=0.0) if isinstance(part, Humbucker) else part
    found = ask(board(placed(part, 60.0, 0.0, turn), played=own), "pole-offset")
    assert [f.value for f in found] == pytest.approx([0.0], abs=0.03)
    assert bool(turn) == bool(fan)
    wrong = ask(board(placed(replace(part, poles=count - 1), 60.0), played=own), "pole-offset")
    assert [f.code for f in wrong] == ["pole-offset.count"]


def test_a_pole_a_course_lies_between_the_strings_of_the_course():
    """Twelve strings, 52.5 mm over all at the saddles, pairs 2.6 mm apart: courses 49.9 apart
    there, and 40 - 1.9 at the nut. Poles 50 mm apart at 60 mm are off by half of what the spreads
    differ; an instrument of twelve single strings wants twelve poles."""
    neck, gauges = Neck(635.0, 22, 47.0, 40.0, 58.0), ("0.010",) * 12
    own = Instrument(neck, strings(gauges), 52.5, equal="centres", courses=(2,) * 6)
    spread = 49.9 + (38.1 - 49.9) * 60.0 / 635.0
    assert pole_spacing_at(own, 60.0) == pytest.approx(spread)
    found = ask(board(placed(SingleCoil(50.0), 60.0), played=own), "pole-offset")
    assert [f.value for f in found] == pytest.approx([(50.0 - spread) / 2.0])
    single = replace(own, courses=())
    found = ask(board(placed(SingleCoil(50.0), 60.0), played=single), "pole-offset")
    assert [f.code for f in found] == ["pole-offset.count"]
    found = ask(board(placed(SingleCoil(50.0, poles=5), 60.0), played=own), "pole-offset")
    assert [f.code for f in found] == ["pole-offset.count"]


@pytest.mark.parametrize("left", [False, True])
def test_a_split_pair_serves_each_string_once(left):
    """At 90 mm the strings are 57 - 19 x / 864 apart; the bass half stands 14 mm nearer the nut,
    the treble half 14 nearer the bridge. Poles 55 mm apart, first to last."""
    layout = board(placed(SplitPair(55.0), 90.0), played=bass(), left_handed=left)
    found = ask(layout, "pole-offset")
    offs = []
    for x, shares in ((76.0, (0.5, 1 / 6)), (104.0, (0.5, 1 / 6))):
        wide = 57.0 - 19.0 * x / 864.0
        offs += [abs(wide - 55.0) * share for share in shares]
    assert len(found) == 1
    holds(found[0], "pass", max(offs), 1e-6)
    served = {p.strings for p in layout.interfaces if type(p).__name__ == "Poles"}
    assert served == {(1, 2), (3, 4)}


def test_halves_at_the_wrong_strings_are_found():
    """Turned end for end, the treble half lies over strings 3 and 4: 38 mm and more off."""
    found = ask(board(placed(SplitPair(57.0), 90.0, 0.0, 180.0), played=bass()), "pole-offset")
    assert found[0].status == "fail" and found[0].value > 37.0


@pytest.mark.parametrize(
    "part, count, words",
    [
        (SplitPair(57.0), 5, "no pole for string 5"),
        (SplitPair(57.0, poles=5), 4, "poles for string 5: there are 4 strings"),
    ],
)
def test_a_split_pair_for_another_number_of_strings_fails(part, count, words):
    found = ask(board(placed(part, 90.0), played=bass(count)), "pole-offset")
    counts = [f for f in found if f.code == "pole-offset.count"]
    assert [f.status for f in counts] == ["fail"] and words in counts[0].text


@pytest.mark.parametrize("length, status", [(58.0, "pass"), (53.5, "warn"), (50.0, "fail")])
def test_a_blade_reaches_past_the_outer_strings(length, status):
    """At the saddle line the strings are 52.5 mm apart."""
    part = SmallHumbucker(52.0, blade=Blade(length=measured(length)), coil_spacing=0.0)
    found = one(board(placed(part)), "pole-offset", "pickup", "string.1")
    holds(found, status, (length - 52.5) / 2.0)
    assert Humbucker(52.0, blade=Blade()).blade.length == 58.0


def test_blades_of_a_split_pair_are_held_against_their_own_strings():
    """A blade of 6 mm more than the poles, each half over two strings 19 mm apart at the saddles:
    3 mm past, less what the strings run outward there."""
    layout = board(placed(SplitPair(57.0, blade=Blade(), pole_pair=0.0)), played=bass())
    for found in ask(layout, "pole-offset"):
        assert found.status == "pass" and found.value == pytest.approx(3.0, abs=0.35)


def test_halves_that_stand_in_each_other_are_refused():
    for stagger in (27.0, -20.0, 0.0):
        with pytest.raises(InputError, match="stagger"):
            SplitPair(57.0, stagger=stagger)
    assert SplitPair(57.0, stagger=-28.0).cases[1].u == -14.0


# How they are held.


def mounted(**changes) -> DirectMount:
    """A screw 22 mm long in a pilot 11 deep, springs 14 mm long and 3 pressed flat."""
    sizes = {"screw_length": 22.0, "pilot_depth": 11.0, "spring_free": 14.0, "spring_flat": 3.0}
    return DirectMount(**{**sizes, **changes})


@pytest.fixture(scope="module")
def direct():
    """At rest 8 over the front (no neck): head 22.5 under the top, feet 24; ears 26 deep."""
    part = Humbucker(52.0, ring=None, mount=mounted(), rest_height=8.0)
    return board(placed(part))


def test_screws_into_the_floor_bite(direct):
    """Head at 8 - 22.5 = -14.5, a screw 22 mm long ends at -36.5: 10.5 under the floor at -26."""
    found = one(direct, "pickup-mount", "pickup.feet", "pickup.hold.1", text="bites")
    holds(found, "pass", 10.5)
    for length, status, bite in ((18.0, "warn", 6.5), (16.0, "fail", 4.5)):
        mount = mounted(screw_length=length)
        layout = board(placed(Humbucker(52.0, ring=None, mount=mount, rest_height=8.0)))
        found = one(layout, "pickup-mount", "pickup.feet", "pickup.hold.1", text="bites")
        holds(found, status, bite)


@pytest.mark.parametrize(
    "deep, status, spare", [(15.0, "pass", 0.5), (14.0, "warn", -0.5), (13.0, "fail", -1.5)]
)
def test_a_pilot_takes_the_screw_of_a_lowered_pickup(deep, status, spare):
    """Lowered 4 mm the tip stands at -40.5, 14.5 under the floor."""
    mount = mounted(pilot_depth=deep)
    layout = board(placed(Humbucker(52.0, ring=None, mount=mount, rest_height=8.0)))
    found = one(layout, "pickup-mount", "pickup.feet", "pickup.hold.1", text="tip")
    holds(found, status, spare)


@pytest.mark.parametrize(
    "free, flat, codes",
    [
        (14.0, 3.0, {"flat": ("pass", 3.0), "slack": ("pass", 4.0)}),
        (10.5, 5.8, {"flat": ("warn", 0.2), "slack": ("warn", 0.5)}),
        (9.0, 7.0, {"flat": ("fail", -1.0), "slack": ("fail", -1.0)}),
    ],
)
def test_springs_between_feet_and_floor(free, flat, codes):
    """Feet at -16 over a floor at -26: 10 mm of room at rest, 6 when lowered 4."""
    mount = mounted(spring_free=free, spring_flat=flat)
    layout = board(placed(Humbucker(52.0, ring=None, mount=mount, rest_height=8.0)))
    rows = {f.code: f for f in ask(layout, "pickup-mount")}
    for name, (status, value) in codes.items():
        holds(rows[f"pickup-mount.{name}"], status, value)


def test_screws_that_come_out_at_the_back_or_in_a_cavity_are_found():
    """From a floor at -26 a pilot 18.5 mm deep leaves a board of 44 mm; one of 11 mm enters a
    cavity that leaves 30 mm."""
    part = Humbucker(52.0, ring=None, mount=mounted(pilot_depth=18.5))
    out = [f for f in ask(board(placed(part)), "breakout") if f.status == "fail"]
    assert {f.subjects[0] for f in out} == {"pickup.hold.1", "pickup.hold.2"}
    part = Humbucker(52.0, ring=None, mount=mounted())
    layout = board(placed(part), cavity("other", 0.0, 39.25, 20.0, 20.0, 30.0))
    met = [f for f in ask(layout, "wall") if "pickup.hold.2" in f.subjects]
    assert [f.status for f in met] == ["fail"] and met[0].value == 0.0


def test_a_slot_for_the_feet_that_is_too_shallow():
    """Feet of a direct mount at -16 - 4: a slot 19 deep is 1 mm short."""
    part = Humbucker(52.0, ring=None, mount=mounted(), rest_height=8.0, ears=Depth(19.0))
    found = one(board(placed(part)), "pickup-room", "pickup", "pickup.ears", text="under")
    holds(found, "fail", -1.0)


def test_a_ring_under_which_the_pickup_is_screwed_to_the_wood():
    layout = board(placed(Humbucker(52.0, mount=mounted(), rest_height=8.0)))
    assert {f.code for f in ask(layout, "pickup-mount")} >= {"pickup-mount.bite"}
    assert [f.status for f in ask(layout, "ring-cover")].count("fail") == 0
    numbers = [s.number for s in layout.interfaces if type(s).__name__ == "Screw"]
    assert numbers == [1, 2, 3, 4, 5, 6]


def test_a_pickup_that_nothing_holds_is_named():
    found = ask(board(placed(Humbucker(52.0, ring=None))), "pickup-mount")
    assert [(f.code, f.status) for f in found][0] == ("pickup-mount.none", "warn")
    assert [f.status for f in ask(board(placed(Humbucker(52.0))), "pickup-mount")] == ["pass"]
    assert [f.status for f in ask(board(), "pickup-mount")] == ["skip"]


def test_ears_hide_the_route():
    """The cover reaches past what goes into the route by 4 mm, the route past that by 0.75; the
    ears' screws stand 50 mm out."""
    layout = board(placed(Soapbar(50.0, mount=Ears())))
    holds(one(layout, "ring-cover", "pickup", "pickup.route"), "pass", 4.0 - 0.75)
    assert layout.placed[0].part.mount.screws == ((0.0, -50.0), (0.0, 50.0))
    # 21 mm tall, its top at 8.5: 12.5 deep in a route of 19, and it does not go down.
    holds(one(layout, "pickup-room", "pickup", "pickup.route", text="under"), "pass", 6.5)
    bare = board(placed(Soapbar(50.0, mount=Ears(over=measured(2.0)))))
    holds(one(bare, "ring-cover", "pickup", "pickup.route"), "fail", 1.25)


@pytest.mark.parametrize(
    "v, status, inside", [(39.25, "pass", 0.8), (39.8, "warn", 0.25), (42.0, "fail", -1.95)]
)
def test_screws_go_through_the_feet(v, status, inside):
    """Feet end 41.5 mm from the middle; a screw of 2.9 mm."""
    part = Humbucker(52.0, ring=None, mount=mounted(screws=((0.0, -v), (0.0, v))), rest_height=8.0)
    found = one(board(placed(part)), "pickup-mount", "pickup.feet", text="goes through")
    holds(found, status, inside)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Humbucker(62.4, frame_length=measured(60.0)),
        lambda: SmallHumbucker(52.0, blade=Blade(length=measured(70.0))),
        lambda: SplitPair(57.0, frame_length=measured(26.0)),
    ],
)
def test_poles_beyond_their_case_are_refused(make):
    with pytest.raises(InputError, match="frame_length.*beyond its case"):
        make()


def test_ears_have_a_height_of_their_own():
    with pytest.raises(InputError, match="Ears"):
        Soapbar(50.0, mount=Ears(), rest_height=7.0)
    with pytest.raises(InputError, match="ring"):
        Humbucker(50.0, mount=GuardMount())


@dataclass(frozen=True)
class Sheet:
    """A guard 2.3 mm thick over the middle of the front, which says what it hides."""

    hidden: tuple[str, ...] = ("pickup.route", "pickup.ears")
    width: float = 130.0

    def voids(self, part, place, thickness):
        return ()

    def rooms(self, part, place, thickness):
        return (Room(part, part, "guard", Prism(rectangle(80.0, self.width), 0.0, 2.3)),)

    def pieces(self, part, place, piece):
        skin = Skin(rectangle(80.0, self.width), 2.3, Square(), Square())
        return (Workpiece(part, skin, frame=Frame(z=2.3), part=part, sheet=True),)

    def interfaces(self, part, place, piece):
        plan = rectangle(80.0, self.width)
        on = {"part": part, "name": "guard", "face": "front"}
        land = Land(part=part, name=part, face="front", plan=plan)
        if not self.hidden:
            return (land,)
        return (Hides(kind="on", rim=plan, room=part, voids=self.hidden, **on), land)


def guarded(part, sheet=None, turn_deg=0.0, left_handed=False):
    more = () if sheet is None else (Placed("guard", sheet),)
    return board(placed(part, turn_deg=turn_deg), *more, left_handed=left_handed)


UNDER_GUARD = SingleCoil(52.0, mount=GuardMount(thickness=2.3), rest_height=8.0)


@pytest.mark.parametrize("turn, left", [(0.0, False), (9.0, False), (9.0, True)])
def test_a_pickup_under_a_guard(turn, left):
    """Tabs from 13 to 15 under the top: at rest at -5 and -7. Springs have 5 mm of room under the
    guard at rest, 9 when lowered 4. Screws 16 mm long from the guard's top end at -13.7, the tabs
    go down to -11. Holes 3.4 for 3.0 mm; the opening 0.5 mm round the cover."""
    layout = guarded(UNDER_GUARD, Sheet(), turn, left)
    rows = {f.code: f for f in ask(layout, "pickup-mount")}
    holds(rows["pickup-mount.hole"], "pass", 0.2)
    holds(rows["pickup-mount.flat"], "pass", 2.0)
    holds(rows["pickup-mount.slack"], "pass", 12.0 - 9.0)
    holds(rows["pickup-mount.reach"], "pass", 13.7 - 11.0)
    fits = {f.subjects[1]: f for f in ask(layout, "piece-fit") if f.code == "piece-fit.window"}
    assert fits["pickup.body"].value == pytest.approx(0.5, abs=0.01)
    assert not [f for f in ask(layout, "ring-cover") if f.status != "pass"]
    # The tips of the screws stay at -13.7 over a floor at -18.
    holds(one(layout, "pickup-room", "pickup", "pickup.ears", text="under"), "pass", 4.3)


def test_what_is_wrong_with_a_guard_is_found():
    codes = {f.code: f for f in ask(guarded(UNDER_GUARD), "pickup-mount")}
    assert codes["pickup-mount.guard"].status == "fail"
    found = ask(guarded(UNDER_GUARD, Sheet(hidden=("pickup.route",))), "pickup-mount")
    assert [f.subjects for f in found if f.status == "fail"] == [("guard", "pickup.ears")]
    other = replace(UNDER_GUARD, mount=GuardMount(guard="none", thickness=2.3))
    layout = guarded(other, Sheet())
    found = [f for f in ask(layout, "pickup-mount") if f.status == "fail"]
    assert [f.code for f in found] == ["pickup-mount.hole"] and found[0].value == -1.5
    fits = [f for f in ask(layout, "piece-fit") if f.code == "piece-fit.window"]
    assert fits and fits[0].status == "fail" and "has no opening there" in fits[0].text
    assert 'mount=GuardMount("guard")' in fits[0].cure
    # A guard 74 mm wide leaves the route's ends bare: its slot is 86 mm long.
    short = ask(guarded(UNDER_GUARD, Sheet(width=80.0)), "ring-cover")
    assert [f.value for f in short if f.subjects[1] == "pickup.ears"] == pytest.approx([-3.0])


@pytest.mark.parametrize(
    "mount, code, status, value",
    [
        (GuardMount(thickness=2.3, screw_length=13.5), "reach", "warn", 0.2),
        (GuardMount(thickness=2.3, screw_length=12.5), "reach", "fail", -0.8),
        (GuardMount(thickness=2.3, spring_flat=4.7), "flat", "warn", 0.3),
        (GuardMount(thickness=2.3, spring_flat=5.5), "flat", "fail", -0.5),
        (GuardMount(thickness=2.3, spring_free=8.5), "slack", "fail", -0.5),
        (GuardMount(thickness=2.3, hole=2.9), "hole", "fail", -0.05),
        (GuardMount(thickness=2.7), "sheet", "warn", 0.4),
        (GuardMount(thickness=3.1), "sheet", "fail", 0.8),
    ],
)
def test_screws_and_springs_under_a_guard(mount, code, status, value):
    layout = guarded(replace(UNDER_GUARD, mount=mount), Sheet())
    found = {f.code: f for f in ask(layout, "pickup-mount")}[f"pickup-mount.{code}"]
    holds(found, status, value)


def test_a_split_pair_lies_in_one_route_or_two():
    """28 mm apart and 28 mm wide, each route 0.75 mm wider: they overlap by 1.5 mm; 40 mm apart
    they leave 10.5 mm of wood."""
    close, apart = (
        board(placed(SplitPair(57.0, stagger=s), 90.0), played=bass()) for s in (28.0, 40.0)
    )
    names = [{v.id for v in layout.voids if "route" in v.id} for layout in (close, apart)]
    assert names == [{"pickup.route"}, {"pickup.route.1", "pickup.route.2"}]
    area = close.by_id["pickup.route"].shape.plan.area
    both = sum(apart.by_id[n].shape.plan.area for n in names[1])
    # But for the rounds of the corners that overlap.
    assert area == pytest.approx(both - 1.5 * 20.5, abs=5.0)
    for layout in (close, apart):
        rows = [f for f in ask(layout, "pickup-room") if f.code == "pickup-room.side"]
        assert len(rows) == 2 and all(f.value == pytest.approx(0.75, abs=0.2) for f in rows)


def test_a_bore_is_what_a_direct_mount_drills(direct):
    """Two pilots of 2.0 mm, 83 / 2 - 2.25 mm from the middle, in the floor of the slot."""
    for k, v in ((1, -39.25), (2, 39.25)):
        hole = direct.by_id[f"pickup.hold.{k}"].shape.hole
        wanted = bore((0.0, v, -26.0), (0.0, 0.0, -1.0), 2.0, 11.0)
        assert hole.start == pytest.approx(wanted.start) and hole.diameter == 2.0
        assert hole.shoulder == pytest.approx(11.0)


@pytest.mark.parametrize(
    "part",
    [
        Humbucker(50.0),
        Humbucker(50.0, ring=None, mount=DirectMount()),
        SmallHumbucker(50.0),
        SingleCoil(50.0),
        Soapbar(50.0),
        Soapbar(50.0, mount=Ears()),
    ],
)
def test_usual_sizes_hold_on_a_usual_body(part):
    """Under a neck in a pocket of 17 mm, in stock of 44: what is placed as sold passes."""
    layout = board(placed(part, 60.0), necked(), hardtail())
    asked = ("pickup-mount", "pickup-room", "ring-cover", "string-clearance", "pole-offset")
    rows = [f for name in (*asked, "floor", "pilot-tip", "assembly") for f in ask(layout, name)]
    mine = [f for f in rows if any(s.startswith("pickup") for s in f.subjects)]
    assert len(mine) > 6 and not [f.text for f in mine if f.status != "pass"]


@pytest.mark.parametrize("left", [False, True])
def test_straight_and_slanted_coils_hang_from_a_guard(left):
    """Three under one guard, the one at the bridge slanted: each cuts its own opening in it."""
    own = SingleCoil(50.5, mount=GuardMount())
    spots = {"bridge": (38.0, 9.0), "middle": (88.0, 0.0), "neck": (138.0, 0.0)}
    guard = Guard(rectangle(152.0, 116.0, 8.0), ((-70.0, -53.0), (70.0, 53.0)))
    layout = board(
        *(Placed(f"pickup.{k}", own, Place(x, 0.0, turn)) for k, (x, turn) in spots.items()),
        Placed("guard", guard, Place(94.0)),
        necked(x=190.0),
        hardtail(),
        left_handed=left,
    )
    cut = {v.id for v in layout.pieces[1].voids if v.part.startswith("pickup")}
    assert len(cut) == 9 and {f"pickup.{k}.window" for k in spots} < cut
    asked = ("pickup-mount", "piece-fit", "pickup-room", "ring-cover", "string-clearance")
    rows = [f for name in asked for f in ask(layout, name)]
    assert len([f for f in rows if f.code == "pickup-mount.hole"]) == 3
    assert not [f.text for f in rows if f.status not in ("pass", "skip")]


def test_a_height_screw_is_asked_for_wood_where_it_stands_in_wood():
    """Its shaft passes the main route's end on its way down; its pilot stands in the slot's floor,
    6 mm under that route."""
    part = SmallHumbucker(69.0, poles=8, ring=None, mount=DirectMount(), rest_height=8.0)
    layout = board(placed(part), played=many(8))
    assert not [f for f in ask(layout, "assembly") if f.code == "assembly.screw"]
    # In the slot's end wall it would have none.
    wide = replace(part, mount=DirectMount(screws=((0.0, -60.0), (0.0, 60.0))))
    found = [f for f in ask(board(placed(wide), played=many(8)), "complete") if f.status == "fail"]
    assert {"complete"} <= {f.code for f in found}


def test_ears_want_a_flat():
    """A bevel on the front that begins 48 mm from the middle and falls 1 in 4 runs under the ears,
    which reach 56 mm out: 2 mm of air at their tip."""
    bare = board(placed(Soapbar(50.0, mount=Ears())))
    assert [f.status for f in ask(bare, "land") if "pickup.cover" in f.subjects] == ["pass"]
    layout = board(
        placed(Soapbar(50.0, mount=Ears())), contours=[bevel("front", (0.0, 48.0), 90.0)]
    )
    found = [f for f in ask(layout, "land") if "pickup.cover" in f.subjects]
    assert [f.status for f in found] == ["fail"]
    assert found[0].value == pytest.approx(-2.0, abs=0.03)


def test_a_humbucker_hangs_from_a_guard_by_its_feet():
    """At rest 8: feet at -16, their upper face at -14.5 under a guard that lies on 0; tips of
    screws 26 mm long at 2.4 - 26 = -23.6 over a slot 26 deep, where they stay."""
    mount = GuardMount(screw_length=measured(26.0), spring_free=measured(24.0))
    part = Humbucker(52.0, ring=None, mount=mount, rest_height=8.0)
    guard = Guard(rectangle(60.0, 116.0, 8.0), ((-20.0, -53.0), (20.0, 53.0)))
    layout = board(placed(part), Placed("guard", guard))
    rows = {f.code: f for f in ask(layout, "pickup-mount")}
    holds(rows["pickup-mount.flat"], "pass", 14.5 - 3.0)
    holds(rows["pickup-mount.slack"], "pass", 24.0 - 18.5)
    holds(rows["pickup-mount.reach"], "pass", 23.6 - 20.0)
    holds(one(layout, "pickup-room", "pickup", "pickup.ears", text="under"), "pass", 26.0 - 23.6)


KINDS = Humbucker, SmallHumbucker, SingleCoil, Soapbar, SplitPair
HELD = {DirectMount: KINDS, GuardMount: (Humbucker, SingleCoil), Ears: (Soapbar,)}
"""Which kinds each mount holds."""
LONG = GuardMount(screw_length=measured(24.0), spring_free=measured(20.0))
"""A humbucker's feet hang deeper than a single coil's tabs."""


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("mount", HELD)
def test_each_pair_of_kind_and_mount_is_sound_or_refused(kind, mount):
    spacing = 57.0 if kind is SplitPair else 50.5
    sizes = {"ring": None} if issubclass(kind, Humbucker) else {}
    usual = kind(spacing).mount
    holds_it = LONG if (kind, mount) == (Humbucker, GuardMount) else mount()
    holds_it = usual if isinstance(usual, mount) else holds_it
    if kind not in HELD[mount]:
        with pytest.raises(InputError, match=f"mount is {mount.__name__}.*allowed"):
            kind(spacing, mount=holds_it, **sizes)
        return
    own = kind(spacing, mount=holds_it, **sizes)
    screws = ((-36.0, 76.0), (36.0, 76.0), (-36.0, -76.0), (36.0, -76.0))
    guard = Placed("guard", Guard(rectangle(80.0, 160.0, 8.0), screws), Place(60.0))
    layout = board(placed(own, 60.0), *([guard] if mount is GuardMount else []))
    bad = [f for name in TABLE for f in ask(layout, name) if f.status == "fail"]
    own_bad = [f.code for f in bad if "pickup" in str(f.subjects)]
    strings = ["pole-offset.count", "pole-offset"] if kind is SplitPair else []
    assert own_bad == [*strings, "complete.link"]
