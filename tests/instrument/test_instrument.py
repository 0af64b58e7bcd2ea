"""The instrument: lines, compensation, loads."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.instrument.compensation import clamped_factor, setback, stretch
from bodycad.instrument.lines import Instrument, string_lines
from bodycad.instrument.load import string_tensions, total_tension
from bodycad.instrument.neck import (
    Heel,
    Neck,
    board_end_x,
    board_half_width,
    heel_end_x,
    mouth_x,
)
from bodycad.instrument.strings import String, strings
from bodycad.units import dimensions, measured

SIX = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
STRAIGHT = Instrument(Neck(647.7, 22, 42.9, 35, 56), SIX, 52.5)
FANNED = Instrument(Neck((635, 673.1), 24, 44, 36, 60), SIX, 54)


def test_strings_run_from_nut_spread_to_bridge_spread_treble_first():
    assert STRAIGHT.lines[0].nut == (647.7, -17.5) and STRAIGHT.lines[0].saddle == (0, -26.25)
    assert STRAIGHT.lines[-1].nut == (647.7, 17.5) and STRAIGHT.lines[-1].number == 6
    assert STRAIGHT.lines == string_lines(STRAIGHT.neck, SIX, 52.5)
    assert [line.y_at(647.7) for line in STRAIGHT.lines] == pytest.approx(
        [line.nut[1] for line in STRAIGHT.lines]
    )
    assert STRAIGHT.lines[0].angle_deg == pytest.approx(-STRAIGHT.lines[-1].angle_deg) != 0


@pytest.mark.parametrize("x, spread", [(0, 52.5), (45, 51.3), (100, 49.8), (647.7, 35)])
def test_spread_over_the_pickups(x, spread):
    """35 to 52.5 at 25.5 in: 51.3 at 45 mm, 49.8 at 100 (common practice, no source)."""
    assert STRAIGHT.spread_at(x) == pytest.approx(spread, abs=0.051)


def test_fanned_outer_strings_have_their_own_scales():
    assert FANNED.lines[0].scale == pytest.approx(635) and FANNED.lines[-1].scale == pytest.approx(
        673.1
    )
    assert (
        FANNED.lines[-1].saddle[0] == pytest.approx(-FANNED.lines[0].saddle[0])
        and FANNED.lines[-1].saddle[0] < 0
    )
    assert FANNED.fret_line(7).slope == 0
    assert FANNED.board_end.slope == FANNED.fret_line(24).slope < 0

    def off_octave(line):
        middle = (line.nut[0] + line.saddle[0]) / 2
        return FANNED.fret_line(12).x_at(line.y_at(middle)) - middle

    off = [off_octave(line) for line in FANNED.lines]
    # Inner strings with equal gaps at the nut and equal centres at the saddles are not quite the
    # fan's own.
    assert max(map(abs, off)) < 0.2 and off[0] == pytest.approx(0) and off[-1] == pytest.approx(0)


def test_a_square_board_end_must_clear_a_slanted_last_fret():
    with pytest.raises(InputError, match="overhang"):
        replace(FANNED, neck=replace(FANNED.neck, board_end="square"))
    assert (
        replace(FANNED, neck=replace(FANNED.neck, board_end="square", overhang=15)).board_end.slope
        == 0
    )


def test_saddles_move_back_along_their_strings():
    for line, point, back in zip(STRAIGHT.lines, STRAIGHT.saddle_points, STRAIGHT.setbacks):
        assert point[0] == -back.value < 0 and point[1] == line.y_at(point[0])
        assert 0 < back.stretch < back.low < back.value < back.high
        assert back.value == pytest.approx((back.low + back.high) / 2)
    assert -STRAIGHT.saddle_points[0][1] > 26.25


def test_setbacks_are_what_the_trade_finds():
    """+1.6 mm treble, +4.8 mm bass; a plain third needs more than the wound fourth (common
    practice, no source)."""
    values = [back.value for back in STRAIGHT.setbacks]
    assert values[0] == pytest.approx(1.6, abs=0.5) and values[5] == pytest.approx(4.8, abs=0.5)
    assert values[2] > values[3]


def test_action_runs_from_treble_to_bass():
    assert STRAIGHT.actions12[0] == pytest.approx(1.6) and STRAIGHT.actions12[-1] == pytest.approx(
        1.8
    )
    assert list(STRAIGHT.actions12) == sorted(STRAIGHT.actions12)


@given(st.floats(0.5, 4), st.floats(0.1, 2), st.floats(550, 900))
def test_higher_action_needs_more_setback(action, more, scale):
    string = String(0.33, pitch="B3")
    low, high = setback(string, scale, action), setback(string, scale, action + more)
    assert high.stretch > low.stretch > 0 and high.value > low.value


@given(st.floats(0.1, 5), st.floats(400, 1000), st.floats(1, 23))
def test_stretch_is_the_two_segment_triangle(height, scale, fret):
    b = scale * 2 ** (-fret / 12)
    a = scale - b
    exact = (a * a + height * height) ** 0.5 + (b * b + height * height) ** 0.5 - scale
    assert stretch(scale, height, fret) == pytest.approx(exact, abs=1e-11)
    assert stretch(scale, 0, fret) == 0


def test_total_pull():
    assert total_tension(STRAIGHT) == pytest.approx(sum(string_tensions(STRAIGHT)), rel=1e-15)
    assert string_tensions(STRAIGHT)[:3] == pytest.approx(
        [72.524, 68.788, 74.103], abs=5.1e-4
    )  # plain steel, 647.7
    assert string_tensions(FANNED)[0] == pytest.approx(72.524 * (635 / 647.7) ** 2, rel=1e-5)


def test_neck_places():
    neck = Neck(648, 24, 43, 35, 57, Heel(54, 56, 76, board_overlap=10), overhang=6)
    assert board_end_x(neck) == pytest.approx(162 - 6) and heel_end_x(neck) == pytest.approx(166)
    assert mouth_x(neck) == pytest.approx(242)
    assert board_half_width(neck, 648) == 21.5 and board_half_width(neck, 162) == 28.5
    assert board_half_width(neck, (648 + 162) / 2) == pytest.approx(25)


def test_sizes_know_where_they_come_from():
    rows = {(row.part, row.name): row for row in dimensions("i", STRAIGHT)}
    assert (
        rows["i.neck.heel", "thickness"].origin == "default"
        and rows["i.neck", "nut_width"].origin == "claimed"
    )
    assert (
        rows["i.strings.6", "unit_mass"].origin == "default"
        and rows["i.strings.6", "unit_mass"].unit == "kg/m"
    )
    assert rows["i", "modulus_gpa"].unit == "GPa" and ("i.neck", "frets") not in rows


@pytest.mark.parametrize(
    "call",
    [
        lambda: Neck(25.5, 22, 42.9, 35, 56),
        lambda: Neck((648,), 22, 42.9, 35, 56),
        lambda: Neck((686, 648), 22, 42.9, 35, 56),
        lambda: Neck("648", 22, 42.9, 35, 56),
        lambda: Neck(648, 22.5, 42.9, 35, 56),
        lambda: Neck(648, 22, 42.9, 43, 56),
        lambda: Neck(648, 22, 42.9, 35, -56),
        lambda: Neck(648, 22, 42.9, 35, 56, "heel"),
        lambda: Neck(648, 22, 42.9, 35, 56, board_end="round"),
        lambda: Neck(648, 22, 42.9, 35, 56, straight_fret=None),
        lambda: Neck(648, 22, 42.9, 35, 56, Heel(thickness=12), board_thickness=6.4),
        lambda: Heel(corner=30),
        lambda: Heel(length=0),
        lambda: Heel(rod_width=40),
        lambda: Instrument("neck", SIX, 52.5),
        lambda: Instrument(STRAIGHT.neck, ".010", 52.5),
        lambda: Instrument(STRAIGHT.neck, SIX[:1], 52.5),
        lambda: replace(STRAIGHT, bridge_spread=2),
        lambda: replace(STRAIGHT, equal="edges"),
        lambda: replace(STRAIGHT, action12_bass=0),
        lambda: replace(STRAIGHT, nut_action=None),
        lambda: replace(STRAIGHT, strings=(String(1.2, pitch=20.0), *SIX[1:])),
        lambda: clamped_factor(0.2),
        lambda: stretch(648, -1),
    ],
)
def test_bad_input_is_refused(call):
    with pytest.raises(InputError):
        call()


def test_a_guessed_core_is_the_setbacks_bound():
    """The core of a .046 wound string is estimated as 0.457 mm, 15 % either way; one that is given
    leaves no range."""
    guessed = strings((".046w",), ("E2",))[0]
    back = setback(guessed, 635.0, 1.8)
    for core, value in ((0.85 * guessed.core, back.least), (1.15 * guessed.core, back.most)):
        known = String(guessed.gauge, wound=True, core=float(core), pitch="E2")
        exact = setback(known, 635.0, 1.8)
        assert exact.value == pytest.approx(value, abs=1e-9)
        assert exact.least == exact.most == exact.value
    assert back.least < back.value < back.most and back.most - back.least > 2.0
    given = setback(String(1.168, wound=True, core=measured(0.457), pitch="E2"), 635.0, 1.8)
    assert given.least == given.most
