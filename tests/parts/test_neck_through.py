"""A neck that runs through the body: the questions that a pocket would have asked are skipped by
name, and the core has its own, each passed and failed by an amount that was worked out by hand.

The core is 66 mm wide and of maple; the stock is 44 mm thick; the strings pull 412 N.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bodycad import (
    Cavity,
    Cover,
    Depth,
    Heel,
    Humbucker,
    Instrument,
    NeckThrough,
    Place,
    Placed,
    RodNotch,
    Roundover,
    Skin,
    Square,
    blank_round,
    heel_end_x,
    rectangle,
    species,
    strings,
)
from bodycad.checks.rules.balance import body_mass
from bodycad.checks.rules.board import board_air
from bodycad.checks.rules.core import neck_core
from bodycad.checks.rules.rod import rod_reach
from bodycad.checks.rules.strings import stack
from bodycad.instrument.load import total_tension
from bodycad.layout.assembly import core_seat, seated
from bodycad.layout.interface import Core
from tests.strangers.bench import NECK, OUTLINE, THICKNESS, quoin

HEEL = Heel(54.0, 56.0, 76.0, 25.4)
OWN = replace(NECK, heel=HEEL)
SET = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
X = heel_end_x(OWN)
THROUGH = NeckThrough(HEEL, 6.4, core=66.0, rise=2.0, species="maple, sugar")
POCKETED = [
    "bolt-seat",
    "bolt-grip",
    "bolt-tip",
    "bolt-edge",
    "pocket-fit",
    "neck-place",
    "joint-load",
]


def design(neck=THROUGH, x: float = X, y: float = 0.0, joints=None, swap=None, **changes):
    """The bench's body round that core."""
    glued = {"core": neck.core} if joints is None else {"joints": joints}
    given = {
        "instrument": Instrument(OWN, SET, bridge_spread=52.5),
        "skin": Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0)),
        "blank": blank_round(OUTLINE, species("alder, red"), **glued),
    }
    parts = {"neck": Placed("neck", neck, Place(x, y)), **(swap or {})}
    return quoin(swap=parts, **(given | changes))


def found(check, made) -> dict[tuple[str, str], tuple[float | None, str]]:
    """Figure and status of every finding by its code and its last subject."""
    return {
        (f.code, f.subjects[-1]): (f.value, f.status) for f in check(made.layout()) if f.subjects
    }


def test_it_passes_and_skips_by_name_what_asks_of_a_pocket():
    report = design().check()
    assert not [f.text for f in report.findings if f.status in ("fail", "error")]
    skipped = {f.check: f.text for f in report.findings if f.status == "skip"}
    for check in POCKETED:
        assert skipped[check] == "neck runs through the body as its core: it has no pocket"
    asked = {f.check for f in report.findings if f.status == "pass" and f.subjects}
    assert asked >= {"neck-core", "stack", "board-air", "string-clearance", "heel-hand"}


def test_a_body_with_a_pocket_is_not_asked_for_a_core():
    assert [(f.status, f.text) for f in neck_core(quoin().layout())] == [
        ("skip", "no neck runs through this body")
    ]


@pytest.mark.parametrize("left", [False, True])
def test_the_glue_lines_are_the_blanks(left):
    """The core's sides lie 33 mm beside the middle; a blank joined at 24 mm is 9 mm off."""
    right = found(neck_core, design(left_handed=left))
    assert right["neck-core.joint", "bass"] == (pytest.approx(0.0), "pass")
    wrong = found(neck_core, design(joints=(-33.0, 24.0), left_handed=left))
    assert wrong["neck-core.joint", "bass"] == (pytest.approx(9.0), "fail")
    assert wrong["neck-core.joint", "treble"] == (pytest.approx(0.0), "pass")
    none = found(neck_core, design(joints=(), left_handed=left))
    assert none["neck-core.joint", "bass"] == (None, "fail")


def test_the_neck_is_cut_from_the_core():
    """Where it leaves the body, the neck is 43 + 13 (610 - 250.17) / (610 - 171.17) mm wide:
    53.66... the fretboard's taper from nut to last fret, computed."""
    last, mouth = 610.0 * 2.0 ** (-22.0 / 12.0), X + 76.0
    wide = 43.0 + 13.0 * (610.0 - mouth) / (610.0 - last)
    spare, status = found(neck_core, design())["neck-core.width", "neck"]
    assert spare == pytest.approx(66.0 - wide) and status == "pass"
    narrow = replace(THROUGH, core=50.0)
    assert found(neck_core, design(narrow))["neck-core.width", "neck"][1] == "fail"


def test_it_lies_where_strings_and_scale_want_it():
    for dx, dy, code, off in ((2.0, 0.0, "along", 2.0), (0.0, 1.0, "aside", 1.0)):
        told = found(neck_core, design(x=X + dx, y=dy))
        assert told[f"neck-core.{code}", "instrument"] == (pytest.approx(off), "fail")
    thin = replace(THROUGH, board_thickness=5.0)
    told = found(neck_core, design(thin))
    assert told["neck-core.board", "instrument"] == (pytest.approx(1.4), "fail")


def test_the_strings_ends_stand_in_the_core_or_pull_on_a_wing():
    """The outer ferrules stand 26.25 mm aside and are 7.9 mm wide: 30.2. In a core of 58 mm they
    reach into the wings, whose glue then carries the pull."""
    assert found(neck_core, design())["neck-core.end", "bridge"] == (pytest.approx(2.8), "pass")
    slim = found(neck_core, design(replace(THROUGH, core=58.0)))
    assert "neck-core.end" not in {code for code, _ in slim}
    assert slim["neck-core.end.wing", "bridge"][1] == "pass"


def across(long: float) -> dict[str, Placed]:
    """The control cavity across the treble glue line, `long` mm long and 38 mm deep."""
    cavity = Cavity(rectangle(long, 44.0, 8.0), Depth(leave=6.0), Cover(gap=0.3))
    return {"control": Placed("control", cavity, Place(20.0, -33.0))}


@pytest.mark.parametrize("long, status", [(96.0, "pass"), (160.0, "warn"), (260.0, "fail")])
def test_a_cavity_across_a_glue_line_takes_its_hold(long, status):
    """The line is 400 mm long less what is rounded, 44 mm deep; the cavity takes 38 mm of it."""
    share, told = found(neck_core, design(swap=across(long)))["neck-core.glue", "treble"]
    assert share == pytest.approx(100.0 * (1.0 - long * 38.0 / (400.0 * 44.0)), abs=6.0)
    assert told == status
    assert found(neck_core, design(swap=across(long)))["neck-core.glue", "bass"][0] > 90.0


@pytest.mark.parametrize("left_wood, status", [(18.0, "pass"), (6.0, "warn"), (4.0, "fail")])
def test_what_the_routes_leave_of_the_core_bears_the_pull(left_wood, status):
    """A slot for the pickup's feet crosses the core: a section of 66 mm by what is left, h, with
    its middle h/2 over the back. sigma = 6 M / (66 h^2) + T / (66 h); maple of gravity 0.63 breaks
    at 171.3 x 0.63^1.13 = 101.6 MPa (a law of the Wood Handbook, from memory)."""
    pickup = Humbucker(50.5, rest_height=7.0, ears=Depth(leave=left_wood), feet_width=14.0)
    made = design(swap={"pickup": Placed("pickup", pickup, Place(50.0))})
    layout = made.layout()
    (core,) = layout.stated(Core)
    seat = core_seat(layout, core)
    pull, lever = total_tension(layout.instrument), 44.0 - left_wood / 2.0
    stress = pull * (seat.height(42.0) + lever) * 6.0 / (66.0 * left_wood**2)
    stress += pull / (66.0 * left_wood)
    times, told = found(neck_core, made)["neck-core.load", "core"]
    assert times == pytest.approx(171.3 * 0.63**1.13 / stress, rel=0.02) and told == status


def test_its_height_and_angle_are_those_of_its_fretboard():
    """Computed: the strings (mean action) run rise + 6.4 + 1.2 + 1.6 + 1.8 - 0.5 mm over the front
    at the saddles, and 1 degree lifts them by what lies between, 250.2 mm x tan 1."""
    level, tilted = design().layout(), design(replace(THROUGH, angle_deg=1.0)).layout()
    heights = [seated(layout)[0].seat.height(0.0) for layout in (level, tilted)]
    assert heights[0] == pytest.approx(2.0 + 6.4 + 1.2 + 1.6 + 1.8 - 0.5)
    assert heights[1] - heights[0] == pytest.approx((X + 76.0) * 0.017455, rel=5e-3)
    high = found(stack, design(replace(THROUGH, rise=6.0)))
    assert "fail" in {status for _, status in high.values()}
    touching = found(board_air, design(replace(THROUGH, rise=0.0)))
    assert touching["board-air", "front"] == (pytest.approx(0.0), "pass")


def test_a_left_handed_one_has_the_same_figures():
    right, left = (design(left_handed=hand).check().findings for hand in (False, True))
    for check in ("neck-core", "stack", "board-air", "assembly"):
        rows = [
            sorted((f.code, f.status, round(f.value or 0.0, 6)) for f in side if f.check == check)
            for side in (right, left)
        ]
        assert rows[0] == rows[1], check


def test_a_fretboard_that_is_drawn_under_the_front_fails_by_name():
    class Sunk(NeckThrough):
        def rooms(self, part, place, thickness):
            return tuple(one.moved(0.0, 0.0, -5.0) for one in super().rooms(part, place, thickness))

    sunk = Sunk(**{name: getattr(THROUGH, name) for name in THROUGH.__dataclass_fields__})
    codes = {f.code for f in design(sunk).check().findings if f.status == "fail"}
    assert {"neck-core.shape", "stack.shape", "board-air.shape"} <= codes


@pytest.mark.parametrize("rod, told", [(None, "fail"), (RodNotch(nut_length=8.0), "pass")])
def test_a_rod_that_is_adjusted_behind_the_fretboard(rod, told):
    """A pin on a wheel stands 4 mm behind the fretboard's end, in a notch of the core."""
    heel = replace(HEEL, rod_at_heel=True)
    own = Instrument(replace(NECK, heel=heel), SET, bridge_spread=52.5)
    made = design(replace(THROUGH, heel=heel, rod=rod), instrument=own)
    assert {f.status for f in rod_reach(made.layout())} == {told}
    codes = {f.code for f in made.check().findings if f.status in ("fail", "error")}
    assert codes == ({"rod-reach.none"} if rod is None else set())


def test_a_core_of_heavier_wood_weighs_more():
    """66 of 270 mm of a body without cuts or round corners would be maple, of 705 kg/m3 by its
    gravity of 0.63, in place of alder of 459 (both at 12 %): 400 x 66 x 44 mm3 weigh 0.29 kg
    more."""
    light, heavy = (
        body_mass(design(replace(THROUGH, species=name)).layout())
        for name in ("alder, red", "maple, sugar")
    )
    woods = (species(name).density(8.0) for name in ("maple, sugar", "alder, red"))
    more = 400.0 * 66.0 * 44.0 * 1e-9 * float(np.subtract(*woods))
    assert heavy.kg - light.kg == pytest.approx(more, rel=0.15) and heavy.kg - light.kg < more


def test_a_body_that_ends_before_the_neck_leaves_it_is_no_broken_core():
    """A scale 50 mm longer puts the place where the neck leaves it past the body's end: the
    sections that count are the body's, and the strings pull (660 / 610)^2 times as hard."""
    own = Instrument(replace(OWN, scale=660.0), SET, bridge_spread=52.5)
    told = found(neck_core, design(x=heel_end_x(own.neck), instrument=own))
    least = found(neck_core, design())["neck-core.load", "core"][0]
    expected = pytest.approx(least * (610.0 / 660.0) ** 2, rel=0.02)
    assert told["neck-core.load", "core"] == (expected, "pass")
