"""Strings, sets and their spread."""

import math
import pickle
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.instrument.strings import (
    STEEL,
    WRAP,
    String,
    frequency,
    spread_positions,
    strings,
    tension,
    wrap_mass,
)
from bodycad.units import inch, measured

SET = (".010", ".013", ".017", ".026w", ".036w", ".046w")
gauge_sets = st.lists(st.floats(0.2, 3), min_size=2, max_size=12).map(tuple)


def test_a_set_is_listed_from_the_treble():
    guitar = strings(SET)
    assert [s.gauge for s in guitar] == pytest.approx(
        [0.254, 0.3302, 0.4318, 0.6604, 0.9144, 1.1684]
    )
    assert [s.wound for s in guitar] == [False] * 3 + [True] * 3
    assert [s.pitch for s in guitar] == ["E4", "B3", "G3", "D3", "A2", "E2"]
    assert [s.pitch for s in strings((".045w", ".065w", ".085w", ".105w"))] == [
        "G2",
        "D2",
        "A1",
        "E1",
    ]


def test_numbers_are_millimetres_and_ready_strings_stay():
    own = String(0.66, wound=True, core=0.3, pitch="C3")
    assert strings((0.254, own), ("D4", "A3")) == (String(0.254, pitch="D4"), own)


def test_a_wound_string_says_that_its_mass_is_an_estimate():
    guess, sheet = (
        String(1.17, wound=True),
        String(1.17, wound=True, core=measured(0.46), unit_mass=0.0068),
    )
    assert (
        guess.core.origin == guess.unit_mass.origin == "default" and guess.unit_mass.tolerance > 0
    )
    assert sheet.core.origin == "measured" and sheet.unit_mass == 0.0068
    assert String(0.254).unit_mass.origin == "claimed"


def test_wrap_mass_is_close_to_a_ring_of_wire():
    """A helix of small pitch is a ring per turn (Pappus): pi (core + w) long; the pitch adds under
    1 %."""
    core, wire = 0.5, 0.2
    ring = WRAP * math.pi / 4 * wire**2 * math.pi * (core + wire) / wire * 1e-6
    assert ring < wrap_mass(core + 2 * wire, core) < 1.005 * ring
    assert wrap_mass(core, core) == 0


@given(st.floats(0.3, 3), st.floats(0.4, 1))
def test_a_wound_string_weighs_less_than_a_solid_bar_of_its_size(gauge, share):
    string = String(gauge, wound=True, core=gauge * share)
    assert string.unit_mass <= 1.005 * WRAP * math.pi / 4 * gauge**2 * 1e-6
    assert string.unit_mass >= STEEL * string.core_area * 1e-6


def test_a_copy_with_another_gauge_has_its_own_mass():
    assert replace(String(0.254), gauge=0.33) == String(0.33)
    assert replace(String(0.66, wound=True), gauge=1.1) == String(1.1, wound=True)
    assert replace(String(0.254, unit_mass=4e-4), gauge=0.26).unit_mass == 4e-4
    assert pickle.loads(pickle.dumps(String(0.66, wound=True))) == String(0.66, wound=True)


@given(st.floats(20, 1000), st.floats(300, 1000), st.floats(0.5, 2))
def test_pull_grows_with_the_square_of_pitch_and_length(hertz, scale, factor):
    base = tension(String(0.3, pitch=hertz), scale)
    assert tension(String(0.3, pitch=hertz * factor), scale) == pytest.approx(
        base * factor**2, rel=1e-12
    )
    assert tension(String(0.3, pitch=hertz), scale * factor) == pytest.approx(
        base * factor**2, rel=1e-12
    )


@given(st.integers(0, 6), st.sampled_from("CDEFGAB"))
def test_an_octave_doubles(octave, letter):
    assert frequency(f"{letter}{octave + 1}") == pytest.approx(
        2 * frequency(f"{letter}{octave}"), rel=1e-12
    )
    assert frequency(f"{letter}#{octave}") == pytest.approx(
        frequency(f"{letter}{octave}") * 2 ** (1 / 12), rel=1e-12
    )


def test_flats_and_sharps_meet():
    assert frequency("Bb3") == frequency("A#3") and frequency(440) == frequency("A4")


@given(gauge_sets, st.floats(0.1, 100), st.sampled_from(("gaps", "centres")))
def test_spread_is_met_ordered_and_mirrors(gauges, air, equal):
    spread = len(gauges) * max(gauges) + air
    places = spread_positions(gauges, spread, equal)
    assert places[0] == -spread / 2 and places[-1] == spread / 2
    assert list(places) == sorted(places)
    mirrored = spread_positions(gauges[::-1], spread, equal)
    assert [a + b for a, b in zip(places, reversed(mirrored))] == pytest.approx(
        [0] * len(gauges), abs=1e-9
    )


@given(gauge_sets, st.floats(0.1, 100))
def test_equal_gaps_and_equal_centres(gauges, air):
    spread = len(gauges) * max(gauges) + air
    places = spread_positions(gauges, spread)
    gaps = [b - a - (g + h) / 2 for a, b, g, h in zip(places, places[1:], gauges, gauges[1:])]
    assert gaps == pytest.approx([gaps[0]] * len(gaps), abs=1e-9) and gaps[0] > 0
    places = spread_positions(gauges, spread, "centres")
    steps = [b - a for a, b in zip(places, places[1:])]
    assert steps == pytest.approx([spread / len(steps)] * len(steps))


@pytest.mark.parametrize(
    "call",
    [
        lambda: String(0.010),
        lambda: String(10),
        lambda: String("0.3"),
        lambda: String(0.3, wound=1),
        lambda: String(0.3, core=0.2),
        lambda: String(0.3, True, core=0.4),
        lambda: String(0.3, unit_mass=0),
        lambda: String(0.3, pitch="H2"),
        lambda: String(0.3, pitch=None),
        lambda: strings(".010"),
        lambda: strings(()),
        lambda: strings((".010",) * 6, ("E4",)),
        lambda: strings((".010",) * 3),
        lambda: strings(("ten",) * 6),
        lambda: strings((".10.",) * 6),
        lambda: strings((None,) * 6),
        lambda: tension(".010", 648),
        lambda: tension(String(inch(0.01)), 25.5),
        lambda: spread_positions((1.0,), 10),
        lambda: spread_positions("ab", 10),
        lambda: spread_positions((1, 1, 1), 2),
        lambda: spread_positions((3, 3, 0.3, 0.3), 8, "centres"),
        lambda: spread_positions((1, 1), 10, "edges"),
    ],
)
def test_bad_input_is_refused(call):
    with pytest.raises(InputError):
        call()
