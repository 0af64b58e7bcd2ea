"""Writes a file of full-size drawings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bodycad.exports.pdf.furniture import furnish
from bodycad.exports.pdf.kit import opened
from bodycad.exports.pdf.pages import Heading, Picture, pages, refuse_gaps
from bodycad.exports.pdf.reread import reread
from bodycad.words import Paper


def write(
    path: str | Path, paper: Paper, roll: float, heading: Heading, pictures: Sequence[Picture]
) -> Path:
    """Write drawings at true size on `paper` to `path`; equal input gives equal bytes.

    Raises InputError for a drawing that is wider than the `roll` (mm) both ways, and FileError
    where something of a drawing would be on no page or the file, read back, does not show it."""
    planned = pages(paper, roll, heading, pictures)
    refuse_gaps(planned, pictures)
    pen = opened(path, heading.design)
    for picture in pictures:
        pen.keep(picture.name, picture.stencil)
    for page in planned:
        with pen.page(page.wide, page.high):
            for picture, (dx, dy) in page.placed:
                pen.print(picture.name, (dx, dy), page.window)
            furnish(pen, page)
    pen.close()
    reread(Path(path), planned)
    return Path(path)
