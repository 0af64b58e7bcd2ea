"""The demonstration body, Teasel: it holds as drawn, and its figures move as the wood would."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from bodycad.checks.runner import run
from bodycad.errors import InputError
from designs import teasel


@cache
def report(**changes):
    return run(teasel.design(**changes).layout())


def figures(check: str, text: str = "", **changes) -> dict:
    """Value by subjects of one check's findings that hold `text`."""
    return {
        f.subjects: f.value
        for f in report(**changes).findings
        if f.check == check and text in f.text and f.value is not None and "humidity" not in f.text
    }


def statuses(check: str, **changes) -> set[str]:
    return {f.status for f in report(**changes).findings if f.check == check}


def test_it_holds_as_drawn():
    found = report()
    assert [f.text for f in found.findings if f.status not in ("pass", "skip")] == []
    assert found.verdict == "pass" and found.exit_status == 0
    assert all(f.text for f in found.findings if f.status == "skip")


@pytest.mark.parametrize("thickness", [30.0, 38.0])
def test_thinner_stock_takes_its_difference_off_every_floor(thickness):
    """Cuts of fixed depth from the front lose all of it, what sits at mid thickness half."""
    before, after, less = figures("floor"), figures("floor", thickness=thickness), 44.0 - thickness
    layout = report().layout
    seen = set()
    for void in layout.voids:
        key = (void.id, "back")
        if (
            key in before
            and key in after
            and void.operation in ("POCKET", "PILOT")
            and void.face == "front"
        ):
            assert before[key] - after[key] == pytest.approx(less, abs=1e-9), key
            seen.add(void.id)
        elif key in before and key in after and void.face == "edge" and void.part != "jack":
            assert before[key] - after[key] == pytest.approx(less / 2.0, abs=1e-9), key
    assert {
        "pickup.neck.ears",
        "pickup.bridge.ears",
        "pickup.neck.route",
        "bridge.screw.1",
        "pickup.neck.screw.1",
    } <= seen


def test_thirty_millimetres_cannot_be_built():
    """The ferrules' seats (17 + 18 under the front) would lie behind the back, and the toggle, 30
    mm deep under 6 of wood, through its cover: 30 - 2.5 - 36 = -8.5."""
    assert report(thickness=30.0).verdict == "fail"
    assert figures("bolt-seat", "behind the back", thickness=30.0)[
        ("neck.bolt.1.hole", "back")
    ] == pytest.approx(-5.0)
    assert figures("control-room", thickness=30.0)[("toggle", "switch.cover")] == pytest.approx(
        -8.5
    )


def test_the_cavities_keep_the_wood_they_leave_in_any_thickness():
    for thickness in (30.0, 38.0, 44.0):
        found = figures("floor", thickness=thickness)
        assert (
            found[("control.cavity", "front")]
            == pytest.approx(6.0)
            == found[("switch.cavity", "front")]
        )


def test_more_carving_leaves_less_wood_under_the_heel():
    """From the plain 44 - 17 down; at 24 mm the carve all but reaches the pocket's treble
    corner."""
    floors = []
    for sculpt in (0.0, 6.0, 12.0, 18.0, 24.0):
        found = figures("floor", heel_sculpt=sculpt)
        floors.append(
            found.get(("neck.pocket", "contour.heel"), found.get(("neck.pocket", "back")))
        )
    assert floors[0] == pytest.approx(27.0)
    assert all(a > b + 3.0 for a, b in zip(floors, floors[1:]))
    assert "fail" in statuses("floor", heel_sculpt=24.0) and "fail" not in statuses(
        "floor", heel_sculpt=12.0
    )


def test_a_screw_pushed_out_into_the_carve_loses_its_seat():
    """Screws 3 and 4 moved out by half of 16 mm, screw 4 toward the mouth too, over a deeper
    carve."""
    seats = [
        figures("bolt-seat", "flange of neck screw 4", heel_sculpt=18.0, bolt_tighten=tighten)
        for tighten in (0.0, -8.0, -16.0)
    ]
    least = [min(found.values()) for found in seats]
    assert least[0] > least[1] > least[2] and least[2] < 0.0 < least[0]


@pytest.mark.parametrize("depth", [16.0, 18.0])
def test_a_deeper_pocket_lowers_strings_and_floor(depth):
    """25.4 - depth + 1.2 + 2 x 1.6 or 1.8 - 0.5 over the body, in a travel from 9.5 to 14 mm; the
    setback of a saddle in tune carries its string on by 2 (action - 0.5) / scale a mm."""
    instrument = teasel.design().instrument
    backs, scale = instrument.setbacks, instrument.neck.scale
    for side, action, back in (("treble", 1.6, backs[0]), ("bass", 1.8, backs[-1])):
        height = 25.4 - depth + 1.2 + 2.0 * action - 0.5
        height += 2.0 * (action - 0.5) * back.value / scale
        assert figures("stack", side, pocket_depth=depth)[
            ("bridge", "neck.pocket")
        ] == pytest.approx(min(height - 9.5, 14.0 - height))
    # The seats follow the floor (so the thread stays), the pocket's own floor thins, so the carve
    # comes nearer.
    assert figures("bolt-grip", pocket_depth=depth) == pytest.approx(figures("bolt-grip"))
    change = (
        figures("floor", pocket_depth=depth)[("neck.pocket", "contour.heel")]
        - figures("floor")[("neck.pocket", "contour.heel")]
    )
    assert (change < 0.0) == (depth > 17.0) and abs(change) <= 1.0 + 0.02


@pytest.mark.parametrize("tighten", [-6.0, 4.0])
def test_screws_that_close_up_near_the_rod(tighten):
    """Screw 4 moves in by half of it, and screw 3 too: so much less beside the rod's channel."""
    before, after = (
        figures("bolt-tip", "truss-rod"),
        figures("bolt-tip", "truss-rod", bolt_tighten=tighten),
    )
    for index in (3, 4):
        key = (f"neck.bolt.{index}.hole", "neck.rod")
        assert before[key] - after[key] == pytest.approx(tighten / 2.0)
    for index in (1, 2):
        key = (f"neck.bolt.{index}.hole", "neck.rod")
        assert after[key] == pytest.approx(before[key])


@pytest.mark.parametrize("gap, status", [(2.5, "pass"), (0.8, "warn"), (0.3, "fail")])
def test_the_ring_follows_its_gap_to_the_fretboard(gap, status):
    found = next(
        f
        for f in report(neck_pickup_gap=gap).findings
        if f.subjects == ("pickup.neck", "fretboard")
    )
    assert (found.value, found.status) == (pytest.approx(gap), status)


@pytest.mark.parametrize("leave", [5.0, 8.0])
def test_wood_left_over_the_controls(leave):
    """Every millimetre more over the cavity is one less of bush and one less under the toggle."""
    more = leave - 6.0
    assert figures("floor", control_leave=leave)[("control.cavity", "front")] == pytest.approx(
        leave
    )
    for key, value in figures("control-clamp").items():
        less = more if key[1].endswith("cavity") else 0.0
        assert figures("control-clamp", control_leave=leave)[key] == pytest.approx(value - less)
    key = ("toggle", "switch.cover")
    assert figures("control-room", control_leave=leave)[key] == pytest.approx(
        figures("control-room")[key] - more
    )
    assert ("fail" in statuses("control-clamp", control_leave=leave)) == (leave == 8.0)


def test_another_scale_moves_the_neck_with_its_last_fret():
    """The board's end stands a fixed way past the last fret, with it neck, pocket and neck pickup;
    a fret lies at scale / 2^(n / 12) from the scale line (equal temperament)."""
    neck = teasel.design().instrument.neck
    scale = neck.scale + 12.7
    longer, more = report(scale=scale), 12.7 / 2.0 ** (neck.frets / 12.0)
    for name in ("neck", "pickup.neck"):
        places = [
            next(p.place.x for p in r.layout.placed if p.id == name) for r in (report(), longer)
        ]
        assert places[1] - places[0] == pytest.approx(more, abs=1e-6)
    key = ("neck.pocket", "pickup.neck.route")
    assert figures("wall", scale=scale)[key] == pytest.approx(figures("wall")[key], abs=1e-6)
    assert figures("pickup-room", scale=scale)[("pickup.neck", "fretboard")] == pytest.approx(2.5)
    # The counterbore nearest to the body's end comes nearer to it.
    key = ("neck.bolt.1.seat", "edge")
    assert figures("bolt-edge", scale=scale)[key] < figures("bolt-edge")[key]


def test_a_left_handed_body_has_the_same_figures():
    right, left = report(), report(left_handed=True)
    rows = [
        sorted(
            (f.check, f.subjects, f.status, f.value if f.value is not None else 0.0)
            for f in r.findings
        )
        for r in (right, left)
    ]
    assert [r[:3] for r in rows[0]] == [r[:3] for r in rows[1]]
    for a, b in zip(*rows):
        assert b[3] == pytest.approx(a[3], abs=0.011), a


@pytest.mark.parametrize("seed", [1, 2])
def test_the_order_of_placing_does_not_matter(seed):
    design = teasel.design()
    parts, links = list(design.parts), list(design.links)
    random.Random(seed).shuffle(parts)
    random.Random(seed).shuffle(links)
    shuffled = run(replace(design, parts=tuple(parts), links=tuple(links)).layout())
    rows = [
        [(f.check, f.status, f.subjects, f.value, f.text) for f in r.findings]
        for r in (report(), shuffled)
    ]
    assert rows[0] == rows[1]


def test_what_cannot_be_drawn_is_an_input_error():
    with pytest.raises(InputError, match="pocket's depth"):
        teasel.design(pocket_depth=60.0).layout()
    with pytest.raises(InputError, match="control.cavity"):
        teasel.design(control_leave=44.0).layout()
