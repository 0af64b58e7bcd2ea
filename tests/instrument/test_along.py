"""Where pickups go: nodes of equal temperament (2^(1/12) a semitone, published everywhere), edges
and rows by hand."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.instrument.along import (
    board_gap_x,
    fan_turn_deg,
    node_x,
    pole_spacing_at,
    saddle_gap_x,
)
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck, board_half_width
from bodycad.instrument.strings import strings
from tests.checks.bench import instrument

SEVEN = (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w")


def fanned(**changes) -> Instrument:
    neck = Neck((648.0, 686.0), 24, 48.0, 41.0, 66.0, overhang=12.0, **changes)
    return Instrument(neck, strings(SEVEN), bridge_spread=63.0, equal="centres")


@pytest.mark.parametrize("fret, share", [(0, 1.0), (12, 0.5), (24, 0.25), (36, 0.125)])
def test_nodes_of_octaves(fret, share):
    assert node_x(instrument(), fret) == pytest.approx(635.0 * share)


def test_a_node_between_octaves_is_where_the_fret_would_be():
    """2^(-19/12) of 635 mm: 19 frets are an octave and a fifth, about a third of the string."""
    assert node_x(instrument(), 19) == pytest.approx(635.0 / 2.0 ** (19.0 / 12.0))
    assert node_x(instrument(), 19) == pytest.approx(635.0 / 3.0, abs=0.3)
    assert node_x(fanned(), 24) == pytest.approx(667.0 / 4.0)


def test_an_edge_before_the_saddles():
    assert saddle_gap_x(15.0, 19.0) == 34.0


def test_an_edge_beside_the_board():
    """635 mm, 22 frets, 5 mm overhang: the board ends at 635 x 2^(-22/12) - 5."""
    end = 635.0 * 2.0 ** (-22.0 / 12.0) - 5.0
    assert board_gap_x(instrument(), 23.25, 2.5) == pytest.approx(end - 25.75)
    half, turn = board_half_width(instrument().neck, end), math.radians(10.0)
    x = board_gap_x(instrument(), 23.25, 2.0, 10.0)
    corner = x + 23.25 / math.cos(turn) + half * math.tan(turn)
    assert corner == pytest.approx(end - 2.0)


@pytest.mark.parametrize("turn", [0.0, 8.0, -12.0])
@pytest.mark.parametrize("own", [instrument(), fanned()])
def test_a_row_that_follows_the_strings(own, turn):
    """Its ends lie on the outer strings: found by stepping along the row with a complex number."""
    wide = pole_spacing_at(own, 60.0, turn, 1.5)
    way = 1j * complex(math.cos(math.radians(turn)), math.sin(math.radians(turn)))

    def crossing(line) -> float:
        low, high = -100.0, 100.0
        for _ in range(80):
            middle = (low + high) / 2.0
            spot = complex(60.0, 1.5) + middle * way
            low, high = (middle, high) if spot.imag < line.y_at(spot.real) else (low, middle)
        return low

    assert wide == pytest.approx(abs(crossing(own.lines[-1]) - crossing(own.lines[0])), abs=1e-9)


def test_a_pickup_along_the_fan_lies_as_the_fret_there():
    own = fanned(straight_fret=7.0)
    for n in (5, 7, 18, 24):
        line = own.fret_line(n)
        found = fan_turn_deg(own, line.x)
        assert math.tan(math.radians(-found)) == pytest.approx(line.slope, abs=1e-9)
    assert fan_turn_deg(own, own.fret_line(7).x) == pytest.approx(0.0, abs=1e-9)
    assert fan_turn_deg(instrument(), 40.0) == 0.0
    # A row so turned crosses every string at the same share of its length.
    x, turn = 60.0, math.radians(fan_turn_deg(own, 60.0))
    shares = []
    for line in own.lines:
        step = 1.0 / math.cos(turn)
        v = line.y_at(x) * step
        for _ in range(50):
            v = line.y_at(x - v * math.sin(turn)) * step
        shares.append((x - v * math.sin(turn) - line.saddle[0]) / line.scale)
    assert max(shares) - min(shares) == pytest.approx(0.0, abs=1e-9)


def test_a_row_along_the_strings_is_refused():
    for ask in (
        lambda: pole_spacing_at(instrument(), 60.0, 90.0),
        lambda: board_gap_x(instrument(), 20.0, 2.0, 90.0),
    ):
        with pytest.raises(InputError, match="across the strings"):
            ask()
