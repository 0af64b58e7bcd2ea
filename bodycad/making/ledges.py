"""The wood that a binding ledge takes, as closed regions of the plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.geometry.plane.areas import less
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import overlay
from bodycad.geometry.plane.offset import offset, offset_regions
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Run, inward
from bodycad.layout.workpiece import Workpiece

RUN_OUT = 6.5
"""How far a ledge is cleared past the outline, mm: room for a cutter of 1/4 inch."""


@dataclass(frozen=True, eq=False)
class Ring:
    """What goes for a ledge down to `height` mm under the plain face: the ledge in plan, and
    `RUN_OUT` past the outline. numbers: the stretches of the face's edge in it, counted from 1;
    none where one ledge runs along the whole outline."""

    region: Region
    height: float
    numbers: tuple[int, ...] = ()


def rings(piece: Workpiece, face: str) -> Iterator[Ring]:
    """The rings of a face's ledges, shallowest first; of the body nothing but the ledge is in
    them, and nothing of a neck."""
    neck = () if piece.neck is None else (Region(piece.neck),)
    for ring in _rings(piece.skin, face):
        yield from (replace(ring, region=one) for one in less((ring.region,), neck))


def _rings(skin: Skin, face: str) -> Iterator[Ring]:
    edge = skin.edge(face)
    if isinstance(edge, Ledge):
        grown = offset_regions(skin.outline, RUN_OUT)[0]
        holes = *grown.holes, *offset(skin.outline, -edge.reach)
        yield Ring(Region(grown.outer, holes), edge.height)
    runs = [(k, run) for k, run in enumerate(skin.runs(face), 1) if isinstance(run.edge, Ledge)]
    for height in sorted({round(run.edge.drop, 2) for _, run in runs}):
        own = [(k, run) for k, run in runs if round(run.edge.drop, 2) == height]
        for region in _along([run for _, run in own], skin):
            numbers = tuple(k for k, run in own if _holds(region, run))
            yield Ring(region, max(run.edge.drop for k, run in own if k in numbers), numbers)


def _along(runs: list[Run], skin: Skin) -> tuple[Region, ...]:
    """What goes for the ledges along stretches: their bands, and outside the body the run-out,
    which never reaches across a gap into wood that stays."""
    ledge = [band for run in runs for band in run.bands(run.edge.reach)]
    past = [band for run in runs for band in run.bands(run.edge.reach, RUN_OUT)]
    count = len(ledge)
    found = overlay(
        (*ledge, *past, skin.outline),
        lambda inside: inside[:count].any(axis=0) | inside[count:-1].any(axis=0) & ~inside[-1],
    )
    return tuple(region for region in found if any(_holds(region, run) for run in runs))


def _holds(region: Region, run: Run) -> bool:
    """Whether a region holds the middle of a stretch's ledge."""
    one = run.chain.take(np.array([len(run.chain) // 2]))
    spot = one.at(np.array([0.5])) + run.edge.reach / 2.0 * inward(one, 0.5)
    within, *holes = (p.segments.encloses(spot)[0] for p in (region.outer, *region.holes))
    return bool(within) and not any(holes)
