"""Reads a DXF back from disk and says what a CAM reader would choke on.

Errors spoil the cut or stop the reader; warnings are rough going for the machine. Nothing is
repaired. Every text begins with the word of its rule.

errors    not-finite, zero-length, open, gap (loose ends within 0.05 mm), repeated-vertex, crossing
(itself),
          duplicate, overlap (within a layer), turning (outer contours counter-clockwise, holes
          clockwise), wide-arc (over 180 degrees), height (Z, thickness or extrusion), layer
          (undefined, or a bad name or colour), by-layer, unit, extents, stock (outside
          $LIMMIN..$LIMMAX, check bar excepted), entity (a kind not allowed), space (drawn outside
          the model), version, datum, check-bar
warnings  short (segment or arc under 0.05 mm), flat-arc (radius over 10 m), kink (0.05-2 degrees),
          corner (inside radius under the cutter's), unit (R12 cannot carry one)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

import ezdxf
import numpy as np

from bodycad.errors import FileError
from bodycad.exports.dxf.document import APPID, METRIC, MILLIMETRES
from bodycad.exports.dxf.ring import SAGITTA, Fault, Ring, broken, place, read_ring, rough
from bodycad.exports.sheet import (
    CHECK_LENGTH,
    INFO,
    LAYER_NAME,
    LONGEST_NAME,
    MARKS,
    STANDING,
    around,
    cut_sheet,
)
from bodycad.geometry.plane.profile import Point, flatten
from bodycad.geometry.plane.region import filled
from bodycad.layout.workpiece import Workpiece

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities import DXFGraphic

GAP = 0.05
"""Loose ends nearer than this (mm) were meant to meet."""
FOLLOWED = "_EDGE_", "_OUTLINE_"
"""Layers whose chains a tool runs beside: in a cutting program they may be open."""
_NO_CUTS = ("0", "Defpoints", INFO)
_VERSIONS = ("AC1009", "AC1015")


def lint(
    path: str | Path,
    cutter: float = 0.0,
    annotated: bool = False,
    datum: Point | None = None,
) -> tuple[Fault, ...]:
    """Everything wrong with the file at `path`, errors first.

    `cutter`: the smallest cutter's diameter, mm; 0 leaves the corner rule out. `annotated`:
    anything goes on layer INFO, and STANDING, whose contours are no cuts, is allowed. `datum`:
    where the cross stands in a cutting program, in which a chain that a tool runs beside may be
    open. Raises FileError when the file cannot be read at all."""
    return linted(open_drawing(path), cutter, annotated, datum)


def linted(
    doc: Drawing, cutter: float = 0.0, annotated: bool = False, datum: Point | None = None
) -> tuple[Fault, ...]:
    """`lint` of a drawing that has been read."""
    return _linted(doc, _rings(doc), cutter, annotated, datum)


def _linted(
    doc: Drawing,
    read: Sequence[Ring],
    cutter: float,
    annotated: bool,
    datum: Point | None = None,
) -> tuple[Fault, ...]:
    entities = [e for e in doc.modelspace() if not (annotated and e.dxf.layer == INFO)]
    rings = [ring for ring in read if not (annotated and ring.layer == INFO)]
    faults = [*_file_faults(doc, rings, datum or (0.0, 0.0), whole=not annotated)]
    if datum is not None:
        rings = [r for r in rings if r.closed or not any(name in r.layer for name in FOLLOWED)]
    for entity in entities:
        faults += _entity_faults(doc, entity)
    sound = []
    for ring in rings:
        spoilt = list(broken(ring))
        faults += spoilt
        if not spoilt:
            sound.append(ring)
            faults += () if annotated and ring.layer == STANDING else rough(ring, cutter)
    faults += _gaps(rings)
    for layer in sorted({ring.layer for ring in sound}):
        faults += _pair_faults([ring for ring in sound if ring.layer == layer])
    faults += _outside(doc, sound)
    return tuple(sorted(faults, key=lambda fault: fault.level))


def compare(path: str | Path, piece: Workpiece, face: str) -> None:
    """Hold the file at `path` against the sheet of `face`; the layers INFO and STANDING are left
    out of it.

    Raises FileError when the layers differ, a layer's area is off by 0.01 %, its box or a cut's by
    0.001 mm, or a cut's id or depth is missing, double or wrong.
    """
    _held(path, _rings(open_drawing(path)), piece, face)


def _held(path: str | Path, read: Sequence[Ring], piece: Workpiece, face: str) -> None:
    sheet = cut_sheet(piece, face)
    rings = [ring for ring in read if ring.layer not in (INFO, STANDING)]
    wrong = []
    if odd := {r.layer for r in rings} ^ {layer.name for layer in sheet.layers}:
        wrong.append(f"layers {sorted(odd)} are in the file or the layout only")
    for layer in sheet.layers:
        own = [r.profile for r in rings if r.layer == layer.name]
        area = sum(p.area for p in own)
        if own and not abs(area - layer.area) <= 1e-4 * layer.area:
            wrong.append(f"{layer.name} holds {area:.4f} mm2, the layout {layer.area:.4f}")
        spans = [(layer.name, around(p.box for p in own), layer.box)] if own else []
        for item in layer.items:
            tagged = (r for r in rings for i, _ in _tags(r.entity) if item.ids[:1] == (i,))
            boxes = [r.profile.box for r in tagged]
            if len(boxes) == 1:
                spans.append((f"cut {item.ids[0]}", boxes[0], item.region.outer.box))
        for what, have, want in spans:
            if not np.allclose(have, want, rtol=0.0, atol=1e-3):
                wrong.append(f"{what} spans {have}, in the layout {want}")
    found = Counter((r.layer, i, round(depth, 6)) for r in rings for i, depth in _tags(r.entity))
    items = [(layer.name, item) for layer in sheet.layers for item in layer.items]
    meant = Counter((name, i, round(item.depth, 6)) for name, item in items for i in item.ids)
    wrong += [
        f"cut {key[1]} (depth {key[2]:g}) stands {found[key]} times on {key[0]}, not {meant[key]}"
        for key in sorted(found.keys() | meant.keys())
        if found[key] != meant[key]
    ]
    if wrong:
        raise FileError(f"{path} does not match the layout: {'; '.join(wrong)}")


def verify(
    path: str | Path, piece: Workpiece, face: str, cutter: float, annotated: bool = False
) -> tuple[Fault, ...]:
    """Lint and compare a written file; returns the warnings, raises FileError at any error.

    `cutter`: the smallest cutter's diameter, mm."""
    doc = open_drawing(path)
    rings = _rings(doc)
    faults = _linted(doc, rings, cutter, annotated)
    if errors := [f"{f.layer} {f.handle} {f.text}".strip() for f in faults if f.level == "error"]:
        raise FileError(f"{path} is not fit for CAM: {'; '.join(errors)}")
    _held(path, rings, piece, face)
    return faults


def _rings(doc: Drawing) -> list[Ring]:
    """Every closed or open chain that is drawn."""
    return [ring for ring in map(read_ring, doc.modelspace()) if ring is not None]


def open_drawing(path: str | Path) -> Drawing:
    """The drawing in a file. Raises FileError when it cannot be read at all."""
    try:
        return ezdxf.readfile(path)
    except Exception as err:
        # The reader meets a damaged file with whatever it stumbles over: StopIteration, KeyError
        # and the like.
        raise FileError(f"{path} cannot be read as DXF: {err or type(err).__name__}") from err


def _tags(entity: DXFGraphic) -> Iterator[tuple[str, float]]:
    if entity.has_xdata(APPID):
        tags = entity.get_xdata(APPID)
        depth = next((tag.value for tag in tags if tag.code == 1040), math.nan)
        yield from ((tag.value, depth) for tag in tags if tag.code == 1000)


def _file_faults(doc: Drawing, rings: Sequence[Ring], datum: Point, whole: bool) -> Iterator[Fault]:
    head = doc.header
    if doc.dxfversion not in _VERSIONS:
        yield Fault("error", "", "", f"version: {doc.dxfversion}, not R2000 or R12")
    if doc.dxfversion == "AC1009":
        yield Fault("warning", "", "", "unit: R12 cannot carry it; measure the check bar")
    elif (head.get("$INSUNITS"), head.get("$MEASUREMENT")) != (MILLIMETRES, METRIC):
        found = f"$INSUNITS {head.get('$INSUNITS')}, $MEASUREMENT {head.get('$MEASUREMENT')}"
        yield Fault("error", "", "", f"unit: {found}, not {MILLIMETRES} and {METRIC}")
    bars = [r for r in rings if r.layer == "CHECK" and len(r.rows) == 4 and not r.rows[:, 2].any()]
    if len(bars) != 1 or abs(np.ptp(bars[0].rows[:, 0]) - CHECK_LENGTH) > 1e-6:
        yield Fault("error", "CHECK", "", f"check-bar: no single bar of {CHECK_LENGTH:g} mm")
    crosses = (r.profile for r in rings if r.layer == "DATUM" and len(r.rows) > 2)
    if not any(cross.contains(*datum) for cross in crosses):
        where = "the origin" if datum == (0.0, 0.0) else place(datum)
        yield Fault("error", "DATUM", "", f"datum: no cross on {where}")
    for layer in doc.layers:
        name = layer.dxf.name
        if name in _NO_CUTS or name == STANDING and not whole:
            continue
        if not LAYER_NAME.fullmatch(name) and name not in MARKS or len(name) > LONGEST_NAME:
            text = "layer: not FACE_OPERATION_Ddepth[_DIAdiameter], at most 31 letters"
            yield Fault("error", name, "", text)
        if not 1 <= layer.dxf.color <= 6 or layer.dxf.linetype.upper() != "CONTINUOUS":
            yield Fault("error", name, "", "layer: not a continuous line of colour 1-6")
    boxes = [r.profile.box for r in rings if len(r.rows) > 1 and np.isfinite(r.rows).all()]
    extents = *head["$EXTMIN"][:2], *head["$EXTMAX"][:2]
    if whole and boxes and not np.allclose(extents, around(boxes), rtol=0.0, atol=0.01):
        text = f"extents: $EXTMIN and $EXTMAX are not what is drawn, {around(boxes)}"
        yield Fault("error", "", "", text)
    for space in doc.layout_names():
        inside = [e.dxf for e in doc.layout(space) if e.dxftype() != "VIEWPORT"]
        if space != "Model" and inside:
            text = f"space: drawn in {space}, not in the model"
            yield Fault("error", inside[0].layer, inside[0].handle, text)


def _entity_faults(doc: Drawing, entity: DXFGraphic) -> Iterator[Fault]:
    def fault(text: str) -> Fault:
        return Fault("error", entity.dxf.layer, entity.dxf.handle, text)

    allowed = ("CIRCLE", "POLYLINE") if doc.dxfversion == "AC1009" else ("CIRCLE", "LWPOLYLINE")
    if entity.dxftype() not in allowed:
        yield fault(f"entity: {entity.dxftype()} is not allowed, only {' and '.join(allowed)}")
    if not doc.layers.has_entry(entity.dxf.layer) or entity.dxf.layer in _NO_CUTS:
        yield fault("layer: not defined, or not one for cuts")
    if entity.dxf.color != 256 or entity.dxf.linetype.upper() != "BYLAYER":
        yield fault("by-layer: colour or line type of its own")
    names = ("elevation", "center", "thickness")
    own = [entity.dxf.get(name) for name in names if entity.dxf.hasattr(name)]
    heights = [value if isinstance(value, float) else value[2] for value in own]
    if entity.dxftype() == "POLYLINE":
        heights += [vertex.dxf.location.z for vertex in entity.vertices]
    normal = tuple(entity.dxf.extrusion) if entity.dxf.hasattr("extrusion") else (0.0, 0.0, 1.0)
    if any(heights) or normal != (0.0, 0.0, 1.0):
        worst = max(heights, key=abs, default=0.0)
        yield fault(f"height: Z or thickness {worst:g}, extrusion {normal}, not 0 and +Z")


def _gaps(rings: Sequence[Ring]) -> Iterator[Fault]:
    loose = (ring for ring in rings if not ring.closed and len(ring.rows))
    ends = [(ring, ring.rows[k, :2].tolist()) for ring in loose for k in (0, -1)]
    for (one, p), (two, q) in combinations(ends, 2):
        if one.layer == two.layer and (gap := math.dist(p, q)) < GAP:
            yield one.fault(f"gap: loose ends {gap:.4f} mm apart at {place(p)}")


def _pair_faults(rings: Sequence[Ring]) -> Iterator[Fault]:
    fills = [filled([flatten(ring.profile, SAGITTA)]) for ring in rings]
    holder: dict[int, int] = {}
    for i, j in combinations(range(len(rings)), 2):
        a, b = fills[i], fills[j]
        # The polygon of a hollow arc is too large by at most 2/3 of the sagitta times the length.
        slack = SAGITTA * min(a.length, b.length)
        common = a.intersection(b).area if a.intersects(b) else 0.0
        if common <= min(slack, 0.5 * min(a.area, b.area)):
            continue
        small, large = (i, j) if a.area < b.area else (j, i)
        if a.area + b.area - 2.0 * common <= 2.0 * slack:
            yield rings[j].fault(f"duplicate: the same contour as {rings[i].entity.dxf.handle}")
        elif common < fills[small].area - 2.0 * slack:
            other = rings[i].entity.dxf.handle
            yield rings[j].fault(f"overlap: crosses {other}, {common:.4f} mm2 in common")
        elif small not in holder or fills[large].area < fills[holder[small]].area:
            holder[small] = large
    for k, ring in enumerate(rings):
        outer = k not in holder or rings[holder[k]].profile.area < 0
        if ring.profile.area < 0 and outer:
            yield ring.fault("turning: an outer contour runs clockwise")
        elif ring.profile.area > 0 and not outer:
            other = rings[holder[k]].entity.dxf.handle
            yield ring.fault(f"overlap: lies within {other} and is no hole in it")


def _outside(doc: Drawing, rings: Sequence[Ring]) -> Iterator[Fault]:
    low, high = doc.header["$LIMMIN"], doc.header["$LIMMAX"]
    for ring in rings:
        x0, y0, x1, y1 = ring.profile.box
        beyond = max(low[0] - x0, low[1] - y0, x1 - high[0], y1 - high[1])
        if ring.layer != "CHECK" and beyond > 1e-3:
            yield ring.fault(f"stock: {beyond:.3f} mm outside it")
