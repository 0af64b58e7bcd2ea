"""The command `bodycad measure`: the sheet of what to measure, and an empty table for it."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import MISSING
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodycad.cli import console
from bodycad.cli.design import script_arguments
from bodycad.errors import InputError

if TYPE_CHECKING:
    from bodycad.checks.report import Report
    from bodycad.design import Design
    from bodycad.exports.measuring import Group
    from bodycad.measuring.table import Asked

SHEET = "the measuring sheet"
FEW = 12
"""So many sizes are named as the first to measure."""


def add_measure(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "measure",
        allow_abbrev=False,
        help="write the measuring sheet of a design, and an empty table where it has none",
        description="Write NAME-measuring.html beside the script: what to measure on the real "
        "parts, with sketches, to print. Where the script's table of sizes is not there yet, write "
        "an empty one too. A sheet that was changed since it was written is not replaced.",
    )
    script_arguments(parser)
    parser.set_defaults(run=_measure)


def _measure(arguments: argparse.Namespace) -> int:
    from bodycad.script import load, make, read_settings

    script = load(arguments.design, missing=True)
    design = make(script, read_settings(script, arguments.settings))
    folder, name = Path(arguments.design).absolute().parent, f"{design.name}-measuring.html"
    _refuse_changed(folder / name)
    files = list[tuple[str, bytes, str]]()
    for parameter, table in script.named.items():
        if script.tables[parameter] is None:
            if not table.file.lower().endswith(".csv"):
                allowed = "a table that ends in .csv, or one that is there"
                raise InputError("the table of sizes", table.file, allowed)
            files.append((table.file, empty_table(design, table.file), "the table of sizes"))
    files.append((name, page(design, Path(arguments.design).name).encode(), SHEET))
    _refuse_changed(folder / name)
    for file, data, thing in files:
        _put(folder / file, data, thing)
    more = f"{name} and {files[0][0]} are written"
    lines = [more if len(files) > 1 else f"{name} is written"]
    if not script.named:
        lines.append(
            "This script reads no table yet: give design() a parameter, sizes: SizeTable = "
            f'SizeTable("{design.name}-sizes.csv"), and ask it: sizes.of("neck.heel", Heel(...)).'
        )
    console.write("\n".join(lines) + "\n")
    return 0


def _refuse_changed(path: Path) -> None:
    """Raise InputError where what stands there is no measuring sheet as it was written: it may hold
    what somebody measured."""
    from bodycad.exports.measuring import as_written

    try:
        known = not path.exists() or as_written(path.read_bytes())
    except OSError as error:
        raise InputError(SHEET, str(path), f"a file to write ({error.strerror})") from None
    if not known:
        allowed = "none, or one that nobody has changed since bodycad wrote it"
        remedy = "move it away or give it another name: what is written in it would be lost"
        raise InputError(SHEET, path.name, allowed, remedy)


def empty_table(design: Design, file: str) -> bytes:
    """The form that is filled in: every size that the script asks for, with what is usual."""
    from bodycad.measuring.rows import form

    return form(
        design.name,
        [
            (
                f"{name}: {kind}" if kind else name,
                [(one.name, one.unit, _usual(one)) for one in rows],
            )
            for name, kind, rows in _grouped(one for one in design.asked if one.file == file)
        ],
    )


def page(design: Design, script: str, ranked: bool = True) -> str:
    """The measuring sheet. ranked: with what to measure first, which takes some seconds. Raises
    FileError where it does not name what it should."""
    from bodycad.exports.measuring import sheet_text

    report = design.check()
    groups = list(_groups(design)) if design.asked else list(_of_layout(report))
    table = next((one.file for one in design.asked), f"{design.name}-sizes.csv")
    names = {row.name for group in groups for row in group.rows}
    first = _first(design, names) if ranked else []
    return sheet_text(report, groups, first, table, script)


def _first(design: Design, names: set[str]) -> list[tuple[str, str]]:
    from bodycad.chance.measure import measure_first

    found: list[tuple[str, str]] = []
    for one in measure_first(design.layout()):
        # The neck's sizes stand under the instrument; a shared part goes by a name of its own.
        paths = [f"{one.part}.{one.name}", *(f"{owner}.{name}" for owner, name in one.names)]
        shorter = [path.removeprefix("instrument.") for path in paths]
        name = next((path for path in (*paths, *shorter) if path in names), None)
        if name is not None and all(name != other for other, _ in found):
            what = f"off by {one.may_be_off:.2f} {one.unit}, {one.finding.code} fails"
            found.append((name, what))
    return found[:FEW]


def _grouped(asked: Iterable[Asked]) -> list[tuple[str, str, list[Asked]]]:
    """Sizes by what they belong to: the beginning of their names, and its class."""
    found: dict[tuple[str, str], list[Asked]] = {}
    for one in filter(_measurable, asked):
        whose = one.name.removesuffix(f".{one.field}") if one.of else one.name
        found.setdefault((whose, one.of), []).append(one)
    return [(name, kind, rows) for (name, kind), rows in found.items()]


SET = "Under", "Depth"
"""Kinds that are chosen at the bench, not read off a part."""


def _measurable(one: Asked) -> bool:
    """Whether a size is read off the real part: it plays a part, and its class leaves it open, or
    has what is usual; of what is sold, with a spread, for what has none is drilled or cut."""
    import bodycad
    from bodycad.cli.names import by_kind
    from bodycad.units import Size

    if one.idle:
        return False
    spec = getattr(getattr(bodycad, one.of, None), "__dataclass_fields__", {}).get(one.field)
    if one.of in SET or spec is None:
        return one.of not in SET
    if not isinstance(spec.default, Size):
        return spec.default is MISSING
    return spec.default.tolerance > 0.0 or one.of not in by_kind()["Parts"]


def _groups(design: Design) -> Iterator[Group]:
    from bodycad.exports.measuring import Group, Measure

    for name, kind, rows in _grouped(design.asked):
        sketch, told, drawings = _known(kind)
        yield Group(
            name,
            kind,
            sketch,
            drawings,
            tuple(
                Measure(
                    one.name,
                    one.field or one.name,
                    told.get(one.field.partition(".")[0], ""),
                    _now(one),
                    one.unit,
                    one.filled,
                )
                for one in rows
            ),
        )


def _of_layout(report: Report) -> Iterator[Group]:
    """The same of a design that reads no table: every size that is not yet measured."""
    from bodycad.exports.measuring import Group, Measure
    from bodycad.units import SPOT

    owners: dict[str, list[Measure]] = {}
    placed = report.layout.placed
    idle = tuple(f"{p.id}.{name}." for p in placed for name in getattr(p.part, "idle", ()))
    for one in report.dimensions:
        if one.origin != "measured" and not f"{one.part}.{one.name}.".startswith(idle):
            name = f"{one.part}.{one.name}".removeprefix("instrument.")
            spread = f" ± {one.tolerance:g}" if one.tolerance else ""
            now = f"{one.value:.5g}{spread}"
            whose, field = one.part.removeprefix("instrument."), one.name
            if field in SPOT:
                whose, *place = whose.rsplit(".", 2)
                field = ".".join((*place, field))
            owners.setdefault(whose, []).append(Measure(name, field, "", now, one.unit, False))
    parts = {p.id: type(p.part).__name__ for p in report.layout.placed}
    for whose, rows in owners.items():
        kind = parts.get(whose, "")
        sketch, told, drawings = _known(kind)
        own = tuple(
            Measure(r.name, r.field, told.get(r.field.partition(".")[0], ""), r.now, r.unit, r.done)
            for r in rows
        )
        yield Group(whose, kind, sketch, drawings, own)


def _known(kind: str) -> tuple[str, dict[str, str], tuple[str, ...]]:
    """The sketch of a kind of part, what its fields are, and its drawings to scale."""
    import bodycad
    from bodycad.cli.kinds import doc, kind_of_part, parted, rows_of
    from bodycad.cli.names import by_kind
    from bodycad.exports.parts_page import drawings

    if not kind or kind not in bodycad.NAMES:
        return "", {}, ()
    if kind in by_kind()["Parts"]:
        known = kind_of_part(kind)
        told = {row.name: row.what for row in known.rows}
        return known.sketch, told, tuple(drawings(known))
    thing = getattr(bodycad, kind)
    said = [doc(thing), *map(doc, thing.__mro__[1:-1])]
    sketch = next(filter(None, (parted(one)[0] for one in said)), "")
    return sketch, {row.name: row.what for row in rows_of(thing, said)}, ()


def _usual(one: Asked) -> str:
    if one.drawn is None:
        return ""
    spread = f" +-{one.tolerance:g}" if one.tolerance else ""
    return f"{'claimed' if one.origin == 'claimed' else 'usual'} {one.drawn:.5g}{spread}"


def _now(one: Asked) -> str:
    if one.filled and one.row is not None and one.row.value is not None:
        return f"{one.row.value:g} {one.row.unit}"
    if one.drawn is None:
        return ""
    return f"{one.drawn:.5g}" + (f" ± {one.tolerance:g}" if one.tolerance else "")


def _put(path: Path, data: bytes, thing: str) -> None:
    from bodycad.cli.whole import write_whole

    write_whole(path, data, thing)


def refuse_old(paths: Iterable[Path]) -> None:
    """Raise InputError where one of the files is there."""
    for path in paths:
        if path.exists() or path.is_symlink():
            remedy = "name another design, or move that file away"
            raise InputError("a file to write", str(path), "one that is not there yet", remedy)


def put_new(files: Sequence[tuple[Path, bytes]]) -> None:
    """Write files that are not there yet, all or none. Raises InputError where one is there."""
    refuse_old(path for path, _ in files)
    done: list[Path] = []
    try:
        for path, data in files:
            _put(path, data, "a file to write")
            done.append(path)
    except BaseException:
        for path in done:
            path.unlink(missing_ok=True)
        raise
