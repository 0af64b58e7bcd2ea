"""The list of parts: all that a design needs bought, and the tools, as a page and as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path

from bodycad.checks.report import Report
from bodycad.errors import FileError, harmless
from bodycad.exports import bench_page as page
from bodycad.exports.bench_page import Section
from bodycad.exports.cautions import of_list
from bodycad.exports.report.tables import cell, full, number, quiet, row, table, tag
from bodycad.exports.svg import escape
from bodycad.layout.layout import Layout
from bodycad.making.bill import Bill, bill
from bodycad.making.row import GROUPS, Group, Row, inches, named
from bodycad.making.toolbox import GUIDE, Tool

TITLE = "parts to buy and tools"
HEADS = (
    *("group", "item", "quantity", "unit", "sizes_mm", "inches", "for", "sizes_from", "note"),
    *("unit_price", "price"),
)
TOTAL = "total"
FORMULA = "=+-@\t\r"
"""A cell that begins with one of these is a formula to a spreadsheet: it gets an apostrophe."""
WIDE = "min-width: 11em"
"""A column of names is never so narrow that it breaks within words."""
BRIEF = (
    "Everything to buy or to have on hand, each thing once; the last columns are for prices. Buy "
    "the hardware first, measure it, and tell the script: what is cut follows it."
)
FROM = (
    "Sizes are measured off the part, claimed by its vendor or the script, default (common "
    "practice: measure the part before you cut for it), or drawn (the design's own, as cut)."
)
NOTES = {
    Group.HARDWARE: "Screws, inserts and springs are in the next list, what comes with a part too.",
    Group.SCREWS: "Counted hole by hole. Many come with their part: count those off.",
    Group.WIRE: "What joins controls that share a ground in one cavity comes on top.",
    Group.WOOD: "Sizes are those to buy: with wood to plane, joint and trim off.",
}


def names(layout: Layout) -> tuple[str, ...]:
    """The files of the list, of a layout's build."""
    return f"{layout.name}-parts.csv", f"{layout.name}-parts.html"


def write(report: Report, folder: Path) -> None:
    """Write the list twice, each read back."""
    made, (plain, shown) = bill(report.layout), names(report.layout)
    text = csv_text(made, report.layout)
    (folder / plain).write_text(text, encoding="utf-8", newline="")
    verify(folder / plain, made)
    wanted = [*(one.what for one in made.rows), *(one.what for one in made.tools)]
    page.verified(folder / shown, html_text(report, made), wanted)


def rows_of(made: Bill) -> Iterator[tuple[str, ...]]:
    """The table's rows as text, in the order of HEADS, with the columns for prices left empty."""
    for one in made.rows:
        yield (
            one.group.value,
            one.what,
            f"{one.count:g}",
            one.unit,
            _sizes(one),
            one.inches,
            " ".join(one.serves),
            one.origin,
            one.note,
            "",
            "",
        )
    for tool in made.tools:
        held = {True: "on hand", False: "not on hand", None: ""}[tool.on_hand]
        held = "on hand, too short" if tool.on_hand and tool.lacking else held
        yield (
            f"tool, {tool.kind}" if tool.kind != "by hand" else "tool",
            tool.what,
            "1",
            "",
            "; ".join(_depths(tool)),
            "" if tool.size is None else inches(tool.size),
            " ".join(named(tool.uses)),
            "",
            held,
            "",
            "",
        )


def csv_text(made: Bill, layout: Layout) -> str:
    """The list as comma-separated values (RFC 4180): a line that says of what, a line of heads, a
    line a thing, a total to fill in."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_plain(f"{page.identity(layout, TITLE)}, mm")])
    writer.writerow(HEADS)
    for one in rows_of(made):
        writer.writerow([_plain(text) for text in one])
    writer.writerow([TOTAL, *[""] * (len(HEADS) - 1)])
    return out.getvalue()


def verify(path: Path, made: Bill) -> None:
    """Read the table back. FileError where it does not say what the bill does, row by row."""
    with path.open(encoding="utf-8", newline="") as file:
        _, heads, *rows, total = csv.reader(file)
    due = [[_plain(text) for text in one] for one in rows_of(made)]
    if tuple(heads) != HEADS or total[0] != TOTAL:
        raise FileError(f"{path.name} has not the heads and the total of a list of parts")
    for k, (one, two) in enumerate(zip(rows, due)):
        if one != two:
            raise FileError(f"line {k + 3} of {path.name} says {one}, not {two}")
    if len(rows) != len(due):
        raise FileError(f"{path.name} has {len(rows)} rows of {len(due)}")


def html_text(report: Report, made: Bill) -> str:
    """The page."""
    found = [_section(made, group) for group in GROUPS if any(r.group is group for r in made.rows)]
    found += [_tools(made), *_only_cut(made), _total(made)]
    cautions = of_list(report.layout)
    return page.bench_page(report, TITLE, f"{BRIEF} {FROM}", found, cautions)


def _section(made: Bill, group: Group) -> Section:
    rows = [one for one in made.rows if one.group is group]
    inch, parts, kept = (any(get(one) for one in rows) for get in (_inch, _parts, _origin))
    heads = ["Got", "Quantity #", "What", *["Size, mm"] * kept]
    heads += ["Inches"] * inch + ["For"] * parts + ["Sizes"] * kept + ["Each #", "Price #"]
    lines = []
    for one in rows:
        cells = [page.ticked(one.what), number(_quantity(one), "quantity"), _what(one)]
        cells += [_labelled(_sizes(one), "mm")] if kept else []
        cells += [_labelled(one.inches, "inches")] if inch else []
        cells += [_labelled(", ".join(one.serves), "for")] if parts else []
        cells += [_labelled(one.origin, "sizes")] if kept else []
        lines.append(row(*cells, *_prices()))
    note = [quiet(NOTES[group])] if group in NOTES else []
    title = group.value[0].upper() + group.value[1:]
    return Section(
        group.name.lower(), title, (*note, table(heads, lines)), group.value.split(",")[0]
    )


def _tools(made: Bill) -> Section:
    heads = ["Got", "Tool", "mm #", "Inches", "Deepest #", "Reaches #", "For", "Shop"]
    lines = []
    for tool in made.tools:
        size = "" if tool.size is None else f"{tool.size:.2f}"
        inch = "" if tool.size is None else inches(tool.size)
        deep, reach = ("" if v is None else f"{v:.1f}" for v in (tool.deepest, tool.reach))
        held = {True: "on hand", False: "not on hand", None: ""}[tool.on_hand]
        held = "too short" if tool.on_hand and tool.lacking else held
        lines.append(
            row(
                page.ticked(tool.what),
                cell(escape(tool.what), class_="full", style=WIDE),
                number(size, "mm"),
                _labelled(inch, "inches"),
                number(deep, "deepest"),
                number(reach, "reaches"),
                _labelled(", ".join(named(tool.uses)), "for"),
                _labelled(held, "shop"),
                class_="fail" if tool.lacking else None,
            )
        )
    words = quiet(
        "Deepest is how far the tool must go below the face that it comes from, or a drill stand "
        "out of its chuck to pass wood beside its way, its point counted; reaches is what the shop "
        "says of it. What the shop lacks is marked. Bearing bits and bushes are for a router led "
        "by templates, straight cutters for the cutting programs."
    )
    lacking = [tool for tool in made.tools if tool.lacking]
    stop = [tag("p", escape(_lacks(lacking)), class_="danger")] if lacking else []
    return Section("tools", "Tools", (words, *stop, table(heads, lines)))


def _lacks(lacking: Sequence[Tool]) -> str:
    words = []
    for one in lacking:
        size = f" {one.size:.2f} mm" if one.size else ""
        short = f" that reaches {one.deepest:.1f} mm" if one.on_hand and one.deepest else ""
        words.append(f"{one.what}{size}{short}{', along a template' * (one.kind == GUIDE)}")
    return f"The shop lacks: {'; '.join(words)}."


def _only_cut(made: Bill) -> Iterator[Section]:
    if made.only_cut:
        words = f"Of these nothing is bought, for they are only cut: {', '.join(made.only_cut)}."
        yield Section("cut", "Nothing to buy", (quiet(words),))


def _total(made: Bill) -> Section:
    """A line a group and one for all, for the pen."""
    groups = [group.value for group in GROUPS if any(r.group is group for r in made.rows)]
    lines = [row(full(name), _price("price")) for name in (*groups, "tools")]
    whole = row(cell(tag("b", "Total"), class_="full"), _price("total"), class_="total")
    return Section("total", "Total", (table(["What", "Price #"], [*lines, whole]),))


def _what(one: Row) -> str:
    note = tag("span", escape(one.note), class_="quiet") if one.note else ""
    return cell(escape(one.what), "<br/>" if note else "", note, class_="full", style=WIDE)


def _labelled(text: str, label: str) -> str:
    return cell(escape(text), data_label=label if text else None)


def _prices() -> tuple[str, str]:
    return _price("each"), _price("price")


def _price(label: str) -> str:
    return cell(page.fill_in(), class_="n", data_label=label)


def _quantity(one: Row) -> str:
    return f"{one.count:g} {one.unit}".strip()


def _sizes(one: Row) -> str:
    return "; ".join(f"{word} {_number(value)}" for word, value in one.sizes)


def _number(value: float) -> str:
    places = 3 if value < 1.0 else 2 if value < 100.0 else 1
    return f"{float(value):.{places}f}".rstrip("0").rstrip(".")


def _depths(tool: Tool) -> Iterator[str]:
    for word, value in (("size", tool.size), ("deepest", tool.deepest), ("reach", tool.reach)):
        if value is not None:
            yield f"{word} {value:.2f}"


def _inch(one: Row) -> bool:
    return bool(one.inches)


def _parts(one: Row) -> bool:
    return bool(one.parts)


def _origin(one: Row) -> bool:
    return bool(one.sizes)


def _plain(text: str) -> str:
    text = harmless(text)
    return f"'{text}" if text[:1] and text[0] in FORMULA else text
