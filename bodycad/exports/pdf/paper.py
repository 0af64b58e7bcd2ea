"""The full-size paper of a layout: every worked face of every workpiece, for each paper of the
shop."""

from __future__ import annotations

from pathlib import Path

from bodycad.checks.report import Report
from bodycad.exports.pdf.document import write
from bodycad.exports.pdf.face import picture, silhouettes
from bodycad.exports.pdf.pages import Heading
from bodycad.exports.pdf.reread import hold
from bodycad.layout.layout import Layout
from bodycad.safety import CAUTIONS, Danger
from bodycad.words import Paper


def file_name(layout: Layout, paper: Paper) -> str:
    """The name of the file for a paper."""
    return f"{layout.name}-templates-{paper}.pdf"


def names(layout: Layout) -> tuple[str, ...]:
    """The files of a build, one for each paper of the shop."""
    return tuple(file_name(layout, paper) for paper in layout.shop.papers)


def write_all(report: Report, folder: Path) -> None:
    """Write the full-size paper of a report's layout for each paper of its shop.

    Raises InputError for a face that no roll of the shop's width holds, and FileError for what does
    not show all that the layout has."""
    layout, pictures = report.layout, []
    for piece in layout.pieces:
        for face in piece.faces:
            one = picture(layout, piece, face)
            parts = silhouettes(layout, face) if piece is layout.body else ()
            hold(one.stencil, piece, face, parts)
            pictures.append(one)
    head, roll = heading(layout), layout.shop.roll
    for paper in layout.shop.papers:
        write(folder / file_name(layout, paper), paper, roll, head, pictures)


def heading(layout: Layout) -> Heading:
    """What every page says."""
    facts = (
        f"{layout.hand}-handed, revision {layout.revision}, units millimetres, scale 1:1: print at "
        "100 %, without fit to page",
        "saw and rout on the waste side of the line; punch the crosses; depths from the plain face",
        "dashed: parts to lay on; dots and dashes: centreline, scale line, end of the neck's heel; "
        "dotted: comes out here from the other face",
        "pages: fold the strips left and below away along the frame, lay each frame on its "
        "neighbour's dashed line so that the + meet, tape; fix it with tape or dry film, never wet "
        "glue, for wet paper grows",
        *(f"CAUTION. {CAUTIONS[one].brief}" for one in (Danger.TRIAL, Danger.ROUTER)),
    )
    return Heading(layout.name, facts)
