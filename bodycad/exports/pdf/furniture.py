"""What stands on every page beside the drawing, so that the print can be trusted: check bars both
ways, tile marks, a sheet map, and the title block. All of it lies where every printer prints."""

from __future__ import annotations

import math

from bodycad.exports.pdf.kit import BAR_IN, BAR_MM, BOLD, FINE, PLAIN, THIN, UNPRINTABLE, Ink, Pen
from bodycad.exports.pdf.pages import (
    INDENT,
    MAP,
    PITCH,
    SIDE,
    SIZE,
    Page,
    cell_name,
)
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import flatten

ARM = 4.0
"""Arm of a tile mark, mm."""
JOINT = Ink(0.15, (1.0, 1.0), 0.3)
"""The line on which the next page's frame lies."""
BESIDE = 6.0
"""Between the two bars of a strip, mm."""
SKETCH = 2.0
"""How far the outline on a sheet map, which is as large as a stamp, leaves its arcs, mm of the
body."""
OFF = 0.3
"""A bar that is off by more wants another print, mm in 100 (common practice, no source)."""


def furnish(pen: Pen, page: Page) -> None:
    """Draw a page's frame, marks, bars, map, title block and names."""
    _frame(pen, page)
    _bars(pen)
    _title(pen, page)
    if page.tiled:
        _map(pen, page)
    for picture, (dx, dy) in page.placed if page.shared else ():
        x, y = picture.box[0] + dx, picture.box[1] + dy - PITCH
        pen.text(picture.title, (x, y), SIZE, font=BOLD)
        pen.text(picture.about, (x, y - PITCH), SIZE)


def _frame(pen: Pen, page: Page) -> None:
    x0, y0, x1, y1 = page.window
    pen.lines([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], FINE)
    for mark in page.marks:
        pen.cross(mark, ARM, THIN)
    (row, column), (right, top) = page.cell, page.marks[3]
    if column + 1 < page.columns:
        pen.lines([(right, y0), (right, y1)], JOINT)
    if row > 0:
        pen.lines([(x0, top), (x1, top)], JOINT)


def _bars(pen: Pen) -> None:
    left, low = UNPRINTABLE + SIDE - BESIDE - 3.0, UNPRINTABLE + 2.0
    for k, (long, words) in enumerate(((BAR_MM, "100 mm"), (BAR_IN, "4 in"))):
        pen.bar((UNPRINTABLE + SIDE, low + BESIDE * k), long, words)
        pen.bar((left + BESIDE * k, UNPRINTABLE + SIDE), long, words, upright=True)


def _title(pen: Pen, page: Page) -> None:
    x, y = page.window[0] + INDENT, page.window[1] - 1.0 - 0.75 * PITCH
    for k, line in enumerate(page.lines):
        pen.text(line, (x, y - k * PITCH), SIZE, font=PLAIN if k else BOLD)
    one, _, _, two = page.marks
    texts = (
        "printed on (date):  ____________________",
        f"a bar off by more than {OFF:g} mm in 100: print again",
        f"corner to corner, lower left + to upper right +: {math.dist(one, two):.2f} mm",
        _neighbours(page),
    )
    x, y = UNPRINTABLE + SIDE + BAR_IN + 4.0, UNPRINTABLE + 2.0
    for k, text in enumerate(texts):
        pen.text(text, (x, y + k * PITCH), SIZE)


def _neighbours(page: Page) -> str:
    """Whose frames lie on the dashed lines."""
    row, column = page.cell
    right = [f"right {cell_name(row, column + 1)}"] if column + 1 < page.columns else []
    above = [f"above {cell_name(row - 1, column)}"] if row else []
    return f"on the dashed lines lie: {', '.join(right + above)}" if right or above else ""


def _map(pen: Pen, page: Page) -> None:
    """Rows and columns of all pages with the drawing's sketch, this page's filled."""
    (picture, _), (wide, high) = page.placed[0], MAP
    x1, y1 = page.wide - UNPRINTABLE, page.window[1] - 1.0
    pen.text(page.name, (x1, y1 - PITCH), 1.4 * SIZE, 1.0, font=BOLD)
    y1 -= PITCH + 2.0
    (ax, ay), _, _, (bx, by) = page.marks
    scale = min(wide / (page.columns * (bx - ax)), (high - PITCH - 2.0) / (page.rows * (by - ay)))
    across, up = scale * (bx - ax), scale * (by - ay)
    x0, y0 = x1 - page.columns * across, y1 - page.rows * up
    for row in range(page.rows):
        for column in range(page.columns):
            middle = x0 + (column + 0.5) * across, y1 - (row + 0.5) * up
            mine = (row, column) == page.cell
            pen.shapes([rectangle(across, up, 0.0, *middle)], Ink(0.1, fill=0.8 if mine else None))
    row, column = page.cell
    corner = ax - column * (bx - ax), ay - (page.rows - 1 - row) * (by - ay)
    dx, dy = page.placed[0][1]
    left, low = x0 + scale * (dx - corner[0]), y0 + scale * (dy - corner[1])
    for shape in picture.sketch:
        points = [(left + scale * x, low + scale * y) for x, y in flatten(shape, SKETCH).tolist()]
        pen.lines([*points, points[0]], Ink(0.12))
