"""The cutting programs' drawings of a build: one a face."""

from __future__ import annotations

from pathlib import Path

from bodycad.checks.report import Report
from bodycad.exports.cam import cam_sheet
from bodycad.exports.sheet import drawn_faces
from bodycad.layout.layout import Layout


def names(layout: Layout) -> tuple[str, ...]:
    """The names of all cutting programs of a layout."""
    return tuple(f"{stem}-cam.dxf" for _, _, stem in drawn_faces(layout))


def write(report: Report, folder: Path) -> None:
    """Write every face's program, each read back; FileError for one that is not the layout's."""
    from bodycad.exports.dxf import cam

    for piece, face, stem in drawn_faces(report.layout):
        sheet, path = cam_sheet(report.layout, piece, face), folder / f"{stem}-cam.dxf"
        cam.verify(cam.write(sheet, path), sheet)
