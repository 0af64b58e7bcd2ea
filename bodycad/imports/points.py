"""Lists of points: CSV files of x, y and, for a point that is more than one of a smooth curve, a
third column."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np

from bodycad.errors import InputError
from bodycad.imports.curve import line
from bodycad.imports.stroke import Sketch, Stroke

MOST_ROWS = 2000
"""Each point of a smooth curve makes two arcs."""
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
SAME = 1e-6


def points_sketch(path: Path, file: str) -> Sketch:
    """The points of a CSV file as a chain of straight lines, with what its third column says:
    "corner", "line" (straight on to the next point) or the radius of a corner's fillet.

    Columns part at commas, semicolons, tabs or spaces; a comma is a decimal one where another of
    these parts them. Lines that begin with # and a first line of words count nothing. Raises
    InputError, with the line, for anything else."""
    thing = f"the drawing {file}"
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(thing, "no text", "a CSV file in UTF-8", "save it as UTF-8") from None
    lines = [
        (k, row.strip())
        for k, row in enumerate(text.splitlines(), 1)
        if row.strip() and not row.lstrip().startswith("#")
    ]
    if lines and not re.match(r"[+-]?[.\d]", lines[0][1]):
        lines = lines[1:]  # names of columns
    if len(lines) > MOST_ROWS:
        step = -(-len(lines) // MOST_ROWS)
        found, remedy = f"{len(lines)} points", f"keep every {step}th line"
        raise InputError(thing, found, f"at most {MOST_ROWS}", remedy)
    rows, marks = [], []
    for k, row in lines:
        x, y, mark = _row(row, f"{thing}, line {k},")
        rows.append((x, y))
        marks.append(mark)
    points = np.array(rows, float).reshape(-1, 2)
    if len(points) > 1 and float(np.hypot(*(points[0] - points[-1]))) < SAME:
        points, marks = points[:-1], marks[:-1]  # closed by hand
    if len(points) < 3:
        raise InputError(thing, f"one of {len(points)} points", "at least 3 points, a line each")
    again = np.flatnonzero(np.hypot(*np.diff(points, axis=0).T) < SAME)
    if len(again):
        k = lines[int(again[0]) + 1][0]
        raise InputError(f"{thing}, line {k},", "the point before it again", "each point once")
    return Sketch(
        (Stroke(line(points), "the points"),),
        None,
        notes=("points name no unit; they are taken for millimetres",),
        smooth=True,
        corners=tuple(k for k, mark in enumerate(marks) if mark == "corner"),
        fillets=tuple((k, mark) for k, mark in enumerate(marks) if isinstance(mark, float)),
        runs=tuple(k for k, mark in enumerate(marks) if mark == "line"),
    )


def _row(text: str, thing: str) -> tuple[float, float, str | float]:
    """x, y and the mark of one line."""
    parting = next((one for one in (";", "\t", ",") if one in text), None)
    cells = [cell.strip().strip('"') for cell in text.split(parting)]
    if parting in (";", "\t"):
        cells = [cell.replace(",", ".") for cell in cells]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    if len(cells) not in (2, 3) or not all(_NUMBER.fullmatch(cell) for cell in cells[:2]):
        raise InputError(thing, text[:80], "x, y and perhaps a mark", "one point a line")
    x, y = map(float, cells[:2])
    if not (math.isfinite(x) and math.isfinite(y) and max(abs(x), abs(y)) < 1e9):
        raise InputError(thing, text[:80], "finite coordinates")
    word = cells[2].casefold() if len(cells) == 3 else ""
    if _NUMBER.fullmatch(word) and 0.0 < float(word) < 1e9:
        return x, y, float(word)
    if word not in ("", "corner", "line"):
        allowed = "nothing, corner, line (straight to the next point) or a fillet's radius above 0"
        raise InputError(f"{thing} its third column", word[:40], allowed)
    return x, y, word
