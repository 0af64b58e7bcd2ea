"""The command `bodycad route`: ways for wires that a drill on hand can make."""

from __future__ import annotations

import argparse
from typing import Any

from bodycad.cli import console
from bodycad.cli.design import script_arguments


def add_route(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "route",
        allow_abbrev=False,
        help="where the missing ways for wires and grounds can be drilled",
        description="Propose straight holes for every link and every ground that has no way yet, "
        "with the most wood left, as lines of script to paste; and list the wires. Exit status 1: "
        "some end cannot be reached by any drill on hand, and why.",
    )
    script_arguments(parser)
    parser.add_argument(
        "--afresh",
        action="store_true",
        help="as if the design had no drilled ways of its own",
    )
    parser.add_argument(
        "--json", action="store_true", help="print one JSON document and nothing else"
    )
    parser.set_defaults(run=_route)


def _route(arguments: argparse.Namespace) -> int:
    from bodycad.exports.route_text import json_text, text
    from bodycad.routing.route import routed
    from bodycad.script import load_design

    layout = load_design(arguments.design, arguments.settings).layout()
    found = routed(layout, afresh=arguments.afresh)
    console.write(json_text(found) if arguments.json else text(found))
    return found.exit_status
