"""The files of the drilling schedule."""

from __future__ import annotations

from pathlib import Path

from bodycad.checks.report import Report
from bodycad.exports.drilling.page import write_page
from bodycad.exports.drilling.table import write_csv
from bodycad.layout.layout import Layout


def names(layout: Layout) -> tuple[str, ...]:
    """<design>-drilling.csv and .html."""
    return f"{layout.name}-drilling.csv", f"{layout.name}-drilling.html"


def write(report: Report, folder: Path) -> None:
    """Write both, each read back; FileError where one does not say what the layout drills."""
    table, page = names(report.layout)
    write_csv(report.layout, folder / table)
    write_page(report, folder / page)
