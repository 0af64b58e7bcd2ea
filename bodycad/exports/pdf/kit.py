"""A pen that draws on the pages of a PDF in mm, y up, exactly 1:1.

Lines stay lines; arcs become cubic curves of at most `CUBIC_DEG` degrees, which leave them by
`CUBIC_OFF` of the radius at most. Equal input gives equal bytes: no dates, no ids of its own. A
viewer is told to print without scaling (`PrintScaling`, ISO 32000-1, 12.2).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bodycad.errors import FileError, plain
from bodycad.geometry.plane.profile import Point, Profile

Box = tuple[float, float, float, float]
POINTS = 72.0 / 25.4
"""Units of a PDF page in a millimetre (ISO 32000-1, 8.3.2.3: 72 to the inch)."""
CUBIC_DEG = 45.0
CUBIC_OFF = 4.3e-6
"""How far a cubic leaves its arc of `CUBIC_DEG`, in parts of the radius: 0.7 micrometres at a
radius of 150 mm. The error of 90 degrees, 2.73e-4, falls with the sixth power of the angle."""
UNPRINTABLE = 6.35
"""What a printer may leave blank along each edge, mm: a quarter of an inch (common practice, no
source)."""
PLAIN, BOLD = "Helvetica", "Helvetica-Bold"
"""Two of the 14 fonts that every reader of PDF has (ISO 32000-1, 9.6.2.2)."""
TOP, BOTTOM = 0.74, 0.22
"""How far letters of those fonts stand over and under their base line, in parts of their size."""
LONGEST = 200
"""Most characters of a line of text; of a longer one the rest would be missing."""
BAR_MM, BAR_IN = 100.0, 101.6
"""Lengths of the check bars: 100 mm, and 4 in."""
TICK = 1.5
"""Half the length of the ticks at the ends of a bar, mm."""


@dataclass(frozen=True)
class Ink:
    """How a line is drawn: its width and dashes (mm), its grey (0 black, 1 white), and the grey of
    what it encloses, None for no fill. width 0: no line, only the fill."""

    width: float = 0.18
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    fill: float | None = None


THIN, FINE, DASHED = Ink(), Ink(0.1, grey=0.35), Ink(0.18, (2.4, 1.4))
AXIS = Ink(0.13, (8.0, 1.5, 1.2, 1.5))
SOLID = Ink(0.0, fill=0.0)


def shown(text: str, most: int = LONGEST) -> str:
    """A text on one line as the fonts can show it: any other character as an escape."""
    return plain(text, most).encode("cp1252", "backslashreplace").decode("cp1252")


def width(text: str, size: float, font: str = PLAIN) -> float:
    """Exact room of a line of text, mm."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(shown(text), font, size))


def text_box(
    text: str,
    at: Point,
    size: float,
    align: float = 0.0,
    turn: float = 0.0,
    font: str = PLAIN,
) -> Box:
    """The box of a line of text that `Pen.text` draws, mm."""
    long, angle = width(text, size, font), math.radians(turn)
    c, s = math.cos(angle), math.sin(angle)
    corners = [
        (at[0] + c * u - s * v, at[1] + s * u + c * v)
        for u in (-align * long, (1.0 - align) * long)
        for v in (-BOTTOM * size, TOP * size)
    ]
    xs, ys = zip(*corners)
    return min(xs), min(ys), max(xs), max(ys)


def wrapped(text: str, room: float, size: float, font: str = PLAIN) -> list[str]:
    """The lines of a text that are no wider than `room` mm and that `shown` does not cut off; a
    word that is too long stays whole."""
    lines, end = list[str](), 0.0
    space = width("o o", size, font) - width("oo", size, font)  # one alone is no text
    for word in shown(text, 2000).split():
        long = width(word, size, font)
        short = lines and len(lines[-1]) + 1 + len(word) <= LONGEST
        if short and end + space + long <= room:
            lines[-1], end = f"{lines[-1]} {word}", end + space + long
        else:
            lines.append(word)
            end = long
    return lines


@dataclass(frozen=True)
class Stencil:
    """A drawing in the words of PDF, ready to be put into files; box: what it lies within, mm."""

    box: Box
    code: str


@dataclass(frozen=True)
class Pen:
    """Draws on one PDF, page by page; `opened` makes one.

    Whatever lies outside the printable part of its page, or outside the box of its stencil, is a
    FileError: it would be missing from the paper, and nobody would notice."""

    canvas: Any
    frames: list[Box]

    @contextmanager
    def page(self, wide: float, high: float) -> Iterator[None]:
        """One page of `wide` by `high` mm; all that is drawn within stands on it, in mm from its
        lower left corner."""
        self.canvas.setPageSize((wide * POINTS, high * POINTS))
        self.canvas.scale(POINTS, POINTS)
        edge = UNPRINTABLE
        with self.within((edge, edge, wide - edge, high - edge)):
            yield
        self.canvas.showPage()

    def keep(self, name: str, stencil: Stencil) -> None:
        """Put a stencil into the file under `name`, once; `print` shows it."""
        self.canvas.beginForm(name, *stencil.box)
        self.canvas.addLiteral(stencil.code)
        self.canvas.endForm()

    def print(self, name: str, shift: Point, window: Box) -> None:
        """Print a stencil shifted by `shift`, as much of it as `window` shows (mm on the page)."""
        x0, y0, x1, y1 = window
        self._held(window, name)
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(x0, y0, x1 - x0, y1 - y0)
        self.canvas.clipPath(path, stroke=0, fill=0)
        self.canvas.translate(*shift)
        self.canvas.doForm(name)
        self.canvas.restoreState()

    def shapes(self, shapes: Sequence[Profile], ink: Ink = THIN) -> None:
        """Closed chains as one path; where one lies in another, the fill leaves it out."""
        path = self.canvas.beginPath()
        for shape in shapes:
            self._held(shape.box, "a contour")
            _trace(path, shape)
        self._put(path, ink)

    def circle(self, centre: Point, radius: float, ink: Ink = THIN) -> None:
        """A circle about `centre`."""
        (x, y), r = centre, radius
        self.shapes([Profile(np.array([(x + r, y, 1.0), (x - r, y, 1.0)]))], ink)

    def dot(self, centre: Point, radius: float) -> None:
        """A small filled square on its corner about `centre`."""
        (x, y), r = centre, radius
        self.lines([(x - r, y), (x, y - r), (x + r, y), (x, y + r), (x - r, y)], SOLID)

    def lines(self, points: Sequence[Point], ink: Ink = THIN) -> None:
        """An open chain of straight lines through `points`."""
        path = self.canvas.beginPath()
        xs, ys = zip(*points)
        self._held((min(xs), min(ys), max(xs), max(ys)), "a line")
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        self._put(path, ink)

    def cross(self, centre: Point, arm: float, ink: Ink = FINE) -> None:
        """An upright cross whose lines meet in `centre`; each arm is `arm` mm long."""
        x, y = centre
        self.lines([(x - arm, y), (x + arm, y)], ink)
        self.lines([(x, y - arm), (x, y + arm)], ink)

    def text(
        self,
        words: str,
        at: Point,
        size: float = 2.5,
        align: float = 0.0,
        turn: float = 0.0,
        font: str = PLAIN,
        grey: float = 0.0,
    ) -> None:
        """One line of text, `size` mm high, its base line through `at`: its left end there
        (align 0), its middle (0.5) or its right end (1); turned counter-clockwise by `turn`
        degrees about `at`."""
        canvas, words = self.canvas, shown(words)
        self._held(text_box(words, at, size, align, turn, font), f'"{words}"')
        canvas.setFont(font, size)
        canvas.setFillGray(grey)
        if turn:
            canvas.saveState()
            canvas.translate(*at)
            canvas.rotate(turn)
            at = 0.0, 0.0
        canvas.drawString(at[0] - align * width(words, size, font), at[1], words)
        if turn:
            canvas.restoreState()

    def bar(self, start: Point, long: float, words: str, upright: bool = False) -> None:
        """A bar exactly `long` mm between the ticks at its ends, along x or `upright`, and what it
        is, above it."""
        x, y = start
        ends = [(x, y), (x, y + long) if upright else (x + long, y)]
        self.lines(ends, Ink(0.15))
        for px, py in ends:
            dx, dy = (TICK, 0.0) if upright else (0.0, TICK)
            self.lines([(px - dx, py - dy), (px + dx, py + dy)], Ink(0.15))
        at = (x - 0.8, y + long / 2.0) if upright else (x + long / 2.0, y + 0.8)
        self.text(words, at, 2.2, 0.5, 90.0 if upright else 0.0)

    def close(self) -> None:
        """Write the file."""
        self.canvas.save()

    @contextmanager
    def within(self, box: Box) -> Iterator[None]:
        """Whatever is drawn meanwhile must lie in `box`."""
        self.frames.append(box)
        yield
        self.frames.pop()

    def _held(self, box: Box, what: str) -> None:
        """Raise FileError for a box that leaves the frame."""
        a, b = box, self.frames[-1]
        if min(a[0] - b[0], a[1] - b[1], b[2] - a[2], b[3] - a[3]) < -1e-6:
            place = ", ".join(f"{one:.2f}" for one in a)
            room = ", ".join(f"{one:.2f}" for one in b)
            raise FileError(f"{what} at {place} lies outside its paper, {room}")

    def _put(self, path: Any, ink: Ink) -> None:
        if ink.width:
            self.canvas.setLineWidth(ink.width)
            self.canvas.setDash(list(ink.dash), 0)
            self.canvas.setStrokeGray(ink.grey)
        if ink.fill is not None:
            self.canvas.setFillGray(ink.fill)
        self.canvas.drawPath(path, int(ink.width > 0.0), int(ink.fill is not None), 0)


def opened(path: str | Path, title: str) -> Pen:
    """A pen for a new file at `path`, which `close` writes."""
    pen = _pen(str(path))
    pen.canvas.setTitle(plain(title, 200))
    pen.canvas.setCreator("bodycad")
    pen.canvas.setProducer("bodycad")
    pen.canvas.setViewerPreference("PrintScaling", "None")
    return pen


def stencil(draw: Callable[[Pen], None], box: Box) -> Stencil:
    """What `draw` draws, once for all files that show it. Raises FileError where it leaves
    `box`."""
    pen = _pen("")
    with pen.within(box):
        draw(pen)
    return Stencil(box, str(pen.canvas.getCurrentPageContent()))


def _pen(path: str) -> Pen:
    from reportlab.pdfgen.canvas import Canvas

    # Plain streams: squeezing them costs more time than the few hundred kilobytes are worth.
    canvas = Canvas(path, invariant=1, pageCompression=0)
    for font in (PLAIN, BOLD):  # so that each has the same name in every file and stencil
        canvas.setFont(font, 1.0)
    return Pen(canvas, [])


def _trace(path: Any, shape: Profile) -> None:
    """Add a closed chain to a path: each arc as equal cubics of at most `CUBIC_DEG`."""
    s = shape.segments
    path.moveTo(*s.a[0].tolist())
    rows = zip(s.b.tolist(), s.bulge.tolist(), s.a.tolist())
    for k, (end, bulge, start) in enumerate(rows):
        if bulge == 0.0:
            path.lineTo(*end)
            continue
        sweep, (cx, cy) = 4.0 * math.atan(bulge), s.centre[k].tolist()
        count = math.ceil(abs(sweep) / math.radians(CUBIC_DEG) - 1e-9)
        step, begin = sweep / count, math.atan2(start[1] - cy, start[0] - cx)
        radius, reach = float(s.radius[k]), 4.0 / 3.0 * math.tan(step / 4.0)
        turns = [begin + step * n for n in range(count + 1)]
        spokes = [(math.cos(turn), math.sin(turn)) for turn in turns]
        knots = [tuple(start), *((cx + radius * c, cy + radius * n) for c, n in spokes[1:-1]), end]
        for (px, py), (qx, qy), (pc, ps), (qc, qs) in zip(knots, knots[1:], spokes, spokes[1:]):
            r = radius * reach
            path.curveTo(px - r * ps, py + r * pc, qx + r * qs, qy - r * qc, qx, qy)
    path.close()
