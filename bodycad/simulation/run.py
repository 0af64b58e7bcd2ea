"""The cutting of one piece from its jobs, and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.layout.workpiece import Workpiece
from bodycad.making.tabs import Tab
from bodycad.shop import Shop
from bodycad.simulation.compare import Compared, compared
from bodycad.simulation.cut import depths
from bodycad.simulation.grid import PITCH, Box, Grid, grid_over
from bodycad.simulation.held import kept, odd
from bodycad.simulation.job import Job, Point
from bodycad.simulation.seat import Seat, seated
from bodycad.simulation.shaped import add, left_by_ball
from bodycad.simulation.target import Target, target
from bodycad.simulation.tool import ToolKind, scallop
from bodycad.words import SIDES, Face

BESIDE = 8.0
"""How far round the outline (mm) the wood is looked at."""
EXACT = 0.05
"""How far a floor may be off where a face is plain, mm: what a layer's name rounds away (0.005), or
how much deeper the point of a drill goes that is wider than its hole by `SAME` (0.045)."""
SHAPED = 0.05
"""How far a shaped face may be off besides what a ball must leave, mm: what a height grid rounds
away (0.005) and leaves between its nodes."""


@dataclass(frozen=True, eq=False)
class Simulated:
    """One piece cut from its jobs. front, back: how deep each cell is, mm. `tabs`: how many hold
    it. `odd`: what tabs of a job are not as the layout has them: the job's name, words, the place.
    `ridge`: the height of the ridges that passes over a shaped face may leave, mm."""

    piece: Workpiece
    grid: Grid
    jobs: tuple[Job, ...]
    seats: tuple[Seat, ...]
    front: np.ndarray
    back: np.ndarray
    target: Target
    compared: Compared
    tabs: int
    ridge: float
    odd: tuple[tuple[str, str, Point], ...] = ()

    @property
    def gone(self) -> np.ndarray:
        """The cells in which no wood is left."""
        found: np.ndarray = self.front + self.back >= self.piece.thickness - 1e-3
        return found


def simulated(
    piece: Workpiece,
    shop: Shop,
    jobs: Sequence[Job],
    pitch: float = PITCH,
    tabs: Sequence[Tab] = (),
    within: Box | None = None,
) -> Simulated:
    """A piece cut from the jobs of its faces, held against what the layout says. tabs: those that
    may hold it. within: look at this box of its plan alone, mm. Raises InputError for a pitch that
    is not of use."""
    x0, y0, x1, y1 = piece.skin.outline.box
    whole = x0 - BESIDE, y0 - BESIDE, x1 + BESIDE, y1 + BESIDE
    grid = grid_over(within or whole, pitch)
    holes = piece.blank.pins if piece.blank is not None else ()
    seats = tuple(seated(job, holes) for job in jobs)
    cut = {face: np.zeros(grid.shape, np.float32) for face in SIDES}
    strays = list[tuple[str, str, Point]]()
    ridge, more = 0.0, None
    for job, seat in zip(jobs, seats):
        face = Face(job.face)
        np.maximum(cut[face], depths(job, seat.move, grid), out=cut[face])
        strays += [(job.name, *found) for found in odd(job, seat.move, tabs)]
        if job.heights is not None and job.heights.tool.kind is ToolKind.BALL:
            step, balls = job.heights.stepover, [c.diameter for c in shop.ball_cutters]
            ridge = max(ridge, scallop(job.heights.tool.radius, step))
            width = min(balls, default=job.heights.tool.diameter)
            more = add(more, left_by_ball(piece.skin, face, width, step, grid))
    should = target(piece, shop, grid)
    more = add(more, should.steep)
    front, back = cut[Face.FRONT], cut[Face.BACK]
    off, keep = (EXACT, SHAPED), kept(tabs, should.wood, piece.thickness, grid)
    found = compared(front, back, should, piece.thickness, grid, off, keep, more)
    return Simulated(
        piece,
        grid,
        tuple(jobs),
        seats,
        front,
        back,
        should,
        found,
        sum(len(job.tabs) for job in jobs),
        ridge,
        tuple(strays),
    )
