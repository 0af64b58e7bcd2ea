"""Router templates as files: a bare DXF each, to be cut at size, and one PDF with all of them.

The DXF holds closed contours alone: the template's outline, its opening, its pin holes, the datum
cross and the check bar, as the side shows that lies up on the work. Texts stand in the PDF. The
kerf is left to whoever cuts it: the line is the edge of the finished template.
"""

from __future__ import annotations

from pathlib import Path

from bodycad.checks.report import Report
from bodycad.exports.router_pages import write_pages
from bodycad.layout.layout import Layout
from bodycad.making.templates import RouterTemplate, templates


def names(layout: Layout) -> tuple[str, ...]:
    """The files of the templates that there are; none where nothing is routed."""
    found = all_templates(layout)
    drawn = tuple(_name(layout, one) for one in found if one.sheet is not None)
    return (*drawn, pages_name(layout)) if found else ()


def write(report: Report, folder: Path) -> None:
    """Write and read back each file."""
    from bodycad.exports.dxf import document, lint

    layout = report.layout
    found = all_templates(layout)
    for one in found:
        if one.sheet is not None:
            path = folder / _name(layout, one)
            document.write(one.sheet, one.face, path)
            lint.verify(path, one.sheet, one.face, 0.0)
    if found:
        write_pages(layout, found, folder / pages_name(layout))


def all_templates(layout: Layout) -> tuple[RouterTemplate, ...]:
    """Every template of a layout, worked out once."""
    if "router templates" not in layout.memo:
        layout.memo["router templates"] = templates(layout)
    found: tuple[RouterTemplate, ...] = layout.memo["router templates"]
    return found


def pages_name(layout: Layout) -> str:
    """The PDF of all templates."""
    return f"{layout.name}-router-templates.pdf"


def _name(layout: Layout, one: RouterTemplate) -> str:
    return f"{layout.name}-router-{one.id}.dxf"
