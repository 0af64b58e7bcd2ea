"""What the commands on a design share: their arguments, the loaded design, the printed report."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from bodycad.cli import console

if TYPE_CHECKING:
    from bodycad.checks.report import Report
    from bodycad.design import Design


def script_arguments(parser: argparse.ArgumentParser) -> None:
    """DESIGN.py and --set."""
    parser.add_argument(
        "design", metavar="DESIGN.py", help="a Python file that defines design(...) -> Design"
    )
    parser.add_argument(
        "--set",
        metavar="NAME=VALUE",
        action="append",
        default=[],
        dest="settings",
        help="another value for a parameter of design(); may be repeated",
    )


def design_arguments(parser: argparse.ArgumentParser) -> None:
    """DESIGN.py, --set, --no-cures and --json."""
    script_arguments(parser)
    parser.add_argument(
        "--no-cures",
        action="store_true",
        help="do not look for the parameter that cures a finding (faster)",
    )
    parser.add_argument(
        "--json", action="store_true", help="print the report as one JSON document and nothing else"
    )


def loaded(arguments: argparse.Namespace) -> tuple[Design, Callable[[Report], Report], bool]:
    """The design, what works out the cures of its report, and whether to show progress."""
    from bodycad.script import load, make, read_settings

    script = load(arguments.design)
    values = read_settings(script, arguments.settings)
    design, progress = make(script, values), sys.stderr.isatty() and not arguments.json

    def improve(report: Report) -> Report:
        if arguments.no_cures or report.verdict == "pass":
            return report
        from bodycad.cure.search import with_cures

        return with_cures(report, script, values, console.progress if progress else None)

    return design, improve, progress


def shown(report: Report, as_json: bool) -> str:
    """The report as the command prints it: one JSON document, or text."""
    if as_json:
        from bodycad.exports.report.json import json_text

        return json_text(report)
    from bodycad.exports.report.text import report_text

    return report_text(report, console.coloured(sys.stdout))
