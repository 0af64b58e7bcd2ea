"""What a drawing for people says of each cut, and of what a plan contour would cut wrong: contours
of the skin, ledges that follow them, bores at an angle or from the edge, each with its numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.before import before
from bodycad.exports.lettering import Line, Note
from bodycad.exports.plan import contour_extent, contour_steps
from bodycad.exports.sheet import CHECK_LENGTH, OUTLINE_MARK, Item, Sheet, as_seen, written
from bodycad.geometry.plane.profile import Point, Profile, flatten
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Contour, Shelf
from bodycad.layout.entry import entry, under_face
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.cuts import Unreached, unreached
from bodycad.making.upright import set_aside
from bodycad.making.work import Drilled, drilled


@dataclass(frozen=True, eq=False)
class Info:
    """What is said beside a sheet: lines, closed outlines, texts at (x, y) turned by degrees, notes
    that still seek a place."""

    lines: tuple[Line, ...] = ()
    outlines: tuple[Profile, ...] = ()
    texts: tuple[tuple[str, Point, float], ...] = ()
    notes: tuple[Note, ...] = ()

    def __add__(self, other: Info) -> Info:
        return Info(
            self.lines + other.lines,
            self.outlines + other.outlines,
            self.texts + other.texts,
            self.notes + other.notes,
        )


def face_info(layout: Layout, piece: Workpiece, sheet: Sheet) -> Info:
    """A note for every cut and mark of a sheet; lines, outlines and notes for what it leaves
    out."""
    face = sheet.face
    notes = (
        _note(layout, piece, layer.name, item) for layer in sheet.layers for item in layer.items
    )
    contours = [_contour(c, piece) for c in piece.skin.contours if c.face == face]
    contours += [_bent(shelf, piece) for shelf in piece.skin.shelves if shelf.face == face]
    aside = (_aside(void, face, piece, layout) for void in set_aside(piece, face))
    missed = (
        _missed(one) for one in unreached(layout) if (one.piece, one.face) == (piece.id, face)
    )
    return sum((*contours, *aside, *missed), start=Info(notes=tuple(notes)))


def _missed(one: Unreached) -> Info:
    """What no cutter on hand clears of a cut."""
    shape = as_seen(one.region.outer, one.face)
    gone = "no cutter on hand reaches so deep" if one.cutter is None else "no cutter enters here"
    left = f"{one.size:.2f} mm stay beside the cutter" if math.isfinite(one.size) else gone
    lines = (
        f"{' + '.join(one.ids)}: {left},",
        f"by hand, {one.start:.2f} to {one.depth:.2f} deep",
    )
    return Info(outlines=(shape,), notes=(Note(lines, on_contour(shape)),))


def _contour(contour: Contour, piece: Workpiece) -> Info:
    """The plan extent of a contour of the skin, with its greatest depth."""
    info, places = Info(), contour_extent(contour, piece)
    whole = max((deep for _, deep in places), default=0.0)
    apart = f" in {len(places)} places" if len(places) > 1 else ""
    for region, deep in places:
        shapes = tuple(as_seen(one, contour.face) for one in (region.outer, *region.holes))
        round_it = ("round the crown: depths count from it",) if region.holes else ()
        here = f" here, {whole:.2f} at its deepest" if deep < whole else " here" * bool(apart)
        lines = (
            f"{contour.id}: shaped surface{apart},",
            f"up to {deep:.2f} deep{here}, not a plan cut",
            *round_it,
        )
        within = None if region.holes else shapes[0]
        info += Info(outlines=shapes, notes=(Note(lines, on_contour(shapes[-1]), within),))
    for line, deep in contour_steps(contour, piece):
        shape = as_seen(line, contour.face)
        note = Note((f"{contour.id} {deep:.2f} deep: step outside",), on_contour(shape))
        info += Info(outlines=(shape,), notes=(note,))
    return info


def _bent(shelf: Shelf, piece: Workpiece) -> Info:
    """Where a ledge follows a contour: its plan there, with its greatest depth."""
    info, skin, height = Info(), piece.skin, shelf.run.edge.drop
    if shelf.carve is None:
        return info
    for region in shelf.widest(skin.outline, skin.level(shelf.face)):
        deep = height + float(skin.fall(shelf.face, flatten(region.outer, 0.05)).max())
        shape = as_seen(region.outer, shelf.face)
        lines = (
            f"{piece.id}.ledge follows {shelf.contour}: floor {height:.2f} under the shaped",
            f"face, up to {deep:.2f} deep, not level: cut it after the contour",
        )
        within = None if region.holes else shape
        info += Info(outlines=(shape,), notes=(Note(lines, on_contour(shape), within),))
    return info


def _aside(void: Void, face: str, piece: Workpiece, layout: Layout) -> Info:
    """The plan of a void that is no plan cut; of a bore also its start and axis."""
    shape, plan = void.shape.hole, as_seen(void.shape.plan, face)
    deep = drilled(void, piece, layout)
    if shape is None or deep is None:
        words = void.id, f"from the edge, {-void.high:.2f} to {-void.low:.2f} below the front"
        return Info(outlines=(plan,), notes=(Note(words, on_contour(plan), plan),))
    flip = -1.0 if face == "back" else 1.0
    along = entry(shape, piece.skin)
    begin = shape.at(np.array([along]))[0].tolist()
    (x, y), (tx, ty) = ((p[0], flip * p[1]) for p in (begin, shape.end))
    lines = ((x - 3.0, y), (x + 3.0, y)), ((x, y - 3.0), (x, y + 3.0)), ((x, y), (tx, ty))
    note = Note(_bore_words(void, shape, deep, begin, (tx - x, ty - y)), (x, y))
    return Info(lines, (plan,), notes=(note,))


def _bore_words(
    void: Void, bore: Bore, deep: Drilled, begin: Sequence[float], heading: Point
) -> tuple[str, ...]:
    """What a drilled way needs: measured from where it enters the board, or from its start where
    that is in a cut."""
    dip = math.degrees(math.asin(bore.direction[2]))
    toward = f"{abs(dip):.1f} deg toward the {'front' if dip > 0 else 'back'}"
    level = "level" if abs(dip) < 0.05 else toward
    bearing = math.degrees(math.atan2(heading[1], heading[0])) % 360.0
    turn = "" if bore.upright else f"heads {bearing:.1f} deg, "
    origin = "from the edge" if void.face == "edge" else "drilled at an angle"
    return (
        f"{void.id}: {origin}, dia {bore.diameter:.2f}, {deep.words}",
        f"{'starts in a cut' if deep.from_cut else 'enters'} {max(0.0 - begin[2], 0.0):.2f} "
        f"below the front, {turn}{level}",
    )


def _note(layout: Layout, piece: Workpiece, layer: str, item: Item) -> Note:
    outer = item.region.outer
    centre, radius = outer.circle or (on_contour(outer), 0.0)
    if not item.ids:
        return Note(_mark_words(piece, layer, radius), centre, None, radius)
    deepest = item.depth >= piece.thickness - 1e-9
    voids = [piece.by_id[i] for i in item.ids if i in piece.by_id]
    hole = drilled(voids[0], piece, layout) if radius and voids else None
    depth = f"depth {item.depth:.2f}{' through' if deepest else ''}"
    figures = [f"dia {2.0 * radius:.2f}", hole.words] if hole else [depth]
    for void in voids:
        figures += _particulars(void, piece.thickness)
    over = sorted({name for void in voids for name in before(void, piece)})
    figures += [f"before {' and '.join(over)}"] * bool(over)
    within = None if "_OUTLINE_" in layer or "_LEDGE_" in layer else outer
    return Note((" + ".join(item.ids), ", ".join(figures)), centre, within, radius)


def _mark_words(piece: Workpiece, layer: str, radius: float) -> tuple[str, ...]:
    if layer == OUTLINE_MARK:
        how = ", by the open chain of its program: the core runs on" if piece.neck else ""
        return (f"{piece.id}.outline: a mark, cut from the {piece.faces[-1]}{how}",)
    if layer == "CHECK":
        return (f"check bar {CHECK_LENGTH:g} mm",)
    return (f"datum pin dia {2.0 * radius:.2f} through, first of all" if radius else "datum 0, 0",)


def on_contour(shape: Profile) -> Point:
    """A point on the longest straight side, where a leader shows which contour is meant."""
    first = Profile(written(shape)[:2]).segments
    x, y = first.at(np.full(len(first), 0.15))[0].tolist()
    return x, y


def _particulars(void: Void, thickness: float) -> list[str]:
    shape, sunk = void.shape.prism, under_face(void, thickness)
    lines = [f"starts {sunk:.2f} below the face"] if sunk > 1e-6 else []
    if shape is not None and shape.tilted:
        low, high = shape.floor_range
        lines.append(f"floor tilted from {-high:.2f} to {-low:.2f}")
    return lines
