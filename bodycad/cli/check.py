"""The command `bodycad check`."""

from __future__ import annotations

import argparse
from typing import Any

from bodycad.cli import console
from bodycad.cli.design import design_arguments, loaded, shown


def add_check(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "check",
        allow_abbrev=False,
        help="lay out and check, tightest first; no solid model",
        description="Lay out a design and check it. Prints the verdict and the findings, "
        "tightest first; then what cures them (with --json all at once).",
    )
    design_arguments(parser)
    parser.add_argument(
        "--chance",
        metavar="N",
        nargs="?",
        const="100000",
        help="draw N bodies (100000) within the shop's and the "
        "parts' tolerances: the chance of each finding and of the whole, and what to tighten and "
        "to measure first",
    )
    parser.add_argument(
        "--watch-list",
        action="store_true",
        help="also change every number of the design by a small step and list those that move no "
        "figure, first those that no check asks about, then the others with the reason; the exit "
        "status stays the verdict's (takes a minute or two)",
    )
    parser.set_defaults(run=_check)


def _check(arguments: argparse.Namespace) -> int:
    if arguments.chance is not None:
        from bodycad.chance.chance import bodies_of

        bodies_of(arguments.chance)  # a bad number is said before any work
    given = loaded(arguments)
    report = given.design.check()
    if arguments.chance is not None:
        from bodycad.chance.measure import with_chances

        report = with_chances(report, arguments.chance)
    if arguments.watch_list:
        from dataclasses import replace

        from bodycad.unwatched import unwatched

        found = unwatched(given.design, console.progress if given.progress else None)
        report = replace(report, unwatched=found)
    console.clear(given.progress)
    if arguments.json:
        console.write(shown(given.improved(report), as_json=True))
        return report.exit_status
    console.write(shown(report, as_json=False))
    told = given.cures(report)
    if told:
        from bodycad.cli.cures import cures_text

        console.write(cures_text(told, given.seconds))
    return report.exit_status
