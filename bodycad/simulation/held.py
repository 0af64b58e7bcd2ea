"""Where the layout's tabs leave wood beside the outline, and whether a file's tabs are those."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from bodycad.making.tabs import Tab
from bodycad.simulation.fill import filled
from bodycad.simulation.grid import Grid
from bodycad.simulation.job import Job, Move, Point
from bodycad.words import Face

NEAR = 0.2
"""A file's tab may reach so far out of the layout's in plan, mm: what its pins may be off."""
AGREES = 0.0051
"""The names of layers give depths in hundredths of a mm."""


def kept(
    tabs: Sequence[Tab], wood: np.ndarray, thickness: float, grid: Grid
) -> tuple[np.ndarray, np.ndarray]:
    """The highest and the lowest (ny, nx) to which tabs leave wood, z in mm; -inf and inf where
    they leave none: within the outline, and more than one cell beside their plans."""
    top = np.full(grid.shape, -np.inf, np.float32)
    low = np.full(grid.shape, np.inf, np.float32)
    for tab in tabs:
        window = grid.window(tab.region.outer.box, 2.0 * grid.pitch)
        plan = filled(tab.region.outer.segments, grid, window)
        wide = np.pad(plan, 1)
        rows, columns = plan.shape
        for j, i in np.ndindex(3, 3):
            plan = plan | wide[j : j + rows, i : i + columns]
        plan &= ~wood[window]
        front = tab.face is Face.FRONT
        top[window][plan] = -tab.depth if front else 0.0
        low[window][plan] = -thickness if front else tab.depth - thickness
    return top, low


def odd(job: Job, move: Move, tabs: Sequence[Tab]) -> Iterator[tuple[str, Point]]:
    """What a job's tabs differ in from the layout's on its face, in words, each with its place on
    the wood."""
    own = [tab for tab in tabs if tab.face == job.face]
    drawn = [(move.chain(tab.chain), tab.depth) for tab in job.tabs]
    for chain, depth in drawn:
        fits = any(
            abs(depth - tab.depth) <= AGREES
            and float(tab.region.outer.signed_distance(chain.a).max()) <= NEAR
            for tab in own
        )
        if not fits:
            x, y = chain.a.mean(axis=0).tolist()
            yield (
                f"its TAB at ({x:.1f}, {y:.1f}), {depth:.2f} deep, is none of the design's",
                (x, y),
            )
    for tab in own:
        middle = tab.region.outer.centroid
        if not any(chain.encloses(np.array([middle]))[0] for chain, _ in drawn):
            x, y = tab.at
            yield f"it draws no TAB at ({x:.1f}, {y:.1f}), where the design has one", (x, y)
