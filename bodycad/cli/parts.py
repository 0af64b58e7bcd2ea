"""The command `bodycad parts`: the kinds of parts, their drawings and the sizes to measure."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from bodycad.cli import console
from bodycad.errors import BodycadError, InputError


def add_parts(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "parts",
        allow_abbrev=False,
        help="the kinds of parts, their sketches and the sizes to measure",
        description="List the kinds of parts with the sizes to measure; one with its sketch, its "
        "sizes, what it states and who asks; or draw all of them, each alone in a plain block, on "
        "one page.",
    )
    parser.add_argument("name", metavar="NAME", nargs="?", help="a kind, such as Humbucker")
    parser.add_argument(
        "--page", metavar="FILE", help="write the page of drawings, which names no other file"
    )
    parser.add_argument(
        "--json", action="store_true", help="print one JSON document and nothing else"
    )
    parser.set_defaults(run=_parts)


def _parts(arguments: argparse.Namespace) -> int:
    from bodycad.cli.kinds import kind_of_part, kinds
    from bodycad.exports.parts_page import json_text, list_text, one_text, page

    found = kinds() if arguments.name is None else (kind_of_part(arguments.name),)
    if arguments.page is not None:
        _write(arguments.page, page(found))
    if arguments.json:
        console.write(json_text(found))
    elif arguments.page is None:
        console.write(list_text(found) if arguments.name is None else one_text(found[0]))
    return 0


def _write(name: str, text: str) -> None:
    path = Path(name)
    if path.suffix.lower() not in (".html", ".htm"):
        raise InputError("the file of the page", name, "a name that ends in .html")
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise BodycadError(f"{name} could not be written ({error.strerror})") from error
