"""The picture of a simulation: what is left of each piece, seen from both faces, in a PNG."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from bodycad.exports.simulation import Simulation
from bodycad.simulation.compare import Patch
from bodycad.simulation.run import Simulated
from bodycad.words import SIDES, Face

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

WIDEST = 2000.0
"""Width of the picture at most, pixels."""
FINEST = 4.0
"""At most so many pixels to the mm."""
MARGIN, LINE = 24, 24
PAPER, INK, FAINT = (255, 255, 255), (25, 25, 25), (110, 110, 110)
WOOD = np.array([222.0, 196.0, 152.0])
"""The colour of a level face in the light."""
GONE, CUT_AWAY = (236, 240, 246), (150, 166, 190)
"""Where the blank is cut through, and what lies beside the outline."""
LEFT, GOUGED, STATED = (245, 130, 0), (210, 0, 40), (120, 90, 200)
"""Wood too much, wood too little, wood left as stated."""
MOST_MARKS, LARGE = 40, 40.0
"""Rings are drawn round so many places of each kind, the largest first of those that are no wider
(mm): what is larger is seen without."""
TITLE_WIDE = 300
"""What a title needs at least, pixels."""


@dataclass(frozen=True, eq=False)
class _View:
    """One piece seen from one face: `cells` an image of its cells by row and column from the top,
    each `step` of them as one; `scale` pixels to the mm."""

    done: Simulated
    face: Face
    scale: float

    @property
    def size(self) -> tuple[int, int]:
        grid = self.done.grid
        return (
            max(round(grid.nx * grid.pitch * self.scale), 1),
            max(round(grid.ny * grid.pitch * self.scale), 1),
        )

    def spot(self, x: float, y: float) -> tuple[float, float]:
        """Where a place of the piece lies in the view, pixels from its upper left."""
        grid = self.done.grid
        along, up = (x - grid.x0) * self.scale, (y - grid.y0) * self.scale
        return along, up if self.face is Face.BACK else self.size[1] - up


def write_picture(done: Simulation, path: Path) -> Path:
    """Write the picture of a simulation; equal input gives equal bytes."""
    buffer = BytesIO()
    picture(done).save(buffer, "PNG")
    path.write_bytes(buffer.getvalue())
    return path


def picture(done: Simulation) -> Image:
    """Every piece of a simulation, front and back side by side, with a legend and a scale."""
    from PIL import Image, ImageDraw

    body = done.pieces[0]
    across = body.grid.nx * body.grid.pitch
    scale = min(FINEST, (WIDEST - 3 * MARGIN) / 2.0 / across, 1.0 / body.grid.pitch)
    rows = [[_View(one, face, scale) for face in SIDES] for one in done.pieces]
    wide = max(sum(max(v.size[0], TITLE_WIDE) for v in row) for row in rows) + 3 * MARGIN
    head = _head(done)
    foot = 4 * LINE + MARGIN
    high = (
        MARGIN + len(head) * LINE + sum(max(v.size[1] for v in r) + 3 * LINE for r in rows) + foot
    )
    image = Image.new("RGB", (wide, high), PAPER)
    draw = ImageDraw.Draw(image)
    y = MARGIN
    for k, text in enumerate(head):
        _write(draw, (MARGIN, y), text, 18 if k == 0 else 14)
        y += LINE
    for row in rows:
        x = MARGIN
        for view in row:
            title = f"{view.done.piece.id}, {view.face}, seen from the {view.face}"
            _write(draw, (x, y + 4), title, 14)
            image.paste(Image.fromarray(_pixels(view)), (x, y + LINE))
            _marks(draw, view, (x, y + LINE))
            x += max(view.size[0], TITLE_WIDE) + MARGIN
        y += max(view.size[1] for view in row) + 3 * LINE
    _legend(draw, (MARGIN, y), scale)
    return image


def _head(done: Simulation) -> list[str]:
    layout, report = done.layout, done.report
    grid = done.pieces[0].grid
    return [
        f"{layout.name}: cut from its files, {report.verdict.upper()}",
        f"{layout.hand}-handed, revision {layout.revision}, millimetres",
        f"walls {grid.judged}",
    ]


def _pixels(view: _View) -> np.ndarray:
    """The face as an image (rows from the top, columns, 3)."""
    done, grid = view.done, view.done.grid
    wide, high = view.size
    columns = np.minimum((np.arange(wide) + 0.5) / wide * grid.nx, grid.nx - 1).astype(int)
    rows = np.minimum((np.arange(high) + 0.5) / high * grid.ny, grid.ny - 1).astype(int)
    if view.face is Face.FRONT:
        rows = rows[::-1]
    pick = np.ix_(rows, columns)
    depth = (done.front if view.face is Face.FRONT else done.back)[pick]
    gone, wood = done.gone[pick], (done.target.wood | done.target.neck)[pick]
    image = _shaded(depth, 1.0 / view.scale, done.piece.thickness)
    image[gone] = GONE
    image[~wood & (depth <= 0.0)] = CUT_AWAY
    stated = done.target.corners[pick] & wood
    image[stated] = 0.6 * image[stated] + 0.4 * np.array(STATED)
    found = image.astype(np.uint8)
    middle = -done.piece.thickness / 2.0
    for cells, colour in ((done.compared.left, LEFT), (done.compared.gouged, GOUGED)):
        mine = (cells.height >= middle) == (view.face is Face.FRONT)
        mine |= cells.deep > 0.5 * done.piece.thickness
        at_row = (cells.row[mine] * (high / grid.ny)).astype(int)
        at_row = high - 1 - at_row if view.face is Face.FRONT else at_row
        at_column = (cells.column[mine] * (wide / grid.nx)).astype(int)
        found[np.clip(at_row, 0, high - 1), np.clip(at_column, 0, wide - 1)] = colour
    return found


def _shaded(depth: np.ndarray, step: float, thickness: float) -> np.ndarray:
    """Depths as a face in light from the upper left, darker the deeper."""
    down, right = np.gradient(depth.astype(float), step) if min(depth.shape) > 1 else (depth, depth)
    light = 1.0 + 0.35 * np.clip((right + down) / math.sqrt(2.0), -1.0, 1.0)
    fade = 1.0 - 0.55 * np.clip(depth / thickness, 0.0, 1.0)
    found: np.ndarray = np.clip(WOOD * (light * fade)[..., None], 0.0, 255.0)
    return found


def _marks(draw: ImageDraw, view: _View, at: tuple[int, int]) -> None:
    """Rings round what is wrong, so that a single cell is seen."""
    own = view.done.compared
    for patches, colour in ((own.left_at, LEFT), (own.gouged_at, GOUGED)):
        small = [p for p in patches if math.dist(p.box[:2], p.box[2:]) < LARGE]
        for patch in small[:MOST_MARKS]:
            _ring(draw, view, at, patch, colour)


def _ring(
    draw: ImageDraw, view: _View, at: tuple[int, int], patch: Patch, colour: tuple[int, int, int]
) -> None:
    x0, y0, x1, y1 = patch.box
    x, y = view.spot((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    r = max(8.0, 0.5 * view.scale * math.hypot(x1 - x0, y1 - y0) + 5.0)
    x, y = x + at[0], y + at[1]
    draw.ellipse((x - r, y - r, x + r, y + r), outline=colour, width=2)


def _legend(draw: ImageDraw, at: tuple[int, int], scale: float) -> None:
    x, y = at
    rows: Sequence[tuple[tuple[int, int, int], str]] = (
        (LEFT, "wood left"),
        (GOUGED, "wood gouged"),
        (STATED, "corners that no cutter gets into"),
        (GONE, "cut through"),
        (CUT_AWAY, "waste"),
    )
    for colour, text in rows:
        draw.rectangle((x, y, x + 16, y + 14), fill=colour, outline=FAINT)
        _write(draw, (x + 22, y - 2), text, 14)
        x += 40 + 9 * len(text)
    long = 100.0 if 100.0 * scale < 1500 else 10.0
    x, y = at[0], at[1] + 2 * LINE
    draw.line((x, y, x + long * scale, y), fill=INK, width=3)
    for end in (x, x + long * scale):
        draw.line((end, y - 5, end, y + 5), fill=INK, width=2)
    _write(draw, (x + long * scale + 8, y - 9), f"{long:g} mm", 14)


def _write(draw: ImageDraw, at: tuple[float, float], text: str, size: int) -> None:
    from PIL import ImageFont

    draw.text(at, text, fill=INK, font=ImageFont.load_default(size))
