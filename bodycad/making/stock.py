"""The boards of the body's blank as they are bought: rough, so that there is wood to plane, joint
and trim."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bodycad.layout.interface import Core
from bodycad.layout.layout import Layout

PLANED = 3.0
"""What a board is bought thicker, mm, to be planed on both faces (common practice, no source)."""
JOINTED = 3.0
"""What it is bought wider at each edge, mm, to be jointed for glue or sawn off (common practice, no
source)."""
TRIMMED = 25.0
"""What it is bought longer at each end, mm: a planer dips there, and ends are checked (common
practice, no source)."""
SAME = 0.5
"""A board whose edges lie within this of a core's is that core, mm."""
Size = tuple[float, float, float]


@dataclass(frozen=True)
class Board:
    """A board of the blank: length, width and thickness that the blank holds of it, mm; core: the
    neck through the body that it is, if it is one."""

    net: Size
    core: Core | None = None

    @property
    def rough(self) -> Size:
        """Length, width and thickness to begin with, mm."""
        length, width, thick = self.net
        return length + 2.0 * TRIMMED, width + 2.0 * JOINTED, thick + PLANED


def boards(layout: Layout) -> Iterator[Board]:
    """Each board of the body's blank, in the order of y: between its edges and its glue joints. A
    core runs on to the nut."""
    blank = layout.body.blank
    if blank is None:
        return
    rims = [blank.y0, *sorted(blank.joints), blank.y1]
    for low, high in zip(rims, rims[1:]):
        if high <= low:
            continue
        core, far, thick = _core_of(layout, low, high), blank.x1, layout.thickness
        if core is not None:
            far = max(far, *(line.nut[0] for line in layout.instrument.lines))
            board = layout.rooms_by_id[core.board].shape.prism
            thick += max(board.floor_range[1], 0.0) if board is not None else 0.0
        yield Board((far - blank.x0, high - low, thick), core)


def _core_of(layout: Layout, low: float, high: float) -> Core | None:
    for core in layout.stated(Core):
        half = core.width / 2.0
        if abs(low - core.end[1] + half) <= SAME and abs(high - core.end[1] - half) <= SAME:
            return core
    return None
