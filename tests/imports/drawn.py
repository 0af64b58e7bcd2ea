"""Drawings for the tests, written by other libraries than the ones that read them, or by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import ezdxf

STADIUM = "M0 -6.35H50A6.35 6.35 0 0 1 50 6.35H0A6.35 6.35 0 0 1 0 -6.35Z"
BODY = ((-180, -150), (190, -150), (190, 150), (-180, 150))
"""Corners of a body's size, mm."""


def dxf(path: Path, draw: Callable, units: int = 4, version: str = "R2010") -> Path:
    """A DXF file with what `draw(document, space)` puts in."""
    document = ezdxf.new(version, units=units)
    draw(document, document.modelspace())
    document.saveas(path)
    return path


def svg(path: Path, body: str, head: str | None = None) -> Path:
    """An SVG file of one user unit a millimetre, or with another head."""
    size = 'width="800mm" height="800mm" viewBox="0 0 800 800"' if head is None else head
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    path.write_text(f"<svg {names} {size}>{body}</svg>", encoding="utf-8")
    return path


def stadium(document, space, scale: float = 1.0, **attribs) -> None:
    """Straight 50, radius 6.35 (times `scale`), as two lines and two arcs."""
    r, far = 6.35 * scale, 50.0 * scale
    given = {"dxfattribs": attribs}
    space.add_line((0, -r), (far, -r), **given)
    space.add_arc((far, 0), r, -90, 90, **given)
    space.add_line((far, r), (0, r), **given)
    space.add_arc((0, 0), r, 90, 270, **given)


def ring(count: int, a: float = 200.0, b: float = 150.0) -> list[tuple[float, float]]:
    """Points of an ellipse."""
    turns = [math.tau * k / count for k in range(count)]
    return [(a * math.cos(t), b * math.sin(t)) for t in turns]
