"""The bare DXF of one face, for CAM: closed LWPOLYLINEs with bulges and CIRCLEs, nothing else.

Millimetres ($INSUNITS 4, $MEASUREMENT 1), R2000; on request R12, which keeps no unit: there the
check bar alone tells it. $LIMMIN/$LIMMAX hold the stock, $EXTMIN/$EXTMAX everything drawn. Outer
contours run counter-clockwise, holes clockwise, all at Z = 0 with extrusion +Z. Under the APPID
`BODYCAD` every outer contour carries the ids of its cuts (1000) and the depth in mm (1040); a hole
carries the depth alone, so that each id stands once in a file. A round hole is a clockwise
LWPOLYLINE too, for a CIRCLE has no sense of turning.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ezdxf
from ezdxf import options

from bodycad.errors import InputError, plain
from bodycad.exports.sheet import Box, Item, Sheet, cut_sheet, written
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.workpiece import Workpiece

if TYPE_CHECKING:
    from ezdxf.document import Drawing

APPID = "BODYCAD"
VERSIONS = ("R2000", "R12")
MILLIMETRES, METRIC = 4, 1
LONGEST = 250
"""Characters of a text in extended data: DXF allows 255 bytes."""


def document(piece: Workpiece, face: str, version: str = "R2000") -> Drawing:
    """The bare drawing of a workpiece's `face` ("front" or "back") as an ezdxf document.

    Raises InputError for another face or version.
    """
    return sheet_document(cut_sheet(piece, face), version)


def write(piece: Workpiece, face: str, path: str | Path, version: str = "R2000") -> Path:
    """Write the bare drawing of `face` to `path`; equal input gives equal bytes."""
    return save(document(piece, face, version), path)


def sheet_document(sheet: Sheet, version: str = "R2000") -> Drawing:
    """A sheet as an ezdxf document."""
    if version not in VERSIONS:
        raise InputError("a DXF version", version, " or ".join(VERSIONS))
    doc = new_document(version, sheet.box, sheet.stock)
    for layer in sheet.layers:
        doc.layers.add(layer.name, color=layer.colour, linetype="CONTINUOUS")
        for item in layer.items:
            _add(doc, item, layer.name)
    return doc


def new_document(version: str, extents: Box, limits: Box) -> Drawing:
    """An empty drawing in mm with its frame."""
    with _fixed():
        doc = ezdxf.new(version, setup=False, units=MILLIMETRES)
    doc.header["$MEASUREMENT"] = METRIC
    doc.appids.add(APPID)
    frame(doc, extents, limits)
    return doc


def frame(doc: Drawing, extents: Box, limits: Box) -> None:
    """Set extents and limits (the header gets them at saving) and a first view that shows it
    all."""
    low, high = (*extents[:2], 0.0), (*extents[2:], 0.0)
    doc.modelspace().reset_extents(low, high)
    doc.modelspace().reset_limits(limits[:2], limits[2:])
    height = max(high[1] - low[1], (high[0] - low[0]) / 1.6)
    doc.set_modelspace_vport(1.1 * height, ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0))


def save(doc: Drawing, path: str | Path) -> Path:
    """Write a document with fixed dates and ids, so that two runs give the same bytes."""
    with _fixed():
        doc.saveas(path)
    return Path(path)


@contextmanager
def _fixed() -> Iterator[None]:
    """Fixed dates and ids; and no warning that R12 has no place for the unit, which is known
    here."""
    logger = logging.getLogger("ezdxf")
    before = options.write_fixed_meta_data_for_testing, logger.level
    options.write_fixed_meta_data_for_testing = True
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before[0]
        logger.setLevel(before[1])


def worded(text: str, most: int = 1000) -> str:
    """A text as one string of a DXF file: one line, without what readers take for another character
    (control characters, `%%` and `^` codes, `\\U+`: DXF reference, string values)."""
    line = plain(text, most).replace("%%", "% %")
    return re.sub(r"\\(?=[UM]\+)", "/", re.sub(r"\^(?! )", "^ ", line))


def _add(doc: Drawing, item: Item, layer: str) -> None:
    outer, *holes = draw_region(doc, item.region, layer)
    if item.ids:
        outer.set_xdata(
            APPID, [*((1000, worded(i, LONGEST)) for i in item.ids), (1040, item.depth)]
        )
        for hole in holes:
            hole.set_xdata(APPID, [(1040, item.depth)])


def draw_region(doc: Drawing, region: Region, layer: str) -> list[Any]:
    """A region's contours as entities of a layer: the outer one, then its holes."""
    outer = _contour(doc, region.outer, layer)
    return [outer, *(_contour(doc, hole, layer, hole=True) for hole in region.holes)]


def _contour(doc: Drawing, shape: Profile, layer: str, hole: bool = False) -> Any:
    space, attribs = doc.modelspace(), {"layer": layer}
    if shape.circle is not None and not hole:
        (x, y), radius = shape.circle
        return space.add_circle((x + 0.0, y + 0.0), radius, dxfattribs=attribs)
    rows = written(shape, hole).tolist()
    if doc.dxfversion == "AC1009":
        return space.add_polyline2d(rows, format="xyb", close=True, dxfattribs=attribs)
    return space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=attribs)
