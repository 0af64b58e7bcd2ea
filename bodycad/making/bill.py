"""What has to be bought, or be on hand, to build a design: rows of a list, each thing once.

Each thing is counted from one record. Screws and inserts come from `Screw`; springs, and the screws
that carry what hangs from a sheet, from `Sprung`; the neck and the strings from the instrument;
wires from the links and the ground ways; boards, binding and glue from blanks, skins and joints;
sheets from their workpieces; all else from `Hardware`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from bodycad.layout.layout import Layout
from bodycad.making.hardware import hardware
from bodycad.making.materials import materials
from bodycad.making.row import GROUPS, Row
from bodycad.making.screws import screws
from bodycad.making.toolbox import Tool, tools


@dataclass(frozen=True)
class Bill:
    """The rows in the order of `GROUPS`; the tools; and the parts of which nothing is bought, for
    they are only cut."""

    rows: tuple[Row, ...]
    tools: tuple[Tool, ...]
    only_cut: tuple[str, ...]


def bill(layout: Layout) -> Bill:
    """All that has to be bought for a layout."""
    rows = merged((*hardware(layout), *screws(layout), *materials(layout)))
    named = {part for row in rows for part in row.parts}
    bare = tuple(one.id for one in layout.placed if one.id not in named)
    return Bill(rows, tools(layout), bare)


def merged(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Rows with like things made one row of as many, in the order of `GROUPS` and, within a group,
    as they came."""
    found: dict[tuple[object, ...], Row] = {}
    for row in rows:
        old = found.get(row.key)
        if old is not None:
            parts = tuple(dict.fromkeys((*old.parts, *row.parts)))
            count, uses = old.count + row.count, (*old.uses, *row.uses)
            row = replace(old, count=count, parts=parts, uses=uses)
        found[row.key] = row
    return tuple(sorted(found.values(), key=lambda row: GROUPS.index(row.group)))
