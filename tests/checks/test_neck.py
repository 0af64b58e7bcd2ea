"""`pocket-fit`, `stack`, `saddle-window`, `string-margin` by hand."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.edge import Chamfer, Ledge, Roundover
from bodycad.instrument.neck import Heel, last_fret_x
from bodycad.shop import Shop
from tests.checks.bench import HEEL, ask, board, hardtail, holds, instrument, necked, one

FIT = ("neck.pocket", "neck.heel")


@pytest.mark.parametrize(
    "clearance, cut, finished",
    [(0.30, "pass", "pass"), (0.26, "pass", "warn"), (0.20, "pass", "fail")],
)
def test_finish_takes_twice_its_film(clearance, cut, finished):
    layout = board(necked(side_clearance=clearance))
    holds(
        next(f for f in ask(layout, "pocket-fit") if f.text.endswith("side play as cut")),
        cut,
        clearance,
    )
    holds(one(layout, "pocket-fit", *FIT, text="side play as finished"), finished, clearance - 0.24)


def test_a_masked_pocket_keeps_its_play():
    holds(
        one(
            board(necked(side_clearance=0.2, masked=True)),
            "pocket-fit",
            *FIT,
            text="side play as finished",
        ),
        "pass",
        0.2,
    )


@pytest.mark.parametrize("clearance, status", [(0.3, "pass"), (0.4, "warn"), (0.6, "fail")])
def test_a_loose_pocket(clearance, status):
    holds(
        one(board(necked(side_clearance=clearance)), "pocket-fit", *FIT, text="swing"),
        status,
        clearance,
    )


@pytest.mark.parametrize("corner, play", [(0.0, 2.0 * (6.35 - math.hypot(6.05, 6.2))), (7.0, 0.3)])
def test_corners_of_the_heel(corner, play):
    """A square heel in corners of 6.35 mm: its corner stands hypot(6.05, 6.2) from their centre. A
    heel rounder than the pocket has the side's play."""
    heel = Heel(width_mouth=56.0, width_end=56.0, length=76.0, thickness=25.4, corner=corner)
    layout = board(necked(heel=heel))
    status = "fail" if play < 0 else "pass"
    holds(one(layout, "pocket-fit", *FIT, text="(radius 6.35) as cut"), status, play)
    holds(one(layout, "pocket-fit", *FIT, text="(radius 6.35) as finished"), status, play - 0.24)


@pytest.mark.parametrize(
    "width, wall, status", [(72.0, 7.85, "pass"), (66.0, 4.85, "warn"), (62.0, 2.85, "fail")]
)
def test_walls_of_the_pocket(width, wall, status):
    """Half the body's width less half of 56.3."""
    found = [
        f
        for f in ask(board(necked(), outline=rectangle(400.0, width)), "pocket-fit")
        if f.subjects == ("neck.pocket", "edge")
    ]
    assert len(found) == 2
    for finding in found:
        holds(finding, status, wall)


@pytest.mark.parametrize(
    "edge, lost, status",
    [
        (Ledge((0.5, 1.0), 6.4), 1.4, "pass"),
        (Roundover(3.0), 3.0, "warn"),
        (Roundover(5.0), 5.0, "fail"),
        (Chamfer(5.0, 2.0), 5.0, "fail"),
        (Roundover(8.0), 7.85, "fail"),
    ],
)
def test_an_edge_treatment_thins_the_walls_of_the_pocket(edge, lost, status):
    """7.85 mm at the floor, less the width of the edge treatment where it begins on the front; none
    is left where that reaches the pocket."""
    found = ask(board(necked(), outline=rectangle(400.0, 72.0), front=edge), "pocket-fit")
    walls = [f for f in found if ".wall" in f.code]
    assert len(walls) == 2
    for finding in walls:
        holds(finding, status, 7.85 - lost)


def test_a_horn_beyond_the_mouth_is_no_wall():
    """The overrun crosses a gap in the outline and meets a horn again: the wall ends at the gap."""
    outline = profile(
        [
            (-200, -36),
            (250, -36),
            (250, -10),
            (230, -10),
            (230, -32),
            (200, -32),
            (200, 36),
            (-200, 36),
        ]
    )
    layout = board(necked(overrun=40.0), outline=outline)
    treble = next(f for f in ask(layout, "pocket-fit") if "treble wall" in f.text)
    holds(treble, "pass", 36.0 - 28.15)


def test_a_pocket_wider_than_the_body_has_no_wall():
    found = [
        f
        for f in ask(board(necked(), outline=rectangle(400.0, 50.0)), "pocket-fit")
        if "no wall" in f.text
    ]
    assert [f.status for f in found] == ["fail", "fail"]


@pytest.mark.parametrize(
    "depth, treble, bass, statuses",
    [
        (17.0, 1.7, 1.3, ("pass", "pass")),
        (15.9, 0.6, 0.2, ("pass", "warn")),
        (15.5, 0.2, -0.2, ("warn", "fail")),
        (20.0, -0.2, 0.2, ("fail", "warn")),
    ],
)
def test_vertical_stack(depth, treble, bass, statuses):
    """25.4 - depth + 1.2 (frets) + 2 x 1.6 or 1.8 (action) - 0.5 (nut) at the scale line, between
    9.5 and 14 mm; the setback c of a saddle in tune carries its string on by 2 (action - 0.5) c /
    635 more, away from the middle of the travel."""
    layout, own = board(necked(depth=depth), hardtail()), instrument()
    for side, k, action, spare, status in (
        ("treble", 0, 1.6, treble, statuses[0]),
        ("bass", 5, 1.8, bass, statuses[1]),
    ):
        more = 2.0 * (action - 0.5) * own.setbacks[k].value / 635.0
        high = 25.4 - depth + 1.2 + 2.0 * action - 0.5 > 11.75
        found = one(layout, "stack", "bridge", "neck.pocket", text=side)
        holds(found, status, spare - more if high else spare + more, 1e-6)


def test_a_turned_necks_strings_are_measured_as_a_rigid_body_stands():
    """At 3 degrees the string point (0, 29.5) of the level neck, mouth at 249.19, turned by complex
    numbers; the setback carries it on along the turned string."""
    own, turn = instrument(), cmath.exp(-1j * math.radians(3.0))
    layout = board(necked(depth=23.0, angle_deg=3.0), hardtail(saddle_low=5.0, saddle_high=40.0))
    line, back = own.lines[0], own.setbacks[0].value
    mouth = last_fret_x(own.neck) - 5.0 + 76.0
    drawn = [complex(635.0, 27.1), complex(0.0, 29.3)]
    nut, saddle = ((point - mouth) * turn for point in drawn)
    middle = ((complex(0.0, 29.5) - mouth) * turn).real
    rise = (saddle.imag - nut.imag) / (saddle.real - nut.real)
    height = saddle.imag + rise * (middle + line.saddle[0] - back - saddle.real) - 23.0
    holds(one(layout, "stack", "bridge", "neck.pocket", text="treble"), "pass", height - 5.0, 1e-6)


def test_the_stack_tells_the_depth_that_centres_the_saddles():
    """At 15.5 mm the saddles stand 13.8 and 14.2: 14.0, 2.25 over their middle, so 17.75 mm
    deep."""
    found = one(
        board(necked(depth=15.5), hardtail()), "stack", "bridge", "neck.pocket", text="bass"
    )
    assert "17.8 mm deep" in found.cure or "17.7 mm deep" in found.cure


def test_saddles_within_their_travel():
    """A bridge at x: the saddles travel from x + 9 to x + 21 round the string's own point. Where a
    wound string's core is only estimated, the point lies somewhere between two."""
    own = instrument()
    for x in (-17.0, -14.0, -11.0):
        layout = board(hardtail(x))
        for number, ((px, _), back) in enumerate(zip(own.saddle_points, own.setbacks), 1):
            spare = min(x + 21.0 - px, px - x - 9.0)
            ends = (px + back.value - back.least, px + back.value - back.most)
            worst = min(min(x + 21.0 - end, end - x - 9.0) for end in ends)
            status = "fail" if worst < 0.0 else "warn" if worst < 1.5 else "pass"
            found = one(layout, "saddle-window", f"bridge.saddle.{number}")
            holds(found, status, spare, 1e-6)
            assert found.bound == pytest.approx(max(spare - worst, 0.0), abs=1e-9)
            assert (number < 4) == (back.least == back.most)
    assert {f.status for f in ask(board(hardtail(-11.0)), "saddle-window")} >= {"fail"}


def test_a_bridge_moved_too_near_the_nut_is_told_to_go_back():
    found = one(board(hardtail(-8.0)), "saddle-window", "bridge.saddle.6")
    assert found.status == "fail" and "away from the nut" in found.cure


def test_a_turned_bridge_is_measured_along_its_own_axis():
    layout = board(hardtail(-17.0, turn_deg=10.0))
    turn = math.radians(10.0)
    for number, (x, y) in enumerate(instrument().saddle_points, 1):
        u = (x + 17.0) * math.cos(turn) + y * math.sin(turn)
        found = one(layout, "saddle-window", f"bridge.saddle.{number}")
        assert found.value == pytest.approx(min(21.0 - u, u - 9.0), abs=1e-9)
        assert math.dist(*found.at) == pytest.approx(abs(found.value), abs=1e-9)


def halves(spread: float = 52.5, aside: float = 0.0) -> tuple[float, float]:
    """y of the outer strings at the last fret, treble first: from 17.5 at the nut (x = 635) to half
    the saddles' spread where each saddle is in tune."""
    own, x = instrument(bridge_spread=spread), last_fret_x(instrument().neck)
    found = []
    for k, side in ((0, -1.0), (5, 1.0)):
        back, y = own.saddle_points[k][0], side * spread / 2.0 + aside
        found.append(y + (side * 17.5 - y) * (x - back) / (635.0 - back))
    return found[0], found[1]


def test_string_margins_at_the_last_fret():
    """Half of 56 less the strings there."""
    layout, (treble, bass) = board(hardtail()), halves()
    holds(one(layout, "string-margin", "string.1"), "pass", 28.0 + treble, 1e-6)
    holds(one(layout, "string-margin", "string.6"), "pass", 28.0 - bass, 1e-6)
    holds(one(layout, "string-margin", "strings"), "pass", abs(treble + bass), 1e-6)


@pytest.mark.parametrize("off, status", [(0.2, "pass"), (0.5, "warn"), (2.0, "fail")])
def test_a_bridge_beside_the_necks_line(off, status):
    treble, bass = halves(aside=off)
    found = one(board(hardtail(y=off)), "string-margin", "strings")
    holds(found, status, abs(treble + bass), 1e-6)
    if status != "pass":
        assert "toward the treble" in found.cure
        assert float(found.cure.split("by ")[1].split()[0]) == pytest.approx(off, abs=0.02)


@pytest.mark.parametrize("spread, status", [(52.5, "pass"), (57.0, "warn"), (59.0, "fail")])
def test_a_wide_bridge_runs_the_strings_off_the_board(spread, status):
    """The setbacks are those of the drawn spread: the saddle's y alone is the bridge's own."""
    x, back = last_fret_x(instrument().neck), instrument().saddle_points[0][0]
    half = spread / 2.0 + (17.5 - spread / 2.0) * (x - back) / (635.0 - back)
    holds(
        one(board(hardtail(spread=spread)), "string-margin", "string.1"), status, 28.0 - half, 1e-6
    )


def at_the_nut(code: str, **changes):
    own = instrument()
    layout = board(played=replace(own, neck=replace(own.neck, **changes)))
    (found,) = (f for f in ask(layout, "string-margin") if f.code == code)
    return found


@pytest.mark.parametrize(
    "spread, status", [(35.0, "pass"), (38.0, "warn"), (39.0, "fail"), (42.9, "fail")]
)
def test_strings_beside_the_boards_edge_at_the_nut(spread, status):
    """Half of 43 less half the spread, and half of the thicker string's 0.046 inch."""
    found = at_the_nut("string-margin.nut", nut_spread=spread)
    holds(found, status, (43.0 - spread - 1.1684) / 2.0, 1e-6)
    assert found.subjects[0] == "string.6"


@pytest.mark.parametrize("spread, status", [(35.0, "pass"), (24.0, "warn"), (20.0, "fail")])
def test_strings_beside_each_other_at_the_nut(spread, status):
    """Equal air: what the spread leaves between the middles of the six strings."""
    thick = 25.4 * (0.010 / 2.0 + 0.013 + 0.017 + 0.026 + 0.036 + 0.046 / 2.0)
    own = replace(instrument(), equal="gaps")
    layout = board(played=replace(own, neck=replace(own.neck, nut_spread=spread)))
    (found,) = (f for f in ask(layout, "string-margin") if f.code == "string-margin.apart")
    holds(found, status, (spread - thick) / 5.0, 1e-6)


def test_skips_say_why():
    for name, words in (
        ("pocket-fit", "no neck joint"),
        ("stack", "states saddles"),
        ("saddle-window", "no bridge"),
    ):
        found = ask(board(), name)
        assert [f.status for f in found] == ["skip"] and words in found[0].text
    # Strings and board are always there.
    assert [f.status for f in ask(board(), "string-margin")] == ["pass"] * 5


def test_film_is_the_shops():
    layout = board(necked(side_clearance=0.3), shop=Shop(finish=0.2))
    holds(one(layout, "pocket-fit", *FIT, text="side play as finished"), "fail", 0.3 - 0.4)


def test_heel_is_the_bench_heel():
    assert (HEEL.thickness, HEEL.width_end) == (25.4, 56.0)
