"""Laws of frets, straight and fanned."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.instrument.neck import Neck
from bodycad.instrument.scale import fret_distance, fret_line, saddle_line

scales = st.floats(300, 1200)
frets = st.floats(0, 36)
spreads = st.floats(30, 80)


@given(scales, frets)
def test_twelve_frets_halve_what_is_left(scale, n):
    assert scale - fret_distance(scale, n + 12) == pytest.approx(
        (scale - fret_distance(scale, n)) / 2, rel=1e-12
    )


@given(scales, st.floats(0.5, 2), frets)
def test_frets_scale_with_the_string(scale, factor, n):
    assert fret_distance(scale * factor, n) == pytest.approx(
        factor * fret_distance(scale, n), rel=1e-12, abs=1e-12
    )


@given(scales, frets, frets, spreads, spreads)
def test_equal_scales_give_straight_frets(scale, n, straight, nut, bridge):
    line = fret_line(scale, scale, n, straight, nut, bridge)
    assert line.slope == 0 and line.x == pytest.approx(
        scale - fret_distance(scale, n), rel=1e-12, abs=1e-9
    )


@given(scales, st.floats(0, 80), frets, frets, spreads, spreads)
def test_each_outer_string_keeps_its_own_scale(treble, more, n, straight, nut, bridge):
    """Measured from the saddle line, fret n is at L 2^(-n/12) of that string, at the string's y
    there."""
    share = 2 ** (-n / 12)
    line = fret_line(treble + more, treble, n, straight, nut, bridge)
    saddle = saddle_line(treble + more, treble, straight, nut, bridge)
    for side, scale in ((1, treble + more), (-1, treble)):
        y = side * (bridge + (nut - bridge) * share) / 2
        assert line.x_at(y) - saddle.x_at(side * bridge / 2) == pytest.approx(
            scale * share, abs=1e-9
        )
    assert saddle.x == 0


@given(scales, st.floats(1, 80), st.floats(0, 24))
def test_the_straight_fret_is_square_and_those_beside_it_lean_apart(treble, more, straight):
    def slope(n):
        return fret_line(treble + more, treble, n, straight, 40, 60).slope

    assert slope(straight) == 0 and slope(straight + 1) < 0
    assert straight < 1 or slope(straight - 1) > 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: fret_distance(25.5, 12),
        lambda: fret_distance(True, 1),
        lambda: fret_distance(math.nan, 1),
        lambda: fret_distance("648", 1),
        lambda: fret_distance(648, -1),
        lambda: Neck(610.0, 22.5, 43.0, 35.0, 56.0),
        lambda: Neck(610.0, 0, 43.0, 35.0, 56.0),
        lambda: fret_line(648, 648, 1, 7, 0, 52),
        lambda: fret_line(700, 648, 1, -7, 35, 52),
    ],
)
def test_bad_input_is_refused(call):
    with pytest.raises(InputError):
        call()


def test_whole_numbers_may_be_floats():
    found = Neck(610.0, 22.0, 43.0, 35.0, 56.0).frets
    assert found == 22 and type(found) is int
