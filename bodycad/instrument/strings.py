"""Strings: gauge, pitch, mass and tension, and where they stand across a spread.

String 1 is the highest (treble) string. Gauge and core in mm, mass in kg per metre, pitch in Hz.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated, Any

from bodycad.declare import Count, Text, between, declared, mm, over
from bodycad.errors import InputError, number
from bodycad.instrument.scale import scale_length
from bodycad.units import MM_PER_INCH, Derived, Size, default

STEEL = 7850.0  # kg/m3, EN 1993-1-2:2005, 3.2.2 (from memory)
WRAP = 7900.0  # kg/m3, nickel-plated steel wrap: common practice, no source
MASS_ESTIMATE = 0.10
"""A wound string's mass is only estimated from its outside: plus or minus this share; common
practice, no source."""
CORE_ESTIMATE = 0.15
"""A wound string's core is only estimated from its outside: plus or minus this share; common
practice, no source (cores of one gauge differ so much from maker to maker)."""
GAUGES = 'gauges are millimetres: write inch(.010), or strings((".010", ...))'
Pitch = Text | Annotated[float, between(5.0, 5000.0, "Hz")]
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NOTE = re.compile(r"([A-Ga-g])([#b]?)(-?\d)")
_GAUGE = re.compile(r"\s*(\d*\.\d+|\d+)\s*(w?)\s*")
_TUNINGS = {  # usual tunings by number of strings, treble first: common practice, no source
    4: ("G2", "D2", "A1", "E1"),
    5: ("G2", "D2", "A1", "E1", "B0"),
    6: ("E4", "B3", "G3", "D3", "A2", "E2"),
    7: ("E4", "B3", "G3", "D3", "A2", "E2", "B1"),
    8: ("E4", "B3", "G3", "D3", "A2", "E2", "B1", "F#1"),
    12: ("E4", "E4", "B3", "B3", "G4", "G3", "D4", "D3", "A3", "A2", "E3", "E2"),
}
Courses = Annotated[tuple[Annotated[int, between(1, 4)], ...], Count(0, 36)]
"""How many strings stand in each course, treble first; none where every string stands alone."""
BRIDGE_PAIR = default(2.6, 0.2)
"""From string to string of a course at the saddles where nothing is said (common practice, no
source)."""


def frequency(pitch: str | float) -> float:
    """Hertz of a note name such as "E2", "F#1", "Bb3" (A4 = 440) or of a number of Hz.

    f = 440 * 2^((m - 69)/12), m the note's number with A4 = 69. Raises InputError otherwise."""
    if isinstance(pitch, str):
        found = _NOTE.fullmatch(pitch.strip())
        if not found:
            raise InputError("a pitch", pitch, 'a note such as "E2" or "F#1", or a number of Hz')
        letter, accent, octave = found.groups()
        step = _STEPS[letter.upper()] + {"#": 1, "b": -1, "": 0}[accent] + 12 * (int(octave) + 1)
        pitch = 440.0 * 2.0 ** ((step - 69) / 12.0)
    return number("a pitch in Hz", pitch, 5, 5000, remedy='a note such as "E2" will do as well')


class _Derived(Size):
    """A size worked out from the others, anew when the string is copied with a change."""

    __slots__ = ()


@dataclass(frozen=True)
@declared()
class String:
    """One string.

        gauge  outside diameter                       |<-- gauge -->|
        core   diameter of the core wire (wound)      (o)( core )(o)   o = wrap, (gauge - core)/2

    A plain string is solid steel. A wound string's core and mass should be given from its maker's
    sheet: left out, they are estimates of origin "default" (core 0.165 mm + gauge/4, +-15 %, common
    practice; mass of that core and of one close helical layer of round wrap, +-10 %).
    Raises InputError for anything else than lengths in mm, kg per metre and a pitch."""

    gauge: Annotated[float, mm(0.15, 6.0), GAUGES]
    wound: bool = False
    core: Annotated[float, mm(0.1, 6.0)] | None = None
    unit_mass: Annotated[float, over(0.2, "kg/m"), "unit mass is kg per metre"] | None = field(
        default=None, metadata={"unit": "kg/m"}
    )
    pitch: Pitch = field(default="E4", metadata={"size": False})

    def __post_init__(self) -> None:
        if self.core is None or isinstance(self.core, Derived):
            plain = Derived(self.gauge, "claimed")
            core = Derived(0.165 + self.gauge / 4, "default") if self.wound else plain
            object.__setattr__(self, "core", core)
        number("a string's core", self.core, 0.1, self.gauge)
        if not self.wound and self.core != self.gauge:
            thing = "a plain string's core"
            raise InputError(thing, self.core, "its gauge", "Say wound=True, or leave core out.")
        if self.unit_mass is None or isinstance(self.unit_mass, Derived):
            object.__setattr__(self, "unit_mass", self._mass())
        thing = "a string's unit mass"
        number(thing, self.unit_mass, above=0, high=0.2, remedy="unit mass is kg per metre")
        frequency(self.pitch)

    def _mass(self) -> Size:
        core = STEEL * self.core_area * 1e-6
        if not self.wound:
            return Derived(core, "claimed")
        assert self.core is not None
        mass = core + wrap_mass(self.gauge, self.core)
        return Derived(mass, "default", MASS_ESTIMATE * mass)

    @cached_property
    def frequency(self) -> float:
        """Open pitch in Hz."""
        return frequency(self.pitch)

    @property
    def core_guessed(self) -> bool:
        """Whether the core of a wound string is an estimate from its outside."""
        return self.wound and getattr(self.core, "origin", "") == "default"

    @cached_property
    def core_area(self) -> float:
        """Area in mm2 of the wire that carries the pull."""
        assert self.core is not None
        return math.pi / 4.0 * self.core**2


def wrap_mass(gauge: float, core: float) -> float:
    """Mass in kg/m of one close layer of round wire wound on `core` mm up to `gauge` mm outside.

    Each turn advances one wire diameter w, so a turn is hypot(pi (core + w), w) long."""
    wire = (number("gauge", gauge, above=0) - number("core", core, above=0, high=gauge)) / 2.0
    if wire == 0.0:
        return 0.0
    turn = math.hypot(math.pi * (core + wire), wire)
    return WRAP * math.pi / 4.0 * wire**2 * turn / wire * 1e-6


def wire_strength(diameter: float) -> float:
    """MPa at which music wire of `diameter` mm breaks, at least: 2211 / d^0.145 (ASTM A228, 0.1 to
    6.5 mm: Shigley's Mechanical Engineering Design, table 10-4, from memory)."""
    strength: float = 2211.0 / number("a wire's diameter", diameter, above=0) ** 0.145
    return strength


def tension(string: String, scale: float) -> float:
    """N of an open string of `scale` mm at its pitch: T = mu (2 L f)^2 (Mersenne, Taylor)."""
    if not isinstance(string, String):
        raise InputError("a string", string, "a String(...)")
    assert string.unit_mass is not None
    return string.unit_mass * (2.0 * scale_length(scale) / 1000.0 * string.frequency) ** 2


@declared()
def strings(
    gauges: Annotated[
        tuple[Text | Annotated[float, mm(0.15, 6.0), GAUGES] | String, ...], Count(1, 36)
    ],
    pitches: Annotated[tuple[Pitch, ...], Count(1, 36)] | None = None,
) -> tuple[String, ...]:
    """A set from treble to bass, as sets are sold: `strings((".010", ".013", ".017", ".026w",
    ...))`.

    Text is inches, with "w" for a wound string; a number is the mm of a plain one; a ready `String`
    is kept with its own pitch. Without `pitches`, the usual tuning for that number of strings:
    4 and 5 are basses, 6 to 8 guitars, 12 a guitar of six pairs."""
    given: Sequence[str | float | None] | None = pitches
    if given is None:
        given = _TUNINGS.get(len(gauges))
        if given is None and not all(isinstance(g, String) for g in gauges):
            allowed = "4 to 8, or 12, when no pitches are given"
            raise InputError("the number of strings", len(gauges), allowed, "Give pitches.")
        given = given or (None,) * len(gauges)
    if len(given) != len(gauges):
        raise InputError("pitches", given, f"one for each of the {len(gauges)} strings")
    return tuple(_string(gauge, pitch) for gauge, pitch in zip(gauges, given, strict=True))


def _string(gauge: Any, pitch: Any) -> String:
    if isinstance(gauge, String):
        return gauge
    if not isinstance(gauge, str):
        return String(gauge, pitch=pitch)
    found = _GAUGE.fullmatch(gauge)
    if not found:
        thing = "a string gauge"
        raise InputError(thing, gauge, 'inches such as ".010", or ".026w" for a wound string')
    size, wound = found.groups()
    return String(MM_PER_INCH * float(size), bool(wound), pitch=pitch)


def spread_positions(
    gauges: tuple[float, ...],
    spread: float,
    equal: str = "gaps",
    courses: tuple[int, ...] = (),
    pair: float = 0.0,
) -> tuple[float, ...]:
    """y in mm of each string's centre, string 1 (treble) first at -spread/2, the last at +spread/2.

    `spread` is outer centre to outer centre. `equal="gaps"` leaves equal air between neighbouring
    edges, `equal="centres"` equal distances between centres. Where strings stand in `courses`, so
    many in each, those of one are `pair` mm apart from centre to centre, and what is equal is the
    air between courses, or the distances between their middles. Raises InputError for fewer than
    two strings, for courses of another number, or when the strings do not fit."""
    if not isinstance(gauges, (tuple, list)) or len(gauges) < 2:
        raise InputError("the gauges to spread", gauges, "two or more strings")
    for gauge in gauges:
        number("a string's gauge", gauge, above=0)
    number("the string spread", spread, above=0)
    if equal not in ("gaps", "centres"):
        raise InputError("equal", equal, '"gaps" or "centres"')
    within = same_course(len(gauges), courses)
    thick = [(left + right) / 2.0 for left, right in zip(gauges, gauges[1:])]
    touching = max((t for t, inside in zip(thick, within) if inside), default=0.0)
    if touching and pair <= touching:
        thing, allowed = "the strings of a course", f"more than {touching:g} mm, where they touch"
        raise InputError(thing, float(pair), allowed)
    free = [t for t, inside in zip(thick, within) if not inside]
    room = spread - pair * (len(thick) - len(free))
    wood = (sum if equal == "gaps" else _widest)(free)
    if room <= wood:
        thing, least = "the string spread", spread - room + wood
        raise InputError(thing, float(spread), f"more than {least:g} mm, where strings touch")
    if equal == "centres":
        return even_centres(len(gauges), spread, courses, pair)
    gap = (room - wood) / max(len(free), 1)
    places = [-spread / 2.0]
    for t, inside in zip(thick[:-1], within):
        places.append(places[-1] + (pair if inside else gap + t))
    return (*places, spread / 2.0)


def _widest(free: Sequence[float]) -> float:
    return len(free) * max(free, default=0.0)


def same_course(count: int, courses: Sequence[int]) -> list[bool]:
    """Whether each string and the next stand in one course.

    Raises InputError where the courses are not so many strings, or are one alone."""
    if courses and (sum(courses) != count or len(courses) < 2):
        thing, allowed = "the courses of strings", f"two or more, of {count} strings in all"
        raise InputError(thing, tuple(courses), allowed, "say how many strings each course has")
    owner = [k for k, many in enumerate(courses or (1,) * count) for _ in range(many)]
    return [one == two for one, two in zip(owner, owner[1:])]


def even_centres(
    count: int, spread: float, courses: tuple[int, ...] = (), pair: float = 0.0
) -> tuple[float, ...]:
    """y in mm of `count` strings from -spread/2 to +spread/2, treble first: at equal distances, or
    in `courses` whose middles are at equal distances, `pair` mm from string to string within one.

    Raises InputError where the courses are not so many strings, or cross."""
    if count == 1:
        return (0.0,)
    within = same_course(count, courses)
    spaces = count - 1
    if not courses:
        return tuple(spread * ((2 * i - spaces) / (2 * spaces)) for i in range(count))
    halves = [(many - 1) * pair / 2.0 for many in courses]
    first, last = halves[0] - spread / 2.0, spread / 2.0 - halves[-1]
    step = (last - first) / (len(courses) - 1)
    found = tuple(
        first + k * step + (2 * i + 1 - many) * pair / 2.0
        for k, many in enumerate(courses)
        for i in range(many)
    )
    if any(inside and two <= one for inside, one, two in zip(within, found, found[1:])):
        raise InputError("the strings of a course", float(pair), "more than 0 mm apart")
    if any(two <= one for one, two in zip(found, found[1:])):
        thing, allowed = "the strings of a course", "courses that do not reach into each other"
        raise InputError(thing, float(pair), allowed, "use a smaller pair or a wider spread")
    return found
