"""The measuring sheet: what to read off the real parts, with sketches, and where to write it."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from bodycad.checks.report import Report
from bodycad.errors import FileError
from bodycad.exports.bench_page import Section, bench_page, fill_in, pictures, tick
from bodycad.exports.report.tables import cell, full, quiet, row, table, tag
from bodycad.exports.svg import escape

TITLE = "measuring sheet"
BRIEF = (
    "Measure the real parts with calipers and write the figures here, then into {table}: by hand, "
    "or with bodycad enter {script} NAME=VALUE. Grey figures are what the script has without it."
)
RULE, ROD, CENTRE = "rule", "depth rod", "centre to centre"
WITH = (
    (r"_deg$", "angle gauge"),
    (r"\.aside|\.along$", "two threads and a rule"),
    (r"\.scale$", "tape or rule: nut to 12th fret, doubled"),
    (r"\.screws\.\d+\.v$", "centre to centre, from the middle line"),
    (r"corner|radius", "radius gauge"),
    (r"^Insert\.hole$", "as its maker says"),
    (r"^Ferrule\.hole$", "outside jaws"),
    (r"\.(window_|plate_front|plate_rear|front|rear|overhang|u$)", RULE),
    (r"\.(travel|adjust|pull|throw|gap|bow|plug|plug_room|grip_length)$", RULE),
    (r"^(Ring|NeckPlate|Ears)\.screw_length|screw_width|screw_rise|screw_span", CENTRE),
    (r"pitch|spacing|spread|\.pair|_pair|\.string_row|^SingleBridge\.end|\.holes$", CENTRE),
    (r"\.(saddle_|rod_depth|held|axis|rise|board_overlap|pole_height|lever_height)", ROD),
    (r"^NeckPlate\.head|^Ears\.height|^Insert\.depth", ROD),
    (r"^(\w*Pot|PushPull|Rotary|\w*Switch|\w*Toggle)\.depth", ROD),
    (r"\.string_hole$", "inside jaws"),
)
"""Which part of the calipers, or what else, by kind and name of a size."""
SEAL = "<!-- as written by bodycad: "
"""What the last line begins with: a digest of all before it follows, so that a sheet that somebody
wrote into is known from one that may be written anew."""
KEPT = "overflow-x: auto; break-inside: avoid"
"""Of a sketch: it stays on one sheet, and is pushed aside where the page is narrow."""
CENTRES = (
    "Centre to centre: over the outsides of both, less half of each diameter. A hole's depth: with "
    "the rod. Read each size twice; write inches as fractions with in beside them."
)


@dataclass(frozen=True)
class Measure:
    """One size to measure: its name in the table, what it is, the value that it has now, in words,
    and its unit."""

    name: str
    field: str
    what: str
    now: str
    unit: str
    done: bool


@dataclass(frozen=True)
class Group:
    """What is measured on one part: its name in the table, its kind, a sketch in plain characters,
    ready drawings, and the sizes."""

    name: str
    kind: str
    sketch: str
    drawings: tuple[str, ...]
    rows: tuple[Measure, ...]


def jaws(kind: str, field: str) -> str:
    """What a size of a kind of part is measured with."""
    name = f"{kind}.{field}"
    return next((what for form, what in WITH if re.search(form, name)), "outside jaws")


def sheet_text(
    report: Report, groups: Sequence[Group], first: Sequence[tuple[str, str]], table_: str, by: str
) -> str:
    """The whole page, sealed. first: names with what hangs on each, the least room for error first;
    table_ and by: names of the table and of the script. Raises FileError where a size is not on
    it."""
    sections = [_first(first)] if first else []
    sections += [
        Section(f"part-{k}", f"{one.name}: {one.kind}" if one.kind else one.name, _group(one))
        for k, one in enumerate(groups, 1)
    ]
    brief = BRIEF.format(table=table_, script=by)
    text = bench_page(report, TITLE, f"{brief} {CENTRES}", sections)
    for one in (size for group in groups for size in group.rows):
        if tag("code", escape(one.name)) not in text:
            raise FileError(f"the {TITLE} does not name {one.name}")
    return text + _seal(text.encode())


def as_written(data: bytes) -> bool:
    """Whether a file is a measuring sheet that nobody has changed since it was written: its last
    line is the seal of all before it."""
    text, mark, _ = data.rpartition(SEAL.encode())
    return bool(mark) and data == text + _seal(text).encode()


def _seal(text: bytes) -> str:
    return f"{SEAL}{hashlib.sha256(text).hexdigest()} -->\n"


def _first(first: Sequence[tuple[str, str]]) -> Section:
    rows = (row(full(name), full(words), cell(tick(name), class_="done")) for name, words in first)
    content = (
        quiet("The least room for error first: from so far off on, something fails."),
        table(("Size", "What hangs on it", "Done"), rows),
    )
    return Section("first", "Measure these first", content)


def _group(one: Group) -> tuple[str, ...]:
    sketch = tag("pre", escape(one.sketch), class_="sketch", style=KEPT) if one.sketch else ""
    times = Counter(r.what for r in one.rows)
    shared = tuple(quiet(_shared(one, words)) for words, n in times.items() if words and n > 1)
    head = ("Size", "With", "Usual #", "Measured", "Give or take")
    rows = (
        row(
            cell(tag("code", escape(r.name)), "" if times[r.what] > 1 else _what(r), class_="full"),
            cell(escape(jaws(one.kind, r.field))),
            cell(tag("span", escape(r.now), class_="quiet"), class_="n", data_label="now"),
            cell(_box(r), data_label="measured"),
            cell(fill_in(), data_label="give or take"),
        )
        for r in one.rows
    )
    return pictures(*one.drawings) if one.drawings else "", sketch, *shared, table(head, rows)


def _box(one: Measure) -> str:
    """Where the figure is written: one box for mm, one for inches; what is done is ticked off."""
    if one.done:
        return escape("in the table")
    return fill_in("mm") + " " + fill_in("in") if one.unit == "mm" else fill_in(one.unit)


def _shared(one: Group, words: str) -> str:
    """What several sizes are, with their names."""
    names = ", ".join(r.field for r in one.rows if r.what == words)
    plain = words.replace("`", "")
    said = all(name in plain for name in names.split(", ")) or plain.startswith("see ")
    return plain if said else f"{names}: {plain}"


def _what(one: Measure) -> str:
    words = one.what.replace("`", "")
    return tag("div", tag("small", escape(words))) if words else ""
