"""The DXF of a face's cutting program, and its reading back.

As the bare cut drawing: R2000, mm, closed LWPOLYLINEs with bulges and CIRCLEs at Z = 0, outer
contours counter-clockwise, holes clockwise; and open LWPOLYLINEs, wood at their left, where an edge
bit follows a stretch. Under the APPID `BODYCAD` every contour carries pairs: a key (1000), then its
value, a text (1000) or a number (1040)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bodycad.errors import FileError
from bodycad.exports.cam import CamSheet, Data
from bodycad.exports.dxf.document import APPID, draw_region, new_document, save, worded
from bodycad.exports.dxf.lint import linted, open_drawing
from bodycad.exports.dxf.ring import Ring, read_ring
from bodycad.exports.sheet import around
from bodycad.geometry.plane.arrange import Region

LONGEST = 250


def write(sheet: CamSheet, path: Path) -> Path:
    """Write a cutting program's drawing; equal input gives equal bytes."""
    doc = new_document("R2000", sheet.box, sheet.stock)
    for mark in sheet.marks:
        doc.layers.add(mark.name, color=mark.colour, linetype="CONTINUOUS")
        for k, one in enumerate(mark.items):
            drawn = draw_region(doc, one.region, mark.name)
            if mark.name == "DATUM" and k == 0:
                drawn[0].set_xdata(APPID, _pairs(sheet.about))
    for layer in sheet.layers:
        doc.layers.add(layer.name, color=layer.colour, linetype="CONTINUOUS")
        for item in layer.items:
            if item.region is not None:
                for one in draw_region(doc, item.region, layer.name):
                    one.set_xdata(APPID, _pairs(item.data))
            elif (s := item.chain) is not None:
                rows = [*np.column_stack([s.a, s.bulge]).tolist(), [*s.b[-1].tolist(), 0.0]]
                line = doc.modelspace().add_lwpolyline(
                    rows, format="xyb", dxfattribs={"layer": layer.name}
                )
                line.set_xdata(APPID, _pairs(item.data))
    return save(doc, path)


def _pairs(data: Data) -> list[tuple[int, str | float]]:
    found: list[tuple[int, str | float]] = []
    for key, value in data:
        found.append((1000, key))
        found.append((1000, worded(value, LONGEST)) if isinstance(value, str) else (1040, value))
    return found


def read_data(entity: Any) -> Data:
    """What a contour carries; nothing where it carries nothing."""
    tags = entity.get_xdata(APPID) if entity.has_xdata(APPID) else []
    tags = [tag.value for tag in tags if tag.code in (1000, 1040)]
    return tuple(zip(tags[::2], tags[1::2]))


def verify(path: Path, sheet: CamSheet) -> None:
    """Read a written program back. Raises FileError where a reader would choke on it, or where a
    layer, a contour's box or area, or what it carries, is not the sheet's."""
    doc = open_drawing(path)
    faults = [f for f in linted(doc, datum=sheet.datum) if f.level == "error"]
    if faults:
        said = "; ".join(f"{f.layer} {f.handle} {f.text}".strip() for f in faults)
        raise FileError(f"{path} is not fit for CAM: {said}")
    have = [_read(r) for r in map(read_ring, doc.modelspace()) if r is not None]
    odd = set[str]()
    for one in _meant(sheet):
        found = next((k for k, other in enumerate(have) if _same(one, other)), None)
        if found is None:
            odd.add(one.layer)
        else:
            del have[found]
    odd |= {one.layer for one in have}
    if odd:
        raise FileError(f"{path} does not match the layout: {', '.join(sorted(odd))}")


@dataclass(frozen=True)
class _Told:
    """A contour by its layer, what it carries, and its figures: area, of a hole below 0, and box,
    mm."""

    layer: str
    data: Data
    figures: tuple[float, ...]


def _read(ring: Ring) -> _Told:
    shape = ring.profile
    # A hole runs clockwise; an open chain has no area, and no way back to its start.
    area = shape.area if ring.closed else 0.0
    box = shape.box if ring.closed else around(shape.segments.boxes[:-1].tolist())
    return _Told(ring.layer, read_data(ring.entity), (area, *box))


def _meant(sheet: CamSheet) -> Iterator[_Told]:
    rows: list[tuple[str, Region, Data]]
    rows = [(m.name, one.region, ()) for m in sheet.marks for one in m.items]
    if sheet.marks:
        rows[0] = (*rows[0][:2], sheet.about)
    items = [(layer.name, item) for layer in sheet.layers for item in layer.items]
    rows += [(name, i.region, i.data) for name, i in items if i.region is not None]
    for name, region, data in rows:
        yield _Told(name, data, (region.outer.area, *region.outer.box))
        for hole in region.holes:
            yield _Told(name, data, (-hole.area, *hole.box))
    for name, item in items:
        if item.chain is not None:
            yield _Told(name, item.data, (0.0, *item.box))


def _same(one: _Told, other: _Told) -> bool:
    if one.layer != other.layer or len(one.data) != len(other.data):
        return False
    for (key, have), (name, want) in zip(one.data, other.data):
        alike = worded(have, LONGEST) if isinstance(have, str) else have
        if key != name or isinstance(alike, str) != isinstance(want, str) or alike != want:
            return False
    area, *box = (abs(a - b) for a, b in zip(one.figures, other.figures))
    return area <= 1e-4 * abs(one.figures[0]) and max(box) <= 1e-3
