"""The shaped part of a face as a grid of depths under the plain one: contours, and edges that no
bit of the shop cuts.

Nothing with an upright wall is in it: a grid would make a slope of it. Outside the outline the
shape runs on for `RUN_OUT` mm, so that a tool comes clear of the edge; beyond, the waste stays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import encloses_grid
from bodycad.geometry.solids.edge import Edge
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.rims import rims
from bodycad.shop import Shop
from bodycad.tools import Cutter
from bodycad.words import Face

RUN_OUT = 13.5
"""How far a shaped face runs on past the outline, mm: room for a ball nose of 12.7 mm, whose far
side stands R (1 + sin a) beyond the place that it touches on a face that falls outward by a."""
RIDGE = 0.05
"""How high the ridges between two passes may be on a level face, mm (common practice, no
source)."""


@dataclass(frozen=True, eq=False)
class Heights:
    """Depths (rows, columns) in mm under the plain face, at least 0, over a grid of places `pitch`
    mm apart. The first stands at (x, y) in the piece's own frame; rows go up in y, columns in x.
    middle: the true depths in the middles between four of them, NaN where they are not asked: at
    the outline and beyond. off: how far straight lines between the places leave those at most, mm.
    """

    piece: str
    face: Face
    x: float
    y: float
    pitch: float
    depth: np.ndarray
    middle: np.ndarray
    off: float

    @cached_property
    def places(self) -> tuple[np.ndarray, np.ndarray]:
        """x of the columns and y of the rows, mm."""
        rows, columns = self.depth.shape
        return self.x + self.pitch * np.arange(columns), self.y + self.pitch * np.arange(rows)


def follower(shop: Shop) -> tuple[Cutter, float] | None:
    """The ball nose that follows a shaped face, the smallest, which gets into most hollows; and how
    far apart its passes lie, mm, in tenths. None where the shop has no ball nose."""
    ball = min(shop.ball_cutters, key=lambda c: (c.diameter, -c.reach), default=None)
    if ball is None:
        return None
    radius = ball.diameter / 2.0
    step = 2.0 * math.sqrt(max(radius**2 - (radius - RIDGE) ** 2, 0.0))
    return ball, max(math.floor(10.0 * step) / 10.0, 0.1)


def shaped(layout: Layout, piece: Workpiece, face: Face) -> Heights | None:
    """The grid of a face; None where nothing shapes it."""
    key = "making", "heights", piece.id, face
    return remembered(layout, key, lambda: _heights(layout, piece, face))


def is_shaped(layout: Layout, piece: Workpiece, face: Face) -> bool:
    """Whether a face has a contour, or an edge that no bit of the shop cuts."""
    own = any(contour.face is face for contour in piece.skin.contours)
    return own or bool(unbitten(piece, face, layout.shop))


def unbitten(piece: Workpiece, face: Face, shop: Shop) -> tuple[Edge, ...]:
    """The edges of a face that no bit of the shop cuts."""
    return tuple(rim.edge for rim in rims(piece, face, shop) if rim.bit is None)


def _heights(layout: Layout, piece: Workpiece, face: Face) -> Heights | None:
    if not is_shaped(layout, piece, face):
        return None
    pitch, skin = layout.shop.grid, piece.skin
    x0, y0, x1, y1 = skin.outline.box
    # Places on whole steps from the datum: the same for both faces and either hand.
    low = np.floor((np.array([x0, y0]) - RUN_OUT) / pitch) - 1
    high = np.ceil((np.array([x1, y1]) + RUN_OUT) / pitch) + 1
    xs, ys = (pitch * np.arange(a, b + 1) for a, b in zip(low, high))
    inside = _within(offset(skin.outline, RUN_OUT)[:1], xs, ys)
    depth = np.zeros(inside.shape)
    hand = unbitten(piece, face, layout.shop)
    points = np.stack(np.meshgrid(xs, ys), axis=-1)
    ball = follower(layout.shop)
    clear = ball[0].diameter / 2.0 if ball else 0.0
    depth[inside] = depths(skin, face, points[inside], hand, clear, pitch, piece.neck)
    middles = points[:-1, :-1] + pitch / 2.0
    body = _within(offset(skin.outline, -1.5 * pitch), middles[0, :, 0], middles[:, 0, 1])
    between = (depth[:-1, :-1] + depth[1:, :-1] + depth[:-1, 1:] + depth[1:, 1:]) / 4.0
    sloped = body & (between > 0.0)
    true = depths(skin, face, middles[sloped], hand, neck=piece.neck)
    off = float(np.abs(true - between[sloped]).max(initial=0.0))
    middle = np.where(body, 0.0, np.nan)
    middle[sloped] = true
    return Heights(piece.id, face, float(xs[0]), float(ys[0]), pitch, depth, middle, off)


def depths(
    skin: Skin,
    face: Face,
    points: np.ndarray,
    edges: Sequence[Edge],
    clear: float = 0.0,
    beyond: float = 0.0,
    neck: Profile | None = None,
) -> np.ndarray:
    """How far (m,) a face is shaped down at plan points (m, 2), mm, at most through; with those of
    its edges that are given, outside the outline as deep as at the place nearest on it, and from
    `beyond` mm outside on `clear` mm deeper: a ball that rested there would leave the edge's foot.
    No edge is cut across a neck."""
    deep = skin.fall(face, points)
    if edges:
        wide = skin.reach + RUN_OUT
        inset = skin.inset(points, wide)
        near = np.abs(inset) <= wide
        if neck is not None:
            near &= neck.signed_distance(points) > 0.0
        deeper = np.where(inset[near] < -beyond, clear, 0.0)
        ways = [(skin.edge(face), np.maximum(inset[near], 0.0))]
        ways += [(r.edge, r.inset(points[near])) for r in skin.runs(face) if r.edge in edges]
        for edge, inward in ways:
            if edge in edges:
                loss = edge.loss(inward)
                deep[near] = np.maximum(deep[near], np.where(loss > 0.0, loss + deeper, 0.0))
    found: np.ndarray = np.clip(deep, 0.0, skin.thickness)
    return found


def _within(shapes: tuple[Profile, ...], xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """Which places (len(ys), len(xs)) of a grid lie in an odd number of some profiles."""
    inside = np.zeros((len(ys), len(xs)), bool)
    for shape in shapes:
        inside ^= encloses_grid(shape.segments, xs, ys).T
    return inside
