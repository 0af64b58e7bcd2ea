"""The drawing of one face of a workpiece at full size: what is cut there, what is measured from,
and the outlines of the parts that lie on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.exports.coordinates import bass_or_treble
from bodycad.exports.lettering import PAD, Lettered, Line, Note
from bodycad.exports.near import CELL, Ground, ground, letter_near
from bodycad.exports.notes import Info, face_info, on_contour
from bodycad.exports.pdf.kit import (
    AXIS,
    BOTTOM,
    DASHED,
    FINE,
    THIN,
    TOP,
    Box,
    Ink,
    Pen,
    stencil,
    text_box,
    width,
    wrapped,
)
from bodycad.exports.pdf.pages import Picture
from bodycad.exports.plan import on_this_side
from bodycad.exports.sheet import CROSS_ARM, Sheet, around, as_seen, cut_sheet
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.instrument.neck import heel_end_x
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.layout.workpiece import Workpiece
from bodycad.making.upright import in_plan
from bodycad.words import Face, RoomKind

SIZE, LEADING = 2.2, 1.25
"""Size of the letters, mm, and the distance of lines in parts of it."""
AROUND, LEAST = 30.0, 5.0
"""Paper round what is drawn that notes may stand on, and what is left of it where none do, mm."""
CROSS_LEAST, CROSS_OVER, CROSS_MOST = 2.5, 1.5, 5.5
"""The arm of a hole's cross: its least, how far it stands out of the hole, and its most, mm: half
of the tiles' overlap at most."""
BESIDE = BOTTOM * SIZE + PAD + CELL + 0.1
"""From a line to the foot of its name, mm: as near as a text may stand."""
NOTE = 52.0
"""A note is broken into lines no wider, mm: so it lies whole on one tile, or nearly."""
TRIED = 24
"""Places that are tried for each name."""
EVERY = 160.0
"""A line that goes through all tiles has its name so often, mm: on every tile."""
DOT = 0.4
"""Radius of the dot at the foot of a leader, mm."""
Lettering = tuple[str, Point, float]
"""A text, where it begins, and its turn in degrees."""
SHAPED = Ink(0.13, (3.0, 1.0), 0.3)
DOTTED = Ink(0.15, (0.4, 1.0), 0.3)
OUTLINE = Ink(0.25)
HIDDEN = (
    *(RoomKind.SCREW, RoomKind.POLE, RoomKind.CAN, RoomKind.PLUG, RoomKind.SWING),
    *(RoomKind.TOOL, RoomKind.FERRULE, RoomKind.SADDLE, RoomKind.POST),
)
"""What is not laid on the paper: it sits in its hole, on a plate, or is no part that is fitted."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """All lines of a face, mm as seen from it. cuts: contours of what is cut here. out: those of
    cuts from the other face that come out here. shaped: outlines and lines of what is no plan cut,
    and notes of all. crosses: centre and arm. parts: outlines of what lies on it, with the id of
    each. box: round all that."""

    outline: Profile
    cuts: tuple[Profile, ...]
    out: tuple[Profile, ...]
    shaped: Info
    crosses: tuple[tuple[Point, float], ...]
    parts: tuple[tuple[str, Profile], ...]
    box: Box


def silhouettes(layout: Layout, face: Face) -> tuple[Room, ...]:
    """The fitted parts that can be laid on a face of the body."""
    return tuple(r for r in on_this_side(layout, face) if r.kind not in HIDDEN)


def drawn(layout: Layout, piece: Workpiece, face: Face) -> Drawn:
    """What is drawn of a face."""
    sheet, whole = cut_sheet(piece, face), piece is layout.body
    outline = as_seen(piece.skin.outline, face)
    info = face_info(layout, piece, sheet)
    info = replace(info, notes=tuple(_said(info.notes, sheet)))
    cuts = tuple(_cuts(sheet))
    out = [v for v in piece.voids if v.face != face and face in v.opens and v.shape.upright]
    parts = [(r.id, as_seen(r.shape.plan, face)) for r in silhouettes(layout, face) if whole]
    pins = _pins(piece, face)
    shapes = [outline, *cuts, *pins, *info.outlines, *(shape for _, shape in parts)]
    datum = -CROSS_ARM, -CROSS_ARM, CROSS_ARM, CROSS_ARM
    ends = [(*point, *point) for line in info.lines for point in line]
    box = around([datum, *(shape.box for shape in shapes), *ends])
    return Drawn(
        outline,
        (*cuts, *pins),
        tuple(as_seen(v.shape.plan, face) for v in out),
        info,
        tuple(_crosses(piece, face, pins)),
        tuple(parts),
        box,
    )


def picture(layout: Layout, piece: Workpiece, face: Face) -> Picture:
    """The full-size drawing of a face, lettered."""
    one = drawn(layout, piece, face)
    parts = [shape for _, shape in one.parts]
    shapes = [one.outline, *one.cuts, *one.out, *one.shaped.outlines, *parts]
    arms = [line for cross in one.crosses for line in _arms(*cross)]
    frame, least, body = _grown(one.box, AROUND), _grown(one.box, LEAST), piece is layout.body
    long, short = (tuple(_axes(layout, box)) if body else () for box in (frame, least))
    lines = [*one.shaped.lines, *(line for _, line in long), *arms]
    names, free = _names(short, ground(shapes, lines, frame))
    notes = [_broken(note) for note in one.shaped.notes]
    notes += [Note((name,), on_contour(shape), shape) for name, shape in one.parts]
    spots = letter_near(notes, free, _measure)
    box = around([least, *(_grown(spot.box, 1.0) for spot in spots)])
    axes = [line for _, line in _axes(layout, box)] if body else []
    made = stencil(lambda pen: _draw(pen, one, axes, names, spots), box)
    title, about = f"{piece.id}, {face.upper()}, seen from the {face}", _about(layout, piece, face)
    crosses = [(x - arm, y - arm, x + arm, y + arm) for (x, y), arm in one.crosses]
    whole = *crosses, *(spot.box for spot in spots)
    return Picture(f"{piece.id}-{face}", title, about, made, (one.outline,), whole)


def _grown(box: Box, by: float) -> Box:
    x0, y0, x1, y1 = box
    return x0 - by, y0 - by, x1 + by, y1 + by


def _said(notes: Sequence[Note], sheet: Sheet) -> Iterator[Note]:
    """The notes but that of the sheet's own bar, for a page has its own; the leader of a ledge's
    note begins at the line that is drawn of it."""
    ledges = [la for la in sheet.layers if "_LEDGE_" in la.name]
    moved = {
        on_contour(item.region.outer): on_contour(item.region.holes[0])
        for layer in ledges
        for item in layer.items
        if item.region.holes
    }
    for note in notes:
        if not note.lines[0].startswith("check bar"):
            yield replace(note, anchor=moved.get(note.anchor, note.anchor))


def _broken(note: Note) -> Note:
    """The note in short lines."""
    lines = (line for text in note.lines for line in wrapped(text, NOTE, SIZE))
    return replace(note, lines=tuple(lines))


def _about(layout: Layout, piece: Workpiece, face: Face) -> str:
    known = piece is layout.body and layout.shop.measured_stock is not None
    words = [f"thickness {'measured' if known else 'assumed'} {piece.thickness:.2f} mm"]
    if piece is layout.body:
        side = bass_or_treble(layout, -1.0 if face is Face.BACK else 1.0)
        words += ["the nut to the right", f"the {side} side up"]
    edge = piece.skin.edge(face)
    return ", ".join([*words, *([f"its edge here: {edge.words}"] if edge.drop else [])])


def _cuts(sheet: Sheet) -> Iterator[Profile]:
    """The contours of what is cut; of a ledge the line that it ends at in the wood. The outline is
    drawn for itself."""
    for layer in sheet.layers:
        for item in layer.items if layer.items[0].ids else ():
            if "_OUTLINE_" not in layer.name and "_LEDGE_" not in layer.name:
                yield item.region.outer
            if "_OUTLINE_" not in layer.name:
                yield from item.region.holes


def _pins(piece: Workpiece, face: Face) -> tuple[Profile, ...]:
    pins = piece.blank.pins if piece.blank is not None else ()
    return tuple(as_seen(circle(pin.diameter, pin.x, pin.y), face) for pin in pins)


def _crosses(
    piece: Workpiece, face: Face, pins: Sequence[Profile]
) -> Iterator[tuple[Point, float]]:
    """Centre and arm of the datum's cross and of that of every upright hole; slanted ones have
    theirs where they enter the wood."""
    yield (0.0, 0.0), CROSS_ARM
    holes = [as_seen(v.shape.plan, face) for v in piece.voids if v.shape.hole and in_plan(v, face)]
    for shape in (*holes, *pins):
        if shape.circle is not None:
            centre, radius = shape.circle
            yield centre, min(max(radius + CROSS_OVER, CROSS_LEAST), CROSS_MOST)


def _arms(centre: Point, arm: float) -> tuple[Line, Line]:
    x, y = centre
    return ((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))


def _axes(layout: Layout, box: Box) -> Iterator[tuple[str, Line]]:
    """The lines that stand on every tile they cross: all of it is measured from them."""
    x0, y0, x1, y1 = box
    heel = heel_end_x(layout.instrument.neck)
    yield "centreline", ((x0, 0.0), (x1, 0.0))
    yield "scale line, x 0", ((0.0, y0), (0.0, y1))
    if x0 < heel < x1:
        yield f"end of the neck's heel, x {heel:.2f}", ((heel, y0), (heel, y1))


def _names(axes: Sequence[tuple[str, Line]], free: Ground) -> tuple[tuple[Lettering, ...], Ground]:
    """The names along the axes, each in a free place near every `EVERY` mm, and what is free
    then."""
    found: list[Lettering] = []
    for name, ((x0, y0), (x1, y1)) in axes:
        turn, long = (0.0, x1 - x0) if y0 == y1 else (90.0, y1 - y0)
        room = width(name, SIZE)
        for target in np.arange(20.0, long - room, EVERY).tolist():
            along = np.arange(1.0, long - room - 1.0, 4.0)
            along = along[np.argsort(np.abs(along - target), kind="stable")][:TRIED]
            foot = (x0, y0 + BESIDE) if turn == 0.0 else (x0 - BESIDE, y0)
            way = np.array([1.0, 0.0] if turn == 0.0 else [0.0, 1.0])
            feet = np.array(foot) + along[:, None] * way
            boxes = np.array(text_box(name, foot, SIZE, turn=turn)) + np.tile(feet - foot, 2)
            clear = np.flatnonzero(free.clear(boxes))[:1].tolist()
            for k in clear:
                found.append((name, (float(feet[k, 0]), float(feet[k, 1])), turn))
                x, y, u, v = boxes[k].tolist()
                free = free.without((x, y, u, v))
    return tuple(found), free


def _measure(lines: Sequence[str]) -> Point:
    return max(width(line, SIZE) for line in lines), LEADING * SIZE * len(lines)


def _draw(
    pen: Pen,
    one: Drawn,
    axes: Sequence[Line],
    names: Sequence[Lettering],
    spots: Sequence[Lettered],
) -> None:
    for _, shape in one.parts:
        pen.shapes([shape], DASHED)
    for shape in one.out:
        pen.shapes([shape], DOTTED)
    for shape in one.shaped.outlines:
        pen.shapes([shape], SHAPED)
    for line in one.shaped.lines:
        pen.lines(line, FINE)
    for shape in one.cuts:
        pen.shapes([shape], THIN)
    pen.shapes([one.outline], OUTLINE)
    for line in axes:
        pen.lines(line, AXIS)
    for centre, arm in one.crosses:
        pen.cross(centre, arm)
    for text, at, turn in names:
        pen.text(text, at, SIZE, turn=turn)
    for spot in spots:
        _write(pen, spot)


def _write(pen: Pen, spot: Lettered) -> None:
    """A note and its leader."""
    x0, y0, x1, y1 = spot.box
    align, x = 0.5, (x0 + x1) / 2.0
    if spot.leader is not None:
        start, end = spot.leader
        align, x = (0.0, x0) if end[0] < x0 else (1.0, x1)
        pen.lines([start, end], FINE)
        pen.dot(start, DOT)
    rise = (y1 - y0) / len(spot.note.lines)
    for k, text in enumerate(spot.note.lines):
        pen.text(text, (x, y1 - (k + 0.5) * rise - (TOP - BOTTOM) / 2.0 * SIZE), SIZE, align)
