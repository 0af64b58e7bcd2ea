"""The command `bodycad build`."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from typing import Any

from bodycad.cli import console
from bodycad.cli.design import design_arguments, loaded, shown


def add_build(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "build",
        allow_abbrev=False,
        help="check, then write every file to DIR/<design>/",
        description="Check a design, then write drawings, solids and the report to "
        "DIR/<design>/, all or none. Files of your own there stay.",
    )
    design_arguments(parser)
    parser.add_argument("--out", metavar="DIR", default="out", help="where to write (default: out)")
    parser.add_argument(
        "--proof", action="store_true", help="let the kernel measure every gap again on solids"
    )
    parser.add_argument(
        "--simulate",
        action="store_true",
        help="run the cutting programs on a grid: what is left, what is gouged, and a picture",
    )
    parser.add_argument(
        "--paper",
        metavar="KIND",
        action="append",
        default=[],
        dest="papers",
        help="print full-size drawings on roll, a4, a3, letter or tabloid in place of the shop's "
        "papers; may be repeated",
    )
    parser.set_defaults(run=_build)


def _build(arguments: argparse.Namespace) -> int:
    from bodycad.design import build
    from bodycad.exports.files import refused
    from bodycad.words import Paper, word

    given = loaded(arguments)
    design = given.design
    if arguments.papers:
        papers = tuple(word(Paper, one, "--paper") for one in arguments.papers)
        design = replace(design, shop=replace(design.shop, papers=papers))
    report = build(
        design,
        arguments.out,
        tell=console.progress if given.progress else None,
        improve=given.improved,
        proof=arguments.proof,
        placing=arguments.placing,
        simulate=arguments.simulate,
    )
    console.clear(given.progress)
    where = f"{os.path.join(arguments.out, given.design.name)}{os.sep}"
    if refused(report):
        where = f"none; {where} is as it was, for the kernel refused what is named above"
    try:
        console.write(shown(report, arguments.json))
        if not arguments.json:
            console.write(f"\nFiles: {where}\n")
        elif refused(report):
            console.message(f"files: {where}")
    # The verdict stands, and so do the files: no more may be said than that it was not printed.
    except console.OutputError as error:
        console.message(f"{error}. Files: {where}")
    except KeyboardInterrupt as stop:
        stop.args = (f"files: {where}",)
        raise
    return report.exit_status
