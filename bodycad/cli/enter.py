"""The command `bodycad enter`: what was measured goes into the design's table of sizes."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodycad.cli import console
from bodycad.cli.design import script_arguments, shown
from bodycad.errors import InputError, nearest, whole_names

if TYPE_CHECKING:
    from bodycad.measuring.table import Asked
    from bodycad.script import Script

HOW = "NAME=VALUE, such as neck.heel.length=64.2, =64.2+-0.1 or ='2 1/2 in'"
_SPREAD = re.compile(r"(.*?)(?:±|\+/?-)(.*)")
_UNIT = re.compile(r"(.*?)\s*(mm|in|inch|inches|deg|\")?\s*")


def add_enter(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "enter",
        allow_abbrev=False,
        help="enter measured sizes into the design's table, then check it",
        description="Write measured sizes into the table that the design reads, all or none: "
        "each is first held to what its field allows and laid out with. Then check the design.",
    )
    script_arguments(parser)
    parser.add_argument(
        "sizes", metavar="NAME=VALUE", nargs="+", help="mm, or inches: '2 3/16 in'; 64.2+-0.1"
    )
    parser.set_defaults(run=_enter)


def _enter(arguments: argparse.Namespace) -> int:
    from bodycad.cli.whole import write_whole
    from bodycad.script import load, make, read_settings

    script = load(arguments.design)
    values = read_settings(script, arguments.settings)
    if not script.named:
        remedy = 'give design() a parameter: sizes: SizeTable = SizeTable("NAME-sizes.csv")'
        raise InputError(
            "the design script", arguments.design, "one that reads a table of sizes", remedy
        )
    asked = {one.name: one for one in make(script, values).asked}
    given = _given(arguments.sizes, asked)
    (parameter, file), texts = _table(script, [asked[name] for name in given]), script.tables
    order = [one.name for one in asked.values() if one.file == file]
    before = text = texts[parameter] or b""
    for name, (value, unit, spread) in given.items():
        text = _entered(file, text, name, value, unit, spread, order)
    design = make(replace(script, tables={**texts, parameter: text}), values)
    report = design.check()
    now = {one.name: one for one in design.asked}
    path = Path(arguments.design).absolute().parent / file
    if text != before:
        write_whole(path, text, "the table of sizes", read=texts[parameter])
    lines = [f"{_told(asked[name])} -> {_told(now[name], named=False)}" for name in given]
    written = "is written" if text != before else "says so already"
    console.write("\n".join([*lines, f"{file} {written}.", "", shown(report, as_json=False)]))
    return report.exit_status


def _entered(
    file: str, text: bytes, name: str, value: str, unit: str, spread: str | None, order: list[str]
) -> bytes:
    """The text with one size entered; itself where it says so already."""
    from bodycad.measuring.rows import entered, rows_of

    made = entered(file, text, name, value, unit, spread, order)
    same = rows_of(file, text).rows.get(name), rows_of(file, made).rows[name]
    return text if same[0] == same[1] else made


def _given(texts: list[str], asked: Mapping[str, Asked]) -> dict[str, tuple[str, str, str | None]]:
    """Value, unit and tolerance by name. Raises InputError."""
    from bodycad.measuring.rows import number_in, short

    found: dict[str, tuple[str, str, str | None]] = {}
    for one in texts:
        name, equals, rest = one.partition("=")
        name = name.strip()
        if not equals or not name or not rest.strip():
            raise InputError("what to enter", one, HOW)
        if name not in asked:
            near = nearest(name, asked)
            known = f"a size that the script asks its table for: {whole_names(asked)}"
            allowed = f"{near} {known}" if near else known
            raise InputError("the name of a size", name, allowed)
        if name in found:
            raise InputError(f"the value of {name}", rest, "each name once", "keep one of the two")
        parted = _SPREAD.fullmatch(rest.strip())
        value, spread = (parted[1], parted[2]) if parted else (rest, None)
        texts_ = _UNIT.fullmatch(value.strip()), _UNIT.fullmatch((spread or "").strip())
        assert texts_[0] and texts_[1]
        units = {short(text[2]) for text in texts_ if text and text[2]} or {asked[name].unit}
        if len(units) > 1:
            allowed = "one unit for the size and its tolerance"
            raise InputError(f"the unit of {name}", " and ".join(sorted(units)), allowed)
        (unit,) = units
        value, spread = texts_[0][1].strip(), texts_[1][1].strip() if spread is not None else None
        number_in(f"the value of {name}", value, unit)
        if spread is not None:
            number_in(f"the tolerance of {name}", spread, unit)
        found[name] = (_plain(value), unit, None if spread is None else _plain(spread))
    return found


def _plain(text: str) -> str:
    """A number with a point, which every table can hold."""
    return text.replace(",", ".") if "." not in text else text


def _table(script: Script, asked: list[Asked]) -> tuple[str, str]:
    """The one table that those sizes are of: its parameter and its file."""
    files = list(dict.fromkeys(one.file for one in asked))
    if len(files) > 1:
        allowed = "sizes of one table at a time"
        raise InputError("what to enter", " and ".join(files), allowed, "enter each by itself")
    return next((name, table.file) for name, table in script.named.items() if table.file in files)


def _told(one: Asked, named: bool = True) -> str:
    """A size as it stands: the table's value, or what the script has without it."""
    if one.filled and one.row is not None:
        assert one.row.value is not None
        spread = f" ± {one.row.tolerance:g}" if one.row.tolerance is not None else ""
        said = f"{one.row.value:g}{spread} {one.row.unit}"
    elif one.drawn is None:
        said = "none"
    else:
        said = f"{one.drawn:g} {one.unit} ({one.origin})"
    return f"{one.name}: {said}" if named else said
