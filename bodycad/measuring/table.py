"""A table of measured sizes as a script asks it: what it puts in the place of defaults and claims.

A script names its table as a parameter of `design`; whoever loads the script reads the table once,
opens it for each run, and closes it after the run: a row that nothing asked for is refused then.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from pathlib import Path
from typing import Annotated, Any, TypeVar

from bodycad.declare import Pattern, between, declarations, declared
from bodycad.errors import InputError, nearest, whole_names
from bodycad.kinds.value import Kind, Number, Refused
from bodycad.measuring.rows import MOST_BYTES, Row, Rows, rows_of
from bodycad.units import (
    MM_PER_INCH,
    SPOT,
    Dimension,
    Size,
    dimension,
    dimensions,
    is_spot,
    measured,
)

T = TypeVar("T")
FileName = Annotated[
    str, Pattern(r"[^\x00-\x1f\ud800-\udfff]{1,200}\.(csv|toml)", "the path of a .csv or .toml")
]
SizeName = Annotated[
    str,
    Pattern(
        r"[A-Za-z][A-Za-z0-9_-]{0,59}(\.[A-Za-z0-9_-]{1,60}){0,8}",
        "letters, digits, _ and -, with dots between",
    ),
]
PLACE = Number(-3000.0, 3000.0)
"""Where a place in a part may lie from its datum, mm."""
End = Annotated[float, between(-1e4, 1e4)]


@dataclass(frozen=True)
class Asked:
    """A size that a script asks a table for. file: the table's; name: its row's; of: the class that
    it belongs to, "" for a lone number, and `field` its name there; drawn: the value without the
    table; origin: of that value; allowed: in words; row: what the table has, None where it has no
    such row; idle: whether it plays no part as the script has it."""

    file: str
    name: str
    of: str
    field: str
    drawn: float | None
    unit: str
    origin: str
    tolerance: float
    allowed: str
    row: Row | None
    idle: bool = False

    @property
    def filled(self) -> bool:
        """Whether the table has a value."""
        return self.row is not None and self.row.value is not None


@dataclass(frozen=True)
@declared("the table of sizes")
class SizeTable:
    """A table of measured sizes (CSV or TOML) beside the script, as a parameter of `design`:

        def design(sizes: SizeTable = SizeTable("wren-sizes.csv")) -> Design:
            heel = sizes.of("neck.heel", Heel(width_mouth=claimed(55.0)))

    The file's columns are name, value, unit (mm or in, fractions allowed), tolerance and note; its
    row `design` names the design. It is read once with the script. Each of its rows must be asked
    for; a row without a value leaves the size as the script has it."""

    file: FileName

    def of(self, name: str, thing: T) -> T:
        """`thing` with each of its sizes that the table has measured; the row of its field length
        is `name`.length. What belongs to it is named with further dots, items by their number."""
        raise self._shut()

    def value(self, name: str, given: float | None, low: float, high: float) -> Any:
        """The length in mm that the table has under this name, from `low` to `high`; `given` where
        it has none."""
        raise self._shut()

    def _shut(self) -> InputError:
        allowed = 'a parameter of design(): sizes: SizeTable = SizeTable("...")'
        remedy = "hand it on from there; load_design(path) opens it"
        return InputError("a table of sizes", f"{self.file}, which is not open", allowed, remedy)


NONE = Rows("", "", {})
"""No table: nothing is measured."""


@dataclass(frozen=True, eq=False)
class OpenTable(SizeTable):
    """A table for one run of a script: its rows, and what was asked so far."""

    rows: Rows = NONE
    asked: dict[str, Asked] = field(default_factory=dict)
    given: dict[int, Any] = field(default_factory=dict)

    def of(self, name: str, thing: T) -> T:
        _held_name(name)
        if not is_dataclass(thing) or isinstance(thing, type):
            allowed = "a part or another value with sizes, such as Heel()"
            raise InputError(f"what {name} is asked of", thing, allowed)
        found: T = self._with(name, thing, False)
        self.given[id(found)] = found
        return found

    def value(self, name: str, given: float | None, low: float, high: float) -> Any:
        _held_name(name)
        kind = Number(float(low), float(high))
        size = given if isinstance(given, Size) else None
        origin = size.origin if size else "default" if given is None else "claimed"
        spread = size.tolerance if size else 0.0
        drawn = None if given is None else float(given)
        one = Dimension(name, "", drawn or 0.0, "mm", origin, spread)
        read = self._read(name, one, kind, "", drawn)
        return given if read is None else read

    def close(self, design: str) -> None:
        """Refuse what was not asked for. Raises InputError with file and line."""
        rows = self.rows
        if rows.design and rows.design != design:
            thing, remedy = f"the design of the table {rows.file}", "name its own table"
            raise InputError(thing, rows.design, f"{design}, which asks for it", remedy)
        left = [row for name, row in rows.rows.items() if name not in self.asked]
        if left:
            first, known = left[0], sorted(self.asked)
            near = nearest(first.name, known)
            more = f"; {len(left) - 1} more rows are not either" if len(left) > 1 else ""
            allowed = f"a size that the script asks for{more}"
            listed = whole_names(known) or "none"
            remedy = f"{near} " if near else ""
            remedy += f"the script asks for {listed}"
            raise InputError("a row", first.name, allowed, remedy, rows.at(first.line))

    def _with(self, name: str, thing: Any, idle: bool) -> Any:
        changes: dict[str, Any] = {}
        lines: list[int] = []
        kinds = {one.name: one.kind for one in declarations(type(thing))}
        own = {one.name: one for one in dimensions(name, thing) if one.part == name}
        out = {spec.name for spec in fields(thing)} if idle else {*getattr(thing, "idle", ())}
        for spec in fields(thing):
            if not spec.metadata.get("size", True) or not spec.init:
                continue
            value, path = getattr(thing, spec.name), f"{name}.{spec.name}"
            if spec.name in own:
                one = own[spec.name]
                kind = kinds.get(spec.name)
                of, left = type(thing).__name__, spec.name in out
                read = self._read(path, one, kind, of, one.value, left)
                if read is not None:
                    changes[spec.name] = read
                    lines.append(self.rows.rows[path].line)
            elif is_dataclass(value) and not isinstance(value, type):
                for new in self._inner(path, value, spec.name in out):
                    changes[spec.name] = new
            elif isinstance(value, tuple):
                whose, left = type(thing).__name__, spec.name in out
                row = enumerate(value, 1)
                items = [self._item(path, k, item, whose, left) for k, item in row]
                if any(new is not old for new, old in zip(items, value)):
                    changes[spec.name] = tuple(items)
                    rows = self.rows.rows.items()
                    lines += [row.line for known, row in rows if known.startswith(f"{path}.")]
        if not changes:
            return thing
        try:
            return replace(thing, **changes)
        except InputError as error:
            if lines:
                error.at(self.rows.at(*lines))
            raise

    def _item(self, path: str, number: int, item: Any, whose: str, idle: bool) -> Any:
        """One item of a tuple, where the table changes it: what belongs to a thing, or a place in a
        part. path: of the tuple; whose: the class that it belongs to."""
        field_, path = path.rpartition(".")[2], f"{path}.{number}"
        if is_dataclass(item):
            return next(self._inner(path, item, idle), item)
        if not is_spot(item):
            return item
        read = []
        for axis, at in zip(SPOT, item, strict=True):
            one = dimension(path, f"{field_}.{number}.{axis}", at)
            found = self._read(f"{path}.{axis}", one, PLACE, whose, one.value, idle)
            read.append(at if found is None else found)
        return item if all(new is old for new, old in zip(read, item)) else tuple(read)

    def _inner(self, path: str, value: Any, idle: bool) -> Iterator[Any]:
        """What belongs to a thing, where the table changes it; what was asked for by a name of its
        own is not asked for again."""
        if id(value) in self.given:
            return
        new = self._with(path, value, idle)
        if new is not value:
            yield new

    def _read(
        self,
        name: str,
        one: Dimension,
        kind: Kind | None,
        of: str,
        drawn: float | None,
        idle: bool = False,
    ) -> Size | None:
        row = self.rows.rows.get(name)
        words = kind.words if kind is not None else ""
        before = self.asked.get(name)
        if before is None:
            self.asked[name] = Asked(
                self.file,
                name,
                of,
                one.name,
                drawn,
                one.unit,
                one.origin,
                one.tolerance,
                words,
                row,
                idle,
            )
        if row is None or row.value is None:
            return None
        place, thing = self.rows.at(row.line), f"the measured {name}"
        got = row.in_unit(one.unit)
        if got is None:
            allowed = "mm or in" if one.unit == "mm" else one.unit
            raise InputError(f"the unit of {name}", row.unit, allowed, place=place)
        value, spread = got
        if kind is not None:
            try:
                kind.read(value)
            except Refused as no:
                # The kind's own word on inches is for scripts; a table has its unit beside it.
                script = "inch(" in no.remedy
                remedy = _in_inches(row) if script else no.remedy or _other_unit(row, value, drawn)
                raise InputError(thing, value, no.allowed, remedy, place) from None
        hint = _other_unit(row, value, drawn)
        if hint and row.tolerance is None:
            raise InputError(thing, value, f"what is near {drawn:g}", hint + SURE, place)
        claim = one.claim
        if one.origin == "claimed" and drawn is not None:
            claim = drawn
        try:
            tolerance = {} if spread is None else {"tolerance": spread}
            return measured(value, claim=claim, **tolerance)
        except InputError as error:
            error.at(place)
            raise


def opened(table: SizeTable, text: bytes | None) -> OpenTable:
    """A table for one run of its script; None: there is none yet."""
    return OpenTable(table.file, NONE if text is None else rows_of(table.file, text))


def text_of(table: SizeTable, folder: Path, missing: bool = False) -> bytes | None:
    """The text of a table beside a script in `folder`; None for one that is not there, where it may
    be `missing`. Raises InputError."""
    path, thing = folder / table.file, "the table of sizes"
    try:
        if missing and not path.exists():
            return None
        if not path.is_file():
            there = "a folder" if path.is_dir() else f"{table.file}, which is not there"
            remedy = f"bodycad measure writes an empty form; looked for at {path.absolute()}"
            raise InputError(thing, there, "a file beside the script", remedy)
        if path.stat().st_size > MOST_BYTES:
            raise InputError(thing, f"{table.file}, too large", f"at most {MOST_BYTES} bytes")
        return path.read_bytes()
    except OSError as error:
        words = f"a file that can be read ({error.strerror})"
        raise InputError(thing, table.file, words) from error


@declared("a measured size")
def _held_name(name: SizeName) -> None:
    """Hold a size's name to its declaration."""


LEAST, MOST = 20.0, 32.0
"""A value this many times larger or smaller than the one in its place was read in the other unit:
25.4 times, of a part that is within a quarter of what is usual (common practice, no source)."""


def _in_inches(row: Row) -> str:
    """How a value that looks like inches is written in a table, or entered."""
    return f'lengths are mm: write "{row.value:g} in" for inches'


SURE = ", or give its tolerance if it is right"
"""How a maker stands by a value: who measured how far it may be off has read its unit."""


def _other_unit(row: Row, value: float, drawn: float | None) -> str:
    """What to do where a value looks like the other unit's."""
    if not drawn or not value or row.unit not in ("mm", "in"):
        return ""
    times = abs(drawn / value)
    if row.unit == "mm" and LEAST <= times <= MOST:
        return f"{value:g} in would be {value * MM_PER_INCH:.1f} mm: write in beside it"
    if row.unit == "in" and LEAST <= 1.0 / times <= MOST:
        return f"{value / MM_PER_INCH:g} mm is nearer: write mm beside it"
    return ""
