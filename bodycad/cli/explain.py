"""The command `bodycad explain`: the page of a check, or of a public name of the package."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from enum import StrEnum
from typing import TYPE_CHECKING, Any

import bodycad
from bodycad.cli import console
from bodycad.errors import InputError
from bodycad.examples import EXAMPLES

if TYPE_CHECKING:
    import inspect


def add_explain(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "explain",
        allow_abbrev=False,
        help="the page of a check, or of a name that scripts use",
        description="Print what a check asks, why, its limits and the usual cures; or what a part "
        "or another name of a script is and takes; without a name, the lists of both.",
    )
    parser.add_argument(
        "check", metavar="NAME", nargs="?", help="a check or a part, such as floor or Humbucker"
    )
    parser.set_defaults(run=_explain)


def _explain(arguments: argparse.Namespace) -> int:
    from bodycad.checks.table import MANUAL
    from bodycad.exports.report.text import check_list, check_page

    if arguments.check is None:
        from bodycad.cli.names import names_text

        console.write(check_list(MANUAL) + names_text())
        return 0
    # A finding's code begins with its check.
    name = arguments.check.partition(".")[0]
    found = next((check for check in MANUAL if check.name == name), None)
    if found is None:
        from bodycad.errors import nearest

        if arguments.check in bodycad.NAMES:
            console.write(name_page(arguments.check))
            return 0
        names = [check.name for check in MANUAL]
        near = nearest(arguments.check, (*names, *bodycad.NAMES), most=3)
        raise InputError(
            "what to explain",
            arguments.check,
            "a check such as floor, or a name of scripts such as Humbucker",
            near or "bodycad explain lists them all",
        )
    console.write(check_page(found))
    return 0


def name_page(name: str) -> str:
    """The docstring of a public name, then its arguments: default, tolerance, and what is
    allowed."""
    import inspect

    from bodycad.declare import declarations

    thing = getattr(bodycad, name)
    lines = [name, "", inspect.getdoc(thing) or ""]
    if isinstance(thing, type) and issubclass(thing, StrEnum):
        lines += ["", f"One of: {', '.join(thing)}"]
    elif callable(thing):
        kinds = {one.name: one.kind.words for one in declarations(thing)}
        rows = [_row(one, kinds) for one in inspect.signature(thing).parameters.values()]
        wide, most = (max((len(row[k]) for row in rows), default=0) for k in (0, 1))
        lines += ["", "Takes:"]
        lines += [f"  {name:<{wide}}  {now:<{most}}  {kind}".rstrip() for name, now, kind in rows]
    if name in EXAMPLES:
        lines += [
            "",
            "For example:",
            *(f"  {line}" for line in EXAMPLES[name].rstrip().split("\n")),
        ]
    return "\n".join(lines) + "\n"


def _row(one: inspect.Parameter, kinds: Mapping[str, str]) -> tuple[str, str, str]:
    now = "must be given" if one.default is one.empty else _shown(one.default)
    return one.name, now, kinds.get(one.name, "")


def _shown(value: Any) -> str:
    from bodycad.units import Size

    if isinstance(value, Size):
        spread = f", give or take {value.tolerance:g}" if value.tolerance else ""
        return f"{float(value):g}{spread}"
    text = repr(value)
    if isinstance(value, tuple) and len(text) > 60:
        return f"{len(value)} of them"
    kind = type(value).__name__
    return text if len(text) <= 60 else f"{kind}(...), see explain {kind}"
