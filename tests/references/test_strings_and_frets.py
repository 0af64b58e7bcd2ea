"""Frets, pitch, tension and intonation against values whose source stands beside each."""

import math

import pytest
from scipy.optimize import brentq

from bodycad.instrument.compensation import (
    clamped_factor,
    inharmonicity,
    octave_setback,
    pinned_factor,
    setback,
    stiffness_length,
    stretch,
    tension_rise,
)
from bodycad.instrument.scale import fret_distance
from bodycad.instrument.strings import String, frequency, tension
from bodycad.units import inch

# L (1 - 2^(-n/12)): definition of equal temperament; Varieschi & Gower, Am. J. Phys. 78 (2010) 47,
# sec. II
# (equation from memory). Values computed from the closed form, rounded to 1e-4 mm.
FRETS = (1, 2, 3, 5, 7, 9, 12, 15, 17, 19, 21, 22, 24)
TABLE = {
    609.6: (
        34.2142,
        66.5081,
        96.9895,
        152.9160,
        202.7408,
        247.1297,
        304.8,
        353.2948,
        381.2580,
        406.1704,
        428.3648,
        438.5368,
        457.2,
    ),
    628.65: (
        35.2834,
        68.5865,
        100.0205,
        157.6946,
        209.0765,
        254.8525,
        314.325,
        364.3352,
        393.1723,
        418.8632,
        441.7512,
        452.2411,
        471.4875,
    ),
    635.0: (
        35.6398,
        69.2793,
        101.0308,
        159.2875,
        211.1883,
        257.4267,
        317.5,
        368.0154,
        397.1438,
        423.0942,
        446.2134,
        456.8091,
        476.25,
    ),
    647.7: (
        36.3526,
        70.6649,
        103.0514,
        162.4733,
        215.4121,
        262.5753,
        323.85,
        375.3757,
        405.0866,
        431.5561,
        455.1376,
        465.9453,
        485.775,
    ),
    648.0: (
        36.3694,
        70.6976,
        103.0991,
        162.5485,
        215.5119,
        262.6969,
        324.0,
        375.5496,
        405.2743,
        431.7559,
        455.3484,
        466.1611,
        486.0,
    ),
}


@pytest.mark.parametrize("scale", TABLE)
def test_fret_table(scale):
    assert [fret_distance(scale, n) for n in FRETS] == pytest.approx(TABLE[scale], abs=5.1e-5)


@pytest.mark.parametrize(
    "divisor, at12, at22",
    [  # errors in mm for L = 648, computed: the rule of eighteen, its short and its exact divisor
        (18, -2.3563, -2.4318),
        (17.817, 0.0020, 0.0021),
        (17.817153745105742, 0, 0),
    ],
)
def test_dividing_step_by_step_errs(divisor, at12, at22):
    def stepped(n):
        return 648 * (1 - (1 - 1 / divisor) ** n)

    assert stepped(12) - fret_distance(648, 12) == pytest.approx(at12, abs=5.1e-5)
    assert stepped(22) - fret_distance(648, 22) == pytest.approx(at22, abs=5.1e-5)


@pytest.mark.parametrize(
    "note, hertz",
    [  # OpenStax University Physics 1, sec. 16.3, prints two decimals of these
        ("E2", 82.4069),
        ("A2", 110.0),
        ("D3", 146.8324),
        ("G3", 195.9977),
        ("B3", 246.9417),
        ("E4", 329.6276),
        ("B1", 61.7354),
        ("E1", 41.2034),
    ],
)
def test_pitch(note, hertz):
    assert frequency(note) == pytest.approx(hertz, abs=5.1e-5)


@pytest.mark.parametrize(
    "unit_mass, scale, hertz, newtons, within",
    [
        (
            3.09e-4,
            648,
            427.23 / 1.296,
            56.40,
            0.005,
        ),  # OpenStax Univ. Physics 1, sec. 16.3: v = 427.23 m/s
        (5.78e-3, 648, 427.23 / 1.296, 1055.00, 0.02),  # the same, thick string (exact 1054.99)
        (6e-3, 2000, 14.29, 19.6, 0.02),  # sec. 16.6: 2 kg, g = 9.8, f1 printed as 14.29 Hz
        (4.3e-3 / 0.7, 700, 261.6, 823.95, 0.005),  # computed: 4 m L f^2
        (3.8e-3 / 0.5, 500, 261.6, 520.10, 0.005),  # the same
        (
            7860 * math.pi / 4 * (0.0421 * 0.0254) ** 2,
            inch(49.4),
            123,
            672.57,
            0.005,
        ),  # computed: mu (2 L f)^2, steel 7860 kg/m3
    ],
)
def test_tension_worked_examples(unit_mass, scale, hertz, newtons, within):
    assert tension(String(1.0, unit_mass=unit_mass, pitch=hertz), scale) == pytest.approx(
        newtons, abs=within
    )


@pytest.mark.parametrize(
    "gauge, note, newtons",
    [  # steel 7850 kg/m3, L = 647.7 mm: computed in both unit systems
        (0.009, "E4", 58.744),
        (0.010, "E4", 72.524),
        (0.011, "B3", 49.250),
        (0.013, "B3", 68.788),
        (0.017, "G3", 74.103),
    ],
)
def test_plain_steel(gauge, note, newtons):
    string = String(inch(gauge), pitch=note)
    assert tension(string, 647.7) == pytest.approx(newtons, abs=5.1e-4)
    assert tension(string, 628.65) == pytest.approx(newtons * 0.94204, rel=1e-5)


@pytest.mark.parametrize(
    "gauge, pounds_per_inch",
    [(0.009, 1.804e-5), (0.010, 2.227e-5), (0.011, 2.695e-5), (0.013, 3.764e-5), (0.017, 6.437e-5)],
)
def test_unit_weight(gauge, pounds_per_inch):
    assert String(inch(gauge)).unit_mass / 0.45359237 * 0.0254 == pytest.approx(
        pounds_per_inch, abs=5.1e-9
    )


def test_pitch_follows_half_the_change_of_pull():
    """OpenStax ch. 17: mu .007, L .70, T 110, third harmonic 268.62 Hz; +1 % pull gives +1.34
    Hz."""
    third = tension(String(1.0, unit_mass=0.007, pitch=268.62 / 3), 700)
    more = tension(String(1.0, unit_mass=0.007, pitch=(268.62 + 1.34) / 3), 700)
    assert third == pytest.approx(110, abs=0.01) and more / third == pytest.approx(1.01, abs=1e-5)


# Intonation: d .017 in, E 200 GPa, rho 7850, L 648 mm, 196.0 Hz, pressed by 1.6 mm. Computed by two
# routes;
# pinned: H. Fletcher, JASA 36 (1964) 203; clamped: Morse, Vibration and Sound, sec. 16 (both from
# memory).
G = String(inch(0.017), pitch=196.0)
PULL = tension(G, 648)


def cents(ratio):
    return 1200 * math.log2(ratio)


def test_stiffness_of_the_worked_string():
    assert pytest.approx(74.1732, abs=5.1e-5) == PULL
    assert inharmonicity(G, 648, PULL) == pytest.approx(1.08152e-4, abs=5.1e-10)
    assert stiffness_length(G, PULL) == pytest.approx(2.14507, abs=5.1e-6)
    assert cents(pinned_factor(inharmonicity(G, 648, PULL))) == pytest.approx(0.0936, abs=5.1e-5)
    assert 196 * clamped_factor(stiffness_length(G, PULL) / 648) == pytest.approx(
        197.316826, abs=5.1e-7
    )


def exact_clamped(length, pull=PULL):
    """Lowest root in Hz of the built-in stiff string: a tanh(a L/2) + b tan(b L/2) = 0."""
    bending = 200e3 * math.pi * G.gauge**4 / 64  # N mm2
    per_mm = G.unit_mass / 1e6  # N s2 / mm2

    def equation(hertz):
        load = math.sqrt(pull**2 + 4 * bending * per_mm * (2 * math.pi * hertz) ** 2)
        a, b = math.sqrt((load + pull) / (2 * bending)), math.sqrt((load - pull) / (2 * bending))
        half = b * length / 2
        return a * math.tanh(a * length / 2) * math.cos(half) + b * math.sin(half)

    limp = math.sqrt(pull / per_mm) / (2 * length)
    return brentq(equation, limp * 1.0001, limp * 1.1, xtol=1e-10)


@pytest.mark.parametrize(
    "length, hertz, sharp", [(648, 197.316976, None), (324, 397.346461, 23.453)]
)
def test_the_clamped_series_stays_near_the_exact_root(length, hertz, sharp):
    exact = exact_clamped(length)
    assert exact == pytest.approx(hertz, abs=5.1e-7)
    series = 196 * 648 / length * clamped_factor(stiffness_length(G, PULL) / length)
    assert cents(series / exact) == pytest.approx(0, abs=0.011)
    if sharp:
        assert cents(exact / 392) == pytest.approx(sharp, abs=5.1e-4)


def test_pressing_at_the_middle():
    assert stretch(648, 1.6) == pytest.approx(0.00790119, abs=5.1e-9)
    rise = tension_rise(G, 648, 1.6)
    assert rise == pytest.approx(0.35711, abs=5.1e-6)
    assert cents(math.sqrt(1 + rise / PULL)) == pytest.approx(4.1576, abs=5.1e-5)
    assert setback(G, 648, 1.6).stretch == pytest.approx(1.5618, abs=5.1e-5)


def test_the_range_from_hinged_to_built_in_ends():
    """From the cents above: pressing +4.1576; octave of the pinned string by B and 4 B, of the
    clamped one +23.453 - 11.594 (exact roots). They hold for strings of 648 and 324 mm; those of a
    saddle set back by c are c longer, pulled 2 c / 648 harder and, where pressed, harder by 4.1576
    cents, so that the setback is up to 3.5 % less."""
    b = 1.08152e-4
    back = setback(G, 648, 1.6)
    for value, octave in (
        (back.low, cents(math.sqrt((1 + 4 * b) / (1 + b)))),
        (back.high, 23.453 - 11.594),
    ):
        d = 2 ** ((4.1576 + octave) / 1200) - 1
        plain = 648 * d / (1 - d)
        assert 0.965 * plain < value < plain


def exact_pinned(length, pull):
    """Lowest pitch in Hz of a hinged stiff string (H. Fletcher, as above)."""
    bending, per_mm = 200e3 * math.pi * G.gauge**4 / 64, G.unit_mass / 1e6
    limp = math.sqrt(pull / per_mm) / (2 * length)
    return limp * math.sqrt(1 + math.pi**2 * bending / (pull * length**2))


@pytest.mark.parametrize("ends", ["pinned", "clamped"])
def test_the_setback_puts_the_exact_octave_in_tune(ends):
    """The open string, 648 and the setback long, is tuned to 196 Hz; fretted over its middle it is
    longer by two triangles and pulled E A dl / L harder. By the exact pitches of both the octave is
    within 0.05 cents, where a tenth of a mm of setback is 0.13."""
    back = setback(G, 648, 1.6)
    c, law = (back.low, exact_pinned) if ends == "pinned" else (back.high, exact_clamped)
    pull = brentq(lambda pull: law(648 + c, pull) - 196.0, 50, 100, xtol=1e-10)
    longer = math.hypot(324, 1.6) + math.hypot(324 + c, 1.6) - (648 + c)
    area = math.pi / 4 * G.gauge**2
    fretted = law(324 + c, pull + 200e3 * area * longer / (648 + c))
    assert cents(fretted / 392.0) == pytest.approx(0, abs=0.05)


def test_the_trap_of_half_the_scale_leaves_two_cents():
    d = 2 ** (4.1576 / 1200) - 1
    trap = 324 * d
    assert trap == pytest.approx(0.779, abs=5.1e-4)
    left = cents((648 + trap) / (324 + trap) * (1 + d) / 2)
    cured = octave_setback(648, d)
    assert left == pytest.approx(2.08, abs=5.1e-3)
    assert cents((648 + cured) / (324 + cured) * (1 + d) / 2) == pytest.approx(0, abs=1e-9)


def test_piano_partials_follow_the_pinned_law():
    """University of Alabama in Huntsville, daffy.uah.edu/piano, "Inharmonicity": one string of A4
    measured at 880.9 .. 3603.1 Hz, B fitted to 0.00075145 by the law of Rasch and Heetvelt, Music
    Perception 3 (1985) 171; modelled 881.0 .. 3602.3 Hz (computed)."""
    model = [
        440.0 * n * pinned_factor(0.00075145, n) / pinned_factor(0.00075145) for n in range(2, 9)
    ]
    assert model == pytest.approx(
        [881.0, 1324.0, 1769.9, 2219.7, 2674.5, 3135.0, 3602.3], abs=0.051
    )
    assert model == pytest.approx([880.9, 1323.9, 1769.8, 2219.7, 2674.6, 3135.4, 3603.1], abs=0.81)


def test_young_1952_in_centimetres():
    """R. W. Young, JASA 24 (1952) 267 (from memory): B in cents = 3.401e13 d^2/(f^2 L^4), cm, for
    E 200 GPa and rho 7850."""
    cm = 3.401e13 * (G.gauge / 10) ** 2 / (196.0**2 * 64.8**4)
    assert 600 / math.log(2) * inharmonicity(G, 648, PULL) == pytest.approx(cm, rel=2e-4)
