"""Lays read pages together as a maker does: by their tile marks and the names of the tiles."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import shapely

from tests.exports.pdf.read import Drawing, Page

ARM, DATUM_ARM = 4.0, 10.0


@dataclass
class Sheet:
    """One drawing on its pages: the drawing, and each page with what takes it to the common
    sheet."""

    drawing: Drawing
    pages: list[tuple[str, Page, np.ndarray]]

    def seen(self, name, points):
        """A chain of the drawing as the pages show it, each page's part on the common sheet."""
        parts = []
        for _, page, offset in self.pages:
            window = shapely.box(*page.own.shown[name][1])
            line = shapely.LineString(page.placed(name, points)).intersection(window)
            parts.append(shapely.transform(line, lambda xy, by=offset: xy + by))
        return parts

    def windows(self, name):
        """The windows on the common sheet."""
        boxes = [(page.own.shown[name][1], offset) for _, page, offset in self.pages]
        return [shapely.box(a + x, b + y, c + x, d + y) for (a, b, c, d), (x, y) in boxes]


def crosses(drawing: Drawing):
    """Centre and arm of every upright cross: a level and an upright line about one middle."""
    ends = [p.chains[0] for p in drawing.paths if len(p.chains) == 1 and len(p.chains[0]) == 2]
    level = [(e.mean(axis=0), abs(e[1, 0] - e[0, 0])) for e in ends if e[0, 1] == e[1, 1]]
    upright = [(e.mean(axis=0), abs(e[1, 1] - e[0, 1])) for e in ends if e[0, 0] == e[1, 0]]
    found = []
    for middle, long in level:
        near = (abs(long - other) < 1e-3 and np.hypot(*(middle - m)) < 1e-3 for m, other in upright)
        if any(near):
            found.append((middle, long / 2.0))
    return found


def marks(page: Page):
    """The four tile marks: lower left, lower right, upper left, upper right."""
    found = [middle for middle, arm in crosses(page.own) if abs(arm - ARM) < 1e-3]
    assert len(found) == 4
    return sorted(found, key=lambda p: (round(p[1], 3), round(p[0], 3)))


def named(page: Page) -> str:
    """The tile's name on the page, "A1" where it has none."""
    return next((t for t, _ in page.own.texts if re.fullmatch(r"[A-Z]\d{1,2}", t)), "A1")


def assembled(pages: list[Page]) -> dict[str, Sheet]:
    """The common sheet of every drawing, by its name: the first tile lies still, and each other one
    goes where its marks meet those of its neighbour."""
    found: dict[str, Sheet] = {}
    for page in pages:
        for name, drawing in page.drawings.items():
            sheet = found.setdefault(name, Sheet(drawing, []))
            tiles = {tile: (other, offset) for tile, other, offset in sheet.pages}
            tile, offset = named(page), np.zeros(2)
            row, column = tile[0], int(tile[1:])
            if column > 1:
                left, at = tiles[f"{row}{column - 1}"]
                offset = at + marks(left)[1] - marks(page)[0]
            elif row > "A":
                above, at = tiles[f"{chr(ord(row) - 1)}{column}"]
                offset = at + marks(above)[0] - marks(page)[2]
            assert tile not in tiles
            sheet.pages.append((tile, page, offset))
    return found


def datum(sheet: Sheet, name: str) -> np.ndarray:
    """Where the datum's cross lies on the common sheet; every page that shows it whole agrees."""
    middle = next(m for m, arm in crosses(sheet.drawing) if abs(arm - DATUM_ARM) < 1e-3)
    spots = [page.placed(name, middle[None])[0] + offset for _, page, offset in sheet.pages]
    assert np.ptp(np.array(spots), axis=0).max() < 1e-3
    return spots[0]
