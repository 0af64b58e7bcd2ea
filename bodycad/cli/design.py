"""What the commands on a design share: their arguments, the loaded design, the printed report."""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bodycad.cli import console
from bodycad.errors import InputError

if TYPE_CHECKING:
    from bodycad.checks.report import Report
    from bodycad.cure.search import Told
    from bodycad.design import Design
    from bodycad.script import Script

CURES, MOST_CURES = 2.0, 3600.0
"""How long cures are looked for, and how long they may be (s)."""


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
    """DESIGN.py, --set, --cures, --no-cures and --json."""
    script_arguments(parser)
    parser.add_argument(
        "--cures",
        metavar="SECONDS",
        default=None,
        help="how long to look for the number of the script that cures each finding (2; 0: not at "
        "all)",
    )
    parser.add_argument(
        "--no-cures", action="store_const", const="0", dest="cures", help="the same as --cures 0"
    )
    parser.add_argument(
        "--json", action="store_true", help="print the report as one JSON document and nothing else"
    )


@dataclass(frozen=True, eq=False)
class Loaded:
    """A design with the script and the values it is from, how long to look for cures (s), and
    whether to show progress."""

    design: Design
    script: Script
    values: Mapping[str, Any]
    seconds: float
    progress: bool

    def cures(self, report: Report) -> tuple[Told, ...]:
        """What cures each finding that fails or warns, as far as the time allows."""
        if self.seconds <= 0.0 or report.verdict == "pass":
            return ()
        since = time.monotonic()
        from bodycad.cure.search import cures

        tell = console.progress if self.progress else None
        found = cures(report, self.script, self.values, self.seconds, tell, since=since)
        console.clear(self.progress)
        return found

    def improved(self, report: Report) -> Report:
        """The report with its cures."""
        told = self.cures(report)
        if not told:
            return report
        from bodycad.cure.search import with_cures

        return with_cures(report, told)


def loaded(arguments: argparse.Namespace) -> Loaded:
    """The design that a command speaks of."""
    from bodycad.script import load, make, read_settings

    seconds = _seconds(arguments.cures)
    script = load(arguments.design)
    values = read_settings(script, arguments.settings)
    progress = sys.stderr.isatty() and not arguments.json
    return Loaded(make(script, values), script, values, seconds, progress)


def _seconds(text: str | None) -> float:
    """How long to look for cures. Raises InputError for what is no time."""
    if text is None:
        return CURES
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not 0.0 <= found <= MOST_CURES:
        allowed = f"seconds, 0 (none) to {MOST_CURES:g}"
        raise InputError("--cures", text, allowed, f"leave it out for {CURES:g}")
    return found


def shown(report: Report, as_json: bool) -> str:
    """The report as the command prints it: one JSON document, or text."""
    if as_json:
        from bodycad.exports.report.json import json_text

        return json_text(report)
    from bodycad.exports.report.text import report_text

    return report_text(report, console.coloured(console.results()))
