"""The report's tables as HTML: findings with margin bars, sizes, cuts. Every text is escaped
here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from html import escape

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.exports.marks import Mark
from bodycad.exports.plan import contour_extent
from bodycad.exports.report.text import SHOWN, figure, spare
from bodycad.exports.sheet import depth_of
from bodycad.exports.svg import element, num
from bodycad.layout.entry import entry
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import Dimension
from bodycad.words import Face

ZERO = 30.0
"""Where a margin bar has its zero, percent from the left."""
FULL = 5.0
"""A bar is full when the margin is this many times the gap between the failing and the warning
limit."""


def tag(name: str, *content: str, **attributes: object) -> str:
    """An element round ready HTML."""
    return element(name, "".join(content), **attributes)


def cell(*content: str, **attributes: object) -> str:
    """A table cell."""
    return tag("td", *content, **attributes)


def table(heads: Sequence[tuple[str, str]], rows: Iterable[str], frame: str = "sheet") -> str:
    """A table with (heading, class) columns in its frame."""
    head = "".join(
        tag("th", escape(text), class_=style_ or None, scope="col") for text, style_ in heads
    )
    return tag(
        "div",
        tag("table", tag("thead", tag("tr", head)), tag("tbody", *rows), class_="stack"),
        class_=frame,
    )


def meter(finding: Finding) -> str:
    """The margin as a bar: a dark line where the limit is, a light one where the warning ends."""
    margin, limit = finding.margin, finding.limit
    if margin is None or limit is None or not math.isfinite(margin):
        return ""
    gap = abs((finding.warn if finding.warn is not None else limit) - limit)
    unit = gap if gap > 1e-9 else 1.0
    length = max(-ZERO, min(100.0 - ZERO, margin / (FULL * unit) * (100.0 - ZERO)))
    left, width = (ZERO + length, -length) if length < 0.0 else (ZERO, length)
    width = max(width, 1.0)
    inner = tag("i", style=f"left:{num(left)}%;width:{num(width)}%") + tag(
        "u", style=f"left:{num(ZERO)}%"
    )
    if gap > 1e-9:
        inner += tag("s", style=f"left:{num(ZERO + (100.0 - ZERO) / FULL)}%")
    return tag("span", inner, class_="meter")


def marked_table(marks: Sequence[Mark]) -> str:
    """What fails and warns: number (a link to its marker where there is one), what is wrong, cure,
    figures."""
    heads = (
        ("No.", ""),
        ("Check", ""),
        ("What", ""),
        ("Figure", "n"),
        ("Limit", "n"),
        ("To spare", ""),
    )
    return table(heads, map(_marked_row, marks))


def _marked_row(mark: Mark) -> str:
    f = mark.finding
    number = str(mark.number)
    link = (
        tag("a", number, class_="no", href=f"#m{number}")
        if mark.face
        else tag("span", number, class_="no")
    )
    what = tag("p", escape(f.text)) + (tag("p", escape(f.cure), class_="cure") if f.cure else "")
    what += tag("p", escape(_details(f)), class_="quiet")
    return tag(
        "tr",
        cell(link),
        cell(
            tag("span", escape(f.code), class_="check"),
            " ",
            tag("span", SHOWN[f.status], class_="state"),
        ),
        cell(what, class_="what full"),
        *_figures(f),
        id=f"f{number}",
        class_=f.status,
    )


def _details(f: Finding) -> str:
    words = []
    if f.at is not None:
        one, two = ("(" + ", ".join(f"{v + 0.0:.1f}" for v in p) + ")" for p in f.at)
        words.append(f"at {one}" + (f" to {two}" if one != two else ""))
    if f.limit_source:
        words.append(f"limit: {f.limit_source}")
    return "; ".join(words)


def _figures(f: Finding) -> tuple[str, str, str]:
    limit = (
        ""
        if f.limit is None
        else f"{'at most' if f.most else 'at least'} {figure(f.limit, f.unit)}"
    )
    value = escape(figure(f.value, f.unit)) if f.value is not None else ""
    if f.proof is not None:
        value += tag("p", escape(f"kernel {figure(f.proof, f.unit)}"), class_="quiet")
    return (
        cell(value, class_="n", data_label="is"),
        cell(escape(limit), class_="n", data_label="limit"),
        cell(escape(spare(f)), meter(f), class_="full"),
    )


def held_table(findings: Sequence[Finding], asks: Mapping[str, str]) -> str:
    """Figures that hold, each with its bar; `asks` by check name is shown under the name."""
    heads = (("Check", ""), ("What", ""), ("Figure", "n"), ("Limit", "n"), ("To spare", ""))
    rows = []
    for f in findings:
        note = tag("p", escape(asks[f.check]), class_="quiet asks") if f.check in asks else ""
        note += tag("p", escape(f"waived: {f.waiver}")) if f.waiver else ""
        rows.append(
            tag(
                "tr",
                cell(tag("span", escape(f.code), class_="check")),
                cell(tag("p", escape(f.text)), note, class_="what full"),
                *_figures(f),
                class_=f.status,
            )
        )
    return table(heads, rows)


def sizes_table(dimensions: Sequence[Dimension]) -> str:
    """Sizes with their origin; a claim that differs from the measured size is shown beside it."""
    rows = []
    for d in dimensions:
        tolerance = f" \u00b1 {d.tolerance:g}" if d.tolerance else ""
        claim = f", claimed {d.claim:g}" if d.claim is not None and d.claim != d.value else ""
        rows.append(
            tag(
                "tr",
                cell(escape(f"{d.part}.{d.name}"), class_="full"),
                cell(escape(f"{d.value:.6g}{tolerance} {d.unit}{claim}"), class_="n"),
                cell(tag("span", d.origin, class_=f"origin {d.origin}")),
            )
        )
    return table((("Size", ""), ("Value", "n"), ("Origin", "")), rows, "sheet narrow")


def cuts_table(layout: Layout) -> str:
    """Every cut by face, deepest last: where, what size, how deep."""
    rows: list[str] = []
    for piece in layout.pieces:
        rows += _cut_rows(piece)
    heads = (
        ("Cut", ""),
        ("From", ""),
        ("Work", ""),
        ("Size", ""),
        ("Depth", "n"),
        ("Middle x, y", "n"),
    )
    return table(heads, rows)


def _cut_rows(piece: Workpiece) -> list[str]:
    order = list(Face)
    voids = sorted(
        piece.voids,
        key=lambda v: (order.index(v.face), v.operation, depth_of(v, piece.thickness), v.id),
    )
    rows = [_cut_row(v, piece) for v in voids]
    for c in piece.skin.contours:
        deep = max((deep for _, deep in contour_extent(c, piece)), default=0.0)
        rows.append(
            tag(
                "tr",
                cell(escape(c.id), class_="full"),
                cell(c.face, data_label="from"),
                cell("shaped surface"),
                cell("see the plans", class_="full"),
                cell(f"up to {deep:.2f}", class_="n", data_label="deep"),
                cell("", class_="n"),
            )
        )
    return rows


def _cut_row(void: Void, piece: Workpiece) -> str:
    shape, pocket = void.shape.hole, void.shape.prism
    if shape:
        size = f"\u00f8 {shape.diameter:.2f}" + (
            f", point {shape.tip_deg:g}\u00b0" if shape.tip > 0.0 else ""
        )
        along = entry(shape, piece.skin)
        x, y, _ = shape.at(np.array([along]))[0].tolist()
        if not shape.upright:
            end = ", ".join(f"{v + 0.0:.1f}" for v in shape.end)
            start = (
                f"{shape.length - along:.1f} deep from where it enters"
                if along > 0.0
                else f"{shape.length:.1f} long from its start in a cut"
            )
            size += f", {start}, to ({end})"
    else:
        plan = void.shape.plan
        x0, y0, x1, y1 = plan.box
        x, y, radius = (x0 + x1) / 2.0, (y0 + y1) / 2.0, plan.least_inside_radius
        size = f"{x1 - x0:.2f} \u00d7 {y1 - y0:.2f}" + (
            f", corner {radius:.2f}" if 0.0 < radius < math.inf else ""
        )
        if pocket and pocket.tilted:
            steep = math.degrees(math.atan(math.hypot(*pocket.slope)))
            size += f", floor tilted {steep:.2f}\u00b0"
    upright = void.shape.upright
    depth = (
        f"{depth_of(void, piece.thickness):.2f}"
        if upright
        else f"z {void.low:.1f} to {void.high:.1f}"
    )
    return tag(
        "tr",
        cell(escape(void.id), class_="full"),
        cell(void.face, data_label="from"),
        cell(void.operation.lower()),
        cell(size, class_="full"),
        cell(depth, class_="n", data_label="deep" if upright else ""),
        cell(f"{x + 0.0:.2f}, {y + 0.0:.2f}", class_="n", data_label="at"),
    )


def facts(rows: Iterable[tuple[str, str]], style: str = "box") -> str:
    """Pairs of name and value."""
    return tag(
        "dl",
        *(tag("dt", escape(name)) + tag("dd", escape(value)) for name, value in rows),
        class_=style,
    )
