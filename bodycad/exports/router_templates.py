"""Router templates as files: a bare DXF each, to be cut at size, and one PDF with all of them.

The DXF holds closed contours alone: the template's outline, its opening, its pin holes, the datum
cross and the check bar, as the side shows that lies up on the work. Texts stand in the PDF. The
kerf is left to whoever cuts it: the line is the edge of the finished template.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from bodycad.checks.report import Report
from bodycad.errors import FileError
from bodycad.exports.router_pages import write_pages
from bodycad.geometry.plane.profile import flatten
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.fixtures import Fixture, fixtures
from bodycad.making.templates import RouterTemplate, templates
from bodycad.words import Face

OFF = 0.002
"""How far (mm) a template's line may be from where its cut wants it."""


def names(layout: Layout) -> tuple[str, ...]:
    """The files of the templates that there are; none where nothing is routed."""
    drawn = tuple(_name(layout, name) for name, _, _ in sheets(layout))
    return (*drawn, pages_name(layout)) if templates(layout) else ()


def write(report: Report, folder: Path) -> None:
    """Write and read back each file."""
    from bodycad.exports.dxf import document, lint

    layout = report.layout
    for one in templates(layout):
        prove(one)
    for name, sheet, face in sheets(layout):
        path = folder / _name(layout, name)
        document.write(sheet, face, path)
        lint.verify(path, sheet, face, 0.0)
    if found := templates(layout):
        write_pages(layout, found, all_fixtures(layout), folder / pages_name(layout))


def prove(one: RouterTemplate) -> None:
    """Raise FileError where a template's line does not run beside its cut at the distance that bush
    and cutter ask for, on the right side, wherever there is wood."""
    if one.sheet is None or one.guide is None:
        return
    holes = [v.shape.plan for v in one.sheet.voids if v.id == one.cuts[0]]
    line = one.sheet.skin.outline if one.outside else holes[0]
    due = -one.guide.off if one.outside else one.guide.off
    points = flatten(line, 0.05)
    wood = one.piece.skin.inset(points, one.guide.off) > one.guide.off
    away = one.plan.signed_distance(points)[wood | one.outside]
    worst = float(np.abs(away - due).max(initial=0.0))
    if not worst <= OFF:
        raise FileError(f"the template {one.id} is {worst:.4f} mm off the line of its cut")


def sheets(layout: Layout) -> Iterator[tuple[str, Workpiece, Face]]:
    """Every sheet to cut: its name, the sheet and the face that it is drawn from."""
    for one in templates(layout):
        if one.sheet is not None:
            yield one.id, one.sheet, one.face
    for fixture in all_fixtures(layout):
        yield fixture.id, fixture.piece, Face.FRONT


def all_fixtures(layout: Layout) -> tuple[Fixture, ...]:
    """Every fixture of a layout, under ids that no template has."""
    taken = {one.id.casefold() for one in templates(layout)}
    return tuple(
        replace(one, id=f"fixture-{one.id}") if one.id.casefold() in taken else one
        for one in fixtures(layout)
    )


def pages_name(layout: Layout) -> str:
    """The PDF of all templates."""
    return f"{layout.name}-router-templates.pdf"


def _name(layout: Layout, name: str) -> str:
    return f"{layout.name}-router-{name}.dxf"
