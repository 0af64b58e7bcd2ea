"""Where a bit's bearing finds no wall: beside a cut, along the outline, under an edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.checks.order.jobs import Job, Work, along
from bodycad.checks.order.rules import AT, BEARING, floor
from bodycad.checks.order.sequence import sequence
from bodycad.geometry.plane.along import beside
from bodycad.geometry.plane.profile import Point
from bodycad.geometry.plane.segments import Segments, portions
from bodycad.geometry.solids.edge import Ledge
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.guided import CONTACT
from bodycad.words import Face

BESIDE = 0.1
"""How far beside a line wood is looked for, mm."""
APART = 1.0
"""How far apart places along a line are looked at, mm."""
GAP = 3.0
"""A bearing rides over a gap that is no longer than this, mm (common practice, no source)."""
SLICE = 0.5
"""How far apart the heights of a side are looked at, mm."""
HELD = 1e-6


@dataclass(frozen=True)
class Opening:
    """A stretch of the side without a wall for a bearing: the cut that took it, how long it is in
    all, mm, and a place in it."""

    cut: str
    length: float
    at: Point

    @property
    def words(self) -> str:
        """Where it is, and what to do."""
        x, y = (round(one) for one in self.at)
        return (
            f"finds no wall over {self.length:.0f} mm of the side at ({x}, {y}), where {self.cut} "
            "is open: plug that with a scrap, flush with the side, or stop short of it"
        )


@dataclass(frozen=True, eq=False)
class _Way:
    """How a bearing runs along `chain`: hung: the depths of its lower end under `face` when it
    begins and ends; wall: where the side begins; on: a template lies on the face; over: the bit
    cuts under its bearing, and only where there is wood."""

    face: Face
    hung: tuple[float, float]
    wall: float
    on: bool
    over: bool
    chain: Segments


def wall_beside(void: Void, piece: Workpiece, layout: Layout) -> float:
    """How far under its plain face the wood beside a routed cut begins, mm: as deep as the
    shallower cuts over its rim that are made before it from that face, such as a cover's recess."""
    rim = _places(void.shape.plan.segments, BESIDE)[0]
    rim, own = rim[piece.skin.inset(rim) > 0.0], floor(void, piece)
    gone, done = np.zeros(len(rim)), _before(layout, void.id)
    for cut in piece.voids:
        if cut.id in done and cut.face is void.face and cut.shape.upright:
            over = cut.shape.plan.segments.encloses(rim)
            gone[over] = np.maximum(gone[over], floor(cut, piece))
    return float(gone[gone < own - AT].max(initial=0.0))


def wall_at_rim(piece: Workpiece, face: Face, layout: Layout) -> float:
    """How far under a plain face the side begins while the outline is cut, mm: under the ledges
    that are cut before it."""
    done = _before(layout, *_outlines(piece))
    deep = (
        job.edge.drop
        for job in sequence(layout).jobs
        if job.name in done and job.work is Work.LEDGE and job.piece is piece
        if job.face is face and job.edge is not None
    )
    return max(deep, default=0.0)


def under_outline(
    piece: Workpiece, face: Face, hung: tuple[float, float], on: bool, layout: Layout
) -> tuple[Opening, ...]:
    """Where a bearing that follows the outline, its lower end between two depths under a face,
    finds no wall; on: a template lies on that face."""
    done, wall = _before(layout, *_outlines(piece)), wall_at_rim(piece, face, layout)
    way = _Way(face, hung, wall, on, True, piece.skin.outline.segments)
    return tuple(_openings(piece, way, done))


def notes_at(job: Job, layout: Layout) -> Iterator[str]:
    """What to mind of the bearing that leads an edge's bit along the side."""
    piece, face, edge = job.piece, job.face, job.edge
    if face is None or edge is None or edge.form is None:
        return
    done = _before(layout, job.name)
    chain = piece.skin.outline.segments if job.chain is None else job.chain
    low = edge.drop + BEARING
    way = _Way(face, (low, low), edge.drop, False, False, chain)
    for one in _openings(piece, way, done):
        yield f"the bit's bearing {one.words}"
    taken = (
        other.edge.drop
        for other in sequence(layout).jobs
        if other.name in done and other.piece is piece and other.face is face.opposite
        if other.edge is not None and other.work in (Work.EDGE, Work.LEDGE)
        if (along(piece, face, edge) & along(piece, face.opposite, other.edge)).any()
    )
    left = piece.thickness - edge.drop - max(taken, default=0.0)
    if left < CONTACT:
        yield (
            f"only {max(left, 0.0):.2f} mm of side are left for the bit's bearing: lay the work on "
            "a sheet of its own outline, which carries it"
        )


def rebate_bit(edge: Ledge) -> str:
    """The bit that cuts a ledge along a side that is there already, in words."""
    return f"rebate bit, its bearing {2.0 * edge.reach:.2f} mm smaller than its cutter"


def _outlines(piece: Workpiece) -> tuple[str, ...]:
    """The names of the jobs that cut a piece's outline."""
    return tuple(f"{piece.id}:outline:{face}" for face in piece.outline_cuts)


def _before(layout: Layout, *names: str) -> set[str]:
    """The names of the jobs that are done before the last of the named ones."""
    found = [job.name for job in sequence(layout).jobs]
    last = max((found.index(name) for name in names if name in found), default=len(found))
    return set(found[:last])


def _openings(piece: Workpiece, way: _Way, done: set[str]) -> Iterator[Opening]:
    """The cuts among `done` that leave a bearing less than `CONTACT` of a side somewhere on its way
    down."""
    high = round(BEARING / SLICE)
    count = int((way.hung[1] - way.hung[0]) / SLICE + HELD) + 1
    rows = max(high + count - 1, int((piece.thickness - way.hung[0] + BEARING) / SLICE))
    deep = way.hung[0] - BEARING + SLICE * (np.arange(rows) + 0.5)
    heights = -deep if way.face is Face.FRONT else deep - piece.thickness
    there = np.where(deep < 0.0, way.on, deep > way.wall)
    plan, long = _places(way.chain, -BESIDE)

    def ridden(held: np.ndarray) -> np.ndarray:
        """How much of the bearing's height (count, ...) lies on what is held, mm."""
        return np.array([held[k : k + high].sum(axis=0) for k in range(count)]) * SLICE

    def bare(gone: np.ndarray) -> np.ndarray:
        """Where along the side what is gone (rows, m) leaves the bearing too little (m,)."""
        rides = ridden(there[:, None] & ((deep < 0.0)[:, None] | ~gone))
        less = rides < np.minimum(CONTACT, ridden(there))[:, None] - HELD
        cuts = [~gone[k + high :].all(axis=0) | (not way.over) for k in range(count)]
        found: np.ndarray = (less & np.array(cuts)).any(axis=0)
        return found

    for void in piece.voids:
        if void.id not in done or not (Face.EDGE in void.opens or void.face is Face.EDGE):
            continue
        x0, y0, _, x1, y1, _ = void.shape.box
        near = ((plan >= (x0, y0)) & (plan <= (x1, y1))).all(axis=1)
        own, width = plan[near], long[near]
        spots = np.column_stack([np.tile(own, (len(deep), 1)), np.repeat(heights, len(own))])
        gone = (void.shape.closest(spots)[0] <= HELD).reshape(len(deep), len(own))
        open_ = bare(gone)
        length = float(width[open_].sum())
        if length > GAP:
            x, y = own[open_][int(open_.sum()) // 2].tolist()
            yield Opening(void.id, length, (x, y))


def _places(chain: Segments, out: float) -> tuple[np.ndarray, np.ndarray]:
    """Places (m, 2) at most `APART` mm apart, `out` mm outside a chain that runs counter-clockwise,
    and how much of it each stands for (m,)."""
    count = np.maximum(np.ceil(chain.length / APART), 1.0).astype(int)
    index, number = portions(count)
    own, share = chain.take(index), (number + 0.5) / count[index]
    return beside(own, share, out), (chain.length / count)[index]
