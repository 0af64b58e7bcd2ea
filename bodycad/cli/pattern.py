"""The command `bodycad pattern`: where the neck screws may stand, and how wide."""

from __future__ import annotations

import argparse
from typing import Any

from bodycad.cli import console
from bodycad.cli.design import script_arguments
from bodycad.errors import InputError


def add_pattern(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "pattern",
        allow_abbrev=False,
        help="where a neck screw may stand, and the widest pattern that holds every load",
        description="Search the heel for the most even, widest pattern of neck screws that passes "
        "every bolt check and holds every load of joint-load (the strings' pull, a push, a knock "
        "aside, a twist) with its reserve, and compare the present one. Exit status 1: no such "
        "pattern was found.",
    )
    script_arguments(parser)
    parser.add_argument(
        "--count", type=int, default=4, metavar="N", help="how many screws: 3, 4 or 5 (default: 4)"
    )
    parser.add_argument(
        "--screw",
        metavar="WOOD,LENGTH",
        action="append",
        dest="screws",
        help="a kind of screw to choose from, mm: wood left under its ferrule, length under its "
        "head; may be repeated "
        "(default: every wood of the present screws with every length of theirs)",
    )
    parser.add_argument(
        "--grid",
        type=float,
        default=0.5,
        metavar="MM",
        help="spacing of the places that are tried (default: 0.5)",
    )
    parser.add_argument(
        "--allow-warnings", action="store_true", help="keep to the failing limits only"
    )
    parser.add_argument("--neck", metavar="ID", help="which neck joint, where there are several")
    parser.add_argument(
        "--json", action="store_true", help="print one JSON document and nothing else"
    )
    parser.set_defaults(run=_pattern)


def _pattern(arguments: argparse.Namespace) -> int:
    from bodycad.exports.pattern_text import compare, json_text, text
    from bodycad.script import load_design

    options = None if arguments.screws is None else tuple(map(_screw, arguments.screws))
    layout = load_design(arguments.design, arguments.settings).layout()
    found = compare(
        layout,
        arguments.count,
        options=options,
        grid=arguments.grid,
        strict=not arguments.allow_warnings,
        neck=arguments.neck,
    )
    console.write(json_text(found) if arguments.json else text(found))
    return 0 if found.widest else 1


def _screw(given: str) -> tuple[float, float]:
    try:
        wood, length = map(float, given.split(","))
    except ValueError:
        raise InputError("--screw", given, "WOOD,LENGTH in mm, such as 16,35") from None
    return wood, length
