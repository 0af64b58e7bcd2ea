"""Bridges and pickups of the maker's own get what shipped ones of the same sizes get."""

from __future__ import annotations

import pytest

from bodycad import (
    Channel,
    Drill,
    Ferrule,
    Hardtail,
    Humbucker,
    Instrument,
    Neck,
    Place,
    Placed,
    Ring,
    Shop,
    strings,
)
from bodycad.tools import DRILLS
from tests.strangers.bench import HEEL, instrument, quoin
from tests.strangers.bridges import Block, Comb, Foil
from tests.strangers.pickups import Slab

NAMES = {
    ".thread.": ".string.",
    ".cup.": ".ferrule.",
    ".fixing.": ".screw.",
    ".roller.": ".saddle.",
    ".bent": ".plate",
    ".well": ".route",
    ".slot": ".ears",
    ".hold.": ".screw.",
    ".frame": ".ring",
    ".cast": ".body",
    ".lugs": ".feet",
}
"""What the maker calls it -> what the shipped part calls it."""
BRIDGE, PICKUP = Place(-17.0), Place(50.0)
WIRE = ((34.0, -26.0, -11.0), (-24.0, -78.0, -36.0))


def own_bridge(place=BRIDGE, played=None, **sizes):
    """The report of the body with the maker's bridge."""
    swap = {"bridge": Placed("bridge", Comb(**sizes), place)}
    return quoin(swap=swap, instrument=played or instrument()).check()


def shipped_bridge(place=BRIDGE, **sizes):
    """The report of the body with a shipped bridge."""
    part = Hardtail(**{"spread": 52.5, **sizes})
    return quoin(swap={"bridge": Placed("bridge", part, place)}).check()


def own_pickup(place=PICKUP, **sizes):
    """The report of the body with the maker's pickup, its channel led into its well."""
    swap = {
        "pickup": Placed("pickup", Slab(**sizes), place),
        "wire.pickup": Placed("wire.pickup", Channel(*WIRE, ("pickup.well", "control.cavity"))),
    }
    return quoin(swap=swap).check()


def shipped_pickup(place=PICKUP, **sizes):
    """The report of the body with a shipped pickup."""
    one_row = {"coil_spacing": 0.0, "pole_height": 0.0}
    part = Humbucker(**{"pole_spacing": 50.5, "rest_height": 7.0, **one_row, **sizes})
    return quoin(swap={"pickup": Placed("pickup", part, place)}).check()


def renamed(subject: str) -> str:
    """A subject in the shipped parts' names."""
    if subject.split(".")[0] in ("bridge", "pickup", "bass", "treble"):
        for own, shipped in NAMES.items():
            subject = subject.replace(own, shipped)
    return subject


def figures(report) -> list:
    """Code, subjects in the shipped parts' names, status and figure of every finding; each finding
    is told from every other by its code and subjects. The net under all checks is left out, and how
    far one string's saddle stands from the next bridge's: they
    judge the rooms that a part draws, and the own ones draw fewer."""
    rows = [f for f in report.findings if f.subjects and f.check != "assembly"]
    rows = [f for f in rows if f.code != "string-path.apart"]
    assert len({f.identity for f in rows}) == len(rows)
    found = [(f.code, sorted(map(renamed, f.subjects)), f.status, f.value) for f in rows]
    return sorted(found, key=lambda row: (row[:3], row[3] or 0.0))


def failing(report) -> set[str]:
    """Codes of what fails; nothing may break."""
    assert not [f.text for f in report.findings if f.status == "error"]
    return {f.code for f in report.findings if f.status == "fail"}


def of(report, code: str) -> dict:
    """Figures of one code by their subjects."""
    return {f.subjects: f.value for f in report.findings if f.code == code}


def same(own, shipped) -> None:
    """Assert that two reports hold the same findings, with figures equal to 1e-9."""
    one, two = figures(own), figures(shipped)
    assert [row[:3] for row in one] == [row[:3] for row in two]
    for mine, theirs in zip(one, two, strict=True):
        value = theirs[3]
        assert mine[3] == (None if value is None else pytest.approx(value, abs=1e-9)), theirs


def test_the_right_bridge_passes_for_the_right_reasons():
    report = own_bridge()
    assert not failing(report)
    same(report, shipped_bridge(plate_front=30.0))
    assert len(of(report, "saddle-window")) == 6 and len(of(report, "string-holes.wood")) == 6
    assert {"stack.treble", "stack.bass"} <= {f.code for f in report.findings}
    assert len(of(report, "ferrule-wall")) >= 5 and len(of(report, "land")) >= 7


SPOILED_BRIDGES = {
    "string holes 1 mm off pitch": (
        {"pitch": 10.9},
        {"hole_pitch": 10.9},
        {"string-holes.pitch"},
    ),
    "saddles 12 mm too high": (
        {"low": 21.5, "high": 26.0},
        {"saddle_low": 21.5, "saddle_high": 26.0},
        {"stack.treble", "stack.bass"},
    ),
    "window missed": (
        {"back": 22.0},
        {"window_rear": 22.0, "window_front": 34.0},
        {"saddle-window"},
    ),
    "another spread than the strings": (
        {"spread": 56.0},
        {"spread": 56.0, "hole_pitch": 10.5, "plate_width": 80.0},
        {"string-holes.pitch"},
    ),
    "ferrules too long": (
        {"cup": (7.9, 33.0)},
        {"ferrule": Ferrule(depth=33.0)},
        {"string-holes.wood"},
    ),
    "ferrules too wide": (
        {"cup": (8.6, 11.0)},
        {"ferrule": Ferrule(hole=8.6)},
        {"ferrule-wall"},
    ),
    "no ferrules": ({"cup": None}, {"ferrule": None}, {"string-holes.seat"}),
    "a screw beside a string hole": (
        {"screws": ((0.0, 2.0), (27.0, 30.0))},
        {"screws": ((0.0, 2.0), (27.0, 30.0))},
        {"ferrule-wall"},
    ),
    "seven for six strings": (
        {"count": 7, "pitch": 8.75},
        {"strings": 7, "hole_pitch": 8.75},
        {"string-holes.count", "complete.saddle.over", "complete.hole.over"},
    ),
    "five for six strings": (
        {"count": 5, "pitch": 13.125},
        {"strings": 5, "hole_pitch": 13.125},
        {"complete.saddle", "complete.anchor"},
    ),
}


@pytest.mark.parametrize("fault", SPOILED_BRIDGES)
def test_a_spoiled_bridge_fails_as_the_shipped_one(fault):
    own, shipped, codes = SPOILED_BRIDGES[fault]
    report = own_bridge(**own)
    assert codes <= failing(report)
    same(report, shipped_bridge(plate_front=30.0, **shipped))


@pytest.mark.parametrize("place", [Place(-17.0, 2.0), Place(-17.0, 0.0, 8.0), Place(-25.0)])
def test_a_bridge_in_the_wrong_place_fails_as_the_shipped_one(place):
    report = own_bridge(place)
    assert failing(report) & {"string-holes.pitch", "saddle-window", "string-margin.difference"}
    same(report, shipped_bridge(place, plate_front=30.0))


def only(report, code: str):
    """The one finding of a code that fails."""
    found = [f for f in report.findings if f.code == code and f.status == "fail"]
    assert len(found) == 1, [(f.code, f.subjects) for f in report.findings if f.status == "fail"]
    return found[0]


def test_a_missing_saddle_is_named():
    found = only(own_bridge(less=(3,)), "complete.saddle")
    assert found.subjects == ("bridge", "string.3")
    assert found.text == "bridge states no Saddle for string 3"


def test_a_missing_anchor_is_named():
    found = only(own_bridge(loose=(6,)), "complete.anchor")
    assert found.text == "bridge states no StringHole or Anchor for string 6"


def test_two_saddles_for_one_string_are_named():
    report = own_bridge(numbered=(1, 2, 2, 4, 5, 6))
    assert only(report, "complete.saddle").subjects == ("bridge", "string.3")
    over = only(report, "complete.saddle.over")
    assert over.subjects[1] == "string.2" and over.subjects[0] in (
        "bridge.roller.2",
        "bridge.roller.3",
    )
    # The saddle that stands at string 3 is judged against string 2, which it says it serves.
    worst = next(v for s, v in of(report, "string-holes.pitch").items() if "string.2" in s)
    assert worst == pytest.approx(10.5, abs=0.2)


def test_a_bridge_without_ground_is_named():
    assert len(of(own_bridge(grounded=False), "complete.ground")) == 6


def test_holes_without_seats_are_held_by_the_bridges_own_edge():
    """The same plate, the strings held by a bar: nothing pulls into bare wood."""
    report = own_bridge(cup=None, bar=True)
    assert not failing(report)
    assert not of(report, "string-holes.seat")
    assert not failing(own_bridge(loose=(1, 2, 3, 4, 5, 6), bar=True))


def test_the_right_pickup_passes_for_the_right_reasons():
    report = own_pickup()
    assert not failing(report)
    same(report, shipped_pickup())
    assert len(of(report, "pole-offset")) == 1 and len(of(report, "pickup-room.side")) == 2
    assert len(of(report, "pickup-room.depth")) == 2 and len(of(report, "ring-cover")) == 2
    assert len(of(report, "ring-cover.screw")) == 4


SPOILED_PICKUPS = {
    "poles 5.7 mm off": (
        {"spacing": 62.5},
        {
            "pole_spacing": 62.5,
            "frame_length": 70.0,
            "feet_span": 83.0,
            "ring": Ring(length=91.0, screw_length=82.0),
        },
        {"pole-offset"},
    ),
    "a ring that does not cover": (
        {"frame_v": 84.0},
        {"ring": Ring(length=84.0)},
        {"ring-cover"},
    ),
    "ring screws in the route": (
        {"hold_u": 18.0, "hold_v": 33.0},
        {"ring": Ring(screw_width=36.0, screw_length=66.0)},
        {"ring-cover.screw"},
    ),
    "too deep": ({"deep": 26.0}, {"body_depth": 26.0}, {"pickup-room.depth"}),
    "lugs too deep": ({"lugs": 34.0}, {"foot_depth": 34.0}, {"pickup-room.depth"}),
    "too wide for its route": ({"play": 0.2}, {"gap": 0.2}, {"pickup-room.side"}),
    "seven poles": ({"magnets": 7}, {"poles": 7}, {"pole-offset.count"}),
    "five poles": ({"magnets": 5}, {"poles": 5}, {"pole-offset.count"}),
}


@pytest.mark.parametrize("fault", SPOILED_PICKUPS)
def test_a_spoiled_pickup_fails_as_the_shipped_one(fault):
    own, shipped, codes = SPOILED_PICKUPS[fault]
    report = own_pickup(**own)
    assert codes <= failing(report)
    same(report, shipped_pickup(**shipped))


def test_a_pickup_under_the_fretboard_fails_as_the_shipped_one():
    place = Place(instrument().board_end.x - 23.25 + 1.0)
    report = own_pickup(place)
    assert "pickup-room.neck" in failing(report)
    same(report, shipped_pickup(place))


@pytest.mark.parametrize("spacing, short", [(56.0, False), (46.0, True)])
def test_a_blade_is_judged_by_how_far_it_reaches(spacing, short):
    """The strings run from 17.5 at the nut, x = 610, to 26.25 where their saddles are in tune; the
    blade stands at x = 50."""
    backs = [instrument().saddle_points[k][0] for k in (0, 5)]
    halves = [26.25 - 8.75 * (50.0 - back) / (610.0 - back) for back in backs]
    report = own_pickup(spacing=spacing, blade=True)
    (found,) = of(report, "pole-offset.bar").values()
    assert found == pytest.approx(spacing / 2.0 - max(halves), abs=1e-9)
    assert ("pole-offset.bar" in failing(report)) == short


def test_a_pickup_that_states_no_poles_or_no_fit_is_named():
    assert only(own_pickup(sensing=False), "complete.poles").subjects == ("pickup.cast",)
    found = of(own_pickup(fitted=False), "complete.fit")
    assert set(found) == {("pickup.cast",), ("pickup.lugs",)}


def test_a_pickup_without_a_ring_is_still_asked_for_room():
    report = own_pickup(framed=False)
    assert not failing(report)
    same(report, shipped_pickup(ring=None))
    assert ("pickup",) in of(report, "ring-cover.none")
    # Its body is 38 mm wide along the strings.
    near = own_pickup(Place(instrument().board_end.x - 19.0 - 0.2), framed=False)
    assert of(near, "pickup-room.neck")["pickup", "fretboard"] == pytest.approx(0.2)
    assert "pickup-room.neck" in failing(near)


FANNED = Instrument(
    Neck((595.0, 625.0), 22, 43.0, 35.0, 56.0, HEEL),
    strings((".010", ".013", ".017", ".026w", ".036w", ".046w")),
    bridge_spread=52.5,
)


def blocks(off: dict[int, tuple[float, float]] | None = None, less: tuple[int, ...] = (), **sizes):
    """The report of the body with a block under each string of a fanned scale, on one foil; `off`
    moves the block of a string along and across."""
    placed = []
    for line, (x, y) in zip(FANNED.lines, FANNED.saddle_points, strict=True):
        dx, dy = (off or {}).get(line.number, (0.0, 0.0))
        place = Place(x + dx, y + dy, line.angle_deg)
        if line.number not in less:
            # Bass first: the order of the parts says nothing.
            placed.insert(0, Placed(f"block.{line.number}", Block(**sizes), place))
    foil = Placed("foil", Foil(), Place(-8.0, -5.0))
    ground = Channel(
        (-4.0, -37.0, 0.0), (-50.0, -80.0, -30.0), ("control.cavity",), 3.2, "front", "ground"
    )
    swap = {
        "bridge": None,
        "ground": Placed("ground", ground),
        "pickup": Placed("pickup", Humbucker(50.5, rest_height=7.0), Place(54.0)),
        "wire.pickup": Placed(
            "wire.pickup",
            Channel((38.0, -26.0, -11.0), WIRE[1], ("pickup.route", "control.cavity")),
        ),
    }
    return quoin(*placed, foil, swap=swap, instrument=FANNED).check()


def test_six_blocks_on_a_fanned_scale_pass():
    report = blocks()
    assert not failing(report)
    assert list(of(report, "saddle-window").values()) == pytest.approx([6.0] * 6, abs=1e-6)
    assert len(of(report, "stack")) == 6 and len(of(report, "string-holes.wood")) == 6
    for k in range(1, 6):
        assert (f"block.{k}.cup", f"block.{k + 1}.cup") in of(report, "ferrule-wall")
    assert max(of(report, "string-holes.pitch").values()) == pytest.approx(0.0, abs=1e-6)


def test_the_sixth_block_15_mm_off_fails_for_its_own_string():
    found = only(blocks({6: (-15.0, 0.0)}), "saddle-window")
    assert found.subjects == ("block.6.saddle",)
    along = next(line for line in FANNED.lines if line.number == 6)
    slant = (along.nut[0] - along.saddle[0]) / (
        (along.nut[0] - along.saddle[0]) ** 2 + (along.nut[1] - along.saddle[1]) ** 2
    ) ** 0.5
    assert found.value == pytest.approx(6.0 - 15.0 * slant, abs=1e-6)


def test_a_block_beside_its_string_fails_alone():
    report = blocks({1: (0.0, -1.0)})
    bad = [
        f.subjects for f in report.findings if f.code == "string-holes.pitch" and f.status == "fail"
    ]
    assert bad == [("block.1", "string.1")]


def test_blocks_too_high_fail_six_times():
    report = blocks(low=21.5, high=26.0)
    assert len([f for f in report.findings if f.code == "stack" and f.status == "fail"]) == 6


def test_a_block_left_out_is_named():
    report = blocks(less=(4,))
    assert only(report, "complete.saddle").subjects[-1] == "string.4"
    assert only(report, "complete.anchor").subjects[-1] == "string.4"


def trios(part, bass=None, treble=None):
    """The report of the body with two three-string bridges side by side, the bass one first; each
    has its own ground. `bass` and `treble`: changes of their sizes and places."""
    placed = [
        Placed(name, part(**(changes or {}).get("sizes", {})), (changes or {}).get("place", place))
        for name, changes, place in (
            ("bass", bass, Place(-17.0, 15.75)),
            ("treble", treble, Place(-17.0, -15.75)),
        )
    ]
    second = Channel(
        (2.0, 9.0, 0.0), (-14.0, -80.0, -25.0), ("control.cavity",), 3.2, "front", "ground"
    )
    first = Channel(
        (-4.0, -25.0, 0.0), (-50.0, -80.0, -30.0), ("control.cavity",), 3.2, "front", "ground"
    )
    swap = {"bridge": None, "ground": Placed("ground", first)}
    long = Shop(drills=(*DRILLS, Drill(3.2, 200.0)))  # the second ground is 95 mm, near level
    return quoin(*placed, Placed("ground.bass", second), swap=swap, shop=long).check()


SCREWS = ((27.0, -10.0), (27.0, 10.0))


def comb(**sizes):
    return Comb(**{"spread": 21.0, "count": 3, "screws": SCREWS, "broad": 31.0, **sizes})


def hardtail(**sizes):
    given = {"spread": 21.0, "strings": 3, "screws": SCREWS, "plate_width": 31.0, **sizes}
    return Hardtail(**{"plate_front": 30.0, **given})


@pytest.mark.parametrize("part", [comb, hardtail])
def test_two_bridges_pass(part):
    report = trios(part)
    assert not failing(report)
    assert len(of(report, "saddle-window")) == 6 and len(of(report, "string-holes.wood")) == 6
    stack = of(report, "stack.treble") | of(report, "stack.bass")
    assert set(stack) == {("bass", "neck.pocket"), ("treble", "neck.pocket")}
    assert len([s for s in of(report, "string-holes.pitch") if len(s) == 1]) == 2
    # The seats at both sides of the joint between the bridges are neighbours too.
    seat = "cup" if part is comb else "ferrule"
    assert of(report, "ferrule-wall")[f"treble.{seat}.3", f"bass.{seat}.1"] == pytest.approx(2.6)


@pytest.mark.parametrize(
    "own, shipped, codes",
    [
        ({"low": 21.5, "high": 26.0}, {"saddle_low": 21.5, "saddle_high": 26.0}, {"stack.treble"}),
        ({"pitch": 11.5}, {"hole_pitch": 11.5}, {"string-holes.pitch"}),
    ],
)
def test_the_second_of_two_bridges_is_judged(own, shipped, codes):
    one, two = trios(comb, treble={"sizes": own}), trios(hardtail, treble={"sizes": shipped})
    assert codes <= failing(one)
    bad = {f.subjects[0] for f in one.findings if f.code in codes and f.status == "fail"}
    assert bad == {"treble"}
    same(one, two)


def test_a_second_bridge_off_along_the_strings_misses_its_window():
    report = trios(comb, treble={"place": Place(-32.0, -15.75)})
    bad = {f.subjects for f in report.findings if f.code == "saddle-window" and f.status == "fail"}
    assert bad == {(f"treble.roller.{k}",) for k in (1, 2, 3)}


def test_one_of_two_bridges_left_out_is_named():
    report = quoin(Placed("treble", comb(), Place(-17.0, -15.75)), swap={"bridge": None}).check()
    assert {s[-1] for s in of(report, "complete.saddle")} == {"string.4", "string.5", "string.6"}


def test_no_bridge_at_all_is_one_fault_each():
    report = quoin(swap={"bridge": None}).check()
    assert only(report, "complete.saddle").subjects == ("strings",)
    assert only(report, "complete.anchor").subjects == ("strings",)
