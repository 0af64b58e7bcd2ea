"""The strokes of a DXF file: LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE, POLYLINE, SPLINE, and what
INSERT places of them."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from bodycad.errors import InputError
from bodycad.imports.curve import Curve, Shape, Track, elliptic, line, placed, spline
from bodycad.imports.stroke import MOST, MOST_POINTS, Sketch, Stroke, bounded

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

DEEPEST = 8
"""Blocks may stand in each other this deep."""
MOST_PLACED = 4 * MOST
"""More entities than this, those of blocks counted each time they are placed, are not gone
through."""
UNITS = {
    1: 25.4,
    2: 304.8,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    8: 25.4e-6,
    9: 0.0254,
    10: 914.4,
    13: 0.001,
    14: 100.0,
}
"""mm of the units of `$INSUNITS` that somebody may draw a body in (DXF reference, header
section)."""
LEVEL = 1e-6
"""By so much a plane may be off the drawing's."""
ROUND_DEG = 360.0 - 1e-9


def dxf_sketch(path: Path, file: str) -> Sketch:
    """What the model space of a DXF file holds. Raises InputError for a file that cannot be
    used."""
    document = _document(path, file)
    hidden = {
        layer.dxf.name.casefold()
        for layer in document.layers
        if layer.is_off() or layer.is_frozen()
    }
    walk = _Walk(document, file)
    strokes = bounded(walk.strokes(), file)
    seen = tuple(one for one in strokes if not one.names & hidden)
    notes = [f"{count} {kind} left out" for kind, count in sorted(walk.skipped.items())]
    if len(seen) < len(strokes):
        notes.append(
            f"{len(strokes) - len(seen)} strokes on layers that are off or frozen left out"
        )
    unit = UNITS.get(int(document.header.get("$INSUNITS", 0) or 0))
    if unit is None:
        notes.append("the file names no unit; its numbers are taken for millimetres")
    layers = sorted({name for one in strokes for name in one.names})
    return Sketch(seen, unit, notes=tuple(notes), layers=tuple(layers))


def _document(path: Path, file: str) -> Document:
    import logging

    import ezdxf

    thing, logger = f"the drawing {file}", logging.getLogger("ezdxf")
    before = logger.level
    logger.setLevel(logging.CRITICAL + 1)  # what is wrong is said once, by us
    try:
        return ezdxf.readfile(path)
    except (KeyboardInterrupt, MemoryError):
        raise
    # Whatever a damaged file makes of the reader, it cannot be read.
    except Exception as error:
        words = re.sub(r"^\w+: ", "", " ".join(str(error).split())) or type(error).__name__
        remedy = "save it again as DXF, R2000 or later, from the program that drew it"
        raise InputError(thing, f"unreadable: {words}", "a DXF file", remedy) from None
    finally:
        logger.setLevel(before)


class _Walk:
    """One way through a document's model space; counts what it passes."""

    def __init__(self, document: Document, file: str) -> None:
        self.document, self.file = document, file
        self.passed = 0
        self.skipped: Counter[str] = Counter()

    def strokes(self) -> Iterator[Stroke]:
        """Every stroke, those of blocks where they are placed."""
        yield from self._all(self.document.modelspace(), np.eye(2, 3), (), "")

    def _all(
        self, entities: Any, matrix: np.ndarray, blocks: tuple[str, ...], layer: str
    ) -> Iterator[Stroke]:
        for entity in entities:
            self.passed += 1
            if self.passed > MOST_PLACED:
                found = f"more than {MOST_PLACED} entities, those of blocks counted"
                remedy = "save the outline alone"
                raise InputError(
                    f"the drawing {self.file}", found, f"at most {MOST_PLACED}", remedy
                )
            own = str(entity.dxf.get("layer", "0"))
            # What a block draws on layer 0 is on the layer of its INSERT.
            own = layer if blocks and own == "0" else own
            kind = entity.dxftype()
            if kind == "INSERT":
                yield from self._placed(entity, matrix, blocks, own)
                continue
            read = READ.get(kind)
            if read is None:
                self.skipped[kind if kind.isalnum() else "entities of other kinds"] += 1
                continue
            label = f"a {kind} on layer {own}"
            for shape in self._read(read, entity, label):
                for moved in shape.moved(matrix):
                    yield Stroke(moved, label, frozenset({own.casefold()}))

    def _read(
        self, read: Callable[[Any], Sequence[Shape]], entity: Any, label: str
    ) -> Sequence[Shape]:
        """The shapes of one entity. Whatever its numbers make of the library is one line."""
        try:
            return read(entity)
        except InputError as error:
            value, allowed = error.value, error.allowed
        except (KeyboardInterrupt, MemoryError):
            raise
        except Exception as error:
            value, allowed = f"{type(error).__name__}: {error}", "numbers that make a curve"
        place = f"handle {entity.dxf.get('handle', '?')}"
        found = f"{label} ({place}) that is {value}"
        raise InputError(f"the drawing {self.file}", found, allowed, "draw it anew")

    def _placed(
        self, insert: Any, matrix: np.ndarray, blocks: tuple[str, ...], layer: str
    ) -> Iterator[Stroke]:
        name = str(insert.dxf.get("name", "")).casefold()
        thing = f"the drawing {self.file}"
        if name in blocks or len(blocks) >= DEEPEST:
            how = "holds itself" if name in blocks else f"stands {DEEPEST + 1} deep in others"
            remedy = "explode the blocks and save the outline alone"
            raise InputError(thing, f'a block "{name}" that {how}', "plain blocks", remedy)
        block = self.document.blocks.get(name)
        if block is None or block.block is None or block.block.dxf.get("flags", 0) & 4:
            self.skipped["INSERT of a block that is not in the file"] += 1
            return
        columns, rows = (int(insert.dxf.get(f"{way}_count", 1)) for way in ("column", "row"))
        if max(columns, 1) * max(rows, 1) > MOST:
            found = f'a block "{name}" placed {columns} by {rows} times'
            raise InputError(thing, found, f"at most {MOST} times", "save the outline alone")
        own = self._affine(insert)
        step = np.array([float(insert.dxf.get(f"{way}_spacing", 0.0)) for way in ("column", "row")])
        turn = math.radians(float(insert.dxf.get("rotation", 0.0)))
        cosine, sine = math.cos(turn), math.sin(turn)
        side = _plane(insert)[:, :2] @ np.array([[cosine, -sine], [sine, cosine]])
        for i in range(max(columns, 1)):
            for j in range(max(rows, 1)):
                shift = side @ (step * [i, j])
                there = own + np.column_stack([np.zeros((2, 2)), shift])
                whole = np.column_stack([matrix[:, :2] @ there[:, :2], placed(matrix, there[:, 2])])
                yield from self._all(block, whole, (*blocks, name), layer)

    def _affine(self, insert: Any) -> np.ndarray:
        """The plan of what an INSERT does to its block."""
        _plane(insert)
        found = insert.matrix44()
        rows = np.array(
            [
                found.transform((0, 0, 0)).xyz,
                *(found.transform_direction(way).xyz for way in ((1, 0, 0), (0, 1, 0))),
            ]
        )
        affine = np.column_stack([rows[1, :2], rows[2, :2], rows[0, :2]])
        if not np.isfinite(affine).all() or abs(np.linalg.det(affine[:, :2])) < 1e-12:
            found = f'a block "{insert.dxf.name}" placed with a scale of nil'
            raise InputError(f"the drawing {self.file}", found, "a scale of another size")
        return affine


def _plane(entity: Any) -> np.ndarray:
    """The affine matrix (2, 3) from an entity's own plane to the drawing's (DXF reference, object
    coordinate system). Raises InputError for a plane that is tilted."""
    ocs = entity.ocs()
    if not ocs.transform:
        return np.eye(2, 3)
    if abs(abs(ocs.uz.z) - 1.0) > LEVEL:
        raise InputError("a plane", "tilted out of the drawing", "one that lies in it")
    return np.array([[ocs.ux.x, ocs.uy.x, 0.0], [ocs.ux.y, ocs.uy.y, 0.0]])


def _line(entity: Any) -> Sequence[Shape]:
    one, two = entity.dxf.start, entity.dxf.end
    return (line(np.array([[one.x, one.y], [two.x, two.y]])),)


def _arc(entity: Any) -> Sequence[Shape]:
    first, last = float(entity.dxf.start_angle), float(entity.dxf.end_angle)
    sweep = (last - first) % 360.0 or 360.0
    return _round(entity, math.radians(first % 360.0), math.radians(sweep))


def _circle(entity: Any) -> Sequence[Shape]:
    return _round(entity, 0.0, math.tau)


def _round(entity: Any, start: float, sweep: float) -> Sequence[Shape]:
    centre, radius = entity.dxf.center, float(entity.dxf.radius)
    if not radius > 0.0:
        raise InputError("a circle", f"one with a radius of {radius:g}", "a radius above 0")
    along, across = np.array([radius, 0.0]), np.array([0.0, radius])
    return elliptic(np.array([centre.x, centre.y]), along, across, start, sweep).moved(
        _plane(entity)
    )


def _ellipse(entity: Any) -> Sequence[Shape]:
    centre, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis
    if abs(abs(entity.dxf.extrusion.z) - 1.0) > LEVEL:
        raise InputError("a plane", "tilted out of the drawing", "one that lies in it")
    along, across = np.array([major.x, major.y]), np.array([minor.x, minor.y])
    if not (np.hypot(*along) > 0.0 and np.hypot(*across) > 0.0):
        raise InputError("an ellipse", "one with an axis of nil", "axes above 0")
    first, last = float(entity.dxf.start_param), float(entity.dxf.end_param)
    sweep = (last - first) % math.tau
    sweep = math.tau if sweep < 1e-9 or sweep > math.tau - 1e-9 else sweep
    return (elliptic(np.array([centre.x, centre.y]), along, across, first % math.tau, sweep),)


def _lwpolyline(entity: Any) -> Sequence[Shape]:
    rows = np.array(entity.get_points("xyb"), float).reshape(-1, 3)
    return _polyline(rows, bool(entity.closed), _plane(entity))


def _old_polyline(entity: Any) -> Sequence[Shape]:
    if entity.is_polygon_mesh or entity.is_poly_face_mesh:
        raise InputError("a POLYLINE", "a mesh", "a polyline")
    flat = entity.is_2d_polyline
    rows = [
        (v.dxf.location.x, v.dxf.location.y, float(v.dxf.get("bulge", 0.0)) if flat else 0.0)
        for v in entity.vertices
        if not int(v.dxf.get("flags", 0)) & 16  # a control point of the frame of a spline
    ]
    plane = _plane(entity) if flat else np.eye(2, 3)
    return _polyline(np.array(rows, float).reshape(-1, 3), bool(entity.is_closed), plane)


def _polyline(rows: np.ndarray, closed: bool, plane: np.ndarray) -> Sequence[Shape]:
    if len(rows) > MOST_POINTS:
        raise InputError("a polyline", f"{len(rows)} points", f"at most {MOST_POINTS}")
    if closed and len(rows):
        rows = np.vstack([rows, rows[:1]])
    if len(rows) < 2:
        return ()
    if not np.isfinite(rows).all() or np.abs(rows[:, 2]).max() > 1e6:
        raise InputError("a polyline", "one with a number that is none", "finite numbers")
    rows[-1, 2] = 0.0
    length = np.hypot(*np.diff(rows[:, :2], axis=0).T)
    rows = rows[np.append(length > 0.0, True)]
    if len(rows) < 2:
        return ()
    return Track(rows).moved(plane)


def _spline(entity: Any) -> Sequence[Shape]:
    degree, count = int(entity.dxf.get("degree", 3)), int(entity.control_point_count())
    fits = int(entity.fit_point_count())
    if max(count, fits, len(entity.knots)) > MOST_POINTS or not 1 <= degree <= 11:
        found = f"one of degree {degree} with {max(count, fits)} points"
        raise InputError("a spline", found, f"degree 1 to 11, at most {MOST_POINTS} points")
    if not count and fits > 2000:
        raise InputError("a spline", f"one through {fits} points", "at most 2000")
    if count and len(entity.knots):
        points = np.array(list(entity.control_points), float)[:, :2]
        weights = np.array(list(entity.weights), float) if len(entity.weights) else np.ones(count)
        return (spline(degree, np.array(list(entity.knots), float), points, weights),)
    tool = entity.construction_tool()
    points = np.array([(p.x, p.y) for p in tool.control_points], float)
    weights = np.array(tool.weights(), float) if len(tool.weights()) else np.ones(len(points))
    made: Curve = spline(tool.degree, np.array(list(tool.knots()), float), points, weights)
    return (made,)


READ: dict[str, Callable[[Any], Sequence[Shape]]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _old_polyline,
    "SPLINE": _spline,
}
"""What reads each kind of entity; the others are no strokes."""
