"""The grid of heights of a shaped face as files: a 16-bit PNG, a GeoTIFF and an STL.

All three show the face as it is seen, from the cutting program's zero, in mm; the first row of an
image lies at the greatest y. Each place of the grid is the middle of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bodycad.errors import FileError
from bodycad.exports.cam import about_face
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.shaped import Heights, depths, follower, unbitten
from bodycad.words import Face

HUNDREDTH = 0.01
"""What one step of a pixel of the PNG is, mm."""
MOST_TRIANGLES = 100_000
"""An STL with more leaves out every second row and column of the grid, and so on: it is 5 MB."""
SCALE, TIEPOINT, KEYS, DESCRIPTION = 33550, 33922, 34735, 270
"""TIFF tags: ModelPixelScale, ModelTiepoint and GeoKeyDirectory of OGC GeoTIFF 1.1, and TIFF 6.0's
ImageDescription."""
GEO_KEYS = (1, 1, 0, 2, 1024, 0, 1, 32767, 1025, 0, 1, 2)
"""GeoKeyDirectory: version 1.1.0, two keys: a model of the user's own; a pixel is a point."""
SAMPLES = 2000
"""So many places of a file are held against the layout, about."""
HEAD = 80
"""Bytes of an STL's header."""
TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


@dataclass(frozen=True, eq=False)
class Grid:
    """The grid as its face is seen. x, y: where the first place of the first row stands from the
    zero; rows go down in y. mesh: how far the STL leaves the true surface at most, mm. about: what
    the files say of themselves."""

    x: float
    y: float
    pitch: float
    depth: np.ndarray
    mesh: float
    about: tuple[tuple[str, str], ...]

    @property
    def said(self) -> str:
        """All of it in one line."""
        return "; ".join(f"{key}: {value}" for key, value in self.about)


def grid_of(layout: Layout, piece: Workpiece, heights: Heights) -> Grid:
    """A face's heights as its files show them."""
    told = about_face(layout, piece, heights.face)
    numbers = {key: value for key, value in told if isinstance(value, float)}
    _, ys = heights.places
    # The back is seen mirrored: what is least in y stands at the top.
    back = heights.face is Face.BACK
    depth, middle = (table if back else table[::-1] for table in (heights.depth, heights.middle))
    mesh = mesh_off(depth, middle)
    x, y = heights.x + numbers["datum x"], (-ys[0] if back else ys[-1]) + numbers["datum y"]
    said = [(key, value if isinstance(value, str) else _plain(value)) for key, value in told]
    said += [
        ("pixel", _plain(heights.pitch)),
        ("x", _plain(x)),
        ("y", _plain(float(y))),
        ("off", f"at most {heights.off:.3f} between the places"),
        ("mesh", f"stays within about {mesh:.2f}"),
    ]
    if (followed := follower(layout.shop)) is not None:
        ball, stepover = followed
        said += [("tool", str(ball.nose)), ("diameter", _plain(ball.diameter))]
        said += [("stepover", _plain(stepover))]
    return Grid(x, float(y), heights.pitch, depth, mesh, tuple(said))


def _plain(value: float) -> str:
    return f"{value + 0.0:.6f}".rstrip("0").rstrip(".")


def write_png(grid: Grid, path: Path) -> None:
    """Depths under the plain face in hundredths of a mm, 0 the plain face."""
    from PIL import Image, PngImagePlugin

    info = PngImagePlugin.PngInfo()
    for key, value in (*grid.about, ("value", "hundredths of a mm under the plain face")):
        info.add_text(key, value)
    values = np.round(grid.depth / HUNDREDTH).astype("<u2")
    Image.fromarray(values).save(path, pnginfo=info, compress_level=6)


def write_tiff(grid: Grid, path: Path) -> None:
    """Heights in mm, the plain face 0 and what is cut below it, as 32-bit numbers; placed by the
    tags of a GeoTIFF (OGC GeoTIFF 1.1)."""
    from PIL import Image, TiffImagePlugin

    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[DESCRIPTION] = grid.said
    for tag, kind, value in (
        (SCALE, 12, (grid.pitch, grid.pitch, 0.0)),
        (TIEPOINT, 12, (0.0, 0.0, 0.0, grid.x, grid.y, 0.0)),
        (KEYS, 3, GEO_KEYS),
    ):
        tags.tagtype[tag] = kind
        tags[tag] = value
    image = Image.fromarray((0.0 - grid.depth).astype("<f4"))
    image.save(path, tiffinfo=tags, compression="tiff_adobe_deflate")


def write_stl(grid: Grid, path: Path) -> None:
    """The shaped part of the face as triangles, counter-clockwise from above, the plain face at
    z = 0."""
    rows = triangles(grid)
    found = np.zeros(len(rows), TRIANGLE)
    found["corners"] = rows
    normal = np.cross(rows[:, 1] - rows[:, 0], rows[:, 2] - rows[:, 0])
    found["normal"] = normal / np.linalg.norm(normal, axis=1)[:, None]
    words = f"bodycad, mm, within about {grid.mesh:.2f}; {grid.said}"
    head = words.encode("ascii", "replace")[:HEAD].ljust(HEAD)
    path.write_bytes(head + np.uint32(len(found)).tobytes() + found.tobytes())


def step_of(depth: np.ndarray) -> int:
    """Every how many-th place of a grid its STL takes."""
    step = 1
    while 2 * int(_shaped_cells(depth[::step, ::step]).sum()) > MOST_TRIANGLES:
        step += 1
    return step


def _shaped_cells(depth: np.ndarray) -> np.ndarray:
    cut = depth > 0.0
    found: np.ndarray = cut[:-1, :-1] | cut[1:, :-1] | cut[:-1, 1:] | cut[1:, 1:]
    return found


def triangles(grid: Grid) -> np.ndarray:
    """Corners (n, 3, 3) of the triangles over every cell of the grid that is shaped."""
    step = step_of(grid.depth)
    depth, pitch = grid.depth[::step, ::step], grid.pitch * step
    i, j = np.nonzero(_shaped_cells(depth))

    def spot(row: np.ndarray, column: np.ndarray) -> np.ndarray:
        x, y = grid.x + pitch * column, grid.y - pitch * row
        return np.column_stack([x, y, -depth[row, column]])

    nw, ne, sw, se = spot(i, j), spot(i, j + 1), spot(i + 1, j), spot(i + 1, j + 1)
    two = np.stack([np.stack([sw, se, ne], axis=1), np.stack([sw, ne, nw], axis=1)], axis=1)
    return two.reshape(-1, 3, 3)


def mesh_off(depth: np.ndarray, middle: np.ndarray) -> float:
    """How far (mm) the triangles over a grid of depths leave the surface at most inside the
    outline: at every place of the grid, those that they leave out too, and in the true middles
    between, NaN where they are not asked."""
    step = step_of(depth)
    thin = depth[::step, ::step]
    known = ~np.isnan(middle)
    inside = np.zeros(depth.shape, bool)
    inside[1:-1, 1:-1] = known[:-1, :-1] & known[1:, :-1] & known[:-1, 1:] & known[1:, 1:]
    worst = 0.0
    for true, asked, shift in ((depth, inside, 0.0), (middle, known, 0.5)):
        i, j = np.nonzero(asked)
        mesh = _on_mesh(thin, (i + shift) / step, (j + shift) / step)
        worst = max(worst, float(np.abs(mesh - true[i, j]).max(initial=0.0)))
    return worst


def _on_mesh(thin: np.ndarray, row: np.ndarray, column: np.ndarray) -> np.ndarray:
    """Depths (m,) of the triangles between the places of a grid, at fractions of its rows and
    columns; each cell is parted from its south-west to its north-east."""
    i = np.minimum(row.astype(int), thin.shape[0] - 2)
    j = np.minimum(column.astype(int), thin.shape[1] - 2)
    u, v = column - j, 1.0 - (row - i)
    nw, ne, sw, se = thin[i, j], thin[i, j + 1], thin[i + 1, j], thin[i + 1, j + 1]
    low, high = sw + u * (se - sw) + v * (ne - se), sw + v * (nw - sw) + u * (ne - nw)
    found: np.ndarray = np.where(v <= u, low, high)
    return found


def verify(layout: Layout, piece: Workpiece, face: Face, stem: Path) -> None:
    """Read the three files back and hold them against the layout's own heights at the places that
    they say. Raises FileError for one that says another."""
    from PIL import Image

    png, tif, stl = (stem.with_name(f"{stem.name}{end}") for end in (".png", ".tif", ".stl"))
    with Image.open(png) as image:
        text, values = dict(image.text), np.array(image) * HUNDREDTH  # type: ignore[attr-defined]
    with Image.open(tif) as image:
        tags: Any = image.tag_v2  # type: ignore[attr-defined]
        scale, tie, floor = tags[SCALE], tags[TIEPOINT], -np.array(image)
    for key, value in about_face(layout, piece, face):
        if text.get(key) != (value if isinstance(value, str) else _plain(value)):
            raise FileError(f"{png} says {text.get(key)!r} of its {key}")
    first = float(text["x"]), float(text["y"]), float(text["pixel"])
    _held(layout, piece, face, png, _spots(values, *first), HUNDREDTH)
    _held(layout, piece, face, tif, _spots(floor, tie[3], tie[4], scale[0]), 1e-4)
    raw = stl.read_bytes()
    rows = np.frombuffer(raw, TRIANGLE, offset=HEAD + 4)
    if int.from_bytes(raw[HEAD : HEAD + 4], "little") != len(rows):
        raise FileError(f"{stl} holds {len(rows)} triangles, and says otherwise")
    corners = rows["corners"].reshape(-1, 3) * np.array([1.0, 1.0, -1.0])
    _held(layout, piece, face, stl, corners, 1e-3)


def _spots(depth: np.ndarray, x: float, y: float, pitch: float) -> np.ndarray:
    """Places and depths (m, 3) of a grid."""
    rows, columns = np.indices(depth.shape)
    return np.column_stack(
        [(x + pitch * columns).ravel(), (y - pitch * rows).ravel(), depth.ravel()]
    )


def _held(
    layout: Layout, piece: Workpiece, face: Face, path: Path, spots: np.ndarray, within: float
) -> None:
    """Hold some hundred depths of a file, spread over it, against the layout's own inside the
    outline."""
    told = dict(about_face(layout, piece, face))
    x, y = float(told["datum x"]), float(told["datum y"])
    some = spots[:: max(1, len(spots) // SAMPLES)]
    plan = (some[:, :2] - (x, y)) * (1.0, -1.0 if face is Face.BACK else 1.0)
    inside = piece.skin.inset(plan) > 0.0
    hand = unbitten(piece, face, layout.shop)
    off = np.abs(depths(piece.skin, face, plan[inside], hand, neck=piece.neck) - some[inside, 2])
    if not len(off) or off.max() > within:
        raise FileError(f"{path} is off the layout by {off.max(initial=np.inf):.4f} mm")
