"""The vertical stack and its solutions."""

import cmath
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck, mouth_x
from bodycad.instrument.seat import Seat
from bodycad.instrument.stack import (
    Stack,
    board_height,
    fret_plane_height,
    instrument_stack,
    saddle_height,
    solve,
    string_height,
)
from bodycad.instrument.strings import strings

FLAT = Stack(15.9, 25.4, 258, 1.6, 1.8, 0.5, 1.2)


def test_flat_neck_adds_up():
    """9.5 of board over the body + 1.2 of fret + 2 x 1.7 - 0.5 of string = 13.6."""
    assert board_height(FLAT) == pytest.approx(9.5)
    assert saddle_height(FLAT) == pytest.approx(13.6)
    assert fret_plane_height(FLAT, 258) == pytest.approx(10.7)


def test_the_action_at_the_twelfth_fret_follows_from_the_saddle_height():
    """The string runs straight: its height over the crowns halfway is the mean of nut and saddle
    ends, square to the turned neck."""
    stack = replace(FLAT, angle_deg=2.0)
    upright = saddle_height(stack) - fret_plane_height(stack, stack.pivot_to_saddle)
    over_crowns = upright / math.cos(math.radians(2.0))
    assert (over_crowns + stack.nut_action) / 2 == pytest.approx(1.7)


@pytest.mark.parametrize("angle", [-3.0, 0.0, 2.0, 5.0])
def test_a_turned_neck_keeps_its_cosine(angle):
    """The string stands 25.4 + 1.2 + 2 x 1.7 - 0.5 = 29.5 over the floor and 258 from the pivot:
    turned as a point of the plane by complex numbers. At 5 degrees the tangent alone, without the
    cosine, is 0.2 mm too high."""
    found = saddle_height(replace(FLAT, angle_deg=angle))
    turned = complex(-258.0, 29.5) * cmath.exp(-1j * math.radians(angle))
    assert found == pytest.approx(turned.imag - 15.9, abs=1e-9)
    rough = 258.0 * math.tan(math.radians(angle)) + 29.5 - 15.9
    assert (rough - found > 0.19) == (angle == 5.0)


@pytest.mark.parametrize("angle", [0.0, 3.5])
def test_the_stack_meets_the_seat(angle):
    neck = Neck(647.7, 22, 42.9, 35, 56)
    six = Instrument(neck, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), 52.5)
    seat, stack = Seat(six, 15.9, angle), instrument_stack(six, 15.9, angle)
    assert saddle_height(stack) == pytest.approx(seat.height(0.0), abs=1e-9)
    assert string_height(six, 15.9, 0.0, angle) == pytest.approx(seat.height(0.0), abs=1e-9)
    mean = (seat.string(1, 40.0)[2] + seat.string(6, 40.0)[2]) / 2.0
    assert string_height(six, 15.9, 40.0, angle) == pytest.approx(mean, abs=1e-3)


def test_the_stack_of_an_instrument():
    six = Instrument(
        Neck(647.7, 22, 42.9, 35, 56),
        strings((".010", ".013", ".017", ".026w", ".036w", ".046w")),
        52.5,
    )
    stack = instrument_stack(six, 15.9)
    assert stack.pivot_to_saddle == mouth_x(six.neck) == pytest.approx(181.7547 - 5 + 76, abs=1e-4)
    assert saddle_height(stack) == pytest.approx(13.6)


@given(
    st.floats(0, 20),
    st.floats(-1, 5),
    st.floats(0, 3),
    st.floats(8, 25),
    st.sampled_from(("pocket_depth", "angle", "angle_deg", "shim")),
)
def test_a_solution_meets_its_target(depth, angle, shim, target, field):
    stack = replace(FLAT, pocket_depth=depth, angle_deg=angle, shim=shim)
    try:
        solved = solve(stack, target, field)
    except InputError:
        assume(False)
    assert saddle_height(solved) == pytest.approx(target, abs=1e-9)
    name = "angle_deg" if field == "angle" else field
    assert replace(solved, **{name: getattr(stack, name)}) == stack


def test_each_way_to_a_taller_bridge():
    tall = replace(FLAT, bridge_height=16.0)
    assert solve(tall).pocket_depth == pytest.approx(15.9 - 2.4)
    assert solve(tall, for_="shim").shim == pytest.approx(2.4)
    assert solve(tall, for_="angle").angle_deg == pytest.approx(0.5335, abs=5e-4)  # 2.4/258


@pytest.mark.parametrize(
    "call",
    [
        lambda: solve(FLAT, 13, "shim"),  # a shim only raises
        lambda: solve(FLAT, 40),  # pocket depth below nothing
        lambda: solve(FLAT, -5),  # board below the body
        lambda: solve(FLAT, 90, "angle"),
        lambda: solve(FLAT),
        lambda: solve(FLAT, 14, "bridge"),
        lambda: solve(FLAT, float("nan")),
        lambda: replace(FLAT, pocket_depth=-1),
        lambda: replace(FLAT, pocket_depth=26),
        lambda: replace(FLAT, angle_deg=20),
        lambda: replace(FLAT, pivot_to_saddle=0),
        lambda: replace(FLAT, bridge_height=0),
        lambda: instrument_stack("neck", 15),
    ],
)
def test_the_impossible_is_refused(call):
    with pytest.raises(InputError):
        call()


def test_a_refusal_says_what_it_would_take():
    with pytest.raises(
        InputError, match="shim for a saddle height of 13 mm is -0.6; allowed: 0 to 10"
    ):
        solve(FLAT, 13, "shim")
