"""Where tabs hold a piece in its blank while its outline is cut through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeGuard

import numpy as np

from bodycad.checks.order.jobs import followed
from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.along import places_along
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.profile import Point, Profile, trusted
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Edge, Ledge
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.cuts import OUTLINE, Cut, cuts
from bodycad.shop import Shop
from bodycad.words import Face

APART = 3.0
"""Places that are looked at stand so far apart along the outline, mm."""
GENTLE = 50.0
"""A tab stands where the outline is straight or no rounder than this radius, mm, so that it is
sawn off and filed flush (common practice, no source); on a rounder piece at its gentlest places,
none rounder than the tab is wide."""
HOLDING = 2
"""So many tabs hold a piece: with fewer, it turns (common practice, no source)."""
CLEAR = 10.0
"""How far a tab keeps from every cut that comes near the edge, from pins and from corners, mm
(common practice, no source)."""
FIRM = 0.5
"""A tab stands where at least this share of the piece's thickness is left at its edge (common
practice, no source)."""
BEHIND = 10.0
"""As deep is the wood behind a tab, square to the outline and to both sides, mm (common practice,
no source)."""
SPACED = 40.0
"""No two tabs stand nearer than this along the outline, mm: a small cover gets fewer."""
LOOSE = "no tab holds it: tape or screw it down before it is cut through"
"""What is said of a piece that no tab holds."""
BITE, OVER = 0.5, 0.5
"""How far a tab is drawn into the piece, and past the cutter's way, mm."""


@dataclass(frozen=True, eq=False)
class Tab:
    """Wood that stays across the cutter's way round the outline: within `region`, in the piece's
    own frame, the cutter goes no deeper than `depth` mm under the face. height: of what all other
    cuts leave of the tab; stands: its height when the outline is cut, as it is sawn, with what edge
    and contours of the other face take only then. at: its middle on the outline."""

    piece: str
    face: Face
    region: Region
    depth: float
    height: float
    stands: float
    at: Point


def how_high(own: Sequence[Tab]) -> str:
    """How high tabs stand when they are sawn, in words, and why that is more than the shop asks."""
    heights = sorted({f"{tab.stands:.4g}" for tab in own}, key=float)
    said = f"{' to '.join(dict.fromkeys((heights[0], heights[-1])))} mm high as they are sawn"
    later = any(tab.stands > tab.height for tab in own)
    least = f"{own[0].height:g} mm of that lie under what the other face loses later"
    return f"{said} ({least})" if later else said


def tabs(layout: Layout) -> tuple[Tab, ...]:
    """The tabs of every outline that is cut through, as many as the shop asks for where there are
    places for them, spread round it."""
    return remembered(layout, ("making", "tabs"), lambda: _all(layout))


def loose(layout: Layout, piece: Workpiece, face: Face) -> bool:
    """Whether a piece comes off its blank as its outline is cut through from a face: no tab stands
    there."""
    through = face is piece.faces[-1] and face in piece.outline_cuts
    return through and not any(t.piece == piece.id and t.face is face for t in tabs(layout))


def _all(layout: Layout) -> tuple[Tab, ...]:
    pieces = {piece.id: piece for piece in layout.pieces}
    found = list[Tab]()
    for cut in cuts(layout):
        piece = pieces[cut.piece]
        if cut.operation == OUTLINE and cut.face is piece.faces[-1] and layout.shop.tabs:
            found += _tabs(piece, cut, layout.shop)
    return tuple(found)


def _tabs(piece: Workpiece, cut: Cut, shop: Shop) -> list[Tab]:
    s, width = piece.skin.outline.segments, shop.tab_width
    points, ahead, along = _places(s)
    far = _gone(piece, cut.face.opposite, points)
    near = _gone(piece, cut.face, points)
    sooner = _gone(piece, cut.face.opposite, points, flat=True)
    reach = piece.thickness - (piece.outline_cuts.get(cut.face.opposite) or 0.0)
    left = np.minimum(piece.thickness - far, reach) - near
    good = left >= FIRM * piece.thickness if len(piece.outline_cuts) == 1 else left > 0.0
    diameter = cut.tool.diameter if hasattr(cut.tool, "diameter") else 0.0
    good &= _deep(piece, points, ahead) & _clear_of(piece, points, width / 2.0 + CLEAR)
    if piece.neck is not None:
        good &= piece.neck.signed_distance(points) >= diameter + width / 2.0 + CLEAR
    picked, tight = _gentlest(s, along, good, shop)
    sag = tight - math.sqrt(tight**2 - width**2 / 4.0)
    found = []
    for k in picked:
        height = min(shop.tab_height, piece.thickness / 2.0)
        bottom = min(piece.thickness - float(far[k]), reach)
        depth = round(bottom - height, 2)
        stands = round(min(piece.thickness - float(sooner[k]), reach) - depth, 2)
        shape = _across(points[k], ahead[k], width, diameter, sag)
        at = float(points[k, 0]), float(points[k, 1])
        found.append(Tab(piece.id, cut.face, Region(shape), depth, height, stands, at))
    return found


def _places(s: Segments) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (m, 2) along the outline, the way ahead there, and how far along each lies."""
    far = np.arange(0.0, float(s.length.sum()), APART)
    own, share = places_along(s, far)
    return own.at(share), own.tangent(share), far


def _gone(piece: Workpiece, face: Face, points: np.ndarray, flat: bool = False) -> np.ndarray:
    """How far (m,) under a face the wood begins at points on the outline once that face is worked:
    its contours and its ledges, not a bit's edge. flat: while it lies flat in its blank, where no
    contour is carved, nor a ledge cut that follows one."""
    skin = piece.skin
    deep = np.zeros(len(points)) if flat else skin.fall(face, points)

    def ledge(edge: Edge | None) -> TypeGuard[Ledge]:
        return isinstance(edge, Ledge) and not (flat and followed(piece, face, edge))

    edge = skin.edge(face)
    if ledge(edge):
        deep = np.maximum(deep, edge.height + (deep if edge.follows else 0.0))
    for run in skin.runs(face):
        if ledge(run.edge):
            near = run.inset(points) < 1e-6
            deep = np.where(near, np.maximum(deep, run.edge.height + deep), deep)
    return deep


def _gentlest(
    s: Segments, along: np.ndarray, good: np.ndarray, shop: Shop
) -> tuple[list[int], float]:
    """Which of the good places tabs take, and the radius that the outline is no rounder than there,
    mm: `GENTLE`, or the greatest that leaves room for enough of them."""
    width, found, total = shop.tab_width, list[int](), float(s.length.sum())
    rounder = {round(float(r), 6) for r in s.radius[s.arc] if width <= r < GENTLE}
    tight = max(GENTLE, width)
    for radius in (tight, *sorted(rounder, reverse=True)):
        here = good & _gentle(s, along, width / 2.0 + APART, radius - 1e-5)
        chosen = np.flatnonzero(here)[_spread(along[here], total, shop.tabs)].tolist()
        if len(chosen) > len(found):
            found, tight = chosen, radius
        if len(found) >= min(HOLDING, shop.tabs):
            break
    return found, tight


def _gentle(s: Segments, along: np.ndarray, half: float, radius: float) -> np.ndarray:
    """Whether the outline is no rounder than a radius for `half` mm to both sides of each place."""
    ends = np.cumsum(s.length)
    arriving, leaving = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    turn = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    spans = [
        (float(end - length), float(end))
        for end, length, tight in zip(ends, s.length, s.arc & (s.radius < radius))
        if tight
    ]
    spans += [(float(end), float(end)) for end, kink in zip(ends, np.abs(turn) > 0.02) if kink]
    good = np.ones(len(along), bool)
    total = float(ends[-1])
    for low, high in spans:
        for shift in (-total, 0.0, total):
            good &= ~((along > low + shift - half) & (along < high + shift + half))
    return good


def _deep(piece: Workpiece, points: np.ndarray, ahead: np.ndarray) -> np.ndarray:
    """Whether the wood behind each place is deep in plan: not a horn's tip, nor a narrow neck."""
    within = points + BEHIND * np.column_stack([-ahead[:, 1], ahead[:, 0]])
    return piece.skin.inset(within) >= BEHIND - 1.0


def _clear_of(piece: Workpiece, points: np.ndarray, least: float) -> np.ndarray:
    """Whether each place is at least `least` mm from every cut and pin in plan."""
    good = np.ones(len(points), bool)
    for void in piece.voids:
        x0, y0, x1, y1 = void.shape.plan.box
        near = np.all((points > (x0 - least, y0 - least)) & (points < (x1 + least, y1 + least)), 1)
        good[near] &= void.shape.plan.signed_distance(points[near]) >= least
    for pin in piece.blank.pins if piece.blank is not None else ():
        away = np.hypot(points[:, 0] - pin.x, points[:, 1] - pin.y)
        good &= away >= least + pin.diameter / 2.0
    return good


def _spread(along: np.ndarray, total: float, most: int) -> list[int]:
    """The places that lie nearest to as many even steps round the outline, the first step where
    they fit best; fewer where two would come too near each other."""
    if not len(along):
        return []
    count = max(min(most, int(total // SPACED)), 1)
    best: tuple[float, list[int]] = (math.inf, [])
    for phase in np.linspace(0.0, total / count, 16, endpoint=False):
        want = (phase + total / count * np.arange(count)) % total
        off = np.abs(along[None, :] - want[:, None])
        off = np.minimum(off, total - off)
        pick = off.argmin(axis=1)
        worst = float(off.min(axis=1).max())
        if worst < best[0]:
            best = worst, pick.tolist()
    kept: list[int] = []
    for k in best[1]:
        gaps = [abs(float(along[k] - along[j])) for j in kept]
        if all(min(gap, total - gap) >= SPACED for gap in gaps):
            kept.append(k)
    return kept


def _across(
    at: np.ndarray, ahead: np.ndarray, width: float, diameter: float, sag: float
) -> Profile:
    """The plan of a tab: across the way of a cutter that runs round the outline, which leaves its
    tangent by at most `sag` mm within the tab."""
    out = np.array([ahead[1], -ahead[0]])
    low, high = -BITE - sag, diameter + OVER + sag
    corners = (
        at + side * width / 2.0 * ahead + away * out
        for side, away in ((-1, low), (-1, high), (1, high), (1, low))
    )
    return trusted([(float(x), float(y)) for x, y in corners], "a tab")
