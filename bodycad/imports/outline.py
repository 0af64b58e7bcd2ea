"""A drawing read into an outline: `outline_from(Drawing(...))` in a script."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bodycad.declare import declared
from bodycad.errors import InputError
from bodycad.geometry.plane.profile import Profile
from bodycad.imports.chain import Chain, Chained, chain
from bodycad.imports.curve import line, placed
from bodycad.imports.drawing import Drawing
from bodycad.imports.dxf import dxf_sketch
from bodycad.imports.fence import fenced
from bodycad.imports.fit import facets, fit, in_reach, through, vertices
from bodycad.imports.place import aside, matrix, scale
from bodycad.imports.points import points_sketch
from bodycad.imports.stroke import Fault, Sketch, Stroke, chosen
from bodycad.imports.svg import svg_sketch
from bodycad.layout.measures import in_millimetres, measures
from bodycad.shop import LIMITS

MOST_BYTES = 8_000_000
"""No larger file is opened."""
KINDS = (".dxf", ".svg", ".csv", ".txt")


@dataclass(frozen=True, eq=False)
class Outline:
    """What a drawing gives: the profile in the body's frame, how many mm it may be off what was
    drawn, what was taken for granted, and what one of the file's numbers is in mm."""

    profile: Profile
    error: float
    notes: tuple[str, ...]
    unit: float
    layers: tuple[str, ...] = ()


@declared()
def outline_from(drawing: Drawing) -> Profile:
    """The outline that a drawing beside the script gives, in the body's frame.

    Raises InputError with the file and the place in it for a drawing that is open, crosses itself,
    is drawn twice, holds tiny pieces or several outlines, has not the size of a body, or cannot be
    read."""
    return read(drawing, _beside_the_script()).profile


def read(drawing: Drawing, folder: Path) -> Outline:
    """What a drawing gives, its file's path told from `folder`. It is read in a process of its own,
    under limits. Raises InputError."""
    path = folder / drawing.file
    thing = f"the drawing {drawing.file}"
    kind = _opened(path, thing)
    if kind == ".dxf":
        import ezdxf  # noqa: F401  here once, not in each copy
    if kind == ".svg":
        import svgelements  # noqa: F401
    return fenced(lambda: taken(drawing, path, kind), thing)


def taken(drawing: Drawing, path: Path, kind: str) -> Outline:
    """What a drawing of a `kind` of file gives, read here and now. Raises InputError."""
    file = str(drawing.file)
    # What overflows is found where the numbers are asked whether they are finite.
    with np.errstate(all="ignore"):
        if kind == ".dxf":
            sketch = dxf_sketch(path, file)
        elif kind == ".svg":
            raw = drawing.units is not None or drawing.reference is not None
            sketch = svg_sketch(path, file, raw)
        else:
            sketch = points_sketch(path, file)
        return _outline(drawing, sketch)


def _beside_the_script() -> Path:
    """The folder of the file whose code asks for an outline; the working directory where none
    does."""
    package, frame = str(Path(__file__).parents[1]) + os.sep, sys._getframe(1)
    while frame is not None:
        name = frame.f_code.co_filename
        if not os.path.abspath(name).startswith(package):
            return Path(os.path.abspath(name)).parent if os.path.isfile(name) else Path()
        frame = frame.f_back  # type: ignore[assignment]
    return Path()


def _opened(path: Path, thing: str) -> str:
    """The kind of an existing file of a fair size. Raises InputError."""
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise InputError(
            thing, f"a file of the kind {kind or 'without an ending'}", ", ".join(KINDS)
        )
    try:
        if not path.is_file():
            there = (
                "a folder" if path.is_dir() else "no plain file" if path.exists() else "not there"
            )
            remedy = f"looked for at {path.absolute()}"
            raise InputError(thing, there, "a file beside the script", remedy)
        size = path.stat().st_size
        with open(path, "rb"):
            pass
    except OSError as error:
        raise InputError(thing, f"not readable ({error.strerror})", "a file to read") from None
    if size > MOST_BYTES:
        found, remedy = f"{size / 1e6:.1f} MB", "save the outline alone"
        raise InputError(thing, found, f"at most {MOST_BYTES / 1e6:g} MB", remedy)
    return kind


def _outline(drawing: Drawing, sketch: Sketch) -> Outline:
    name, unit = f"the drawing {drawing.file}", scale(drawing, sketch)
    where = matrix(drawing, sketch, unit)
    strokes = chosen(sketch.strokes, drawing.layer, aside(drawing))
    if not strokes:
        what = f'nothing that goes by "{drawing.layer}"' if drawing.layer else "no lines or curves"
        remedy = f"its names: {', '.join(sketch.layers) or 'none'}"
        raise InputError(name, what, "an outline", remedy)
    # What lies on the numbers' very scale is asked before anything is fitted to it.
    points = placed(where, np.vstack([one.shape.sampled(8) for one in strokes]))
    in_reach(points, name)
    smooth = sketch.smooth if drawing.smooth is None else drawing.smooth
    notes = (
        list(sketch.notes)
        if drawing.units is None
        else [note for note in sketch.notes if "unit" not in note]
    )
    if sketch.smooth is not None:
        if not smooth:
            strokes = _sides(sketch, drawing, name)
        one: Sequence[Chain] = (Chain(strokes, not drawing.half),)
        faults: tuple[Fault, ...] = ()
    else:
        one, faults = _one(chain(strokes, drawing.gap, unit), drawing, sketch, name)
    _refuse(faults, name)
    (found,) = one
    corners = vertices(found.strokes, where)
    if smooth and corners is None:
        remedy = "leave smooth out: arcs and curves are smooth already"
        raise InputError(name, "not of straight sides alone", "straight sides", remedy)
    if smooth and corners is not None:
        points = corners if sketch.smooth or not found.closed else corners[:-1]
        made, error, fault = through(points, drawing, sketch, unit, name)
        _refuse((fault,) if fault else (), name)
    else:
        if corners is not None and smooth is None:
            sides = (corners - where[:, 2]) @ np.linalg.inv(where[:, :2]).T
            fault = facets(sides[:-1], drawing.tolerance, unit)
            _refuse((fault,) if fault else (), name)
        made, error = fit(found, where, drawing, name)
    if drawing.body:
        _sized(made, name)
    return Outline(made, error, tuple(notes), unit, sketch.layers)


def _sides(sketch: Sketch, drawing: Drawing, name: str) -> tuple[Stroke, ...]:
    """The straight sides between the points of a list."""
    if sketch.corners or sketch.fillets or sketch.runs:
        found = "smooth=False for points that say which are corners"
        raise InputError(name, found, "one of the two", "leave smooth out")
    rows = sketch.strokes[0].shape.sampled(1)
    whole = rows if drawing.half else np.vstack([rows, rows[:1]])
    return (Stroke(line(whole), "the points"),)


def _one(
    chained: Chained, drawing: Drawing, sketch: Sketch, name: str
) -> tuple[Sequence[Chain], tuple[Fault, ...]]:
    """The one chain that is the outline, and the faults that keep it from being one."""
    loose = [fault for fault in chained.faults if fault.kind == "open"]
    others = tuple(fault for fault in chained.faults if fault.kind != "open")
    if others:
        return (), others
    if drawing.half and len(chained.open) == 1 and (not chained.closed or drawing.largest):
        return chained.open, ()
    if drawing.half:
        found = f"{len(chained.open)} open chains and {len(chained.closed)} closed ones"
        raise InputError(name, found, "one open chain, from the centreline to the centreline")
    if drawing.largest and chained.closed:
        return (_largest(chained, name),), ()
    if loose:
        return (), tuple(loose)
    if len(chained.closed) > 1:
        x0, y0, x1, y1 = chained.closed[1].size
        sizes = ", ".join(_size(one, scale(drawing, sketch)) for one in chained.closed[:3])
        words = f"several outlines: {len(chained.closed)} closed chains ({sizes}), the second"
        remedy = "name its layer (layer=), or say largest=True where it holds the others"
        at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
        return (), (Fault("several", words, at, "one closed chain", remedy),)
    if not chained.closed:
        raise InputError(name, "nothing but strokes of no length", "an outline", "draw it anew")
    return chained.closed, ()


def _size(one: Chain, unit: float) -> str:
    x0, y0, x1, y1 = one.size
    return f"{(x1 - x0) * unit:.0f} by {(y1 - y0) * unit:.0f} mm"


def _largest(chained: Chained, name: str) -> Chain:
    """The largest closed chain. Raises InputError where another chain lies outside of it."""

    def reach(one: Chain) -> float:
        x0, y0, x1, y1 = one.size
        return (x1 - x0) * (y1 - y0)

    best = max(chained.closed, key=reach)
    x0, y0, x1, y1 = best.size
    for other in (*chained.closed, *chained.open):
        u0, v0, u1, v1 = other.size
        if u0 < x0 or v0 < y0 or u1 > x1 or v1 > y1:
            words = f"a chain outside of its largest at ({(u0 + u1) / 2:.6g}, {(v0 + v1) / 2:.6g})"
            raise InputError(name, words, "the others inside", "name the outline's layer (layer=)")
    return best


def _refuse(faults: Sequence[Fault], name: str) -> None:
    if faults:
        raise faults[0].refusal(name, len(faults) - 1)


def _sized(made: Profile, name: str) -> None:
    """Raise InputError for an outline that has not the size of a body, with the units that would
    make it one."""
    length, width = measures(made)
    least, most = (
        (LIMITS["outline.length"].fail, LIMITS["outline.width"].fail),
        (LIMITS["outline.length.most"].fail, LIMITS["outline.width.most"].fail),
    )
    if length < least[0] or width < least[1] or length > most[0] or width > most[1]:
        says, cure = in_millimetres(made)
        found = f"an outline of {length:.4g} by {width:.4g} mm{says}"
        allowed = f"{least[0]:g} to {most[0]:g} mm long, {least[1]:g} to {most[1]:g} mm wide"
        remedy = "say its units (units=), or body=False for another outline than a body's"
        raise InputError(name, found, allowed, remedy)
