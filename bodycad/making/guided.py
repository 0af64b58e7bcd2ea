"""What guides a hand router along a template: a bush and a cutter, or a bit with a bearing.

A bush of diameter B round a cutter of diameter c keeps the cutter (B - c) / 2 off the template: an
opening is larger all round by that, an outside template smaller. A disc of the bush's size that
rolls along such a template leads the cutter along the wanted line as long as no inside corner of
the cut is tighter than the cutter, and no wood that stands out into it is rounder than (B - c) / 2.

A bearing is as wide as its cutter and needs no offset, but it stands over the flutes: it must still
touch the template when the first pass is cut. A bit with flutes of length L whose tip is d mm deep
has its bearing L - d over the face, and the template reaches its own thickness over it. Deeper the
bearing runs on the wall just cut, and with the template off on nothing else. That wall begins under
the face where a wider cut took the wood away before, and between it and the template a bearing
hangs in the air.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.order.rules import BEARING
from bodycad.geometry.plane.offset import offset_regions
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.geometry.solids.skin import Skin
from bodycad.guides import GuideBush
from bodycad.shop import Shop

CONTACT = 2.0
"""A bearing rides on at least so much of a template or of a wall, mm (common practice, no
source)."""
BUSH_OVER = 0.5
"""A bush ends so far over the wood under its template, mm (common practice, no source)."""
FINEST = 3.0
"""Radius of the finest bearing bits, mm (common practice, no source)."""
NIL = 1e-6
EATEN = 1e-3
"""An area that is taken or left by rounding alone, mm2."""


@dataclass(frozen=True, eq=False)
class Track:
    """One line that a router follows: `plan` in the piece's own frame; it runs inside, or round it
    where `outside`. skin: corners outside this do not matter, for there is no wood. wall: how far
    under the plain face the wood beside it begins, where cuts made before took it away, mm."""

    plan: Profile
    outside: bool = False
    skin: Skin | None = None
    wall: float = 0.0

    def _in_wood(self, corners: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        points, radii = corners
        if self.skin is None or not len(points):
            return points, radii
        kept = self.skin.inset(points) > 0.0
        return points[kept], radii[kept]

    @property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Points (n, 2) and radii (n,) of the corners that the cutter must turn in wood."""
        plan = self.plan
        return self._in_wood(plan.outside_corners if self.outside else plan.inside_corners)

    @property
    def noses(self) -> bool:
        """Whether wood stands out into the cut."""
        plan = self.plan
        return len((plan.inside_corners if self.outside else plan.outside_corners)[0]) > 0

    def line(self, off: float) -> Profile | None:
        """The template's own line `off` mm away; None where it is not one chain."""
        found = offset_regions(self.plan, -off if self.outside else off)
        return found[0].outer if len(found) == 1 and not found[0].holes else None

    def passable(self, cutter: float) -> bool:
        """Whether a cutter of that diameter comes to every place in one run."""
        half = cutter / 2.0
        x0, y0, x1, y1 = self.plan.box
        if not self.noses and (self.outside or min(x1 - x0, y1 - y0) > 2.0 * cutter):
            return True  # bulges everywhere, and is wide
        found = offset_regions(self.plan, half if self.outside else -half)
        return len(found) == 1 and not found[0].holes

    def eaten(self, off: float) -> float:
        """Area of the wood that a bush `off` mm wider than its cutter lets the cutter take, mm2."""
        if off <= NIL or not self.noses:
            return 0.0
        line = self.line(off)
        if line is None:
            return math.inf
        back = offset_regions(line, off if self.outside else -off)
        return abs(sum(one.area for one in back) - self.plan.area)


@dataclass(frozen=True)
class Step:
    """What one bit does of a template's work.

    bit: its words. on: whether the router stands on the template, or on the bare face after the
    template was taken off, so that the bearing follows the wall just cut. start, end: depths of the
    tip under the plain face when it begins and ends, mm. setting: from the router's base to the tip
    at the end. once: the most of one pass, mm. bored: the waste must be bored out down to `start`
    first. hung: the lower ends of its bearing at `start` and `end`, mm under the face; None for a
    bush. wedged: the template is wedged up, and `end` counts square to it as it then lies."""

    bit: str
    on: bool
    start: float
    end: float
    setting: float
    once: float
    bored: bool = False
    hung: tuple[float, float] | None = None
    wedged: bool = False


@dataclass(frozen=True, eq=False)
class Guide:
    """How a router is led.

    cutter: its diameter. bush: None for a bearing. sheet: thickness of the template. depth: of the
    cut under the plain face. steps: what cuts it. tight: corners (x, y, radius) that the cutter
    leaves. narrow: a place is too narrow for the cutter. eaten: area of wood that the bush lets the
    cutter take, mm2. packing: how thick what the template lies on is, mm."""

    cutter: float
    bush: GuideBush | None
    sheet: float
    depth: float
    steps: tuple[Step, ...]
    tight: tuple[tuple[float, float, float], ...] = ()
    narrow: bool = False
    eaten: float = 0.0
    packing: float = 0.0

    @property
    def off(self) -> float:
        """How far the template stands off the line of the cut, mm."""
        return (self.bush.outside - self.cutter) / 2.0 if self.bush else 0.0

    @property
    def reached(self) -> float:
        """How deep its bits come, mm."""
        return self.steps[-1].end if self.steps else 0.0

    @property
    def short(self) -> float:
        """How much of the depth no bit on hand reaches, mm."""
        return max(self.depth - self.reached, 0.0)

    @property
    def perfect(self) -> bool:
        """Whether it cuts what is drawn, all of it and no more."""
        return not (self.tight or self.narrow or self.eaten > EATEN or self.short > NIL)


def choose(
    tracks: Sequence[Track], depth: float, shop: Shop, packing: float | None = None
) -> Guide | None:
    """The guide for tracks of one depth along one template: the first that cuts all that is drawn
    and no more, on the first sheet that will do; else the one that leaves least and takes no wood
    that is to stay. Bearings come before bushes, for their templates are at size, wide cutters
    before narrow ones, small bushes before large ones. None where none can be used. packing: how
    thick what the template lies on is, mm; it then stays on to the end, for without it the router
    does not lie level with it."""
    rest, wall = list[Guide](), max(track.wall for track in tracks)
    for sheet in shop.template_thickness:
        for cutter, bush in _pairs(shop, sheet):
            steps = tuple(_steps(shop, (cutter, bush), sheet, depth, wall, packing))
            tight = tuple(_tight(tracks, cutter))
            made = Guide(cutter, bush, sheet, depth, steps, tight, packing=packing or 0.0)
            if made.perfect:
                made = _judged(made, tracks)
                if made.perfect:
                    return made
            rest += [made] if steps else []
    judged = (_judged(one, tracks) for one in rest)
    return min((one for one in judged if not one.eaten > EATEN), key=_worse, default=None)


def wanted(tracks: Sequence[Track], depth: float, shop: Shop, packing: float | None = None) -> str:
    """What would do where nothing on hand does: a cutter of the shop's that reached farther, or a
    bearing bit that comes into the tightest corner; "" where that is finer than there are. packing:
    as `choose` has it."""
    sheet = min(shop.template_thickness)
    high = sheet + (packing or 0.0)
    for cutter, bush in _pairs(shop, sheet):
        made = Guide(cutter, bush, sheet, 0.0, (), tuple(_tight(tracks, cutter)))
        if bush is not None and made.perfect and _judged(made, tracks).perfect:
            return f"a {cutter:g} mm cutter that reaches {depth + high:.1f} would do it"
    least = min((radius for track in tracks for radius in track.corners[1].tolist()), default=0.0)
    if least < FINEST:
        return ""
    reach = depth if packing is None else depth + high
    return f"a bearing bit of {2.0 * least:.2f} mm or less that reaches {reach:.1f} would do it"


def _worse(one: Guide) -> tuple[bool, bool, float, int, float]:
    """The less, the better: whole before shallow, then the narrow cutter, which leaves least."""
    return one.narrow, one.short > NIL, round(one.short, 6), len(one.tight), one.cutter


def _pairs(shop: Shop, sheet: float) -> Iterator[tuple[float, GuideBush | None]]:
    """Cutters and what leads them, the first choice first."""
    for cutter in sorted({bit.diameter for bit in shop.bearing_bits}, reverse=True):
        yield cutter, None
    for cutter in sorted({one.diameter for one in shop.flat_cutters}, reverse=True):
        for bush in sorted(shop.bushes, key=lambda bush: (bush.outside, bush.length)):
            if bush.passes(cutter) and bush.length <= sheet - BUSH_OVER + NIL:
                yield cutter, bush


def _tight(tracks: Sequence[Track], cutter: float) -> Iterator[tuple[float, float, float]]:
    """The corners that a cutter leaves."""
    for track in tracks:
        points, radii = track.corners
        for (x, y), radius in zip(points.tolist(), radii.tolist()):
            if radius < cutter / 2.0 - NIL:
                yield x, y, radius


def _judged(one: Guide, tracks: Sequence[Track]) -> Guide:
    """With the places that are too narrow for its cutter, and the wood that its bush lets it
    take."""
    eaten = max(track.eaten(one.off) for track in tracks)
    narrow = not all(track.passable(one.cutter) for track in tracks)
    return replace(one, narrow=narrow, eaten=eaten)


@dataclass(frozen=True)
class _Option:
    """A bit, whether the router stands on the template, the depths between which the tip can work,
    and the most of one pass. flutes: their length under its bearing, mm; None for a bush."""

    bit: str
    on: bool
    begin: float
    end: float
    once: float
    flutes: float | None = None


Led = tuple[float, GuideBush | None]
"""A cutter's diameter and the bush round it; None for a bearing."""


def _options(
    shop: Shop, led: Led, sheet: float, depth: float, wall: float, packing: float | None
) -> Iterator[_Option]:
    (cutter, bush), under = led, packing or 0.0
    high = sheet + under
    if bush is not None:
        reach = max(one.reach for one in shop.flat_cutters if one.diameter == cutter)
        words = f"{cutter:g} mm cutter in the {bush.outside:g} mm bush"
        yield _Option(words, True, 0.0, min(depth, reach - high), shop.pass_depth * cutter)
    for bit in shop.bearing_bits:
        words = f"{bit.diameter:g} x {bit.length:g} mm bearing bit"
        once = min(shop.pass_depth * bit.diameter, bit.length)
        if bush is None and bit.diameter == cutter:
            begin = max(bit.length - high + CONTACT, 0.0)
            end = min(depth, bit.reach - high)
            if under + wall > BEARING - CONTACT:  # it leaves the template before it comes to a wall
                end = min(end, bit.length + BEARING - CONTACT - under)
            yield _Option(words, True, begin, end, once, bit.length)
        if bit.diameter <= cutter and packing is None:
            begin = wall + bit.length + CONTACT
            yield _Option(words, False, begin, min(depth, bit.reach), once, bit.length)


def _steps(
    shop: Shop, led: Led, sheet: float, depth: float, wall: float, packing: float | None
) -> Iterator[Step]:
    """The bits one after the other, as few as will do, until the depth is cut or none goes on."""
    found = _options(shop, led, sheet, depth, wall, packing)
    options = [o for o in found if o.begin <= o.end + NIL]
    done, off = 0.0, False
    while done < depth - NIL:
        able = [o for o in options if o.end > done + NIL and not (off and o.on)]
        if done < wall + CONTACT:
            able = [o for o in able if o.on]  # no wall is cut yet that leads a bearing
        near = [o for o in able if o.begin <= done + o.once + NIL]
        if near:
            best = max(near, key=lambda o: (o.end, o.on, -o.begin))
        elif able:
            best = min(able, key=lambda o: (o.begin, -o.end))
        else:
            return
        off = off or not best.on
        setting = best.end + (sheet + (packing or 0.0) if best.on else 0.0)
        start = max(best.begin, done)
        hung = None if best.flutes is None else (start - best.flutes, best.end - best.flutes)
        yield Step(best.bit, best.on, start, best.end, setting, best.once, not near, hung)
        done = best.end


def spot(point: Point | tuple[float, ...]) -> str:
    """A place in words."""
    return f"({point[0]:.1f}, {point[1]:.1f})"
