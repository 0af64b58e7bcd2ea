"""What stands on which page: drawings at true size, tiled over sheets or laid together on one.

A page has a strip on its left and one at its foot for check bars and title block; the rest of what
a printer can print is its window. A drawing that is larger than the window goes over rows and
columns of pages whose windows overlap by `OVERLAP`; smaller ones share pages.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from bodycad.errors import FileError, InputError
from bodycad.exports.pdf.kit import BAR_IN, UNPRINTABLE, Box, Stencil, width, wrapped
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.units import inch
from bodycad.words import Paper

SIZES: Mapping[Paper, Point] = MappingProxyType(
    {
        Paper.A4: (210.0, 297.0),
        Paper.A3: (297.0, 420.0),
        Paper.LETTER: (float(inch(8.5)), float(inch(11.0))),
        Paper.TABLOID: (float(inch(11.0)), float(inch(17.0))),
    }
)
"""Width and height of a sheet, mm (ISO 216; ASME Y14.1: sizes A and B)."""
OVERLAP = 12.0
"""How far the windows of neighbouring pages overlap, mm (common practice, no source): at least
twice the arm of a hole's cross, so that each cross is whole on one page."""
SIDE = 14.0
"""Width of the strip on the left, mm: two upright bars with their names."""
BARS = 13.0
"""Height of the foot's part that holds two bars, mm."""
SIZE, PITCH = 2.3, 3.1
"""Size of the letters of the title block, and the distance of its lines, mm."""
INDENT = 5.5
"""How far the title block stands right of the frame, clear of the tile mark there, mm."""
MAP = 30.0, 22.0
"""Room of the sheet map, mm."""
LEAST = 200.0
"""The least width of a page: bars and the words beside them, mm."""
AIR = 2.0
"""Between the frame and the drawings that share a page, mm."""
LOWEST = UNPRINTABLE + SIDE + BAR_IN + AIR + UNPRINTABLE
"""The least height of one: its upright bars, mm."""
GAP, CAPTION = 8.0, 2.0 * PITCH + 1.0
"""Between drawings that share a page, and the room of a title under one, mm."""
SHARED = "drawings that share this page, each with its name under it"


@dataclass(frozen=True, eq=False)
class Picture:
    """A drawing at true size.

    name: unique in its file, of letters, digits, `.`, `-`. title: what it shows. about: what else
    must stand by it. stencil: all of it, mm in its own frame, y up (`kit.stencil` makes one).
    sketch: what of it the sheet map shows. whole: boxes of notes and crosses, each of which a page
    should show whole."""

    name: str
    title: str
    about: str
    stencil: Stencil
    sketch: tuple[Profile, ...] = ()
    whole: tuple[Box, ...] = ()

    @property
    def box(self) -> Box:
        """What it lies within, mm."""
        return self.stencil.box

    @property
    def size(self) -> Point:
        """Width and height, mm."""
        x0, y0, x1, y1 = self.box
        return x1 - x0, y1 - y0


@dataclass(frozen=True)
class Heading:
    """What the title block of every page says besides its own drawing: the design's name, and lines
    such as hand, revision and units."""

    design: str
    facts: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Page:
    """One page, mm from its lower left corner. window: where drawings show. placed: each drawing
    with the shift that takes its frame to the page's. lines: the text of its title block. shared:
    its drawings have their names under them. columns, rows and cell (row and column from the upper
    left) of a tiled drawing."""

    wide: float
    high: float
    window: Box
    placed: tuple[tuple[Picture, Point], ...]
    lines: tuple[str, ...]
    shared: bool = False
    columns: int = 1
    rows: int = 1
    cell: tuple[int, int] = (0, 0)

    @property
    def tiled(self) -> bool:
        """Whether its drawing goes over more than one page."""
        return self.columns * self.rows > 1

    @property
    def name(self) -> str:
        """Row and column, such as "B2"."""
        return cell_name(*self.cell)

    @property
    def marks(self) -> tuple[Point, Point, Point, Point]:
        """The tile marks: lower left, lower right, upper left, upper right. Those of neighbours are
        the same places of the drawing."""
        x0, y0, x1, y1 = self.window
        right, top = x1 - OVERLAP, y1 - OVERLAP
        return (x0, y0), (right, y0), (x0, top), (right, top)


def pages(
    paper: Paper, roll: float, heading: Heading, pictures: Sequence[Picture]
) -> tuple[Page, ...]:
    """The pages of a file: large drawings in order, then pages of small ones. `roll`: the width of
    the roll, mm.

    Raises InputError for a drawing that is wider than the roll both ways."""
    found, small = list[Page](), list[Picture]()
    sheet = SIZES.get(paper, SIZES[Paper.A4])
    ways = sheet, sheet[::-1]
    rooms = {way: _shared_window(heading, *way)[1] for way in ways}
    strip = _shared_window(heading, roll, math.inf)[1] if paper == Paper.ROLL else None
    for picture in pictures:
        apart = strip is not None and not _fits(picture, strip)
        if not apart and any(_fits(picture, rooms[way]) for way in ways):
            small.append(picture)
        elif paper == Paper.ROLL:
            found.append(_on_roll(picture, heading, roll))
        else:
            tiles = [_tiles(picture, heading, *way) for way in ways]
            fewest = min(tiles, key=len)
            found += fewest
    if paper == Paper.ROLL:
        return (*found, *_shared(small, heading, roll, math.inf))
    choices = []
    for one, other in (ways, ways[::-1]):
        here = [picture for picture in small if _fits(picture, rooms[one])]
        there = [picture for picture in small if picture not in here]
        choices.append([*_shared(here, heading, *one), *_shared(there, heading, *other)])
    return (*found, *min(choices, key=len))


def cell_name(row: int, column: int) -> str:
    """The name of a page by its row and column, counted from 0 at the upper left."""
    return f"{chr(ord('A') + row)}{column + 1}"


def text_lines(heading: Heading, title: str, about: str, wide: float) -> tuple[str, ...]:
    """The title block on a page of `wide` mm."""
    room = wide - 2.0 * UNPRINTABLE - SIDE - INDENT - MAP[0] - 3.0
    texts = (f"{heading.design}: {title}", about, *heading.facts)
    return tuple(line for text in texts if text for line in wrapped(text, room, SIZE))


def _window(wide: float, high: float, lines: Sequence[str]) -> Box:
    foot = UNPRINTABLE + BARS + max(PITCH * len(lines), MAP[1]) + 2.0
    return UNPRINTABLE + SIDE, foot, wide - UNPRINTABLE, high - UNPRINTABLE


def _cell(picture: Picture) -> Point:
    """The room of a drawing with its title under it."""
    wide = max(width(text, SIZE) for text in (picture.title, picture.about))
    return max(picture.size[0], wide), picture.size[1] + CAPTION


def _shared_window(heading: Heading, wide: float, high: float) -> tuple[tuple[str, ...], Box]:
    lines = text_lines(heading, SHARED, "", wide)
    return lines, _window(wide, high, lines)


def _fits(picture: Picture, window: Box) -> bool:
    (x0, y0, x1, y1), (across, up) = window, _cell(picture)
    return across + AIR <= x1 - x0 and up + AIR <= y1 - y0


def _tiles(picture: Picture, heading: Heading, wide: float, high: float) -> list[Page]:
    """A drawing over rows and columns of pages, from the upper left."""
    lines = text_lines(heading, picture.title, picture.about, wide)
    window = x0, y0, x1, y1 = _window(wide, high, lines)
    step = x1 - x0 - OVERLAP, y1 - y0 - OVERLAP
    columns, rows = (max(1, math.ceil((s - OVERLAP) / d)) for s, d in zip(picture.size, step))
    left, low = (_begin(picture, k, n, d) for k, (n, d) in enumerate(zip((columns, rows), step)))
    found = []
    for row in range(rows):
        for column in range(columns):
            shift = x0 - left - column * step[0], y0 - low - (rows - 1 - row) * step[1]
            placed = ((picture, shift),)
            grid = columns, rows, (row, column)
            found.append(Page(wide, high, window, placed, lines, False, *grid))
    return found


def _begin(picture: Picture, axis: int, count: int, step: float) -> float:
    """Where along x (0) or y (1) the first of `count` windows begins: so that the fewest notes and
    crosses are cut by an edge, else in the middle of what is left over."""
    low, high = picture.box[axis], picture.box[axis + 2]
    spare = count * step + OVERLAP - (high - low)
    aside = np.arange(1, 20) / 40.0
    shares = 0.5 + np.concatenate([[0.0], np.stack([aside, -aside], axis=1).ravel()])
    starts = low - spare * shares
    boxes = np.array(picture.whole).reshape(-1, 4)
    edge = starts[:, None, None] + step * np.arange(count)
    fits = (boxes[:, [axis]] >= edge) & (boxes[:, [axis + 2]] <= edge + step + OVERLAP)
    return float(starts[int(fits.any(axis=2).sum(axis=1).argmax())])


def _on_roll(picture: Picture, heading: Heading, roll: float) -> Page:
    """A drawing on one piece of the roll, in whichever way it lies there."""
    wide = max(picture.size[0] + SIDE + 2.0 * UNPRINTABLE, LEAST)
    lines = text_lines(heading, picture.title, picture.about, wide)
    high = max(picture.size[1] + _window(wide, 0.0, lines)[1] + UNPRINTABLE, LOWEST)
    if min(wide, high) > roll:
        need = f"at least {min(wide, high):.0f} mm, for {picture.title}"
        remedy = 'name a wider roll in the shop, or leave "roll" out of its papers'
        raise InputError("the width of the roll of paper", f"{roll:g} mm", need, remedy)
    window = _window(wide, high, lines)
    shift = window[0] - picture.box[0], window[1] - picture.box[1]
    return Page(wide, high, window, ((picture, shift),), lines)


def _shared(
    pictures: Sequence[Picture], heading: Heading, wide: float, high: float
) -> tuple[Page, ...]:
    """Small drawings in rows, the highest first, on as few pages as those take, each with its title
    under it. `high` inf: one page, as high as it must be."""
    lines, window = _shared_window(heading, wide, high)
    x0, y0, x1, y1 = window
    sheets: list[list[tuple[Picture, Point]]] = [[]]
    x, top, row = x0 + AIR, AIR, 0.0
    for picture in sorted(pictures, key=lambda one: -one.size[1]):
        across, up = _cell(picture)
        if x > x0 + AIR and x + across > x1:
            x, top, row = x0 + AIR, top + row + GAP, 0.0
        if top + up > y1 - y0:
            sheets.append([])
            x, top, row = x0 + AIR, AIR, 0.0
        sheets[-1].append((picture, (x - picture.box[0], -top - picture.box[3])))
        x, row = x + across + GAP, max(row, up)
    if math.isinf(high):
        high = max(top + row + AIR + y0 + UNPRINTABLE, LOWEST)
        window = x0, y0, x1, y1 = *window[:3], high - UNPRINTABLE
    return tuple(
        Page(
            wide, high, window, tuple((one, (dx, y1 + dy)) for one, (dx, dy) in sheet), lines, True
        )
        for sheet in sheets
        if sheet
    )


def refuse_gaps(planned: Sequence[Page], pictures: Sequence[Picture]) -> None:
    """Raise FileError where a drawing, or a part of one, is on no page, or neighbouring windows
    overlap by less than `OVERLAP`."""
    for picture in pictures:
        spans: dict[int, set[tuple[float, float]]] = {0: set(), 1: set()}
        count = 0
        for page in planned:
            for one, shift in page.placed:
                if one is picture:
                    count += 1
                    for k in spans:
                        spans[k].add((page.window[k] - shift[k], page.window[k + 2] - shift[k]))
        for k, found in spans.items():
            low, high, rows = picture.box[k], picture.box[k + 2], sorted(found)
            ends = [(low + OVERLAP, low + OVERLAP), *rows, (high - OVERLAP, high - OVERLAP)]
            if any(q[0] > p[1] - OVERLAP + 1e-6 for p, q in zip(ends, ends[1:])):
                raise FileError(f"a part of {picture.title} is on no page")
        if count != len(spans[0]) * len(spans[1]):
            raise FileError(f"a tile of {picture.title} is missing")
