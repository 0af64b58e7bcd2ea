"""The pattern of neck screws that resists the string pull best, and what a given pattern resists.

The model is that of `joint-load`: a rigid heel that the strings turn out of the pocket about its
bridge-side end. A screw carries in proportion to its lever u, as `instrument.load.screw_pulls` shares
the moment out, and the pattern resists until the first screw draws out of the neck
(`fasteners.screw_withdrawal`). Clamping, friction and the pocket's walls are left out. The wood under
the ferrules is not in the moment: it is the same for every screw of a joint and `joint-load` judges it.

That moment alone would crowd the screws at the mouth. Loads the other ways (a push on the back of the
neck, a blow from a side) are no string pull and have no figure here that could be held against it; they
are met by two rules instead: screws stand on both sides of the centreline, and the first and the last
are apart by half the heel's length at least (common practice, no source). The moments about the heel's
other three edges are reported beside the first. Of the patterns that resist most, the one whose tightest
bolt check has most to spare is chosen, to TUNED.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from bodycad.checks.rules.joint import neck_species, pull_lever
from bodycad.checks.wood.near import remembered
from bodycad.errors import InputError, number
from bodycad.fasteners import screw_withdrawal
from bodycad.instrument.load import screw_pulls, total_tension
from bodycad.layout.layout import Layout, Placed, lay_out
from bodycad.parts.neckjoint import Bolt, NeckJoint
from bodycad.pattern.figures import FIGURES, SLACK, Option, figures, floor_of, least_margin, spots
from bodycad.pattern.rows import Bounds, Field
from bodycad.pattern.search import TIE, Rule, search
from bodycad.pattern.standing import GRID, Standing, joint_of, standing_of
from bodycad.wood import AIR_DRY

COUNTS = (3, 4, 5)
SPAN = 0.5
"""Share of the heel's length that first and last screw are apart, common practice, no source."""
TUNED = 0.01
"""To what the spare of the tightest check is raised among equally strong patterns, mm."""
FAR = 15.0
"""Counterbores farther apart than this are not judged by `bolt-edge`, mm."""
BETWEEN = ("bolt-edge", "the wall between two counterbores")


@dataclass(frozen=True)
class Moments:
    """What a pattern resists before the first screw draws out, N mm: against the string pull (about
    the heel's bridge-side end), a push on the neck's back (about its mouth), and rolls about its
    two sides."""

    pull: float
    back: float
    bass: float
    treble: float


@dataclass(frozen=True)
class Stand:
    """One screw of a pattern: where, with what, the least margin of its own bolt checks (mm) and of
    which."""

    bolt: Bolt
    point: tuple[float, float]
    margin: float
    check: tuple[str, str]
    holds: float
    """N at which it draws out of the neck."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """Screws of one joint with what they resist. `margin` (mm) and `check`: the tightest of all
    bolt checks but the joint's squareness; `needed`: the strings' moment, N mm."""

    placed: Placed
    stands: tuple[Stand, ...]
    moments: Moments
    needed: float
    margin: float
    check: tuple[str, str]

    @property
    def times(self) -> float | None:
        """How many times the strings' moment the pattern resists; None where they have none."""
        return self.moments.pull / self.needed if self.needed > 0.0 else None

    @property
    def bolts(self) -> tuple[Bolt, ...]:
        return tuple(stand.bolt for stand in self.stands)


def best_pattern(
    layout: Layout,
    count: int = 4,
    options: Iterable[Option | tuple[float, float]] | None = None,
    grid: float = GRID,
    neck: str | None = None,
    strict: bool = True,
    span: float | None = None,
    both: bool = True,
) -> Pattern | None:
    """The pattern of `count` screws on the grid that resists the string pull best and passes every
    bolt check, or None where no such pattern stands. Exact on the grid.

    options: (wood, length) in mm that each screw may have; `strict`: no warning either (without it
    only what fails is kept out); `span`: least distance of first and last screw along the heel, mm
    (half the heel without it); `both`: screws on both sides of the centreline."""
    if isinstance(count, bool) or count not in COUNTS:
        raise InputError("the number of neck screws", count, "3, 4 or 5")
    found = standing_of(layout, options, grid, neck, strict)
    joint = found.placed.part
    reach = (
        joint.heel.length * SPAN
        if span is None
        else number("the span of the neck screws", span, 0.0, joint.heel.length)
    )
    rule = Rule(int(count), both, float(reach))
    key = ("pattern", found.placed.id, found.options, found.grid, strict, rule)
    return remembered(layout, key, lambda: _best(layout, found, rule))


def pattern_of(
    layout: Layout, bolts: Sequence[Bolt] | None = None, neck: str | None = None
) -> Pattern:
    """What given screws resist (the joint's own without them), and the tightest of their bolt
    checks: how much each has to spare of its failing limit."""
    placed = joint_of(layout, neck)
    joint: NeckJoint = placed.part
    chosen = tuple(joint.bolts if bolts is None else bolts)
    stands = tuple(_stand(layout, placed, bolt) for bolt in chosen)
    tightest = min(((s.margin, s.check) for s in stands), default=(math.inf, BETWEEN))
    for one, two in combinations(chosen, 2):
        wall = math.hypot(one.u - two.u, one.v - two.v) - _apart(layout, joint, False)
        tightest = min(tightest, (wall, BETWEEN), key=lambda t: t[0])
    needed = total_tension(layout.instrument) * max(pull_lever(layout, placed), 0.0)
    return Pattern(placed, stands, _moments(joint, stands), needed, *tightest)


def with_bolts(layout: Layout, neck: str, bolts: Sequence[Bolt]) -> Layout:
    """The same body with other screws in a joint."""
    if layout.left_handed:
        return with_bolts(layout.mirrored(), neck, bolts).mirrored()
    placed = tuple(
        replace(p, part=replace(p.part, bolts=tuple(bolts))) if p.id == neck else p
        for p in layout.placed
    )
    return lay_out(
        layout.name,
        layout.blank,
        layout.skin,
        layout.instrument,
        placed,
        layout.links,
        layout.shop,
        parameters=layout.parameters,
        waivers=layout.waivers,
        pieces=[piece for piece in layout.pieces[1:] if not piece.part],
    )


def field_of(layout: Layout, found: Standing, spare: float = 0.0) -> Field:
    """The search's field: at each place the strongest option whose checks all have `spare` mm to
    spare."""
    joint: NeckJoint = found.placed.part
    holds = np.array([_holds(joint, option.wood, option.length) for option in found.options])
    stands = found.stands & (found.margins >= spare - SLACK)
    strength = np.where(stands, holds[:, None, None], -math.inf).max(axis=0)
    return Field(found.u, found.v, strength, _apart(layout, joint, found.strict) + spare - SLACK)


def _best(layout: Layout, found: Standing, rule: Rule) -> Pattern | None:
    field = field_of(layout, found)
    bounds = Bounds(field)
    best = search(field, rule, bounds)
    if best is None:
        return None
    low, high = 0.0, max(float(found.margins.max()), 0.0) + TUNED
    while high - low > TUNED:
        spare = (low + high) / 2.0
        other = search(field_of(layout, found, spare), rule, bounds, best.moment, first=True)
        low, high, best = (spare, high, other) if other else (low, spare, best)
    bolts = [
        _bolt(
            found, *place, spare=low, strength=float(field_of(layout, found, low).strength[place])
        )
        for place in best.places
    ]
    return pattern_of(layout, sorted(bolts, key=lambda b: (-b.u, -b.v)), found.placed.id)


def _bolt(found: Standing, row: int, column: int, spare: float, strength: float) -> Bolt:
    """The screw at a place: of the strongest options there the one with most to spare."""
    joint: NeckJoint = found.placed.part
    rank = [
        (
            abs(_holds(joint, o.wood, o.length) - strength) <= TIE * strength
            and found.stands[k, row, column]
            and found.margins[k, row, column] >= spare - SLACK,
            float(found.margins[k, row, column]),
            -k,
        )
        for k, o in enumerate(found.options)
    ]
    option = found.options[-max(rank)[2]]
    return Bolt(float(found.u[row]), float(found.v[column]) + 0.0, option.wood, option.length)


def _holds(joint: NeckJoint, wood: float, length: float) -> float:
    """N at which a screw draws out of the neck."""
    grip = joint.grip(Bolt(0.0, 0.0, wood, length))
    return screw_withdrawal(
        neck_species(joint)[0].gravity_at(AIR_DRY), joint.screw, max(round(grip, 9), 0.0)
    )


def _apart(layout: Layout, joint: NeckJoint, strict: bool) -> float:
    """Least distance of two screws, mm: their counterbores and the wall between them. Ferrules that
    lie on the back without a counterbore keep it too."""
    return (
        joint.ferrule.flange + joint.ferrule.fit + min(floor_of(layout, "bolt-edge", strict), FAR)
    )


def _stand(layout: Layout, placed: Placed, bolt: Bolt) -> Stand:
    at = spots(layout, placed, np.array([float(bolt.u)]), np.array([float(bolt.v)]))
    found = next(figures(layout, placed, at, [Option(float(bolt.wood), float(bolt.length))]))
    margin, row = least_margin(layout, found, False)
    return Stand(
        bolt,
        tuple(map(float, at.points[0])),
        float(margin[0]),
        FIGURES[int(row[0])][:2],
        _holds(placed.part, float(bolt.wood), float(bolt.length)),
    )


def _moments(joint: NeckJoint, stands: Sequence[Stand]) -> Moments:
    half = min(joint.heel.width_end, joint.heel.width_mouth) / 2.0
    levers = (
        [s.bolt.u for s in stands],
        [joint.heel.length - s.bolt.u for s in stands],
        [half - s.bolt.v for s in stands],
        [half + s.bolt.v for s in stands],
    )
    return Moments(*(_resisted(stands, tuple(map(float, arms))) for arms in levers))


def _resisted(stands: Sequence[Stand], levers: tuple[float, ...]) -> float:
    """N mm about an edge at which the first screw draws out."""
    if all(lever <= 0.0 for lever in levers):
        return 0.0
    return min(
        stand.holds / share for stand, share in zip(stands, screw_pulls(1.0, levers)) if share > 0.0
    )
