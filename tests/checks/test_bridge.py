"""`string-holes` and `ferrule-wall` by hand. Six saddles 52.5 mm apart, holes 10.5, ferrules 7.9 x
11 (common practice, no source)."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, replace

import pytest

from bodycad.checks.runner import run
from bodycad.instrument.neck import last_fret_x
from bodycad.layout.interface import StringHole
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge import Ferrule, Hardtail
from bodycad.shop import Shop
from tests.checks.bench import ask, bevel, board, hardtail, holds, humbucker, instrument, none, one


@pytest.mark.parametrize(
    "pitch, off, status", [(10.5, 0.0, "pass"), (10.4, 0.25, "warn"), (10.3, 0.5, "fail")]
)
def test_holes_at_the_saddles_pitch(pitch, off, status):
    """The outer hole is 2.5 pitches out, the outer saddle 26.25."""
    holds(one(board(hardtail(hole_pitch=pitch)), "string-holes", "bridge"), status, off)


@pytest.mark.parametrize("y, status", [(0.0, "pass"), (0.2, "warn"), (0.5, "fail")])
def test_saddles_on_their_strings_lines(y, status):
    """The saddles' middle is at x = -2: the strings have spread on by 8.75 x 2 / 635 a side."""
    off = 8.75 * 2.0 / 635.0 + y
    found = [f for f in ask(board(hardtail(y=y)), "string-holes") if "the saddles of" in f.text]
    assert len(found) == 1
    holds(found[0], status, off)
    assert math.dist(*found[0].at) == pytest.approx(found[0].value, abs=1e-9)


def test_the_inner_saddles_too():
    """A bridge has equal pitch, however the nut is cut: its saddles are on the strings' lines. A
    line that is not is found."""
    gaps = board(hardtail(), played=instrument(equal="gaps"))
    assert [line.saddle[1] for line in gaps.instrument.lines] == pytest.approx(
        [-26.25 + 10.5 * k for k in range(6)], abs=1e-9
    )
    found = next(f for f in ask(gaps, "string-holes") if "the saddles of" in f.text)
    assert found.status == "pass" and found.value == pytest.approx(8.75 * 2.0 / 635.0, abs=1e-9)


@dataclass(frozen=True)
class Aside(Hardtail):
    """A bridge whose third saddle stands 1 mm toward the bass."""

    @property
    def saddle_offsets(self):
        found = super().saddle_offsets
        return *found[:2], found[2] + 1.0, *found[3:]


def test_one_saddle_beside_its_string():
    layout = board(Placed("bridge", Aside(52.5), Place(-17.0)))
    found = one(layout, "string-holes", "bridge", "string.3")
    # The strings have spread on by 8.75 x 2 / 635 at the outer ones, a fifth of that at string 3.
    holds(found, "fail", 1.0 + 8.75 * 2.0 / 635.0 / 5.0)
    holds(one(layout, "string-holes", "bridge"), "fail", 1.0)


def test_a_bridge_of_another_spread_than_the_instruments():
    layout = board(hardtail(), played=instrument(bridge_spread=50.0))
    found = next(f for f in ask(layout, "string-holes") if "the saddles of" in f.text)
    holds(found, "fail", 26.25 - (25.0 + 7.5 * 2.0 / 635.0))


@pytest.mark.parametrize("thickness, status", [(44.0, "pass"), (60.0, "warn"), (72.0, "fail")])
def test_drift_of_a_wandering_drill(thickness, status):
    """0.4 degrees over the thickness."""
    holds(
        one(board(hardtail(), thickness=thickness), "string-holes", "bridge", "back"),
        status,
        thickness * math.tan(math.radians(0.4)),
    )


def test_a_better_guided_drill_drifts_less():
    holds(
        one(board(hardtail(), shop=Shop(wander_deg=0.1)), "string-holes", "bridge", "back"),
        "pass",
        0.0768,
    )


@pytest.mark.parametrize(
    "depth, wood, status", [(11.0, 33.0, "pass"), (30.0, 14.0, "warn"), (33.0, 11.0, "fail")]
)
def test_wood_over_the_ferrules(depth, wood, status):
    layout = board(hardtail(ferrule=Ferrule(depth=depth)))
    for index in range(1, 7):
        holds(one(layout, "string-holes", f"bridge.ferrule.{index}", "front"), status, wood)


def test_wood_over_a_ferrule_under_a_bevel():
    """Plane z = -u/4 from x = -57: over the row (x = -17, rims at u 36.05 to 43.95) the seats at
    -33 have (33 - 43.95 / 4) / sqrt(1 + 1/16) = 21.355 mm."""
    layout = board(hardtail(), contours=[bevel("front", (-57.0, 0.0), 0.0)])
    holds(
        one(layout, "string-holes", "bridge.ferrule.3", "front"),
        "pass",
        (33.0 - 43.95 / 4.0) / math.sqrt(1.0625),
        0.011,
    )


@pytest.mark.parametrize(
    "hole, wall, status",
    [(7.9, 2.6, "pass"), (8.2, 2.3, "warn"), (8.6, 1.9, "fail"), (10.6, 0.0, "fail")],
)
def test_wall_between_ferrules(hole, wall, status):
    layout = board(hardtail(ferrule=Ferrule(hole=hole)))
    for index in range(1, 6):
        holds(
            one(layout, "ferrule-wall", f"bridge.ferrule.{index}", f"bridge.ferrule.{index + 1}"),
            status,
            wall,
        )


@pytest.mark.parametrize("u, status", [(3.0, "pass"), (0.0, "warn")])
def test_a_screw_between_two_string_holes(u, status):
    """From (u, 0) to a hole at (0, 5.25): less 1.2 and 1.6."""
    layout = board(hardtail(screws=((u, 0.0), (27.0, 30.0))))
    for hole in (3, 4):
        holds(
            one(layout, "ferrule-wall", "bridge.screw.1", f"bridge.string.{hole}"),
            status,
            math.hypot(u, 5.25) - 2.8,
        )


def test_a_screw_beside_a_string_hole_fails():
    holds(
        one(
            board(hardtail(screws=((0.0, 2.0),))),
            "ferrule-wall",
            "bridge.screw.1",
            "bridge.string.4",
        ),
        "fail",
        0.45,
    )


def test_a_long_screw_over_a_ferrule():
    """A 32 mm pilot ends 1 mm over the seat at 33, but stands beside the ferrule's hole: at (0, 0)
    it is 1.3 mm inside its neighbours' reach in plan: 5.25 - 3.95 - 1.2 = 0.1 beside, 1.0 over. Its
    point (59 degrees to the axis) comes nearer: t below the full diameter it is 0.1 + 1.6643 t
    beside and 1 - t over, least at t = 0.2212."""
    layout = board(hardtail(screws=((0.0, 0.0),), screw_depth=32.0))
    holds(
        one(layout, "ferrule-wall", "bridge.ferrule.3", "bridge.screw.1"),
        "fail",
        math.hypot(0.1 + 1.6643 * 0.2212, 1.0 - 0.2212),
    )


def test_another_number_of_holes_fails():
    found = ask(board(hardtail(strings=7)), "string-holes")
    failing = [f for f in found if f.code == "string-holes.count"]
    assert [(f.status, f.subjects) for f in failing] == [("fail", ("bridge",))]
    assert "7 string holes" in failing[0].text and "1 of them" in failing[0].text
    # Their seats are judged all the same.
    assert len([f for f in found if f.code == "string-holes.wood"]) == 7


@pytest.mark.parametrize("name", ["string-holes", "ferrule-wall"])
def test_no_bridge_no_question(name):
    assert [f.status for f in ask(board(), name)] == ["skip"]
    assert none(board(), name, "bridge")


@dataclass(frozen=True)
class Bare(Hardtail):
    """A bridge whose voids leave out the ferrules, and nothing else said."""

    def voids(self, part, place, thickness):
        found = super().voids(part, place, thickness)
        return tuple(
            replace(v, meets=frozenset()) for v in found if not v.id.startswith(f"{part}.ferrule")
        )


@pytest.mark.parametrize("part", [Bare(52.5), Hardtail(52.5, ferrule=None)])
def test_a_bridge_without_ferrules_fails_by_name(part):
    """Six holes whose ball ends bear on bare wood: each is named, and no check breaks."""
    layout = board(Placed("bridge", part, Place(-17.0)))
    found = [f for f in ask(layout, "string-holes") if f.code == "string-holes.seat"]
    assert [(f.status, f.subjects) for f in found] == [
        ("fail", (f"bridge.string.{k}",)) for k in range(1, 7)
    ]
    # The walls between the holes themselves are asked instead: 10.5 less 3.2.
    holds(one(layout, "ferrule-wall", "bridge.string.1", "bridge.string.2"), "pass", 7.3)
    assert not [f for f in run(layout).findings if f.status == "error"]


def test_a_bridge_of_one_string_has_its_saddle_over_its_hole():
    part = Hardtail(52.5, strings=1)
    assert part.saddle_offsets == part.hole_offsets == (0.0,)


def sideways(turn_deg: float, spread: float = 52.5, pitch: float = 10.5) -> float:
    """The worst of six holes beside its string's line from the nut over the saddle's point in tune,
    the plate turned about the row of holes at x = -17 by complex numbers."""
    own, turn, found = instrument(), cmath.exp(1j * math.radians(turn_deg)), []
    for k in range(6):
        hole = -17.0 + complex(0.0, pitch * (k - 2.5)) * turn
        middle = -17.0 + complex(15.0, spread / 5.0 * (k - 2.5)) * turn
        wanted = complex(*own.saddle_points[k])
        u = ((wanted - middle) * turn.conjugate()).real
        saddle = middle + min(max(u, -6.0), 6.0) * turn
        nut = complex(*own.lines[k].nut)
        way = (nut - saddle) / abs(nut - saddle)
        found.append(abs(((hole - saddle) * way.conjugate()).imag))
    return max(found)


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "turn, status", [(0.0, "pass"), (1.0, "pass"), (2.5, "warn"), (5.0, "fail")]
)
def test_holes_of_a_turned_plate_stand_beside_their_strings(turn, status, left):
    layout = board(hardtail(turn_deg=turn), left_handed=left)
    found = one(layout, "string-holes", "bridge", "strings")
    holds(found, status, sideways(turn), 1e-6)
    if status != "pass":
        told = float(found.cure.split("turn bridge by ")[1].split()[0])
        assert told == pytest.approx(-turn, abs=0.02)


def test_a_bridge_turned_and_moved_as_it_is_told_stands_right():
    first = one(board(hardtail(y=1.5, turn_deg=4.0)), "string-holes", "bridge", "strings")
    turn = float(first.cure.split("turn bridge by ")[1].split()[0])
    layout = board(hardtail(y=1.5, turn_deg=4.0 + turn))
    second = one(layout, "string-margin", "strings")
    by = float(second.cure.split("move bridge by ")[1].split()[0])
    assert "toward the treble" in second.cure
    right = board(hardtail(y=1.5 - by, turn_deg=4.0 + turn))
    for check, subjects in (
        ("string-holes", ("bridge", "strings")),
        ("string-margin", ("strings",)),
    ):
        assert one(right, check, *subjects).status == "pass"


@pytest.mark.parametrize("aside", [0.0, 2.0])
def test_margins_and_poles_follow_one_line(aside):
    """Strings from the nut to the saddles, wherever the bridge puts those: one line each, for the
    margin at the last fret and for poles 50.8 mm apart at x = 60."""
    own, last = instrument(), last_fret_x(instrument().neck)

    def y_at(k: int, x: float) -> float:
        (nx, ny), back, y = own.lines[k].nut, own.saddle_points[k][0], 10.5 * (k - 2.5) + aside
        return y + (ny - y) * (x - back) / (nx - back)

    layout = board(hardtail(y=aside), humbucker(60.0, pole_spacing=50.8, coil_spacing=0.0))
    margin = one(layout, "string-margin", "string.6").value
    assert margin == pytest.approx(28.0 - y_at(5, last), abs=1e-6)
    worst = max(abs(y_at(k, 60.0) - 10.16 * (k - 2.5)) for k in range(6))
    assert ask(layout, "pole-offset")[0].value == pytest.approx(worst, abs=1e-6)


@pytest.mark.parametrize(
    "line, under, status", [(-40.0, 0.0, "pass"), (-20.0, -0.24, "warn"), (-14.0, -1.74, "fail")]
)
def test_a_carve_uncovers_a_string_ferrule(line, under, status):
    """Ferrules of 7.9 mm flush with the plain back reach to x = -20.95; the back falls by a quarter
    from a line at x = `line` toward the tail."""
    layout = board(hardtail(), contours=[bevel("back", (line, 0.0), 180.0)])
    found = one(layout, "string-holes", "bridge.ferrule.3", "head")
    assert found.code == "string-holes.proud" and found.status == status
    assert found.value == pytest.approx(under, abs=0.006)


def test_a_string_ferrule_may_be_meant_to_stand_out():
    """1.5 mm proud on purpose is sound; a ferrule that says nothing of its length is named."""
    layout = board(hardtail(ferrule=Ferrule(proud=1.5)))
    found = one(layout, "string-holes", "bridge.ferrule.3", "head")
    holds(found, "pass", 0.0)
    assert "1.50 mm out of" in found.text and "on purpose" in found.text
    bare = [replace(s, rise=None) if isinstance(s, StringHole) else s for s in layout.interfaces]
    layout = replace(layout, interfaces=tuple(bare))
    assert none(layout, "string-holes", "bridge.ferrule.3", "head")
    assert one(layout, "complete", "bridge.ferrule.3").code == "complete.stringhole.rise"
