"""The body's core where it runs on past the outline as the neck: where it lies, and how far along
the outline a tool may go beside it."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from bodycad.geometry.plane.along import beside, part_of, places_along
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.instrument.lines import Instrument
from bodycad.layout.interface import Core, Interface
from bodycad.layout.void import Room
from bodycad.layout.workpiece import Workpiece

STEP = 0.5
"""How far apart places along the outline are asked whether a tool fits beside the core, mm."""
HALVED = 40
"""So many times the step between two of them is halved where the one fits and the other does not:
to less than a millionth of a mm."""


def neck_plan(
    stated: Iterable[Interface], rooms: Iterable[Room], instrument: Instrument
) -> Profile | None:
    """The plan of a stated core from its fretboard's end to the nut, None where none is stated."""
    boxes = {room.id: room.shape.box for room in rooms}
    for core in stated:
        if isinstance(core, Core):
            near, far = boxes[core.board][0], max(line.nut[0] for line in instrument.lines)
            if far > near:
                return rectangle(far - near, core.width, 0.0, (near + far) / 2.0, core.end[1])
    return None


def beside_neck(
    piece: Workpiece, off: float, keep: float, along: Segments | None = None
) -> tuple[Segments | None, ...]:
    """The chains of a piece's outline, or of its part `along`, that a tool may follow: its middle,
    `off` mm outside, comes no nearer than `keep` mm to the neck. What was given, None for the whole
    outline, where the neck is not in the way."""
    neck, chain = piece.neck, along or piece.skin.outline.segments
    if neck is None:
        return (along,)
    total = float(chain.length.sum())
    far = np.linspace(0.0, total, math.ceil(total / STEP) + 1)
    free = _free(neck, chain, far, off, keep)
    if free.all():
        return (along,)
    change = np.flatnonzero(free[1:] != free[:-1])
    low, high = far[change], far[change + 1]
    inner, outer = np.where(free[change], (low, high), (high, low))
    for _ in range(HALVED):
        middle = (inner + outer) / 2.0
        there = _free(neck, chain, middle, off, keep)
        inner, outer = np.where(there, middle, inner), np.where(there, outer, middle)
    ends = inner[free[change]].tolist()
    starts = inner[~free[change]].tolist()
    if free[0] and along is None:  # it goes on past its beginning
        ends = [*ends[1:], ends[0] + total]
    elif along is not None:
        starts, ends = [0.0] * bool(free[0]) + starts, ends + [total] * bool(free[-1])
    return tuple(part_of(chain, a, b) for a, b in zip(starts, ends, strict=True))


def _free(neck: Profile, chain: Segments, far: np.ndarray, off: float, keep: float) -> np.ndarray:
    """Whether a tool beside each place (m,) along the outline keeps clear of the neck."""
    own, share = places_along(chain, far)
    clear: np.ndarray = neck.signed_distance(beside(own, share, off)) >= keep
    return clear
