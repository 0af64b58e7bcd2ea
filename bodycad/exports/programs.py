"""The files of a build for a machine with an upright spindle: a drawing for every face, and a grid
of heights for every shaped one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from bodycad.checks.report import Report
from bodycad.errors import FileError
from bodycad.exports.cam import cam_sheet
from bodycad.exports.sheet import drawn_faces
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.shaped import is_shaped, shaped
from bodycad.solid.beside import Beside, Ended
from bodycad.words import Face

ENDINGS = ".png", ".tif", ".stl"


def names(layout: Layout) -> tuple[str, ...]:
    """The names of all files of a layout's cutting programs."""
    drawn = (f"{stem}-cam.dxf" for _, _, stem in drawn_faces(layout))
    return (*drawn, *(f"{stem}{end}" for _, _, stem in _shaped(layout) for end in ENDINGS))


def write(report: Report, folder: Path) -> None:
    """Write every file, each read back, the grids in a copy of this process; FileError for one that
    does not say what the layout says."""
    layout = report.layout
    grids = Beside("writing the grids of heights", lambda: _refusal(layout, folder))
    try:
        write_drawings(layout, folder)
        if refused := grids.answer():
            raise FileError(refused)
    except Ended:  # here it is heard why
        write_grids(layout, folder)
    except BaseException:
        grids.stop()
        raise


def _refusal(layout: Layout, folder: Path) -> str:
    """What is wrong with a written grid; "" where nothing is."""
    try:
        write_grids(layout, folder)
    except FileError as error:
        return str(error)
    return ""


def write_drawings(layout: Layout, folder: Path) -> None:
    """Write the drawing of every face, each read back."""
    from bodycad.exports.dxf import cam

    for piece, face, stem in drawn_faces(layout):
        sheet, path = cam_sheet(layout, piece, face), folder / f"{stem}-cam.dxf"
        cam.verify(cam.write(sheet, path), sheet)


def write_grids(layout: Layout, folder: Path) -> None:
    """Write the grid of every shaped face, each read back."""
    from bodycad.exports import heights

    for piece, face, stem in _shaped(layout):
        found = shaped(layout, piece, face)
        assert found is not None
        grid = heights.grid_of(layout, piece, found)
        heights.write_png(grid, folder / f"{stem}.png")
        heights.write_tiff(grid, folder / f"{stem}.tif")
        heights.write_stl(grid, folder / f"{stem}.stl")
        heights.verify(layout, piece, face, folder / stem)


def _shaped(layout: Layout) -> Iterator[tuple[Workpiece, Face, str]]:
    for piece, face, stem in drawn_faces(layout):
        if is_shaped(layout, piece, face):
            yield piece, face, f"{stem}-heights"
