"""The annotated twin of a face's drawing, for people: the same cut geometry and one more layer,
INFO.

INFO holds every cut's id and depth, the lines a maker measures from (centreline, scale line, heel
and board end, strings), and what the bare file leaves out because a plan contour would cut it
wrong: contours of the skin, roundovers, bores at an angle or from the edge, each with its numbers.
The back has the layer BACK_STANDING too: where a neck screw may stand on the heel. The twin is not
for CAM.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ezdxf.enums import TextEntityAlignment as Align

from bodycad.exports import cautions
from bodycad.exports.coordinates import bass_or_treble, script, wood
from bodycad.exports.dxf.document import frame, save, sheet_document, worded
from bodycad.exports.dxf.heels import draw_standing, standing_areas
from bodycad.exports.lettering import HEIGHT, LEADING, Note, letter, width
from bodycad.exports.notes import Info, face_info
from bodycad.exports.sheet import (
    INFO,
    Box,
    Sheet,
    around,
    cut_sheet,
    written,
)
from bodycad.geometry.plane.profile import Point
from bodycad.geometry.solids.edge import Edge, Ledge
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.neck import heel_end_x
from bodycad.layout.entry import under_face
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.ledges import RUN_OUT
from bodycad.making.order import steps_of
from bodycad.making.step import spans

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace

INFO_COLOUR = 6
TITLE = 5.0
"""Text height of the title, mm."""
DOT = 0.6
"""Radius (mm) of the ring at the foot of a leader."""
BESIDE = 6.0
"""How far (mm) the reference lines run beyond the stock."""


def annotated_document(layout: Layout, face: str, piece: Workpiece | None = None) -> Drawing:
    """The annotated drawing of `face` ("front" or "back") of a workpiece (the body where none is
    named) as an ezdxf document, R2000."""
    piece = piece or layout.body
    whole = piece is layout.body
    sheet = cut_sheet(piece, face)
    heels = standing_areas(layout) if whole and face == "back" else ()
    info = sum(
        (face_info(layout, piece, sheet), *(Info(notes=(heel.note,)) for heel in heels)),
        start=_reference_lines(layout, sheet) if whole else Info(),
    )
    doc = sheet_document(sheet)
    doc.layers.add(INFO, color=INFO_COLOUR, linetype="CONTINUOUS")
    draw_standing(doc, heels)
    boxes = [sheet.box, *_draw(doc, sheet, info)]
    boxes += _title(doc, layout, piece, sheet, around(boxes)[1])
    frame(doc, around(boxes), sheet.stock)
    return doc


def write_annotated(
    layout: Layout, face: str, path: str | Path, piece: Workpiece | None = None
) -> Path:
    """Write the annotated drawing of `face` to `path`; equal input gives equal bytes."""
    return save(annotated_document(layout, face, piece), path)


def _reference_lines(layout: Layout, sheet: Sheet) -> Info:
    """Centreline, scale line, heel end, board end and strings, named at their ends beside the
    stock."""
    x0, y0, x1, y1 = (v + s * BESIDE for v, s in zip(sheet.stock, (-1, -1, 1, 1)))
    flip = -1.0 if sheet.face == "back" else 1.0
    heel, end = heel_end_x(layout.instrument.neck), layout.instrument.board_end
    ahead = bass_or_treble(layout, flip)
    lines, texts, notes = [((x0, 0.0), (x1, 0.0))], [], [Note(("centreline",), (x0, 0.0))]
    for x, slope, name, top in (
        (0.0, 0.0, f"scale line, x 0, this way the {ahead} side", True),
        (heel, 0.0, f"heel end, x {heel:.2f}", True),
        (end.x, flip * end.slope, f"board end, x {end.x:.2f}", False),
    ):
        if x0 < x < x1:
            lines.append(((x + slope * y0, y0), (x + slope * y1, y1)))
            y, foot = (y1, y1 + 1.0) if top else (y0, y0 - 1.0 - width(name))
            texts.append((name, (x + slope * y, foot), 90.0))
    strings = layout.instrument.lines
    for string, (x, y) in zip(strings, layout.instrument.saddle_points):
        right = min(x1, string.nut[0]), flip * string.y_at(min(x1, string.nut[0]))
        lines.append(((x, flip * y), right))
        if string in (strings[0], strings[-1]):
            notes.append(Note((f"string {string.number}",), right))
    return Info(tuple(lines), (), tuple(texts), tuple(notes))


def _draw(doc: Drawing, sheet: Sheet, info: Info) -> list[Box]:
    """Draw INFO and return the boxes of what was drawn."""
    space, attribs = doc.modelspace(), {"layer": INFO}
    for shape in info.outlines:
        space.add_lwpolyline(written(shape).tolist(), format="xyb", close=True, dxfattribs=attribs)
    for p, q in info.lines:
        space.add_line(p, q, dxfattribs=attribs)
    boxes = [around(((*p, *p), (*q, *q))) for p, q in info.lines]
    texts = [_text_box(*text) for text in info.texts]
    for text, point, turn in info.texts:
        _write(space, text, point, turn=turn)
    shapes = [s for la in sheet.layers for d in la.items for s in (d.region.outer, *d.region.holes)]
    edges = around([sheet.box, sheet.stock, *boxes, *texts, *(s.box for s in info.outlines)])
    for spot in letter(info.notes, [*shapes, *info.outlines], info.lines, edges):
        x0, y0, x1, y1 = spot.box
        rise = (y1 - y0) / len(spot.note.lines)
        align, x = Align.MIDDLE_CENTER, (x0 + x1) / 2.0
        if spot.leader:
            left = spot.leader[1][0] < x0
            align, x = (Align.MIDDLE_LEFT, x0) if left else (Align.MIDDLE_RIGHT, x1)
        for k, text in enumerate(spot.note.lines):
            _write(space, text, (x, y1 - (k + 0.5) * rise), align)
        if spot.leader:
            space.add_line(*spot.leader, dxfattribs=attribs)
            dot = DOT / 2.0 if spot.note.radius else DOT
            space.add_circle(spot.leader[0], dot, dxfattribs=attribs)
        boxes.append(spot.box)
    return boxes + texts


def _text_box(text: str, point: Point, turn: float) -> Box:
    (x, y), long, half = point, width(text), HEIGHT / 2.0
    return (x - half, y, x + half, y + long) if turn else (x, y - half, x + long, y + half)


def _title(
    doc: Drawing, layout: Layout, piece: Workpiece, sheet: Sheet, below: float
) -> Iterator[Box]:
    """What the drawing is, under everything else; yields the boxes of its lines."""
    skin, face = piece.skin, sheet.face
    view = f"{face.upper()}, seen from the {face}"
    view += " (y mirrored, on the same pins)" if face == "back" else ""
    lines = [
        f"{layout.name}{'' if piece is layout.body else f', {piece.id}'}: {view}",
        f"{layout.hand}-handed, revision {layout.revision}, thickness {piece.thickness:.2f}, "
        "units millimetres, scale 1:1",
        *_axes_words(layout, piece, face),
        f"edge of this face: {_edge_words(skin.edge(face), sheet)}",
        *_stretch_words(skin, sheet),
        *_order_words(piece, face),
        "layers, by the steps of the cut order: FACE_OPERATION_Ddepth[_DIAdiameter] in hundredths "
        "of a millimetre,",
        "depth from the plain face, of a hole at full diameter; tip: to the tip of a drill with "
        "that point",
    ]
    lines += _layer_words(layout, piece, sheet)
    lines += ["CAUTION. Follow local codes, tool makers' manuals and product safety data sheets."]
    lines += cautions.lines(cautions.of_sheet(layout, piece, face))
    x, y = sheet.stock[0], below - 2.0 * TITLE
    for k, text in enumerate(lines):
        height = TITLE if k == 0 else TITLE * 0.7
        _write(doc.modelspace(), text, (x, y), height=height)
        yield x, y - height / 2.0, x + width(text, height), y + height / 2.0
        y -= LEADING * TITLE * (1.0 if k == 0 else 0.8)


def _layer_words(layout: Layout, piece: Workpiece, sheet: Sheet) -> Iterator[str]:
    """A line for each layer that is cut, in the cut order: how many, their area, at which steps,
    and from which depth those go that begin under the face."""
    done, rows = steps_of(layout, piece, sheet.face), list[tuple[float, str]]()
    for layer in sheet.layers:
        ids = [name for item in layer.items for name in item.ids]
        numbers = {number for name in ids for number in done.get(name, ())}
        begins = {
            f"{under_face(piece.by_id[name], piece.thickness):.2f}"
            for name in ids
            if name in piece.by_id
        } - {"0.00"}
        begin = f", from {' and '.join(sorted(begins, key=float))} down" if begins else ""
        when = f", {spans(sorted(numbers))}" if numbers else ""
        words = f"{layer.name}: {len(layer.items)}, {layer.area:.1f} mm2{begin}{when}"
        if ids:
            rows.append((min(numbers, default=math.inf), words))
    yield from (words for _, words in sorted(rows, key=lambda row: row[0]))


def _axes_words(layout: Layout, piece: Workpiece, face: str) -> Iterator[str]:
    """What x and y of the drawing are."""
    seen = "as drawn, y has the other sign" if face == "back" else "as drawn"
    if piece is not layout.body:
        yield f"x and y from the middle of {piece.id}, seen from its front; {seen}"
        return
    yield f"wood: {wood(layout)}; {seen}"
    if words := script(layout):
        yield words


def _order_words(piece: Workpiece, face: str) -> Iterator[str]:
    """What comes first and last."""
    first, last = piece.faces[0], piece.faces[-1]
    if first != last:
        turn = f"the {first} first, then the {last}, turned over about the centreline"
        half = " (half from each face)" if len(piece.outline_cuts) > 1 else ""
        yield f"order of work: {turn}; the outline{half} goes through last of all"
    over = [contour.id for contour in piece.skin.contours if contour.face == face]
    if over:
        yield f"holes, recesses and pockets before {' and '.join(over)}"


def _edge_words(edge: Edge, sheet: Sheet) -> str:
    if isinstance(edge, Ledge):
        name = next(layer.name for layer in sheet.layers if "_LEDGE_" in layer.name)
        return (
            f"binding ledge {edge.reach:.2f} wide, {edge.height:.2f} deep; {name} is the ring of "
            f"wood that goes, {RUN_OUT:g} past the outline"
        )
    own = ", after the outline, with its own cutter; not a layer" if edge.drop else ""
    return edge.words + own


def _stretch_words(skin: Skin, sheet: Sheet) -> Iterator[str]:
    """A line for each stretch of the face's edge, with its ends as this sheet shows them."""
    for run in skin.runs(sheet.face):
        ends = run.chain.a[0], run.chain.b[-1]
        if sheet.face == "back":
            ends = ends[1] * [1.0, -1.0], ends[0] * [1.0, -1.0]
        one, two = (f"({x:.2f}, {y:.2f})" for x, y in ends)
        how = "; LEDGE is what goes" if isinstance(run.edge, Ledge) else ", not a layer"
        yield f"but {run.edge.words} counter-clockwise from {one} to {two}, ends square{how}"


def _write(
    space: Modelspace,
    text: str,
    point: Point,
    align: Align = Align.MIDDLE_LEFT,
    height: float = HEIGHT,
    turn: float = 0.0,
) -> None:
    text = worded(text)
    space.add_text(text, height=height, rotation=turn, dxfattribs={"layer": INFO}).set_placement(
        point, align=align
    )
