"""The cut drawing of one face of a workpiece as plain values, before any file format.

A sheet is in mm, at true size, on the datum of the piece's own frame (the body's: x = 0 the scale
line, y = 0 the centreline). The back is drawn as seen from the back: y changes sign, x, pins and
datum stay.

What is on it: the datum, the check bar, every upright cut that a tool makes from this face, a
binding ledge and the outline, drills first. What is removed lies inside the contours of its
layer; round the outline, and there alone, the tool runs outside. What is not on it, because a plan
contour at one depth would cut it wrong:
- contours of the skin (bevels, scoops): their depth changes from point to point;
- roundovers: their cutter follows the outline and its depth is the cutter's own;
- bores at an angle and bores from the edge: a circle at their start would be drilled upright.
The annotated twin shows all of these in words and lines.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

import numpy as np

from bodycad.checks.wood.near import of_the_cuts
from bodycad.errors import InputError
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import union
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.ledges import rings
from bodycad.making.upright import depth_of, in_plan
from bodycad.words import SIDES, Face, word

INFO = "INFO"
"""The layer of texts in the annotated twin."""
STANDING = "BACK_STANDING"
"""The layer of the annotated back that shows where a neck screw may stand; not cut."""
OUTLINE_MARK = "OUTLINE-MARK"
"""The layer of the outline where it is cut from the other face."""
MARKS = ("DATUM", "CHECK", OUTLINE_MARK)
"""Layers that are not cut; the pin holes on DATUM are drilled through before all else."""
CHECK_LENGTH, CHECK_WIDTH = 100.0, 5.0
CROSS_ARM, CROSS_WIDTH = 10.0, 0.2
"""The datum cross: length of each arm from the origin and width of its line, mm."""
COLOURS = {
    **dict.fromkeys(("OUTLINE", "DATUM"), 1),
    "LEDGE": 2,
    **dict.fromkeys(("BORE", "PILOT"), 3),
    **dict.fromkeys(("RECESS", "CHECK", OUTLINE_MARK), 4),
    "POCKET": 5,
}
OTHER_COLOUR = 6
ORDER = ("RECESS", "POCKET", "LEDGE", "OUTLINE")
"""What is cut after everything that is drilled, in this order: a drill wants the plain face that
its depth counts from, and the outline frees the body."""
LAYER_NAME = re.compile(r"(FRONT|BACK)_[A-Z0-9-]+_D\d{4,}(_DIA\d+)?")
LONGEST_NAME = 31
WASTE = 10.0
"""Sheet shown round the outline of a piece without a blank, mm."""
_NEAR = 1e-6
"""Boxes within this (mm) may touch."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Item:
    """One closed region on a sheet with the ids of all cuts merged into it and the depth (mm) of
    the deepest; marks have no ids and depth 0. Of an outline the region stays, all else goes."""

    region: Region
    ids: tuple[str, ...] = ()
    depth: float = 0.0


@dataclass(frozen=True, eq=False)
class SheetLayer:
    """A layer by its name in the file, its colour index (1-6) and what lies on it."""

    name: str
    colour: int
    items: tuple[Item, ...]

    @cached_property
    def area(self) -> float:
        """Exact area of all its regions, mm2."""
        return sum(item.region.area for item in self.items)

    @cached_property
    def box(self) -> Box:
        """x0, y0, x1, y1 in mm."""
        return around(item.region.outer.box for item in self.items)


@dataclass(frozen=True, eq=False)
class Sheet:
    """The drawing of one face. `stock`: the blank as drawn, grown by the run-outs of cuts that open
    to the edge; nothing but the check bar may lie outside it."""

    face: str
    stock: Box
    layers: tuple[SheetLayer, ...]

    @cached_property
    def box(self) -> Box:
        """x0, y0, x1, y1 of everything drawn, mm."""
        return around(layer.box for layer in self.layers)


@dataclass(frozen=True, eq=False)
class _Cut:
    id: str
    operation: str
    profile: Profile
    depth: float
    diameter: float | None = None


def drawn_faces(layout: Layout) -> Iterator[tuple[Workpiece, Face, str]]:
    """Each face that is drawn, and what the names of its drawings begin with."""
    for piece in layout.pieces:
        own = "" if piece is layout.body else f"{piece.file_id}-"
        for face in piece.faces:
            yield piece, face, f"{layout.name}-{own}{face}"


def cut_sheet(piece: Workpiece, face: str) -> Sheet:
    """The sheet of `face` ("front" or "back"); InputError for another face or an unusable layer
    name.

    The outline is cut on the sheets of the piece's `outline_cuts`, on another it is a mark, and so
    it is where a core runs on as the neck: the way round the rest is no closed contour. A ledge
    is the ring of wood that goes (`FRONT_LEDGE_D0640`): from its inner contour to `RUN_OUT` past
    the outline. Other edges have cutters of their own and no layer; the annotated twin names them,
    and where a ledge follows a contour. Depths run from the plain face to the deepest point of the
    floor; of a hole to the end of its full diameter (so ASME Y14.5 reads a hole's depth, from
    memory). Pockets that open to the edge stay closed contours that overrun the outline."""
    face = word(Face, face, "a sheet's face", SIDES)
    return of_the_cuts(piece, ("sheet", face), lambda: _sheet(piece, face))


def _sheet(piece: Workpiece, face: Face) -> Sheet:
    bare = [_cut(void, piece.thickness) for void in piece.voids if in_plan(void, face)]
    cuts = [replace(cut, profile=as_seen(cut.profile, face)) for cut in bare]
    ledges, outline = _ledges(piece, face), as_seen(piece.skin.outline, face)
    stock = _stock(piece, face, (layer.box for layer in ledges))
    marks = [_mark("DATUM", _datum(piece, face)), _mark("CHECK", [_check_bar(stock)])]
    last = []
    depth = piece.outline_cuts.get(face)
    if depth is None or piece.neck is not None:
        marks.append(_mark(OUTLINE_MARK, [outline]))
    else:
        whole = Item(Region(outline), (f"{piece.id}.outline",), depth)
        last.append(_layer(layer_name(face, "OUTLINE", depth), (whole,)))
    layers = _layers(face, _chains_undone(cuts))
    return Sheet(face, stock, (*marks, *layers, *ledges, *last))


def as_seen(shape: Profile, face: str) -> Profile:
    """A profile of the piece's frame as the sheet of `face` shows it."""
    return shape.mirrored() if face == "back" else shape


def layer_name(face: str, operation: str, depth: float, diameter: float | None = None) -> str:
    """`FACE_OPERATION_Ddepth[_DIAdiameter]` in hundredths of a mm; InputError when a reader would
    refuse it."""
    name = f"{face}_{operation}_D{_hundredths(depth):04d}".upper()
    if diameter is not None:
        name += f"_DIA{_hundredths(diameter)}"
    if not LAYER_NAME.fullmatch(name) or len(name) > LONGEST_NAME:
        raise InputError(
            "a layer name",
            name,
            f"at most {LONGEST_NAME} letters, the operation of A-Z, 0-9 and -",
            "use a short plain word for the operation",
        )
    return name


def written(shape: Profile, hole: bool = False) -> np.ndarray:
    """Vertices (n, 3) as a file gets them: no arc over 180 degrees, holes clockwise.

    The start is fixed: the longest straight segment, the lowest (x, y) among equals; without a
    straight segment the lowest vertex.
    """
    rows = np.concatenate([_halves(shape, k) for k in range(len(shape.vertices))])
    if hole:
        rows = rows[::-1].copy()
        rows[:, 2] = -np.roll(rows[:, 2], -1)
    straight = rows[:, 2] == 0.0
    chord = np.round(np.hypot(*(np.roll(rows, -1, axis=0) - rows)[:, :2].T), 6)
    rank = np.where(straight, -chord, 0.0) if straight.any() else np.zeros(len(rows))
    first = np.lexsort((*np.round(rows[:, [1, 0]], 6).T, rank))[0]
    return np.roll(rows, -first, axis=0) + 0.0


def around(boxes: Iterable[Box]) -> Box:
    """The box round boxes."""
    table = np.array(list(boxes))
    x0, y0 = table[:, :2].min(axis=0).tolist()
    x1, y1 = table[:, 2:].max(axis=0).tolist()
    return x0, y0, x1, y1


def _hundredths(value: float) -> int:
    return math.floor(value * 100.0 + 0.5 + 1e-9)


def _halves(shape: Profile, k: int) -> np.ndarray:
    row, s = shape.vertices[k], shape.segments
    if abs(row[2]) <= 1.0 + 1e-12:
        return np.array([row])
    middle, bulge = s.take(np.array([k])).at(np.array([0.5]))[0], math.tan(math.atan(row[2]) / 2.0)
    return np.array([(row[0], row[1], bulge), (*middle, bulge)])


def _cut(void: Void, thickness: float) -> _Cut:
    diameter = void.shape.hole.diameter if void.shape.hole else None
    return _Cut(void.id, void.operation, void.shape.plan, depth_of(void, thickness), diameter)


def _key(face: str) -> Callable[[_Cut], str]:
    return lambda cut: layer_name(face, cut.operation, cut.depth, cut.diameter)


def _chains_undone(cuts: Sequence[_Cut]) -> list[_Cut]:
    """Holes of one size and depth that run into each other cannot be drilled as one: they lose
    their diameter and are written as the contour they form together."""
    key = _key("front")
    chained: set[str] = set()
    for _, group in groupby(sorted((c for c in cuts if c.diameter), key=key), key):
        items = _merged(tuple(group))
        chained.update(i for d in items if d.region.outer.circle is None for i in d.ids)
    return [replace(c, diameter=None) if c.id in chained else c for c in cuts]


def _layers(face: str, cuts: Sequence[_Cut]) -> list[SheetLayer]:
    key = _key(face)
    found = (
        _layer(name, _merged(tuple(alike))) for name, alike in groupby(sorted(cuts, key=key), key)
    )
    return sorted(found, key=lambda layer: (_rank(layer.name), layer.name))


def _layer(name: str, items: tuple[Item, ...]) -> SheetLayer:
    return SheetLayer(name, COLOURS.get(_operation(name), OTHER_COLOUR), items)


def _operation(name: str) -> str:
    return name.split("_")[1]


def _rank(name: str) -> int:
    """Where a layer stands on its sheet."""
    operation = _operation(name)
    return 1 + ORDER.index(operation) if operation in ORDER else 0


def _ledges(piece: Workpiece, face: str) -> list[SheetLayer]:
    """The layers of a face's ledges, shallowest first."""
    found: dict[str, list[Item]] = {}
    for ring in rings(piece, face):
        outer, *holes = (as_seen(p, face) for p in (ring.region.outer, *ring.region.holes))
        ids = tuple(f"{piece.id}.ledge.{k}" for k in ring.numbers) or (f"{piece.id}.ledge",)
        name = layer_name(face, "LEDGE", ring.height)
        found.setdefault(name, []).append(Item(Region(outer, tuple(holes)), ids, ring.height))
    return [_layer(name, tuple(items)) for name, items in found.items()]


def _merged(cuts: Sequence[_Cut]) -> tuple[Item, ...]:
    """Cuts of one layer, those that overlap or share an edge made one; a lone cut keeps its
    profile."""
    items = []
    for cluster in _clusters(cuts):
        if len(cluster) == 1:
            items.append(Item(Region(cluster[0].profile), (cluster[0].id,), cluster[0].depth))
            continue
        made = union(cut.profile for cut in cluster)
        owners: list[list[_Cut]] = [[] for _ in made]
        for cut in cluster:
            owners[_home(cut.profile, made)].append(cut)
        items += [
            Item(region, tuple(sorted(c.id for c in own)), max(c.depth for c in own))
            for region, own in zip(made, owners)
        ]
    return tuple(sorted(items, key=lambda item: item.ids))


def _clusters(cuts: Sequence[_Cut]) -> list[list[_Cut]]:
    """Cuts grouped so that the boxes of different groups stay apart."""
    clusters: list[list[_Cut]] = []
    for cut in cuts:
        box = cut.profile.box
        near = [c for c in clusters if any(_boxes_meet(box, other.profile.box) for other in c)]
        clusters = [c for c in clusters if c not in near]
        clusters.append([cut, *(other for c in near for other in c)])
    return clusters


def _boxes_meet(a: Box, b: Box) -> bool:
    return all(a[k] <= b[k + 2] + _NEAR and b[k] <= a[k + 2] + _NEAR for k in (0, 1))


def _home(shape: Profile, made: Sequence[Region]) -> int:
    """Index of the region that a merged profile went into."""
    s = shape.segments
    half, tangent = np.full(len(s), 0.5), s.tangent(np.full(len(s), 0.5))
    inner = s.at(half) + 1e-4 * np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    point = inner[shape.segments.encloses(inner)][:1]
    for k, region in enumerate(made if len(point) else ()):
        within, *holes = (s.segments.encloses(point)[0] for s in (region.outer, *region.holes))
        if within and not any(holes):
            return k
    raise InputError(
        "a cut's profile", f"a shape within {shape.box}", "a simple chain wider than 0.001 mm"
    )


def _stock(piece: Workpiece, face: str, more: Iterable[Box]) -> Box:
    """The blank, or WASTE round outline and datum of a piece that is cut from an offcut, and what
    runs out of it: cuts that open to the edge, and `more`."""
    cross = -CROSS_ARM, -CROSS_ARM, CROSS_ARM, CROSS_ARM
    x0, y0, x1, y1 = around([as_seen(piece.skin.outline, face).box, cross])
    boxes = [(x0 - WASTE, y0 - WASTE, x1 + WASTE, y1 + WASTE)]
    if piece.blank is not None:
        boxes = [as_seen(piece.blank.plan, face).box]
    open_cuts = (v for v in piece.voids if in_plan(v, face) and "edge" in v.opens)
    return around([*boxes, *more, *(as_seen(v.shape.plan, face).box for v in open_cuts)])


def _datum(piece: Workpiece, face: str) -> list[Profile]:
    """The cross as one thin closed contour about the origin, and the pin holes."""
    a, w = CROSS_ARM, CROSS_WIDTH / 2.0
    xs, ys = (w, w, -w, -w, -a, -a, -w, -w, w, w, a, a), (w, a, a, w, w, -w, -w, -a, -a, -w, -w, w)
    holes = piece.blank.pins if piece.blank is not None else ()
    pins = [as_seen(circle(pin.diameter, pin.x, pin.y), face) for pin in holes]
    return [profile(tuple(zip(xs, ys)), "the datum cross"), *pins]


def _check_bar(stock: Box) -> Profile:
    """A bar exactly 100 mm long at the lower edge of the stock."""
    middle = (stock[0] + stock[2]) / 2.0, stock[1] + CHECK_WIDTH
    return rectangle(CHECK_LENGTH, CHECK_WIDTH, 0.0, *middle)


def _mark(name: str, shapes: Sequence[Profile]) -> SheetLayer:
    return SheetLayer(name, COLOURS[name], tuple(Item(Region(shape)) for shape in shapes))
