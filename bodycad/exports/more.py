"""The files of a build beside drawings, solids and reports, in one table.

Each row is a kind of paper or of data that needs neither the kernel nor a maker's answer: it says
from a layout which files it will write, and writes them from the report of the checks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from bodycad.checks.report import Report
from bodycad.layout.layout import Layout


@dataclass(frozen=True)
class Kind:
    """One kind of file. what: the step's name while it is written. names: the files that it writes
    of a layout, in its build's folder. write: writes exactly those into the folder, each read back
    where that can be; FileError for one that does not say what the layout says. slow: a build
    writes it in a copy of its process, beside the others."""

    what: str
    names: Callable[[Layout], tuple[str, ...]]
    write: Callable[[Report, Path], None]
    slow: bool = False


def kinds() -> tuple[Kind, ...]:
    """Every kind, in the order in which they are written. What it needs is loaded here."""
    from bodycad.exports import parts_list, programs, router_templates
    from bodycad.exports.cutting import page
    from bodycad.exports.drilling import schedule
    from bodycad.exports.pdf import paper

    return (
        Kind("full-size paper", paper.names, paper.write_all),
        Kind("the cutting programs", programs.names, programs.write),
        Kind("the router templates", router_templates.names, router_templates.write),
        Kind("the drilling schedule", schedule.names, schedule.write),
        Kind("the cut order", page.names, page.write, slow=True),
        Kind("the list of parts", parts_list.names, parts_list.write),
    )
