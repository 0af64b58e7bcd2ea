"""Every cut that a machine with an upright spindle makes from a face: which tool, where, from what
depth to what depth.

Depths are in mm under the plain face, before any contour: a shaped face is cut last. What lies
beyond an upright spindle, or between one depth and another, is no cut and stands in `aside`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from bodycad.checks.order.jobs import met
from bodycad.checks.wood.near import remembered
from bodycad.checks.wood.shank import on_hand
from bodycad.geometry.plane.areas import Area, common, grown, joined, less
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.segments import Segments
from bodycad.layout.core import beside_neck
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import PAST_HALF, Workpiece
from bodycad.making.clear import bridged, clearings, left, stands_out
from bodycad.making.ledges import rings
from bodycad.making.passes import passes
from bodycad.making.rims import rims
from bodycad.making.upright import ends_flat, in_plan, level_depth
from bodycad.shop import Shop
from bodycad.tools import Cutter, Drill, EdgeBit
from bodycad.words import Face

OUTLINE, EDGE, LEDGE = "OUTLINE", "EDGE", "LEDGE"
"""What is cut beside the voids, as layers name it."""
Tool = Cutter | Drill | EdgeBit


@dataclass(frozen=True, eq=False)
class Cut:
    """One operation with one tool from one face of a piece.

    ids: what it serves: voids, `body.outline`, `body.ledge`, `body.front.edge`. area: in the
    piece's own frame; a cutter runs inside it, round the outline outside, and what its disc covers
    without leaving goes; a drill makes its circles; an edge bit's bearing follows the border.
    along: the chain that an outline or an edge is cut along, None for all of it. start: the depth
    down to which all of it is open already. depth: of the floor, of a drilled hole at its full
    diameter. rest: whether a larger cutter went before. passes: where each pass of a cutter ends.
    """

    piece: str
    face: Face
    operation: str
    ids: tuple[str, ...]
    tool: Tool
    area: Area
    start: float
    depth: float
    rest: bool = False
    passes: tuple[float, ...] = ()
    along: Segments | None = None


@dataclass(frozen=True, eq=False)
class Unreached:
    """What no cutter of the shop clears of a cut: `region` in the piece's own frame, between two
    depths under the face. It stands out by `size` mm from what is cleared, farthest at (x, y); of a
    cut that none enters, `size` is infinite. cutter: the smallest that reaches so deep, None where
    none does."""

    piece: str
    face: Face
    operation: str
    ids: tuple[str, ...]
    region: Region
    start: float
    depth: float
    cutter: Cutter | None
    size: float
    at: tuple[float, float]


def cuts(layout: Layout) -> tuple[Cut, ...]:
    """Every cut of every workpiece, by piece, face and in the order of work: holes, then from the
    shallow to the deep, the ledge, the outline and its edges."""
    return _worked(layout)[0]


def unreached(layout: Layout) -> tuple[Unreached, ...]:
    """What of the cuts no cutter of the shop clears, in the order of the cuts."""
    return _worked(layout)[1]


def _worked(layout: Layout) -> tuple[tuple[Cut, ...], tuple[Unreached, ...]]:
    return remembered(layout, ("making", "cuts"), lambda: _work(layout))


def _work(layout: Layout) -> tuple[tuple[Cut, ...], tuple[Unreached, ...]]:
    made, missed = list[Cut](), list[Unreached]()
    for piece in layout.pieces:
        for face in piece.faces:
            found, out = _Face(piece, face, layout.shop).worked()
            made += found
            missed += out
    return tuple(made), tuple(missed)


@dataclass(frozen=True, eq=False)
class _Wanted:
    """What goes down to one depth: the cut as drawn, and how deep."""

    operation: str
    ids: tuple[str, ...]
    area: Area
    depth: float
    open: bool = False


@dataclass(frozen=True, eq=False)
class _Face:
    piece: Workpiece
    face: Face
    shop: Shop

    def worked(self) -> tuple[list[Cut], list[Unreached]]:
        """The cuts from this face in the order of work, and what they leave."""
        holes, wanted = list[Cut](), list[_Wanted]()
        for row in self._voids():
            tool = self._drill(row)
            if tool is None:
                wanted.append(row)
            else:
                holes.append(self._cut(row, tool, row.area, 0.0))
        wanted = [*self._merged(wanted), *self._ledges()]
        made, missed = sorted(holes, key=_drilled), list[Unreached]()
        for row in sorted(wanted, key=lambda r: (r.operation == LEDGE, r.depth, r.ids)):
            found, out = self._cleared(row, made)
            made += found
            missed += out
        found, out = self._outline()
        missed = [one for row in [*missed, *out] for one in self._still(row, made)]
        return [*made, *found, *self._edges()], missed

    def _voids(self) -> Iterator[_Wanted]:
        """Each upright void that is cut from this face, or half of it."""
        for void in self.piece.voids:
            depth = level_depth(void, self.piece.thickness)
            half = len(self.piece.faces) > 1 and met(void, self.piece, self.shop)
            if in_plan(void, self.face) or half:
                depth = self.piece.thickness / 2.0 + PAST_HALF if half else depth
                plan = (Region(void.shape.plan),)
                open_ = Face.EDGE in void.opens
                yield _Wanted(str(void.operation), (void.id,), plan, depth, open_)

    def _drill(self, row: _Wanted) -> Drill | None:
        """The drill for a hole; None for what a cutter makes: no hole, or one that must end flat
        and for which no flat drill is on hand."""
        void = self.piece.by_id[row.ids[0]]
        hole = void.shape.hole
        if hole is None:
            return None
        found = on_hand(self.shop, hole.diameter, row.depth, ends_flat(void))
        enters = (
            c.diameter <= hole.diameter and c.reach >= row.depth for c in self.shop.flat_cutters
        )
        if found is None and not any(enters):
            found = on_hand(self.shop, hole.diameter, row.depth)
        return found

    def _merged(self, rows: Sequence[_Wanted]) -> Iterator[_Wanted]:
        """Cuts of one kind and depth that overlap or touch as one."""

        def key(row: _Wanted) -> tuple[str, float]:
            return row.operation, round(row.depth, 2)

        for _, group in groupby(sorted(rows, key=key), key):
            alike = list(group)
            for region in joined(*(row.area for row in alike)):
                own = [row for row in alike if common(row.area, (region,))]
                ids = tuple(sorted(i for row in own for i in row.ids))
                open_, depth = any(row.open for row in own), max(row.depth for row in own)
                yield replace(own[0], ids=ids, area=(region,), depth=depth, open=open_)

    def _ledges(self) -> Iterator[_Wanted]:
        for ring in rings(self.piece, self.face):
            ids = tuple(f"{self.piece.id}.ledge.{k}" for k in ring.numbers)
            name = ids or (f"{self.piece.id}.ledge",)
            yield _Wanted(LEDGE, name, (ring.region,), ring.height, open=True)

    def _cleared(self, row: _Wanted, before: Sequence[Cut]) -> tuple[list[Cut], list[Unreached]]:
        """The cuts that clear one region, the larger cutter first."""
        able = [c for c in self.shop.flat_cutters if c.reach >= row.depth - 1e-9]
        wanted = allowed = row.area
        if row.open:
            wanted = common(row.area, (Region(self.piece.skin.outline),))
        found, out = clearings(wanted, allowed, able)
        if out and row.open and able:
            allowed = self._overrun(row.area, min(c.diameter for c in able))
            found, out = clearings(wanted, allowed, able)
        start, made = self._open_already(row, before), list[Cut]()
        for one in found:
            down = passes(start, row.depth, one.cutter.diameter, self.shop)
            cut = self._cut(row, one.cutter, one.area, start)
            made.append(replace(cut, rest=one.rest, passes=down))
        least = min(able, key=lambda c: c.diameter, default=None)
        cleared = joined(*(cut.area for cut in made))
        missed = [self._unreached(row, region, start, least, cleared) for region in out]
        return made, missed

    def _overrun(self, area: Area, by: float) -> Area:
        """The area, and what lies within `by` mm of it beyond the outline and joins it there."""
        neck = () if self.piece.neck is None else (Region(self.piece.neck),)
        beyond = less(grown(area, by), (Region(self.piece.skin.outline),), neck)
        return tuple(r for r in joined(area, beyond) if common((r,), area))

    def _open_already(self, row: _Wanted, before: Sequence[Cut]) -> float:
        """The greatest depth down to which all of a region is cleared by earlier cuts."""
        depths = sorted({cut.depth for cut in before if cut.passes}, reverse=True)
        for depth in depths:
            deep = [cut.area for cut in before if cut.passes and cut.depth >= depth - 1e-9]
            if depth < row.depth and not left(row.area, joined(*deep)):
                return depth
        return 0.0

    def _still(self, row: Unreached, made: Sequence[Cut]) -> Iterator[Unreached]:
        """What of it no other cut from this face clears."""
        deep = [c.area for c in made if c.depth >= row.depth - 1e-9 and row.ids != c.ids]
        for region in left((row.region,), joined(*deep)):
            yield replace(row, region=region)

    def _unreached(
        self, row: _Wanted, region: Region, start: float, cutter: Cutter | None, cleared: Area
    ) -> Unreached:
        size, at = stands_out(region, cleared)
        own = self.piece.id, self.face, row.operation, row.ids, region
        return Unreached(*own, start, row.depth, cutter, size, at)

    def _outline(self) -> tuple[list[Cut], list[Unreached]]:
        """The outline, by the largest cutter that gets into all its hollows, else by the one that
        gets farthest."""
        depth = self.piece.outline_cuts.get(self.face)
        if depth is None:
            return [], []
        body = (Region(self.piece.skin.outline),)
        row = _Wanted(OUTLINE, (f"{self.piece.id}.outline",), body, depth)
        able = [c for c in self.shop.flat_cutters if c.reach >= depth - 1e-9]
        hollow = float(self.piece.skin.outline.outside_corners[1].min(initial=float("inf")))
        fits = [c for c in able if c.diameter / 2.0 <= hollow]
        fits = fits or ([min(able, key=lambda c: c.diameter)] if able else [])
        for cutter in sorted(fits, key=lambda c: (-c.diameter, c.reach)):
            out = bridged(body, cutter.diameter / 2.0)
            if not out or cutter.diameter == min(c.diameter for c in fits):
                down = passes(0.0, depth, cutter.diameter, self.shop)
                cut = replace(self._cut(row, cutter, body, 0.0), passes=down)
                half = cutter.diameter / 2.0
                ways = beside_neck(self.piece, half, half)
                made = [replace(cut, along=way) for way in ways]
                return made, [self._unreached(row, r, 0.0, cutter, body) for r in out]
        return [], [self._unreached(row, body[0], 0.0, None, ())]

    def _edges(self) -> Iterator[Cut]:
        for rim in rims(self.piece, self.face, self.shop):
            if rim.bit is not None:
                area = (Region(self.piece.skin.outline),)
                row = _Wanted(EDGE, (rim.id,), area, rim.edge.drop)
                yield replace(self._cut(row, rim.bit, area, rim.top), along=rim.along)

    def _cut(self, row: _Wanted, tool: Tool, area: Area, start: float) -> Cut:
        own = self.piece.id, self.face, row.operation, row.ids
        return Cut(*own, tool, area, start, row.depth)


def _drilled(cut: Cut) -> tuple[str, float, float, tuple[str, ...]]:
    assert isinstance(cut.tool, Drill)
    return cut.operation, cut.depth, cut.tool.diameter, cut.ids
