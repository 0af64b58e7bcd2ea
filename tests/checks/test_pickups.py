"""`pole-offset`, `pickup-room`, `ring-cover` by hand. Frame 70 x 38, feet 83 x 14, route 1 mm
larger each side with 3.2 mm corners, ring 91 x 46.5 (common practice, no source)."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, replace

import pytest

from bodycad.instrument.neck import board_half_width
from bodycad.layout.interface import Hides
from bodycad.layout.layout import Placed
from bodycad.layout.place import Depth, Place
from bodycad.parts.cased import Blade
from bodycad.parts.pickup import Humbucker, Ring
from tests.checks.bench import ask, board, hardtail, holds, humbucker, instrument, none, one

END = instrument().board_end.x


@pytest.mark.parametrize(
    "spacing, off, status",
    [(52.5, 0.0, "pass"), (50.0, 1.25, "pass"), (49.0, 1.75, "warn"), (47.0, 2.75, "fail")],
)
def test_poles_at_the_saddle_line(spacing, off, status):
    """At x = 0 the strings are 52.5 mm apart: half the difference."""
    found = [
        f
        for f in ask(board(humbucker(0.0, pole_spacing=spacing, coil_spacing=0.0)), "pole-offset")
        if f.subjects[0] == "pickup"
    ]
    assert len(found) == 1
    holds(found[0], status, off)


@pytest.mark.parametrize(
    ("x", "status"), [(60.0, "pass"), (16.0, "warn"), (12.0, "fail"), (-60.0, "fail")]
)
@pytest.mark.parametrize("left", [False, True])
def test_poles_sense_their_strings_before_the_saddles(x, status, left):
    """The rear row stands 9.5 mm behind the pickup's middle; without a bridge the strings end at
    the scale line."""
    layout = board(humbucker(x), left_handed=left)
    (found,) = ask(layout, "pickup-place")
    holds(found, status, x - 9.5, 1e-9)
    assert ("behind its saddle" in found.text) == (x < 0.0)


@pytest.mark.parametrize("turn", [0.0, 20.0])
def test_a_bar_senses_each_string_where_it_runs_under_it(turn):
    bar = replace(humbucker(60.0, turn).part, blade=Blade(length=70.0))
    (found,) = ask(board(Placed("pickup", bar, Place(60.0, 0.0, turn))), "pickup-place")
    aheads = found.of()
    assert found.value == min(aheads) and len(aheads) == 12
    if turn == 0.0:
        assert sorted(aheads) == pytest.approx([50.5] * 6 + [69.5] * 6)


@pytest.mark.parametrize("turn", [0.0, 8.0, 20.0, -20.0, 200.0])
@pytest.mark.parametrize("left", [False, True])
def test_every_pole_is_judged_where_it_stands(turn, left):
    """Two rows 19 mm apart, each pole turned about the pickup's middle by complex numbers, against
    the string that runs 26.25 (1 - 2 k / 5) at the saddles and a share of 35 mm at the nut. At 20
    degrees the poles stand 3 mm off, though the row's middle and its spacing fit."""
    layout = board(humbucker(60.0, turn, pole_spacing=51.0), left_handed=left)
    worst = 0.0
    for u in (9.5, -9.5):
        for k in range(6):
            spot = 60.0 + complex(u, -25.5 + 10.2 * k) * cmath.exp(1j * math.radians(turn))
            half = (52.5 - 17.5 * spot.real / 635.0) / 2.0
            worst = max(worst, min(abs(spot.imag - half * (2 * j / 5 - 1.0)) for j in range(6)))
    found = ask(layout, "pole-offset")[0]
    assert found.value == pytest.approx(worst, abs=1e-9)
    assert (found.status == "fail") == (abs(turn) == 20.0 or turn == 200.0)


def test_a_slanted_pickup_is_told_the_spacing_along_its_own_rows():
    """Rows turned by 10 degrees meet strings s mm apart at a spacing near s / cos 10."""
    found = ask(board(humbucker(0.0, 10.0, pole_spacing=60.0)), "pole-offset")[0]
    told = float(found.cure.split(" mm")[0].split()[-1])
    assert told == pytest.approx(52.5 / math.cos(math.radians(10.0)), abs=0.06)


def test_poles_follow_the_bridge_and_not_the_drawing():
    """A bridge 2 mm aside takes its strings along: at x = 60 they stand 2 (635 - 60) / 637 or so
    beside the poles."""
    straight, aside = (
        ask(board(hardtail(y=y), humbucker(60.0, pole_spacing=51.0)), "pole-offset")[0].value
        for y in (0.0, 2.0)
    )
    assert aside - straight == pytest.approx(2.0 * (635.0 - 60.0) / 637.0, abs=0.15)


def test_poles_further_up_the_strings():
    """At x = 100 the spread is 52.5 - 17.5 x 100 / 635 = 49.744."""
    found = ask(board(humbucker(100.0, pole_spacing=52.0, coil_spacing=0.0)), "pole-offset")[0]
    holds(found, "pass", (52.0 - (52.5 - 17.5 * 100.0 / 635.0)) / 2.0)
    assert (
        "49.7 mm follows" in ask(board(humbucker(100.0, pole_spacing=46.0)), "pole-offset")[0].cure
    )


def test_a_pickup_turned_end_for_end_meets_the_same_strings():
    ahead, turned = (ask(board(humbucker(50.0, turn)), "pole-offset")[0] for turn in (0.0, 180.0))
    assert turned.value == pytest.approx(ahead.value, abs=1e-9)


def test_a_pickup_moved_aside():
    moved = humbucker(0.0, y=2.0, pole_spacing=52.5, coil_spacing=0.0)
    holds(ask(board(moved), "pole-offset")[0], "warn", 2.0)


@pytest.mark.parametrize("poles", [5, 7, 12])
def test_another_number_of_poles_fails(poles):
    found = ask(board(humbucker(0.0, poles=poles)), "pole-offset")
    assert [f.status for f in found] == ["fail"] and f"{poles} poles for 6 strings" in found[0].text


def test_room_beside_frame_and_feet():
    """A corner of radius 3.2 in the route, 1 mm out, round one of r = 2.0 (frame) or 1.0 (feet) on
    the pickup: the arcs' centres stand 3.2 - r - 1 apart both ways, so the room is 3.2 - r -
    sqrt(2) (3.2 - r - 1)."""
    layout = board(humbucker())
    for void, radius in (("pickup.route", 2.0), ("pickup.ears", 1.0)):
        holds(
            one(layout, "pickup-room", "pickup", void, text="beside"),
            "pass",
            3.2 - radius - math.sqrt(2.0) * (3.2 - radius - 1.0),
        )


@pytest.mark.parametrize("gap, status", [(0.9, "warn"), (0.2, "fail")])
def test_a_tight_route(gap, status):
    """Feet: 2.2 - sqrt(2) (2.2 - gap)."""
    holds(
        one(board(humbucker(gap=gap)), "pickup-room", "pickup", "pickup.ears", text="beside"),
        status,
        2.2 - math.sqrt(2.0) * (2.2 - gap),
    )


@pytest.mark.parametrize(
    "depth, spare, status", [(26.0, 6.0, "pass"), (21.0, 1.0, "warn"), (19.0, -1.0, "fail")]
)
def test_room_under_the_feet(depth, spare, status):
    """Resting at 8 with legs 24 deep, lowered by 4: they go down to 20; the height screws, 27 deep,
    hang from the ring and stay at 19."""
    holds(
        one(
            board(humbucker(ears=Depth(depth))),
            "pickup-room",
            "pickup",
            "pickup.ears",
            text="under",
        ),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "changes, spare",
    [
        ({"foot_depth": 33.0}, 26.0 - 25.0),
        ({"foot_depth": 20.0}, 26.0 - 20.0),
        ({"ring": None}, 26.0 - 23.0),
    ],
)
def test_height_screws_do_not_sink_with_the_pickup(changes, spare):
    """In ears 26 deep: tips 33 under the cover stay at 25; short ones leave the legs the lowest, at
    20; without a ring nothing holds the screws, 27 + 4 - 8 = 23."""
    layout = board(humbucker(ears=Depth(26.0), **changes))
    found = one(layout, "pickup-room", "pickup", "pickup.ears", text="under")
    assert found.value == pytest.approx(spare)


@pytest.mark.parametrize(
    "depth, spare, status", [(19.0, 3.0, "pass"), (17.0, 1.0, "warn"), (15.5, -0.5, "fail")]
)
def test_room_under_the_frame(depth, spare, status):
    """Resting at 8, 20 deep, lowered by 4: the frame goes down to 16."""
    holds(
        one(
            board(humbucker(route=Depth(depth))),
            "pickup-room",
            "pickup",
            "pickup.route",
            text="under",
        ),
        status,
        spare,
    )


@pytest.mark.parametrize(
    "gap, status", [(2.0, "pass"), (0.8, "warn"), (0.2, "fail"), (-3.0, "fail")]
)
def test_ring_to_the_fretboards_end(gap, status):
    holds(
        one(board(humbucker(END - 23.25 - gap)), "pickup-room", "pickup", "fretboard"), status, gap
    )


def test_a_slanted_ring_is_measured_over_the_boards_width_only():
    """Turned by 10 degrees, the ring's nut side runs out along x = 23.25 / cos - y tan; the board
    is only about 56 mm wide, the ring 91: its far corner passes beside the board."""
    half, turn = board_half_width(instrument().neck, END), math.radians(10.0)
    found = one(board(humbucker(END - 28.0, 10.0)), "pickup-room", "pickup", "fretboard")
    assert found.value == pytest.approx(
        28.0 - 23.25 / math.cos(turn) - half * math.tan(turn), abs=1e-6
    )


@pytest.mark.parametrize(
    "gap, status", [(2.0, "pass"), (0.8, "warn"), (0.3, "fail"), (-4.0, "fail")]
)
def test_ring_to_the_bridges_plate(gap, status):
    """The plate reaches 33 mm before its holes, at x = 16."""
    layout = board(hardtail(-17.0), humbucker(16.0 + gap + 23.25))
    holds(one(layout, "pickup-room", "pickup.ring", "bridge.plate"), status, max(gap, 0.0))


def test_two_rings():
    layout = board(humbucker(0.0), Placed("other", Humbucker(52.0), Place(47.3)))
    holds(one(layout, "pickup-room", "other.ring", "pickup.ring"), "warn", 0.8)


@pytest.mark.parametrize(
    "length, spare, status",
    [(91.0, 3.0, "pass"), (89.0, 2.0, "warn"), (87.0, 1.0, "fail"), (84.0, -0.5, "fail")],
)
def test_the_ring_hides_the_ears(length, spare, status):
    """The ears' slot is 85 mm long."""
    layout = board(humbucker(ring=Ring(length=length)))
    holds(one(layout, "ring-cover", "pickup", "pickup.ears"), status, spare)


def test_the_ring_hides_the_route():
    holds(
        one(board(humbucker()), "ring-cover", "pickup", "pickup.route"), "pass", (46.5 - 40.0) / 2.0
    )


@pytest.mark.parametrize("frame, status", [(70.0, "pass"), (72.0, "warn"), (74.0, "fail")])
def test_ring_screws_stand_in_wood(frame, status):
    """The screw at (18.75, 41), radius 1; the route's corner arc (radius 3.2) about (16.8, frame /
    2 - 2.2)."""
    wood = math.hypot(18.75 - 16.8, 41.0 - (frame / 2.0 - 2.2)) - 3.2 - 1.0
    layout = board(humbucker(frame_length=frame))
    for index in (1, 2, 3, 4):
        holds(one(layout, "ring-cover", f"pickup.screw.{index}", "pickup.route"), status, wood)


def test_a_turned_pickup_has_the_same_room_and_ring():
    straight, turned = board(humbucker(0.0)), board(humbucker(0.0, 25.0))
    for name in ("pickup-room", "ring-cover"):
        a, b = (
            [f.value for f in ask(layout, name) if "fretboard" not in f.subjects]
            for layout in (straight, turned)
        )
        assert b == pytest.approx(a, abs=1e-6)


@pytest.mark.parametrize("name", ["pole-offset", "pickup-room", "ring-cover"])
def test_no_pickup_no_question(name):
    assert [f.status for f in ask(board(), name)] == ["skip"]
    assert none(board(), name, "pickup", "fretboard")


def split(*counts: int, spread: float = 10.5) -> list[Placed]:
    """Pickups side by side across six strings 10.5 mm apart at x = 0, each with some poles."""
    placed, first = [], 0
    for k, count in enumerate(counts):
        middle = -26.25 + (first + (count - 1) / 2.0) * 10.5
        part = Humbucker((count - 1) * spread, poles=count, ring=None, coil_spacing=0.0)
        placed.append(Placed(f"p{k}", part, Place(0.0, middle)))
        first += count
    return placed


@pytest.mark.parametrize("counts", [(3, 3), (2, 4), (2, 2, 2)])
def test_pickups_that_share_the_strings(counts):
    """Each pole at its own string: nothing is off, whichever pickup is placed first."""
    layout = board(*reversed(split(*counts)))
    found = [f for f in ask(layout, "pole-offset") if f.code == "pole-offset"]
    assert [f.value for f in found] == pytest.approx([0.0] * len(counts), abs=1e-9)
    assert {f.subjects[0] for f in found} == {f"p{k}" for k in range(len(counts))}


def test_a_shared_pickup_with_its_poles_too_wide():
    """Three poles 12 mm apart: the outer ones are 1.5 mm off."""
    layout = board(*split(3, 3, spread=12.0))
    found = [f for f in ask(layout, "pole-offset") if f.code == "pole-offset"]
    assert [f.value for f in found] == pytest.approx([1.5, 1.5], abs=1e-9)


def test_a_string_that_no_shared_pickup_senses_is_named():
    found = ask(board(*split(3, 2)), "pole-offset")
    assert {f.code for f in found} == {"pole-offset.count"} and "string 6 has no pole" in found[
        0
    ].text


def test_a_pickup_without_a_ring_is_asked_what_it_can_be():
    layout = board(humbucker(ring=None), hardtail(-17.0))
    assert [f.code for f in ask(layout, "ring-cover")] == ["ring-cover.none"]
    assert {f.code for f in ask(layout, "pickup-room")} >= {"pickup-room.side", "pickup-room.depth"}
    # Its frame is 38 mm wide; the plate ends at x = 16.
    near = board(humbucker(16.0 + 0.3 + 19.0, ring=None), hardtail(-17.0))
    holds(one(near, "pickup-room", "pickup.body", "bridge.plate"), "fail", 0.3)
    assert not [v for v in layout.voids if v.id.startswith("pickup.screw")]


def test_a_tilted_floor_is_measured_at_its_highest():
    """A maker's route that rises by 1 in 20 toward the nut: under a frame 38 mm wide it is 0.95 mm
    higher than in its middle."""

    class Sloped(Humbucker):
        def voids(self, part, place, thickness):
            found = list(super().voids(part, place, thickness))
            flat = found[0].shape
            found[0] = replace(found[0], shape=replace(flat, slope=(0.05, 0.0)))
            return tuple(found)

    layout = board(Placed("pickup", Sloped(52.0)))
    holds(one(layout, "pickup-room", "pickup", "pickup.route", text="under"), "pass", 3.0 - 0.95)


def test_ring_screws_that_the_rim_does_not_name_are_judged():
    """A maker's rim that forgets its screws, beside a route 74 mm long: 1.14 mm of wood."""

    @dataclass(frozen=True)
    class Forgetful(Humbucker):
        def interfaces(self, part, place, piece):
            found = super().interfaces(part, place, piece)
            return tuple(replace(r, screws=()) if isinstance(r, Hides) else r for r in found)

    layout = board(Placed("pickup", Forgetful(52.0, frame_length=74.0)))
    whole = board(humbucker(frame_length=74.0))
    for k in (1, 2, 3, 4):
        names = (f"pickup.screw.{k}", "pickup.route")
        wanted = one(whole, "ring-cover", *names)
        holds(one(layout, "ring-cover", *names), wanted.status, wanted.value, 1e-9)


def test_a_step_that_no_rim_hides_is_named():
    @dataclass(frozen=True)
    class Short(Humbucker):
        def interfaces(self, part, place, piece):
            found = super().interfaces(part, place, piece)
            return tuple(
                replace(r, voids=r.voids[:1]) if isinstance(r, Hides) else r for r in found
            )

    asked = ask(board(Placed("pickup", Short(52.0))), "complete")
    found = [f for f in asked if f.code == "complete.hides"]
    assert [f.subjects for f in found] == [("pickup.ears",)]
