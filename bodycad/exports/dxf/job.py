"""Reads a cutting program's drawing as a machine's operator does: what each layer says is cut, and
nothing that the layout says.

Face, operation, depth and the tool's diameter come from the layer's name, which a CAM program keys
its tools to; what a name cannot hold (the tool's kind, a drill's point, a bit's size, ids) from the
extended data. Where the two contradict each other, the name counts and a note says so."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from bodycad.errors import FileError, finite
from bodycad.exports.cam import REST, TAB
from bodycad.exports.dxf.cam import read_data
from bodycad.exports.dxf.ring import Ring, read_ring
from bodycad.exports.sheet import INFO, MARKS
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.simulation.job import Cut, Job, Pin, Tab, joined, reversed_chain
from bodycad.simulation.tool import EDGES, Tool, ToolKind
from bodycad.tools import FLAT, TWIST

NAME = re.compile(r"(FRONT|BACK)_([A-Z0-9-]+)_D(\d{4,})(?:_DIA(\d+))?")
AGREES = 0.0051
"""A name gives hundredths of a mm: what carries more digits differs from it by so much at most."""
FOLLOWED = ("OUTLINE", "EDGE")
"""Operations whose tool runs along the contour, outside it."""
DRILLED = ("BORE", "PILOT", "POST", "CHANNEL")
"""Operations whose circles are drilled where nothing says with what."""


@dataclass(frozen=True, eq=False)
class _Read:
    """A contour as it stands on a layer."""

    ring: Ring
    data: dict[str, Any]
    ids: tuple[str, ...]


def read_job(path: str | Path) -> Job:
    """What the drawing at `path` says is cut from its face. Raises FileError for one that cannot be
    read, or that a machine could not be run from."""
    try:
        space = ezdxf.readfile(path).modelspace()
    except Exception as err:  # a damaged file is met with whatever the reader stumbles over
        raise FileError(f"{path} cannot be read as DXF: {err or type(err).__name__}") from err
    layers: dict[str, list[_Read]] = {}
    for entity in space:
        ring, data = read_ring(entity), read_data(entity)
        if ring is not None and len(ring.rows) > 1:
            ids = tuple(str(value) for key, value in data if key == "id")
            layers.setdefault(ring.layer, []).append(_Read(ring, dict(data), ids))
        elif str(entity.dxf.layer) not in ("0", "Defpoints", INFO):
            raise FileError(f"{path}: {entity.dxftype()} on {entity.dxf.layer} is no contour")
    about, zero = _about(layers.get("DATUM", []), path)
    notes, cuts, tabs = list[str](), list[Cut](), list[Tab]()
    faces = set()
    for layer, rings in layers.items():
        if layer in MARKS or layer in ("0", "Defpoints", INFO):
            continue
        named = NAME.fullmatch(layer)
        if named is None:
            raise FileError(f"{path}: the layer {layer} is not named as a cut is")
        faces.add(named[1].lower())
        depth = int(named[3]) / 100.0
        if named[2] == TAB:
            tabs += [Tab(_left_of([one.ring], path), depth) for one in rings]
            continue
        diameter = int(named[4]) / 100.0 if named[4] else None
        for own in _regions(rings, path):
            cuts.append(_cut(layer, named[2], depth, diameter, own, path, notes))
    face = str(about.get("face") or next(iter(faces), ""))
    if faces - {face}:
        raise FileError(f"{path} is of the {face or 'no'} face, and cuts from {sorted(faces)}")
    circles = (one.ring.profile.circle for one in layers.get("DATUM", []))
    pins = tuple(Pin(*one[0], 2.0 * one[1]) for one in circles if one is not None)
    held = tuple(tabs)
    made = tuple(replace(c, tabs=held) if c.operation == "OUTLINE" else c for c in cuts)
    said = {
        key: f"{value:g}" if isinstance(value, float) else value for key, value in about.items()
    }
    return Job(
        face, Path(path).name, made, pins, zero=zero, notes=tuple(notes), said=said, tabs=held
    )


def _about(marks: Sequence[_Read], path: str | Path) -> tuple[dict[str, Any], tuple[float, float]]:
    """What the datum cross carries, and its middle."""
    for one in marks:
        if one.ring.entity.dxftype() != "CIRCLE" and one.ring.closed:
            x0, y0, x1, y1 = one.ring.profile.box
            return one.data, ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    raise FileError(f"{path} has no datum cross, so that nobody knows where it lies on the wood")


def _regions(rings: Sequence[_Read], path: str | Path) -> Iterator[list[_Read]]:
    """The contours of a layer: each that lies in an even number of the others, with those just
    within it, which are its islands."""
    closed = [one for one in rings if one.ring.closed]
    yield from ([one] for one in rings if not one.ring.closed)
    areas = [abs(one.ring.profile.area) for one in closed]
    inside = [
        [
            k
            for k, other in enumerate(closed)
            if areas[k] > areas[j] and _holds(other.ring.profile, one.ring)
        ]
        for j, one in enumerate(closed)
    ]
    for j, one in enumerate(closed):
        if len(inside[j]) % 2 == 0:
            islands = (
                closed[k]
                for k in range(len(closed))
                if len(inside[k]) == len(inside[j]) + 1 and j in inside[k]
            )
            yield [one, *islands]


def _holds(shape: Profile, ring: Ring) -> bool:
    return bool(shape.segments.encloses(ring.rows[:1, :2])[0])


def _cut(
    layer: str,
    operation: str,
    depth: float,
    diameter: float | None,
    own: Sequence[_Read],
    path: str | Path,
    notes: list[str],
) -> Cut:
    first = own[0]
    said, where = first.data, f"{Path(path).name}, {layer}"
    for name, value in (("depth", depth), ("diameter", diameter), ("bearing", diameter)):
        told = _number(said, name, value, where) if value is not None else 0.0
        if value is not None and abs(told - value) > AGREES:
            notes.append(f"{where}: its data says {name} {told:g}; its name counts")
    tool = _tool(operation, diameter, first, where)
    follows = operation in FOLLOWED
    chain = _left_of([one.ring for one in own], path, open_=follows)
    chain = reversed_chain(chain) if follows else chain
    kind = str(said.get("operation", operation)) if operation == REST else operation
    return Cut(layer, kind, tool, depth, chain, first.ids, follows)


def _tool(operation: str, diameter: float | None, own: _Read, where: str) -> Tool:
    """The tool of a contour. Raises FileError where nothing tells it."""
    said, circle = own.data, own.ring.entity.dxftype() == "CIRCLE"
    drilled = operation in DRILLED and circle
    word = str(said.get("tool", "drill" if drilled else "flat"))
    if word not in set(ToolKind) or (operation == "EDGE" and word not in set(EDGES)):
        raise FileError(f"{where}: its tool is {word!r}, which is none for {operation}")
    kind = ToolKind(word)
    if diameter is None:
        if not circle:
            raise FileError(f"{where}: neither name nor circle tells how wide its tool is")
        diameter = 2.0 * own.ring.entity.dxf.radius
    point = _number(said, "point", TWIST if kind is ToolKind.DRILL else FLAT, where)
    return Tool(kind, diameter, point, _number(said, "size", 0.0, where))


def _number(said: Mapping[str, Any], name: str, usual: float, where: str) -> float:
    """A number that a contour carries, `usual` where it carries none. Raises FileError for a text
    in its place."""
    found = said.get(name, usual)
    if not finite(found):
        raise FileError(f"{where}: its data says {name} {found!r:.60}, which is no number")
    return float(found)


def _left_of(rings: Sequence[Ring], path: str | Path, open_: bool = False) -> Segments:
    """Contours with what they hold on their left: the first counter-clockwise, islands the other
    way; an open chain as it is."""
    parts = []
    for k, ring in enumerate(rings):
        chain = ring.profile.segments
        if not ring.closed:
            if not open_:
                raise FileError(f"{path}: a contour on {ring.layer} is open")
            parts.append(chain.take(np.arange(len(chain) - 1)))
        elif (ring.profile.area > 0.0) == (k == 0):
            parts.append(chain)
        else:
            parts.append(reversed_chain(chain))
    return joined(parts)
