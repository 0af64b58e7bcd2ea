"""Points find their strings by their place across them, whatever their order or number."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck
from bodycad.instrument.serve import across, serve
from bodycad.instrument.strings import strings

SIX = (".010", ".013", ".017", ".026w", ".036w", ".046w")


def played(scale=(610.0, 640.0), flipped: bool = False) -> Instrument:
    found = Instrument(
        Neck(scale, 22, 43.0, 35.0, 56.0), strings(SIX), bridge_spread=52.5, equal="centres"
    )
    return found.mirrored() if flipped else found


LINES = played().lines


def numbers(found) -> list[int | None]:
    return [line and line.number for line in found]


@settings(max_examples=60)
@given(
    st.permutations(range(6)),
    st.lists(st.floats(-40.0, 40.0), min_size=6, max_size=6),
    st.lists(st.floats(-5.0, 5.0), min_size=6, max_size=6),
    st.booleans(),
)
def test_points_by_their_strings_find_them_in_any_order(order, xs, asides, flipped):
    """Each point within half the least distance of two strings (at x = 40, 9.9 mm) of its own."""
    lines = played(flipped=flipped).lines
    asides = [max(-4.9, min(4.9, aside)) for aside in asides]
    spots = [(x, line.y_at(x) + a) for line, x, a in zip(lines, xs, asides, strict=True)]
    found = serve(lines, [spots[k] for k in order])
    assert numbers(found) == [lines[k].number for k in order]


@settings(max_examples=60)
@given(st.sets(st.integers(0, 5), min_size=1), st.floats(-60.0, 60.0))
def test_fewer_points_than_strings_leave_the_right_ones_out(kept, x):
    spots = [(x, LINES[k].y_at(x) + 0.7) for k in sorted(kept)]
    assert numbers(serve(LINES, spots)) == [LINES[k].number for k in sorted(kept)]


@given(st.integers(0, 5), st.floats(1.0, 4.0))
def test_a_point_too_many_serves_none(k, aside):
    """Seven points: of the two at one string, the farther is left over."""
    spots = [(0.0, line.y_at(0.0)) for line in LINES]
    spots.insert(0, (0.0, LINES[k].y_at(0.0) + aside))
    assert numbers(serve(LINES, spots)) == [None, 1, 2, 3, 4, 5, 6]


def test_a_row_that_is_shifted_as_a_whole_keeps_its_order():
    """8 mm beside strings 10.5 mm apart: each is nearer to its neighbour's string."""
    spots = [(0.0, line.y_at(0.0) + 8.0) for line in LINES]
    assert numbers(serve(LINES, spots)) == [1, 2, 3, 4, 5, 6]


def test_a_number_wins_over_the_place():
    spots = [(0.0, line.y_at(0.0)) for line in LINES]
    found = serve(LINES, spots, (6, None, None, None, None, 1))
    assert numbers(found) == [6, 2, 3, 4, 5, 1]
    assert numbers(serve(LINES, spots[:2], (2, 2))) == [2, 2]
    assert numbers(serve(LINES, spots[:1], (9,))) == [None]


def test_a_fan_is_followed_at_each_points_own_x():
    """The bass saddle stands farther back than the treble's: its string is judged where it is."""
    for line in LINES:
        assert across(LINES, line.saddle) == pytest.approx((line.number - 1) / 5.0, abs=0.02)


def test_one_string():
    one = (LINES[0],)
    assert numbers(serve(one, [(0.0, 3.0)])) == [1]
    assert numbers(serve(one, [(0.0, 30.0), (0.0, LINES[0].y_at(0.0))])) == [None, 1]
    assert serve(LINES, []) == ()
