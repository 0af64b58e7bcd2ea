"""How far each saddle sits behind the scale line so that the fretted octave is in tune.

Two effects sharpen a note fretted at the 12th fret. Pressing stretches the string (exact two-
segment triangle); and a stiff string is sharper the shorter it is, by an amount that depends on how
its ends are held: a little when they are free to hinge (pinned), tens of times more when they are
built in (clamped). Real saddles and frets lie between, so the setback is a range.

Sources: elasticity; Varieschi & Gower, Am. J. Phys. 78 (2010) 47; pinned string: H. Fletcher, JASA
36 (1964) 203; clamped string: Morse, Vibration and Sound, section 16 (both from memory, the latter
checked against the exact equation in the tests).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bodycad.errors import number
from bodycad.instrument.scale import remaining, scale_length
from bodycad.instrument.strings import String, tension
from bodycad.units import default

MODULUS = default(
    200.0, 8.0
)  # GPa; music wire 193 to 203 by diameter (Shigley, table 10-5), 190 to 207 elsewhere


@dataclass(frozen=True)
class Setback:
    """Distances in mm from the scale line away from the nut.

    `stretch` is the part due to pressing alone, `low` and `high` add the stiffness of pinned and of
    clamped ends, `value` is their midpoint: with common gauges and actions it falls within 1 mm of
    the trade's 1.6 mm treble and 4.8 mm bass, which stretch alone misses by more than half."""

    stretch: float
    low: float
    high: float
    value: float


def stretch(scale: float, height: float, fret: float = 12) -> float:
    """Extra length in mm of a string of `scale` mm pressed down by `height` mm over `fret`.

    sqrt(a^2 + h^2) + sqrt(b^2 + h^2) - L, written without loss of digits."""
    number("the press height", height, 0, 20)
    b = scale_length(scale) * remaining(fret)
    a = scale - b
    return sum(height**2 / (math.hypot(part, height) + part) for part in (a, b) if part or height)


def tension_rise(
    string: String, scale: float, height: float, modulus_gpa: float = MODULUS
) -> float:
    """N added by pressing at the 12th fret: E A dl / L, A the core's area."""
    number("Young's modulus in GPa", modulus_gpa, 1, 500)
    return 1000.0 * modulus_gpa * string.core_area * stretch(scale, height) / scale


def inharmonicity(
    string: String, length: float, pull: float, modulus_gpa: float = MODULUS
) -> float:
    """Fletcher's B of a stretch of string: pi^3 E d^4 / (64 T L^2), core d in mm, pull T in N."""
    return math.pi**2 * (stiffness_length(string, pull, modulus_gpa) / length) ** 2


def stiffness_length(string: String, pull: float, modulus_gpa: float = MODULUS) -> float:
    """e = (d/4) sqrt(E A / T) in mm: how far from a clamped end bending matters."""
    number("the string's pull in N", pull, above=0)
    number("Young's modulus in GPa", modulus_gpa, 1, 500)
    assert string.core is not None
    return string.core / 4.0 * math.sqrt(1000.0 * modulus_gpa * string.core_area / pull)


def pinned_factor(b: float, n: int = 1) -> float:
    """Pitch of partial n of a stiff hinged string over n times the limp one: sqrt(1 + B n^2)."""
    return math.sqrt(1.0 + number("inharmonicity", b, 0) * n**2)


def clamped_factor(ratio: float, n: int = 1) -> float:
    """The same with built-in ends, `ratio` = e/L: 1 + 2r + (4 + n^2 pi^2/2) r^2, good for small r.

    Raises InputError beyond r = 0.05, where the series is a bar and no string."""
    thing = "a string's stiffness length over its own length"
    number(thing, ratio, 0, 0.05, remedy="the string is too slack or too thick for its length")
    return 1.0 + 2.0 * ratio + (4.0 + n**2 * math.pi**2 / 2.0) * ratio**2


def octave_setback(scale: float, sharpness: float) -> float:
    """Setback c in mm that cures a fretted octave sharp by the relative amount d: c = L d / (1 -
    d).

    From (L + c)(1 + d) = 2 (L/2 + c): moving the saddle lengthens the open string too, so that the
    naive (L/2) d is less than half of it."""
    thing = "the sharpness of the fretted octave"
    number(thing, sharpness, -0.5, 0.5, remedy="the string is too slack for its length")
    return scale * sharpness / (1.0 - sharpness)


def setback(string: String, scale: float, action12: float, modulus_gpa: float = MODULUS) -> Setback:
    """The setback of one string of `scale` mm, pressed at the 12th fret down to the fret's crown.

    The press height is `action12`, the air in mm between open string and crown: the fret's own
    height and the nut's play no part, as both strings, open and pressed, are measured from the same
    line."""
    pull = tension(string, scale)
    pressed = math.sqrt(1.0 + tension_rise(string, scale, action12, modulus_gpa) / pull)
    b = inharmonicity(string, scale, pull, modulus_gpa)
    pinned = pinned_factor(4.0 * b) / pinned_factor(b)
    ratio = stiffness_length(string, pull, modulus_gpa) / scale
    clamped = clamped_factor(2.0 * ratio) / clamped_factor(ratio)
    low, high = (octave_setback(scale, pressed * factor - 1.0) for factor in (pinned, clamped))
    return Setback(octave_setback(scale, pressed - 1.0), low, high, (low + high) / 2.0)
