"""How a drawing is to be read: what a script says of its file."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

from bodycad.declare import Pattern, between, declared, mm, over
from bodycad.geometry.plane.arcfit import TOLERANCE
from bodycad.imports.chain import MOST_GAP
from bodycad.units import MM_PER_INCH
from bodycad.words import Face, Side

FilePath = Annotated[str, Pattern(r"[^\x00\ud800-\udfff]{1,4000}", "a path")] | Path
Name = Annotated[str, Pattern(r"[^\x00-\x1f\x7f]{1,250}", "the name of a layer, a group or an id")]
Place = Annotated[float, between(-1e8, 1e8)]
"""A coordinate in a drawing's own numbers."""


class Unit(StrEnum):
    """What one of a drawing's numbers stands for."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "inch"
    PT = "pt"
    PX = "px"

    @property
    def mm(self) -> float:
        """In millimetres; pt and px are 72 and 96 to the inch (CSS Values and Units 4, 6.2)."""
        return {
            "mm": 1.0,
            "cm": 10.0,
            "m": 1000.0,
            "inch": MM_PER_INCH,
            "pt": MM_PER_INCH / 72.0,
            "px": MM_PER_INCH / 96.0,
        }[self]


class Heading(StrEnum):
    """Where the neck points on a drawing as it is looked at."""

    RIGHT = "right"
    UP = "up"
    LEFT = "left"
    DOWN = "down"


@dataclass(frozen=True)
@declared("the drawing {file}")
class Drawing:
    """A drawing of an outline, DXF, SVG or points (CSV), and how to read it.

    `file` stands beside the script, or where the path from there says. `layer`: take only what goes
    by this name, a layer (DXF), a group, a layer or an id (SVG); else all that is shown. `units`:
    what its numbers are, where the file does not say or says it wrong; or `reference`: two points
    of the drawing and how many mm they are apart. An SVG's numbers are mm from its page's top left
    corner, y down, and its own user units where `units` or `reference` is given.

    Placing: `neck` says where the neck points on the drawing, `seen` which face is looked at. A
    left-handed body that is drawn from the front is read with seen="back": a script draws the
    right-handed one, and Design(left_handed=True) mirrors it.
    `centreline` and `scale_line` name two straight lines of the drawing: the first becomes y = 0,
    where the second crosses it is the scale-length point, x = 0. Without them the drawing's own
    axes count, about the point `origin` of it.

    `half`: one half is drawn, from the centreline round to the centreline; the other is its mirror
    image. `largest`: of several closed chains take the largest, which must hold all others. `gap`:
    ends that lie no farther apart are joined, mm. `tolerance`: how far arcs may leave drawn curves,
    mm; arcs and lines stay what they are. `smooth`: whether a chain of straight sides stands for a
    curve through its points, but for corners that turn by more than `corner_deg`; a list of points
    does, and says in its third column which are corners. `body`: whether it must have the size of
    a body."""

    file: FilePath
    layer: Name | None = None
    units: Unit | None = None
    reference: (
        tuple[tuple[Place, Place], tuple[Place, Place], Annotated[float, over(3000.0)]] | None
    ) = None
    neck: Heading = Heading.RIGHT
    seen: Side = Face.FRONT
    centreline: Name | None = None
    scale_line: Name | None = None
    origin: tuple[Place, Place] | None = None
    half: bool = False
    largest: bool = False
    gap: Annotated[float, mm(0.001, MOST_GAP)] = 0.05
    tolerance: Annotated[float, mm(0.001, 1.0)] = TOLERANCE
    smooth: bool | None = None
    corner_deg: Annotated[float, between(1.0, 180.0, "degrees")] = 30.0
    body: bool = True

    @property
    def line(self) -> str:
        """The line of script that reads it, with its file beside the script."""
        words = [repr(Path(self.file).name)]
        for one in fields(self)[1:]:
            value = getattr(self, one.name)
            if value != one.default:
                words.append(f"{one.name}={_plain(value)!r}")
        return f"outline = outline_from(Drawing({', '.join(words)}))"


def _plain(value: Any) -> Any:
    return str(value) if isinstance(value, StrEnum) else value
