"""The text of a table of measured sizes: its rows read, and one value entered.

CSV, with a head of `name,value,unit,tolerance,note` in any order (commas, semicolons or tabs
between), one row a dimension; a row `design` names the design, rows that begin with # are comments.
TOML, one line a dimension: `"neck.heel.length" = { value = 64.0, unit = "mm", tolerance = 0.05 }`,
and `design = "wren"`. A row without a value is a line of the form that is not yet filled in.
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bodycad.errors import InputError
from bodycad.units import MM_PER_INCH, inch

COLUMNS = ("name", "value", "unit", "tolerance", "note")
NEEDED = COLUMNS[:3]
DESIGN = "design"
MOST_BYTES, MOST_ROWS = 1_000_000, 5000
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*(\.[A-Za-z0-9_-]+)*")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_TOML_NUMBER = re.compile(r"[+-]?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?")
_INCH = 'a number, or inches as a fraction such as "2 3/16"'


@dataclass(frozen=True)
class Row:
    """One dimension of a table: its name, the line it stands on, its value in `unit` (None: not
    filled in), and its tolerance in the same unit (None: not said)."""

    name: str
    line: int
    value: float | None
    unit: str
    tolerance: float | None = None

    def in_unit(self, unit: str) -> tuple[float, float | None] | None:
        """Value and tolerance in `unit`; None where the row's own unit is of another kind."""
        assert self.value is not None
        if self.unit == unit:
            return self.value, self.tolerance
        if (self.unit, unit) != ("in", "mm"):
            return None
        spread = None if self.tolerance is None else MM_PER_INCH * self.tolerance
        return MM_PER_INCH * self.value, spread


@dataclass(frozen=True)
class Rows:
    """A table as it was read: its file, the design that it is of, and its rows by name."""

    file: str
    design: str
    rows: Mapping[str, Row]

    def at(self, *lines: int) -> str:
        """Where rows stand: "wren-sizes.csv, line 7"."""
        several = "s" if len(lines) > 1 else ""
        return f"{self.file}, line{several} {', '.join(map(str, sorted(lines)))}"


def rows_of(file: str, text: bytes) -> Rows:
    """The rows of a table. Raises InputError with file and line for whatever is wrong in it."""
    whole = _decoded(file, text)
    found: dict[str, Row] = {}
    design = ""
    for row, named in _toml(file, whole) if _is_toml(file) else _csv(file, whole):
        if named:
            if design:
                remedy = "keep one of the two"
                raise _wrong(file, row.line, "the design", named, "named once", remedy)
            design = named
        elif row.name in found:
            first = found[row.name].line
            remedy = f"line {first} has it already: keep one of the two"
            raise _wrong(file, row.line, "the row", row.name, "each name once", remedy)
        else:
            found[row.name] = row
    if len(found) > MOST_ROWS:
        raise InputError(f"the table {file}", f"{len(found)} rows", f"at most {MOST_ROWS}")
    if not design:
        line = 'design = "NAME"' if _is_toml(file) else f"{DESIGN},NAME"
        remedy = f"add the line {line}, so that no other design's table is taken for it"
        raise InputError(f"the table {file}", "one that names no design", "one that does", remedy)
    return Rows(file, design, found)


def entered(
    file: str,
    text: bytes,
    name: str,
    value: str,
    unit: str,
    tolerance: str | None,
    order: Sequence[str],
) -> bytes:
    """The table's text with one row's value, unit and tolerance (None: as it is, in the new unit)
    set, all else as it was; a new row stands after the last of those that come before it in
    `order`."""
    whole = _decoded(file, text)
    lines, end = whole.splitlines(keepends=True), "\r\n" if "\r\n" in whole else "\n"
    known = rows_of(file, text).rows
    form = _toml_line if _is_toml(file) else _csv_line
    if name in known:
        if tolerance is None:
            tolerance = _kept(known[name], unit)
        at = known[name].line - 1
        old = lines[at].rstrip("\r\n")
        lines[at] = form(file, lines, old, name, value, unit, tolerance) + (
            lines[at][len(old) :] or end
        )
    else:
        before = [*order[: order.index(name)]] if name in order else [*order]
        after = [known[one].line for one in before if one in known]
        at = max(after, default=0) or len(lines)
        if lines and not lines[at - 1].endswith(("\n", "\r")):
            lines[at - 1] += end
        lines.insert(at, form(file, lines, "", name, value, unit, tolerance) + end)
    mark = b"\xef\xbb\xbf" if text.startswith(b"\xef\xbb\xbf") else b""
    return mark + "".join(lines).encode("utf-8")


def _kept(row: Row, unit: str) -> str | None:
    """A row's tolerance as text in another unit; None where it stays as it is written."""
    if row.tolerance is None or row.unit == unit:
        return None
    size = {"mm": 1.0, "in": MM_PER_INCH}
    both = row.unit in size and unit in size
    return f"{row.tolerance * size[row.unit] / size[unit]:.6g}" if both else ""


def form(design: str, groups: Sequence[tuple[str, Sequence[tuple[str, str, str]]]]) -> bytes:
    """An empty table of a design, as CSV: for each group its title, and name, unit and note of its
    rows."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write(COLUMNS)
    write((DESIGN, design, "", "", ""))
    for title, rows in groups:
        out.write(f"# {title}\n")
        for name, unit, note in rows:
            write((name, "", unit, "", note))
    return out.getvalue().encode()


def short(unit: str) -> str:
    """A unit as tables have it."""
    return "in" if unit in ('"', "inch", "inches") else unit


def number_in(thing: str, given: str, unit: str, place: str = "") -> float:
    """A value as a maker writes it: a number with point or comma, of inches a fraction too."""
    text = given.strip()
    plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    if _NUMBER.fullmatch(plain) and math.isfinite(float(plain)):
        return float(plain)
    if unit == "in":
        try:
            return (-1.0 if text[:1] == "-" else 1.0) * inch(text.lstrip("+-")) / MM_PER_INCH
        except InputError:
            raise InputError(thing, given, _INCH, place=place) from None
    raise InputError(thing, given, f"a number of {unit}", place=place)


def _is_toml(file: str) -> bool:
    return file.lower().endswith(".toml")


def _decoded(file: str, text: bytes) -> str:
    if len(text) > MOST_BYTES:
        size = f"{len(text)} bytes"
        raise InputError(f"the table {file}", size, f"at most {MOST_BYTES} bytes")
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"the table {file}", "not UTF-8", "text in UTF-8") from None


def _wrong(
    file: str, line: int, thing: str, value: object, allowed: str, remedy: str = ""
) -> InputError:
    return InputError(thing, value, allowed, remedy, f"{file}, line {line}")


def _csv(file: str, text: str) -> Iterator[tuple[Row, str]]:
    """Each row, and the design's name of the row that names it."""
    head: list[str] | None = None
    split = _delimiter(text)
    for line, one in enumerate(text.splitlines(), 1):
        cells = _cells(file, line, one, split)
        if not any(cells) or cells[0].startswith("#"):
            continue
        if head is None:
            head = [cell.lower() for cell in cells]
            strange = [cell for cell in head if cell and cell not in COLUMNS]
            if set(NEEDED) - set(head) or strange or len(set(head)) < len(head):
                allowed = f"a head of {split.join(COLUMNS)}"
                raise _wrong(file, line, "the table's head", one, allowed)
            continue
        if len(cells) > len(head):
            allowed = f"{len(head)} cells, as the head has"
            remedy = 'put quotes round a text that holds the separator, as in "2,5"'
            raise _wrong(file, line, "a row of the table", one, allowed, remedy)
        got = {**dict.fromkeys(COLUMNS, ""), **dict(zip(head, cells))}
        if got["name"] == DESIGN:
            if not got["value"]:
                allowed = "the design's name"
                raise _wrong(file, line, "the value of the row design", "", allowed)
            yield Row(DESIGN, line, None, ""), got["value"]
            continue
        yield _row(file, line, got["name"], got["value"], got["unit"], got["tolerance"]), ""
    if head is None:
        allowed = f"a head of {','.join(COLUMNS)} and a row for each size"
        raise InputError(f"the table {file}", "empty", allowed)


def _delimiter(text: str) -> str:
    """What stands between cells: told by the head, the first line that is no comment."""
    lines = (one for one in text.splitlines() if one.strip() and one.lstrip('" ')[:1] != "#")
    head = next(lines, "")
    return max(",;\t", key=head.count)


def _cells(file: str, line: int, one: str, split: str) -> list[str]:
    try:
        found = next(csv.reader([one], delimiter=split, strict=True), [])
    except csv.Error as error:
        raise _wrong(file, line, "a row of the table", one, f"one line of CSV ({error})") from None
    cells = [cell.strip() for cell in found]
    while cells and not cells[-1]:
        cells.pop()
    return cells or [""]


def _row(file: str, line: int, name: str, value: Any, unit: str, tolerance: Any) -> Row:
    if not _NAME.fullmatch(name):
        allowed = "a size's name such as neck.heel.width_mouth"
        raise _wrong(file, line, "the name of a row", name, allowed)
    place, value = f"{file}, line {line}", str(value).strip()
    if not value:
        return Row(name, line, None, unit)
    if not unit:
        remedy = "write mm or in beside every value"
        raise _wrong(file, line, f"the unit of {name}", "", "mm, in or degrees as deg", remedy)
    unit = short(unit)
    read = number_in(f"the value of {name}", value, unit, place)
    tolerance, spread = str(tolerance).strip().lstrip("±").strip(), None
    if tolerance:
        spread = number_in(f"the tolerance of {name}", tolerance, unit, place)
        if spread < 0.0:
            raise _wrong(file, line, f"the tolerance of {name}", tolerance, "0 or more")
    return Row(name, line, read, unit, spread)


def _toml(file: str, text: str) -> Iterator[tuple[Row, str]]:
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"the table {file}", str(error), "TOML") from None
    # Tables in tables without end, and a number of more digits than Python reads.
    except (RecursionError, ValueError) as error:
        raise InputError(f"the table {file}", str(error), "plain TOML") from None
    for key, value in tree.items():
        line = _toml_place(text, key)
        if key == DESIGN:
            if not isinstance(value, str) or not value:
                raise _wrong(file, line, "design", value, "the design's name in quotes")
            yield Row(DESIGN, line, None, ""), value
            continue
        if isinstance(value, dict) and set(value) - {*COLUMNS[1:]}:
            remedy = f'write "{key}..." = {{ value = 1.0, unit = "mm" }}, the name in quotes'
            allowed = "value, unit, tolerance and note"
            raise _wrong(file, line, f"what {key} holds", next(iter(value)), allowed, remedy)
        got = value if isinstance(value, dict) else {"value": value}
        given = (got.get(name, "") for name in COLUMNS[1:4])
        if not all(_plain(one) for one in given):
            raise _wrong(file, line, key, value, "value, unit and tolerance as numbers and text")
        texts = got.get("value", ""), str(got.get("unit", "")), got.get("tolerance", "")
        yield _row(file, line, key, *texts), ""


def _plain(value: object) -> bool:
    """Whether a value of TOML is text or a number, and no longer than a number is written."""
    if isinstance(value, int):
        return not isinstance(value, bool) and value.bit_length() <= 64
    return isinstance(value, (str, float))


def _toml_place(text: str, key: str) -> int:
    pattern = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=")
    lines = enumerate(text.splitlines(), 1)
    return next((line for line, one in lines if pattern.match(one)), 1)


def _toml_line(
    file: str,
    lines: Sequence[str],
    old: str,
    name: str,
    value: str,
    unit: str,
    tolerance: str | None,
) -> str:
    got: Mapping[str, Any] = {}
    comment = ""
    if old:
        try:
            held = tomllib.loads(old).get(name)
            got = held if isinstance(held, dict) else {}
        except tomllib.TOMLDecodeError:
            allowed = f'"{name}" = {{ value = 1.0, unit = "mm" }} on one line'
            raise InputError(f"the row {name} of {file}", old, allowed) from None
        found = re.search(r"\}\s*(#.*)$", old)
        comment = f"  {found[1]}" if found else ""
    note = str(got.get("note", ""))
    kept = str(got.get("tolerance", "")) if tolerance is None else tolerance
    items = [f"value = {_toml_number(value)}", f'unit = "{unit}"']
    items += [f"tolerance = {_toml_number(kept)}"] if kept else []
    items += [f'note = "{_quoted(note)}"'] if note else []
    return f'"{name}" = {{ {", ".join(items)} }}{comment}'


def _toml_number(text: str) -> str:
    """A number as TOML has it, or in quotes where TOML has none like it."""
    return text if _TOML_NUMBER.fullmatch(text) else f'"{_quoted(text)}"'


def _quoted(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')


def _csv_line(
    file: str,
    lines: Sequence[str],
    old: str,
    name: str,
    value: str,
    unit: str,
    tolerance: str | None,
) -> str:
    text = "".join(lines)
    split = _delimiter(text)
    heads = (_cells(file, 1, one, split) for one in text.splitlines())
    head = [cell.lower() for cell in next(c for c in heads if any(c) and c[0][:1] != "#")]
    cells = next(csv.reader([old], delimiter=split), []) if old else []
    cells = [*cells, *[""] * (len(head) - len(cells))]
    for column, cell in (("name", name), ("value", value), ("unit", unit)):
        cells[head.index(column)] = cell
    if tolerance is not None:
        if "tolerance" not in head:
            allowed = "a table with a column for it"
            raise InputError("the tolerance", tolerance, allowed, "add tolerance to its head")
        cells[head.index("tolerance")] = tolerance
    out = io.StringIO()
    csv.writer(out, delimiter=split, lineterminator="").writerow(cells)
    return out.getvalue()
