"""Screws in wood: what they hold, what to drill for them, how far from an edge. N and mm inside.

Sources: Wood Handbook (USDA FPL-GTR-190, 2010) ch. 8 and, where a function says NDS, the National
Design Specification for Wood Construction (2018). The ultimate forms are test averages; the NDS forms
are allowable loads. Figures marked "from memory" were not read in their source.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.errors import InputError, number
from bodycad.units import MM_PER_INCH

N_PER_LB = 4.4482216152605
SCREW = 108.25
"""15,700 lb,in in N,mm: withdrawal of wood screws, ultimate."""
LAG = 125.4
"""8,100 lb,in in N,mm: withdrawal of lag screws, ultimate."""
END_GRAIN = 0.75
"""Share of the side-grain withdrawal that is left in end grain: Wood Handbook ch. 8 for lag screws;
for wood screws from memory. Avoid end grain."""
ROOT_SHARE = 2.0 / 3.0
"""Root over thread diameter of a cut wood screw: Wood Handbook ch. 8."""
PILOT_SHARE = 0.9 * ROOT_SHARE
"""Pilot over thread diameter: 90 % of the root in hardwood (Wood Handbook ch. 8)."""
HEAD_SHARE = 2.0
"""Head over thread diameter of a countersunk wood screw (common practice, no source)."""
_NDS = {"screw": (2850.0, 2.0, 1.0), "lag": (1800.0, 1.5, 0.75), "nail": (1380.0, 2.5, 1.0)}
_LATERAL = {  # N/mm2 by least and greatest specific gravity; Wood Handbook table 8-4, from memory
    True: ((0.33, 0.47, 23.17), (0.48, 0.56, 31.99), (0.57, 0.74, 44.13)),
    False: ((0.29, 0.42, 23.30), (0.43, 0.47, 29.79), (0.48, 0.52, 36.40)),
}
_ROOTS = {  # inches by screw number
    "cut": {4: 0.075, 6: 0.094, 8: 0.112, 10: 0.130},  # measured average of cut threads
    "rolled": {6: 0.113, 8: 0.131, 10: 0.152},  # NDS appendix L3; 6 and 8 from memory
}


def _gravity(value: float) -> float:
    return number("a specific gravity", value, 0.05, 1.4)


def _length(thing: str, value: float) -> float:
    return number(thing, value, low=0.0)


def screw_withdrawal(gravity: float, diameter: float, length: float) -> float:
    """N at which a wood screw draws out of side grain: 108.25 G^2 D L (Wood Handbook ch. 8).

    diameter: of the thread outside, mm; length: of thread in the wood, mm; gravity: at 12 % volume.
    """
    return (
        SCREW
        * _gravity(gravity) ** 2
        * _length("a screw's diameter", diameter)
        * _length("a thread's length", length)
    )


def lag_withdrawal(gravity: float, diameter: float, length: float) -> float:
    """N at which a lag screw draws out of side grain: 125.4 G^1.5 D^0.75 L (Wood Handbook ch.
    8)."""
    return (
        LAG
        * _gravity(gravity) ** 1.5
        * _length("a lag screw's diameter", diameter) ** 0.75
        * _length("a thread's length", length)
    )


def allowable_withdrawal(kind: str, gravity: float, diameter: float) -> float:
    """N per mm of thread (nail: of shank) that NDS allows in side grain, normal duration.

    kind: "screw" 2850 G^2 D, "lag" 1800 G^1.5 D^0.75 or "nail" 1380 G^2.5 D, lb per inch with D in
    inches."""
    if kind not in _NDS:
        raise InputError("a fastener", kind, ", ".join(_NDS))
    factor, power, thick = _NDS[kind]
    inches = number("a fastener's diameter", diameter, above=0.0) / MM_PER_INCH
    return factor * _gravity(gravity) ** power * inches**thick * N_PER_LB / MM_PER_INCH


def lateral_limit(gravity: float, diameter: float, hardwood: bool = True) -> float:
    """N across a wood screw at the proportional limit: K D^2 (Wood Handbook table 8-4, from
    memory).

    Needs seven diameters of screw in the far piece. Between two rows of the table the lower counts;
    InputError when the gravity lies outside it.
    """
    rows = _LATERAL[bool(hardwood)]
    number("a specific gravity for the lateral load of a screw", gravity, rows[0][0], rows[-1][1])
    factor = [k for low, _, k in rows if gravity >= low][-1]
    return factor * number("a screw's diameter", diameter, above=0.0) ** 2


def screw_diameter(gauge: int) -> float:
    """Thread diameter in mm of an inch screw number: 0.060 + 0.013 N inches."""
    return MM_PER_INCH * (0.060 + 0.013 * number("a screw number", gauge, 0, 24))


def root_diameter(gauge: int, table: str) -> float:
    """Root diameter in mm of an inch screw number. The two tables in use do not agree: "cut"
    (measured average of cut threads) and "rolled" (NDS appendix L3); say which you used."""
    if table not in _ROOTS:
        raise InputError("a table of root diameters", table, ", ".join(_ROOTS))
    if gauge not in _ROOTS[table]:
        raise InputError(
            f"a screw number in the {table} table", gauge, ", ".join(map(str, _ROOTS[table]))
        )
    return MM_PER_INCH * _ROOTS[table][gauge]


@dataclass(frozen=True)
class Pilot:
    """Holes for a wood screw, mm: `thread` in the piece that is gripped (0: none needed), `shank`
    in the piece that is clamped, and the rule they came from."""

    thread: float
    shank: float
    rule: str


def pilot(gravity: float, root: float, shank: float, load: str = "withdrawal") -> Pilot:
    """The holes by rule (NDS as summarised in the Building Design and Construction Handbook).

    withdrawal: 90 % of the root for G of 0.6 and more, 70 % between 0.5 and 0.6, none needed up to
    0.5. lateral: root and shank for G of 0.6 and more, else 7/8 of each. `root` is the caller's;
    see `root_diameter`. A 70 % pilot "in hardwoods", as often repeated, is the rule for 0.5 to 0.6
    only."""
    g = _gravity(gravity)
    number("a screw's root", root, above=0.0)
    number("a screw's shank", shank, low=root)
    if load == "withdrawal":
        share = 0.9 if g >= 0.6 else 0.7 if g > 0.5 else 0.0
        return Pilot(
            share * root,
            shank,
            f"{share:.0%} of a {root:.2f} mm root for pull along the screw, G {g:g}",
        )
    if load == "lateral":
        share = 1.0 if g >= 0.6 else 0.875
        return Pilot(
            share * root,
            share * shank,
            f"{share:.1%} of a {root:.2f} mm root for load across the screw, G {g:g}",
        )
    raise InputError("a screw's load", load, "withdrawal, lateral")


@dataclass(frozen=True)
class Spacing:
    """Advice in mm: axis to edge, axis to a loaded and an unloaded end, screw to screw along and
    across the grain, and between rows; with its source."""

    edge: float
    end_tension: float
    end_compression: float
    pitch_along: float
    pitch_across: float
    rows: float
    source: str


def spacing(diameter: float, prebored: bool = True) -> Spacing:
    """Edge, end and spacing advice for wood screws: a commentary table, from memory (NDS itself
    only asks for "sufficient to prevent splitting" under 1/4 inch). Advice, no limit."""
    d = number("a screw's diameter", diameter, above=0.0)
    factors = (2.5, 10, 5, 10, 5, 3) if prebored else (2.5, 15, 10, 15, 10, 5)
    return Spacing(*(f * d for f in factors), "NDS commentary table for wood screws, from memory")


def axial_spacing(diameter: float) -> Spacing:
    """The same for screws pulled along their axis: an ICC-ES evaluation report (ESR-4948 table 6)
    for large screws: end 10 D, edge 4 D, spacing 7 D, rows 5 D."""
    d = number("a screw's diameter", diameter, above=0.0)
    return Spacing(
        4 * d, 10 * d, 10 * d, 7 * d, 7 * d, 5 * d, "ICC-ES ESR-4948 table 6, axial loading"
    )
