"""How much wood many straight holes would leave, and how well a drill gets there: quick figures
that tell good lines from bad. What is proposed is judged by the checks themselves (`judged`)."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.checks.wood.air import free_radius
from bodycad.checks.wood.near import REACH
from bodycad.checks.wood.shank import LEVEL
from bodycad.geometry.plane.along import places_along
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.interface import Post
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.routing.sites import related_step
from bodycad.words import Face, Operation

ROUND = 24
"""Points round a pocket."""
ALONG, BEHIND = 14, 8.0
"""Sections looked at along a hole; spacing (mm) of those behind it, where the drill comes from."""
RESERVE = 0.3
"""What is kept over a warning, so that rounding a coordinate to 0.1 mm warns of nothing, mm."""
SHORT = 10.0
"""What a millimetre that a drill lacks weighs against a millimetre of wood."""
LONG = 0.003
"""What a millimetre of length weighs against one of wood: of equal lines the shorter."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Axes of holes: where each starts and ends, (n, 3) each, mm."""

    a: np.ndarray
    b: np.ndarray

    def __len__(self) -> int:
        return len(self.a)

    @cached_property
    def length(self) -> np.ndarray:
        """Of each, mm."""
        found: np.ndarray = np.linalg.norm(self.b - self.a, axis=1)
        return found.clip(min=1e-9)

    @cached_property
    def way(self) -> np.ndarray:
        """Unit direction of each, (n, 3)."""
        found: np.ndarray = (self.b - self.a) / self.length[:, None]
        return found

    def take(self, rows: np.ndarray) -> Lines:
        """Some of them."""
        return Lines(self.a[rows], self.b[rows])


@dataclass(frozen=True, eq=False)
class Task:
    """One hole that is looked for: from the air of `entry`, or from a face under the metal `under`,
    into `target`. via: further pockets that it may run through. radius, reach: of the drill, mm."""

    layout: Layout
    entry: Void | None
    target: Void
    radius: float
    reach: float
    via: tuple[Void, ...] = ()
    under: Shape | None = None

    @property
    def face(self) -> Face:
        """The face that the metal lies on."""
        assert self.under is not None
        box = self.under.box
        return Face.FRONT if box[2] + box[5] > -self.layout.thickness else Face.BACK

    @property
    def level(self) -> float:
        """The height of the metal's underside."""
        assert self.under is not None
        return self.under.box[2 if self.face is Face.FRONT else 5]

    @cached_property
    def walls(self) -> tuple[Void, ...]:
        """The voids to which wood must stand."""
        body = self.layout.body
        mine = related_step(body, self.target)
        mine |= related_step(body, self.entry) if self.entry is not None else frozenset()
        mine |= {void.id for void in self.via}
        return tuple(v for v in body.voids if v.id not in mine)

    @cached_property
    def posts(self) -> frozenset[str]:
        """The holes of posts, which want more wood ahead of them than others; all round, here."""
        stated = {one.hole for one in self.layout.stated(Post)}
        cut = {v.id for v in self.layout.voids if v.operation is Operation.POST}
        return frozenset(stated | cut)

    @cached_property
    def open(self) -> tuple[Void, ...]:
        """The voids whose air the drill may come through."""
        return tuple(v for v in self.layout.voids if v.operation is not Operation.PILOT)


@dataclass(frozen=True, eq=False)
class Worth:
    """Of each line: the least wood over what the checks warn of (mm), what the drill lacks (0 or
    less), and into which of the task's `via` it opens whole (n, via)."""

    wood: np.ndarray
    lacks: np.ndarray
    through: np.ndarray

    @cached_property
    def score(self) -> np.ndarray:
        """The greater the better."""
        found: np.ndarray = self.wood + SHORT * self.lacks
        return found


def worth(task: Task, lines: Lines) -> Worth:
    """The worth of each line."""
    wood, through, ends = _wood(task, lines)
    lacks = np.minimum(ends, _drill(task, lines))
    return Worth(wood - LONG * lines.length, np.minimum(lacks, 0.0), through)


def _points(start: np.ndarray, way: np.ndarray, along: np.ndarray) -> np.ndarray:
    """Points (n, m, 3) of lines at `along` (n, m)."""
    found: np.ndarray = start[:, None, :] + along[..., None] * way[:, None, :]
    return found


def _free(void: Void, points: np.ndarray, task: Task) -> np.ndarray:
    """Radius (n, m) of a ball of the void's own air about points (n, m, 3)."""
    skin = task.layout.skin
    flat = points.reshape(-1, 3)
    found = void.air.free(flat, skin.level("front"), skin.level("back"))
    return found.reshape(points.shape[:2])


def _wood(task: Task, lines: Lines) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Least wood over its warning, what opens, and how well the ends open, of each line."""
    shop, r = task.layout.shop, task.radius
    share = (np.arange(ALONG) + 0.5) / ALONG
    points = _points(lines.a, lines.way, share * lines.length[:, None])
    last = _free(task.target, lines.b[:, None, :], task)[:, 0] - r - RESERVE
    inside = _free(task.target, points, task) >= r
    if task.entry is not None:
        first = _free(task.entry, lines.a[:, None, :], task)[:, 0] - r - RESERVE
        last = np.minimum(first, last)
        inside |= _free(task.entry, points, task) >= r
    through = np.zeros((len(lines), len(task.via)), bool)
    wood = np.full(len(lines), REACH)
    for k, void in enumerate(task.via):
        free = _free(void, points, task)
        through[:, k] = free.max(axis=1) >= r + RESERVE
        inside |= through[:, k, None] & (free >= r)
    flat = np.where(inside[..., None], np.nan, points)

    def least(distance: np.ndarray, limit: str) -> None:
        spare = distance - shop.limit(limit).warn - RESERVE
        spare = np.where(inside, np.inf, spare)
        np.minimum(wood, spare.min(axis=1), out=wood)

    rise = (r * np.sqrt(np.maximum(1.0 - lines.way[:, 2] ** 2, 0.0)))[:, None]
    skin = task.layout.skin
    front, back = skin.level("front") - points[..., 2], points[..., 2] - skin.level("back")
    if task.under is None or task.face is not Face.FRONT:
        least(front - rise, "floor")
    if task.under is None or task.face is not Face.BACK:
        least(back - rise, "floor")
    box = np.nanmin(flat.reshape(-1, 3), axis=0, initial=np.inf) - r - REACH
    top = np.nanmax(flat.reshape(-1, 3), axis=0, initial=-np.inf) + r + REACH
    some = points.reshape(-1, 3)
    shape = points.shape[:2]
    least(skin.inset(some[:, :2]).reshape(shape) - r, "edge")
    for contour in skin.contours:
        if (task.under is None or contour.face is not task.face) and _near(
            contour.carve.box, box, top
        ):
            least(contour.carve.closest(some)[0].reshape(shape) - r, "floor")
    for void in task.walls:
        if _near(void.shape.box, box, top):
            limit = "post-web" if void.id in task.posts else "wall"
            least(void.shape.closest(some)[0].reshape(shape) - r, limit)
    if task.under is not None:
        mouth = r / np.maximum(np.abs(lines.way[:, 2]), LEVEL)
        inner = -task.under.plan.signed_distance(lines.a[:, :2]) - mouth
        last = np.minimum(last, inner - shop.limit("ground-path").warn - RESERVE)
    for k, void in enumerate(task.via):
        blind = ~through[:, k]
        if blind.any():
            spare = void.shape.closest(points[blind].reshape(-1, 3))[0].reshape(-1, ALONG) - r
            spare = spare.min(axis=1) - shop.limit("wall").warn - RESERVE
            wood[blind] = np.minimum(wood[blind], spare)
    return wood, through, last


def _near(own: Iterable[float], low: np.ndarray, high: np.ndarray) -> bool:
    box = np.array(tuple(own))
    return bool(np.all(box[:3] <= high) and np.all(box[3:] >= low))


def _drill(task: Task, lines: Lines) -> np.ndarray:
    """What the drill lacks behind the start of each line: air round its shank, length, or room for
    its chuck; 0 or less, mm."""
    shop, r = task.layout.shop, task.radius
    half = shop.chuck / 2.0
    lead = np.zeros(len(lines))
    if task.under is not None:
        # A channel begins where its whole disc is in the air, and the drill where all of it is.
        steep = np.maximum(np.abs(lines.way[:, 2]), LEVEL)
        lead = r * (np.sqrt(1.0 - np.minimum(steep, 1.0) ** 2) + 1.0) / steep + 1.0
    back = np.arange(0.0, task.reach + BEHIND, BEHIND)
    points = _points(lines.a, -lines.way, lead[:, None] + back)
    free = free_radius(task.layout.body, points.reshape(-1, 3), task.open, half)
    free = free.reshape(points.shape[:2])
    tight = free < half
    count = len(back)
    last = np.where(tight.any(axis=1), count - np.argmax(tight[:, ::-1], axis=1), 0)
    chuck = np.append(back, 2.0 * task.reach)[last]
    used = back <= chuck[:, None]
    shank = np.where(used, free, np.inf).min(axis=1) - r
    shank -= shop.limit("wire-path.shank").warn + RESERVE
    need = lines.length + lead + chuck
    long = (task.reach - need - shop.limit("wire-path.reach").warn) / 10.0
    found: np.ndarray = np.minimum(np.minimum(shank, long), 0.0)
    return found


def under(task: Task) -> np.ndarray:
    """Points (m, 3) of a face, under the metal that lies on it, where a ground way may come out."""
    assert task.under is not None
    inside = 2.0 * task.radius + task.layout.shop.limit("ground-path").warn
    plan = _round(task.under.plan, inside)
    return np.column_stack([plan, np.full(len(plan), task.level)])


def spots(void: Void, radius: float) -> np.ndarray:
    """Points (m, 3) where the middle of a drill may stand in a pocket, near its walls."""
    r = radius + 2.0 * RESERVE
    hole = void.shape.hole
    if hole is not None:
        along = np.linspace(min(r, hole.shoulder / 2.0), max(hole.shoulder - r, 0.0), 7)
        return hole.at(along)
    plan = _round(void.shape.plan, r)
    low, high = void.low + r, void.high - r
    if low > high:
        low = high = (low + high) / 2.0
    levels = np.linspace(low, high, 4)
    return np.column_stack([np.repeat(plan, 4, axis=0), np.tile(levels, len(plan))])


def _round(plan: Profile, inside: float) -> np.ndarray:
    """Points (m, 2) evenly round a profile, `inside` mm in from it; none where it is too narrow."""
    inner = offset(plan, -inside)
    if not inner:
        return np.zeros((0, 2))
    s = inner[0].segments
    own, share = places_along(s, (np.arange(ROUND) + 0.5) / ROUND * float(s.length.sum()))
    return own.at(share)


def spread_pairs(a: np.ndarray, b: np.ndarray, most: int) -> Lines:
    """Up to `most` lines from points `a` to points `b`, the shorter ones more densely."""
    if not len(a) or not len(b):
        return Lines(np.zeros((0, 3)), np.zeros((0, 3)))
    far = np.linalg.norm(a[:, None, :2] - b[None, :, :2], axis=2).ravel()
    order = np.argsort(far, kind="stable")
    order = order[far[order] > 1.0]
    # Of the order of length, ever wider steps: the square of an even spread.
    share = (np.arange(most) / most) ** 2 * 0.7
    rows = order[np.unique((share * len(order)).astype(int))] if len(order) else order
    return Lines(a[rows // len(b)], b[rows % len(b)])


def steps() -> np.ndarray:
    """(18, 6): how both ends of a line are moved to look for a better one."""
    one = np.eye(6)
    both = np.hstack([np.eye(3), np.eye(3)])
    return np.vstack([one, -one, both, -both])


def better(task: Task, lines: Lines, rounds: int, first: float) -> tuple[Lines, Worth]:
    """Each of some lines moved step by step to where it leaves more wood, `first` mm at first."""
    moves, size = steps(), np.full(len(lines), first)
    best = worth(task, lines)
    for _ in range(rounds):
        tried = np.hstack([lines.a, lines.b])[:, None, :] + size[:, None, None] * moves
        flat = tried.reshape(-1, 6)
        if task.under is not None:
            flat[:, 2] = task.level
        found = worth(task, Lines(flat[:, :3], flat[:, 3:]))
        score = found.score.reshape(len(lines), -1)
        pick = np.argmax(score, axis=1)
        rows = np.arange(len(lines)) * len(moves) + pick
        gain = score[np.arange(len(lines)), pick] > best.score + 1e-9
        a = np.where(gain[:, None], flat[rows, :3], lines.a)
        b = np.where(gain[:, None], flat[rows, 3:], lines.b)
        lines = Lines(a, b)
        best = Worth(
            np.where(gain, found.wood[rows], best.wood),
            np.where(gain, found.lacks[rows], best.lacks),
            np.where(gain[:, None], found.through[rows], best.through),
        )
        size = np.where(gain, size, size / 2.0)
        if math.isclose(float(size.max(initial=0.0)), 0.0) or size.max(initial=0.0) < 0.1:
            break
    return lines, best
