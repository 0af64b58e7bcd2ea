"""The cutting program's drawing of one face as plain values, before any file format: each cut that
an upright spindle makes, with the tool that makes it.

In mm, at true size, as the face is seen, from the work's zero that the shop chose (`Shop.zero`);
the datum cross and the pins stay where they are on the wood. A layer holds what one tool cuts to
one depth: its name says face, operation, depth and the tool's diameter in hundredths of a mm.

- Closed contours hold what goes; the tool stays inside. REST is what a smaller cutter takes after a
  larger one: there the contour holds the way of the smaller one, the rest with the air beside it.
- OUTLINE: the tool runs outside. Within a contour of TAB it goes no deeper than that layer's depth.
- EDGE: the bearing of an edge bit follows the contour, or an open chain; DIA is the bearing's.
- A drilled circle is as wide as its drill.

Depths count from the plain face. Shaped faces are in the face's grid of heights."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.exports.sheet import (
    COLOURS,
    OTHER_COLOUR,
    Box,
    SheetLayer,
    around,
    as_seen,
    cut_sheet,
    layer_name,
)
from bodycad.geometry.plane.areas import Area, joined
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.aside import aside
from bodycad.making.cuts import OUTLINE, Cut, cuts
from bodycad.making.tabs import Tab, tabs
from bodycad.tools import Cutter, Drill, EdgeBit
from bodycad.words import Face, Zero

REST, TAB = "REST", "TAB"
Data = tuple[tuple[str, str | float], ...]
"""Keys and values that a contour carries."""


@dataclass(frozen=True, eq=False)
class CamItem:
    """One region of a layer, or an open chain that a bearing follows, with what it carries."""

    data: Data
    region: Region | None = None
    chain: Segments | None = None

    @property
    def box(self) -> Box:
        """x0, y0, x1, y1, mm."""
        if self.region is not None:
            return self.region.outer.box
        assert self.chain is not None
        return around(tuple(row) for row in self.chain.boxes.tolist())


@dataclass(frozen=True, eq=False)
class CamLayer:
    """A layer by its name, its colour index and what lies on it."""

    name: str
    colour: int
    items: tuple[CamItem, ...]


@dataclass(frozen=True, eq=False)
class CamSheet:
    """The cutting program of one face. datum: where the datum cross stands from the zero. marks:
    the datum and the check bar. about: what the datum cross carries."""

    datum: Point
    stock: Box
    marks: tuple[SheetLayer, ...]
    layers: tuple[CamLayer, ...]
    about: Data

    @property
    def box(self) -> Box:
        """x0, y0, x1, y1 of everything drawn, mm."""
        items = (item.box for layer in self.layers for item in layer.items)
        return around([*(mark.box for mark in self.marks), *items])


def zero_of(piece: Workpiece, face: str, zero: Zero) -> tuple[Zero, Point]:
    """Which zero a face has, and where it lies from the datum as the face is seen, mm: a piece that
    is cut from an offcut has no pin and no blank, and keeps its datum but for the centre."""
    blank = piece.blank
    flip = -1.0 if face == "back" else 1.0
    if zero is Zero.PIN and blank is not None and blank.pins:
        return zero, (blank.pins[0].x, flip * blank.pins[0].y)
    if zero is Zero.CORNER and blank is not None:
        return zero, (blank.x0, min(flip * blank.y0, flip * blank.y1))
    if zero is Zero.CENTRE:
        x0, y0, x1, y1 = piece.skin.outline.box
        if blank is not None:
            x0, y0, x1, y1 = blank.x0, blank.y0, blank.x1, blank.y1
        return zero, ((x0 + x1) / 2.0, flip * (y0 + y1) / 2.0)
    return Zero.DATUM, (0.0, 0.0)


def cam_sheet(layout: Layout, piece: Workpiece, face: Face) -> CamSheet:
    """The cutting program of a piece's face."""
    own = [cut for cut in cuts(layout) if cut.piece == piece.id and cut.face == face]
    held = [tab for tab in tabs(layout) if tab.piece == piece.id and tab.face == face]
    _, (dx, dy) = zero_of(piece, face, layout.shop.zero)
    move = _Seen(face, -dx, -dy)
    rows = [*(row for cut in own for row in _rows(cut, move)), *_tabbed(held, own, move)]
    layers = tuple(_layers(rows))
    plain = cut_sheet(piece, face)
    marks = tuple(
        replace(m, items=tuple(replace(i, region=_moved(i.region, -dx, -dy)) for i in m.items))
        for m in plain.layers
        if m.name in ("DATUM", "CHECK")
    )
    stock = _shift(plain.stock, -dx, -dy)
    stock = around([stock, *(i.box for layer in layers for i in layer.items)])
    by_hand = tuple(("beside", f"{one.id}: {one.words}") for one in aside(layout, piece, face))
    about = (*about_face(layout, piece, face), *by_hand)
    return CamSheet((-dx + 0.0, -dy + 0.0), stock, marks, layers, about)


def about_face(layout: Layout, piece: Workpiece, face: Face) -> Data:
    """What every file of a cutting program says of itself; `datum x` and `datum y`: where the datum
    stands from the zero."""
    zero, (dx, dy) = zero_of(piece, face, layout.shop.zero)
    return (
        ("design", layout.name),
        ("piece", piece.id),
        ("face", str(face)),
        ("hand", layout.hand),
        ("revision", layout.revision),
        ("units", "mm"),
        ("thickness", float(piece.thickness)),
        ("zero", str(zero)),
        ("datum x", -dx + 0.0),
        ("datum y", -dy + 0.0),
    )


@dataclass(frozen=True)
class _Seen:
    """From a piece's own frame to that of its face's drawing."""

    face: Face
    dx: float
    dy: float

    def area(self, area: Area) -> Area:
        return tuple(
            _moved(
                Region(as_seen(r.outer, self.face), tuple(as_seen(h, self.face) for h in r.holes)),
                self.dx,
                self.dy,
            )
            for r in area
        )

    def chain(self, s: Segments) -> Segments:
        """An open chain, which keeps its wood at its left."""
        shift = np.array([self.dx, self.dy])
        if self.face is Face.FRONT:
            return Segments(s.a + shift, s.b + shift, s.bulge)
        flip = np.array([1.0, -1.0])
        return Segments((s.b * flip + shift)[::-1], (s.a * flip + shift)[::-1], s.bulge[::-1])


@dataclass(frozen=True, eq=False)
class _Row:
    name: str
    operation: str
    item: CamItem


def _rows(cut: Cut, move: _Seen) -> Iterator[_Row]:
    """The items of one cut."""
    tool, depth = cut.tool, float(cut.depth)
    data: list[tuple[str, str | float]] = [("id", name) for name in cut.ids]
    data += [("operation", cut.operation), ("start", float(cut.start)), ("depth", depth)]
    operation, diameter = REST if cut.rest else cut.operation, _width(tool)
    name = layer_name(cut.face, operation, depth, diameter)
    if isinstance(tool, EdgeBit):
        data += [("tool", str(tool.form)), ("bearing", tool.bearing), ("size", tool.size)]
    elif isinstance(tool, Drill):
        data += [("tool", "drill"), ("diameter", tool.diameter), ("point", tool.point_deg)]
    else:
        data += [("tool", str(tool.nose)), ("diameter", tool.diameter)]
        data += [("pass", float(one)) for one in cut.passes]
    said = tuple(data)
    if cut.along is not None:
        yield _Row(name, operation, CamItem(said, chain=move.chain(cut.along)))
        return
    for region in move.area(cut.area):
        if isinstance(tool, Drill):
            x, y = region.outer.centroid
            region = Region(circle(tool.diameter, x, y))
        yield _Row(name, operation, CamItem(said, region))


def _width(tool: Cutter | Drill | EdgeBit) -> float:
    return tool.bearing if isinstance(tool, EdgeBit) else tool.diameter


def _tabbed(held: Iterable[Tab], own: Iterable[Cut], move: _Seen) -> Iterator[_Row]:
    outline = next((cut for cut in own if cut.operation == OUTLINE), None)
    for tab in held:
        assert outline is not None
        name = layer_name(tab.face, TAB, tab.depth, _width(outline.tool))
        said = (("depth", tab.depth), ("height", tab.height))
        for region in move.area((tab.region,)):
            yield _Row(name, TAB, CamItem(said, region))


def _layers(rows: list[_Row]) -> Iterator[CamLayer]:
    """The rows by layer, in the order of work; what overlaps on a layer is one."""
    for name in dict.fromkeys(row.name for row in rows):
        own = [row for row in rows if row.name == name]
        colour = COLOURS.get(own[0].operation, OTHER_COLOUR)
        yield CamLayer(name, colour, tuple(_merged([row.item for row in own])))


def _merged(items: list[CamItem]) -> Iterator[CamItem]:
    yield from (item for item in items if item.region is None or _said(item, "tool") == "drill")
    rest = [i for i in items if i.region is not None and _said(i, "tool") != "drill"]
    areas = [(item.region,) for item in rest if item.region is not None]
    made = joined(*areas)
    if len(made) == len(rest):
        yield from rest
        return
    for region in made:
        own = [i for i, area in zip(rest, areas) if _holds(region, area[0].outer)]
        yield CamItem(_both(own), region)


def _said(item: CamItem, key: str) -> str | float | None:
    return next((value for name, value in item.data if name == key), None)


def _holds(region: Region, part: Profile) -> bool:
    """Whether a region holds a part that it was joined of."""
    s = part.segments
    return bool((region.outer.signed_distance(s.at(np.full(len(s), 0.5))) < 1e-6).all())


def _both(items: list[CamItem]) -> Data:
    """What joined items carry: every id, and what the one says that begins highest: its passes are
    within the rule for all of them."""
    ids = sorted({(k, v) for item in items for k, v in item.data if k == "id"}, key=str)
    first = min(items, key=lambda item: float(_said(item, "start") or 0.0))
    return (*ids, *((k, v) for k, v in first.data if k != "id"))


def _moved(region: Region, dx: float, dy: float) -> Region:
    if not (dx or dy):
        return region
    holes = tuple(hole.moved(dx, dy) for hole in region.holes)
    return Region(region.outer.moved(dx, dy), holes)


def _shift(box: Box, dx: float, dy: float) -> Box:
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy
