"""The pattern of neck screws that resists the string pull best, and what a given pattern resists.

The model is that of `joint-load`: a rigid heel that the strings turn out of the pocket about its
bridge-side end. A screw carries in proportion to its lever u, as `instrument.load.screw_pulls`
shares the moment out, and the pattern resists until the first screw draws out of the neck
(`fasteners.screw_withdrawal`). Clamping, friction and the pocket's walls are left out. The wood
under the ferrules is not in the moment: it is the same for every screw of a joint and `joint-load`
judges it.

That moment alone would crowd the screws at the mouth. Loads the other ways (a push on the back of
the neck, a blow from a side) are no string pull and have no figure here that could be held against
it; they are met by two rules instead: screws stand on both sides of the centreline, and the first
and the last are apart by half the heel's length at least (common practice, no source). The moments
about the heel's other three edges are reported beside the first. Of the patterns that resist most,
the one whose tightest bolt check has most to spare is chosen, to TUNED.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from bodycad.checks.rules.bolts import FAR
from bodycad.checks.rules.joint import neck_species, pull_lever
from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.near import remembered
from bodycad.errors import InputError, number
from bodycad.fasteners import screw_withdrawal
from bodycad.instrument.load import screw_pulls, total_tension
from bodycad.layout.layout import Layout, lay_out
from bodycad.parts.part import with_other_screws
from bodycad.pattern.figures import (
    FIGURES,
    SLACK,
    Kit,
    Option,
    Planned,
    figures,
    floor_of,
    kit_of,
    least_margin,
    spots,
)
from bodycad.pattern.rows import Bounds, Field
from bodycad.pattern.search import TIE, Rule, search
from bodycad.pattern.standing import GRID, Standing, neck_of, own_screws, standing_of
from bodycad.wood import AIR_DRY

COUNTS = (3, 4, 5)
SPAN = 0.5
"""Share of the heel's length that first and last screw are apart, common practice, no source."""
TUNED = 0.01
"""To what the spare of the tightest check is raised among equally strong patterns, mm."""
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
    """One screw: where, with what, the least margin of its own bolt checks (mm), and of which."""

    screw: Planned
    point: tuple[float, float]
    margin: float
    check: tuple[str, str]
    holds: float
    """N at which it draws out of the neck."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """Screws of one neck with what they resist. `margin` (mm) and `check`: the tightest of all
    bolt checks but the joint's squareness; `needed`: the strings' moment, N mm."""

    neck: Neck
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
    def screws(self) -> tuple[Planned, ...]:
        """The screws alone, as a part's `with_screws` takes them."""
        return tuple(stand.screw for stand in self.stands)


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
    length = found.neck.length
    reach = (
        length * SPAN if span is None else number("the span of the neck screws", span, 0.0, length)
    )
    rule = Rule(int(count), both, float(reach))
    key = ("pattern", found.neck.id, found.options, found.grid, strict, rule)
    return remembered(layout, key, lambda: _best(layout, found, rule))


def pattern_of(
    layout: Layout, screws: Sequence[Planned] | None = None, neck: str | None = None
) -> Pattern:
    """What given screws resist (the neck's own without them), and the tightest of their bolt
    checks: how much each has to spare of its failing limit."""
    found = neck_of(layout, neck)
    chosen = own_screws(found) if screws is None else tuple(screws)
    stands = tuple(_stand(layout, found, screw) for screw in chosen)
    tightest = min(((s.margin, s.check) for s in stands), default=(math.inf, BETWEEN))
    apart = _apart(layout, kit_of(layout, found), False)
    for one, two in combinations(chosen, 2):
        wall = math.hypot(one.u - two.u, one.v - two.v) - apart
        tightest = min(tightest, (wall, BETWEEN), key=lambda t: t[0])
    needed = total_tension(layout.instrument) * max(pull_lever(layout, found), 0.0)
    return Pattern(found, stands, _moments(found, stands), needed, *tightest)


def with_screws(layout: Layout, neck: str, screws: Sequence[Planned]) -> Layout:
    """The same body with other screws in a neck; InputError where its part takes none."""
    if layout.left_handed:
        return with_screws(layout.mirrored(), neck, screws).mirrored()
    own = next(p.part for p in layout.placed if p.id == neck)
    part = with_other_screws(own, neck, screws)
    wood = layout.name, layout.blank, layout.skin, layout.instrument
    placed = tuple(replace(p, part=part) if p.id == neck else p for p in layout.placed)
    pieces = [piece for piece in layout.pieces[1:] if not piece.part]
    values, waivers = layout.parameters, layout.waivers
    given = (*wood, placed, layout.links, layout.shop)
    return lay_out(*given, parameters=values, waivers=waivers, pieces=pieces)


def field_of(layout: Layout, found: Standing, spare: float = 0.0) -> Field:
    """The search's field: at each place the strongest option that has `spare` mm to spare."""
    kit = kit_of(layout, found.neck)
    holds = np.array([_holds(found.neck, kit, option) for option in found.options])
    stands = found.stands & (found.margins >= spare - SLACK)
    strength = np.where(stands, holds[:, None, None], -math.inf).max(axis=0)
    return Field(found.u, found.v, strength, _apart(layout, kit, found.strict) + spare - SLACK)


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
    strength = field_of(layout, found, low).strength
    screws = [_screw(layout, found, place, low, float(strength[place])) for place in best.places]
    return pattern_of(layout, sorted(screws, key=lambda s: (-s.u, -s.v)), found.neck.id)


def _screw(
    layout: Layout, found: Standing, place: tuple[int, int], spare: float, strength: float
) -> Planned:
    """The screw at a place: of the strongest options there the one with most to spare."""
    (row, column), kit = place, kit_of(layout, found.neck)
    rank = [
        (
            abs(_holds(found.neck, kit, option) - strength) <= TIE * strength
            and found.stands[k, row, column]
            and found.margins[k, row, column] >= spare - SLACK,
            float(found.margins[k, row, column]),
            -k,
        )
        for k, option in enumerate(found.options)
    ]
    option = found.options[-max(rank)[2]]
    return Planned(float(found.u[row]), float(found.v[column]) + 0.0, option.wood, option.length)


def _holds(neck: Neck, kit: Kit, option: Option) -> float:
    """N at which a screw draws out of the neck."""
    grip = max(round(option.length - kit.sunk - option.wood, 9), 0.0)
    return screw_withdrawal(neck_species(neck.joint)[0].gravity_at(AIR_DRY), kit.thread, grip)


def _apart(layout: Layout, kit: Kit, strict: bool) -> float:
    """Least distance of two screws, mm: their counterbores and the wall between them. Ferrules that
    lie on the back without a counterbore keep it too."""
    return kit.bed + min(floor_of(layout, "bolt-edge", strict), FAR)


def _stand(layout: Layout, neck: Neck, screw: Planned) -> Stand:
    option = Option(float(screw.wood), float(screw.length))
    at = spots(layout, neck, np.array([float(screw.u)]), np.array([float(screw.v)]))
    margin, row = least_margin(layout, next(figures(layout, at, [option])), False)
    x, y = map(float, at.points[0])
    check = FIGURES[int(row[0])][:2]
    return Stand(screw, (x, y), float(margin[0]), check, _holds(neck, at.kit, option))


def _moments(neck: Neck, stands: Sequence[Stand]) -> Moments:
    half = min(neck.widths[0]) / 2.0 if neck.widths else neck.outlines[0].box[3]
    levers = (
        [s.screw.u for s in stands],
        [neck.length - s.screw.u for s in stands],
        [half - s.screw.v for s in stands],
        [half + s.screw.v for s in stands],
    )
    return Moments(*(_resisted(stands, tuple(map(float, arms))) for arms in levers))


def _resisted(stands: Sequence[Stand], levers: tuple[float, ...]) -> float:
    """N mm about an edge at which the first screw draws out."""
    if all(lever <= 0.0 for lever in levers):
        return 0.0
    return min(
        stand.holds / share for stand, share in zip(stands, screw_pulls(1.0, levers)) if share > 0.0
    )
