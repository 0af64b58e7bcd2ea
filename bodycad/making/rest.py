"""On what a workpiece lies while it is worked: how much of a face is still flat, and how far a cut
stands out over it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.checks.wood.before import EXTENT
from bodycad.checks.wood.near import of_the_skin
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

GRID = 5.0
"""A face is looked at on a grid of this pitch, mm."""
LEAST, FAR = 0.3, 30.0
"""Work lies ill on less than this share of its face, or where a cut stands out farther than so many
mm over what it lies on (common practice, no source)."""


@dataclass(frozen=True)
class Rest:
    """What a piece lies on: the face that is down, how much of it is flat, mm2, which share of the
    face that is; how far the farthest place that is cut stands out over it, mm; and whether the
    piece's own weight stands inside it."""

    face: Face
    area: float
    share: float
    out: float
    stands: bool

    @property
    def firm(self) -> bool:
        """Whether the work lies firmly without being propped."""
        return self.stands and self.share >= LEAST and self.out <= FAR


def rests(jobs: Iterable[Job]) -> Mapping[str, Rest]:
    """What a piece that is free of its waste lies on while each job is done from one of its faces,
    by the job's name, the jobs taken in their order."""
    flat: dict[tuple[str, Face], np.ndarray] = {}
    found = {}
    for job in jobs:
        points, inset = _grid(job.piece)
        for face in SIDES:
            flat.setdefault((job.piece.id, face), np.ones(len(points), bool))
        if job.hold is Hold.FREE and job.face is not None:
            found[job.name] = _rest(job, points, flat[job.piece.id, job.face.opposite])
        for face in SIDES:
            _taken(flat[job.piece.id, face], job, face, points, inset)
    return found


def _rest(job: Job, points: np.ndarray, flat: np.ndarray) -> Rest:
    assert job.face is not None
    held = points[flat]
    ring, middle = hull(held), points.mean(axis=0, keepdims=True)
    out = float(beyond(ring, _cut(job, points)).max(initial=0.0))
    stands = bool(beyond(ring, middle)[0] <= 0.0)
    share = len(held) / max(len(points), 1)
    return Rest(job.face.opposite, len(held) * GRID**2, share, out, stands)


def _grid(piece: Workpiece) -> tuple[np.ndarray, np.ndarray]:
    """Points (m, 2) of a grid inside the outline, and how far in each lies, mm."""

    def make() -> tuple[np.ndarray, np.ndarray]:
        x0, y0, x1, y1 = piece.skin.outline.box
        xs, ys = (np.arange(a + GRID / 2.0, b, GRID) for a, b in ((x0, x1), (y0, y1)))
        points = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
        inset = piece.skin.inset(points)
        return points[inset > 0.0], inset[inset > 0.0]

    found: tuple[np.ndarray, np.ndarray] = of_the_skin(piece, ("grid",), make)
    return found


def _taken(flat: np.ndarray, job: Job, face: Face, points: np.ndarray, inset: np.ndarray) -> None:
    """Take out of what is flat of a face what a job takes of it."""
    if job.contour is not None and job.contour.face is face:
        flat &= carved(job, points) <= EXTENT
    elif job.edge is not None and job.face is face and job.work in (Work.EDGE, Work.LEDGE):
        runs = [run for run in job.piece.skin.runs(face) if run.edge == job.edge]
        near = np.min([run.inset(points) for run in runs], axis=0) if runs else inset
        flat &= near >= job.edge.reach
    elif job.void is not None and face in job.void.opens and job.void.shape.upright:
        x0, y0, x1, y1 = job.void.shape.plan.box
        x, y = points.T
        near = np.flatnonzero((x > x0) & (x < x1) & (y > y0) & (y < y1))
        if len(near):
            flat[near] &= ~job.void.shape.plan.segments.encloses(points[near])


def carved(job: Job, points: np.ndarray) -> np.ndarray:
    """How deep (m,) the contour of a job goes under its plain face at points, mm; 0 beside it."""
    assert job.contour is not None
    level = job.piece.skin.level(job.contour.face)
    down = -1.0 if job.contour.face is Face.FRONT else 1.0
    height = job.contour.carve.height(points, job.contour.face)
    deep: np.ndarray = np.nan_to_num(down * (height - level), nan=0.0)
    found: np.ndarray = np.maximum(deep, 0.0)
    return found


def taken(job: Job) -> float:
    """How much wood the contour of a job takes of the plain board, mm3; good to some percent."""
    points, _ = _grid(job.piece)
    deep = np.minimum(carved(job, points), job.piece.thickness)
    return float(deep.sum()) * GRID**2


def _cut(job: Job, points: np.ndarray) -> np.ndarray:
    """Places that a job cuts."""
    if job.contour is not None:
        return points[carved(job, points) > EXTENT]
    rim: np.ndarray = job.piece.skin.outline.vertices[:, :2]
    runs = [run for run in job.piece.skin.runs(job.face or "") if run.edge == job.edge]
    if runs:
        rim = rim[np.min([np.abs(run.inset(rim)) for run in runs], axis=0) < 1e-6]
    return rim


def hull(points: np.ndarray) -> np.ndarray:
    """The corners (n, 2) of the narrowest round shape without hollows that holds points (m, 2),
    counter-clockwise (Andrew's monotone chain)."""
    rows: list[Any] = []
    for x in np.unique(points[:, 0]).tolist():
        ys = points[points[:, 0] == x, 1]
        rows += sorted({(x, float(ys.min())), (x, float(ys.max()))})
    if len(rows) < 3:
        return np.array(rows, float).reshape(-1, 2)
    ends = []
    for order in (rows, rows[::-1]):
        chain: list[Any] = []
        for p in order:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0.0:
                chain.pop()
            chain.append(p)
        ends += chain[:-1]
    return np.array(ends, float)


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def beyond(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """How far (m,) points (m, 2) stand outside a shape without hollows, mm: 0 or less inside;
    without end where it has no three corners."""
    if len(ring) < 3:
        return np.full(len(points), math.inf)
    a, b = ring, np.roll(ring, -1, axis=0)
    way = b - a
    length = np.hypot(*way.T)
    out = np.stack([way[:, 1], -way[:, 0]], axis=1) / length[:, None]
    side = (points @ out.T) - (a * out).sum(axis=1)
    inside = side.max(axis=1)
    off = points[:, None] - a
    t = np.clip((off * way).sum(axis=2) / (length**2), 0.0, 1.0)
    away = np.hypot(*np.moveaxis(off - t[..., None] * way, 2, 0)).min(axis=1)
    found: np.ndarray = np.where(inside > 0.0, away, inside)
    return found
