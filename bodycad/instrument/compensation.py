"""How far each saddle sits behind the scale line so that the fretted octave is in tune.

Two effects sharpen a note fretted at the 12th fret. Pressing stretches the string (exact two-
segment triangle); and a stiff string is sharper the shorter it is, by an amount that depends on how
its ends are held: a little when they are free to hinge (pinned), tens of times more when they are
built in (clamped). Real saddles and frets lie between, so the setback is a range.

Sources: Varieschi & Gower, Am. J. Phys. 78 (2010) 47; pinned string: H. Fletcher, JASA
36 (1964) 203; clamped string: Morse, Vibration and Sound, section 16 (both from memory, the latter
checked against the exact equation in the tests).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from bodycad.errors import number
from bodycad.instrument.scale import remaining, scale_length
from bodycad.instrument.strings import CORE_ESTIMATE, String, tension
from bodycad.units import default

MODULUS = default(
    200.0, 8.0
)  # GPa; 193 to 203 by diameter of music wire (Shigley's Mechanical Engineering Design, table 10-5)

ROUNDS = 6
"""Rounds in which a setback settles: each leaves a twentieth of the last one's error or less."""


@dataclass(frozen=True)
class Setback:
    """Distances in mm from the scale line away from the nut.

    `least`, `most`: `value` with the thinnest and the thickest core that a wound string may have
    whose core is only estimated (`CORE_ESTIMATE`); `value` itself where the core is given.

    `stretch` is the part due to pressing alone, `low` and `high` add the stiffness of pinned and of
    clamped ends, `value` is their midpoint: with common gauges and actions it falls within 1 mm of
    1.6 mm treble and 4.8 mm bass (common practice, no source), which stretch alone misses by more
    than half."""

    stretch: float
    low: float
    high: float
    value: float
    least: float
    most: float


def stretch(scale: float, height: float, fret: float = 12) -> float:
    """Extra length in mm of a string of `scale` mm pressed down by `height` mm over `fret`.

    sqrt(a^2 + h^2) + sqrt(b^2 + h^2) - L, written without loss of digits."""
    number("the press height", height, 0, 20)
    b = scale_length(scale) * remaining(fret)
    a = scale - b
    return _longer(height, a, b)


def _longer(height: float, *parts: float) -> float:
    """How much longer (mm) level stretches become whose one end each goes down by `height`."""
    return sum(height**2 / (math.hypot(part, height) + part) for part in parts if part or height)


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
    line. Both are as long, and pulled as hard, as they are with the saddle set back."""
    found = _setback(string, scale, action12, modulus_gpa)
    if not string.core_guessed:
        return found
    assert string.core is not None
    cores = (
        replace(string, core=min(string.core * (1.0 + share), string.gauge))
        for share in (-CORE_ESTIMATE, CORE_ESTIMATE)
    )
    least, most = (_setback(one, scale, action12, modulus_gpa).value for one in cores)
    return replace(found, least=least, most=most)


def _setback(string: String, scale: float, action12: float, modulus_gpa: float) -> Setback:
    """The setback of a string whose core is known."""
    pull = tension(string, scale)
    alone = math.sqrt(1.0 + tension_rise(string, scale, action12, modulus_gpa) / pull) - 1.0

    def pinned(length: float, pull: float) -> float:
        return pinned_factor(inharmonicity(string, length, pull, modulus_gpa))

    def clamped(length: float, pull: float) -> float:
        return clamped_factor(stiffness_length(string, pull, modulus_gpa) / length)

    low, high = (
        _in_tune(string, scale, action12, 1000.0 * modulus_gpa * string.core_area, law)
        for law in (pinned, clamped)
    )
    value = (low + high) / 2.0
    return Setback(octave_setback(scale, alone), low, high, value, value, value)


def _in_tune(
    string: String,
    scale: float,
    height: float,
    yields: float,
    law: Callable[[float, float], float],
) -> float:
    """The setback that puts the fretted octave in tune where a stiff string of a length and pull is
    `law` times as sharp as a limp one: open it is `scale` and the setback long and tuned to its
    pitch, fretted half the scale and the setback, pulled harder as it is pressed down by `height`.
    yields: Young's modulus times the core's area, N."""
    found = 0.0
    for _ in range(ROUNDS):
        whole, half = scale + found, scale / 2.0 + found
        rise = yields * _longer(height, scale / 2.0, half) / whole
        limp = tension(string, whole)
        pull = limp / law(whole, limp) ** 2
        sharp = math.sqrt((pull + rise) / pull) * law(half, pull + rise) / law(whole, pull)
        found = octave_setback(scale, sharp - 1.0)
    return found
