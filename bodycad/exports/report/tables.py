"""The report's tables as HTML: findings with margin bars, sizes, cuts. Every text is escaped
here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.checks.wood.before import before
from bodycad.exports.marks import Mark
from bodycad.exports.plan import contour_extent
from bodycad.exports.report.text import SHOWN, figure, measure, side, spare
from bodycad.exports.svg import element, escape, num
from bodycad.layout.entry import entry
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.leads import Lead
from bodycad.making.upright import depth_of
from bodycad.making.work import drilled
from bodycad.tools import FLAT
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
    """A table cell round ready HTML."""
    return tag("td", *content, **attributes)


def full(text: str) -> str:
    """A cell as wide as the page where the table is stacked."""
    return cell(escape(text), class_="full")


def number(text: str, label: str | None = None) -> str:
    """A cell of figures, with its label where the table is stacked."""
    return cell(escape(text), class_="n", data_label=label)


def quiet(text: str) -> str:
    """A paragraph in small print."""
    return tag("p", escape(text), class_="quiet")


def row(*cells: str, **attributes: object) -> str:
    """A table row."""
    return tag("tr", *cells, **attributes)


def table(heads: Sequence[str], rows: Iterable[str], frame: str = "sheet") -> str:
    """A table in its frame; a heading that ends in # stands over figures."""
    head = "".join(
        tag("th", escape(text.rstrip(" #")), class_="n" if "#" in text else None, scope="col")
        for text in heads
    )
    body = tag("thead", row(head)), tag("tbody", *rows)
    return tag("div", tag("table", *body, class_="stack"), class_=frame)


def meter(finding: Finding) -> str:
    """The margin as a bar: a dark line where the limit is, a light one where the warning ends."""
    margin, limit = finding.margin, finding.limit
    if margin is None or limit is None or not math.isfinite(margin):
        return ""
    gap = abs(finding.warn - limit) if finding.warn is not None else 0.0
    unit = gap if gap > 1e-9 else 1.0
    length = max(-ZERO, min(100.0 - ZERO, margin / (FULL * unit) * (100.0 - ZERO)))
    left, width = ZERO + min(length, 0.0), max(abs(length), 1.0)
    inner = tag("i", style=f"left:{num(left)}%;width:{num(width)}%")
    inner += tag("u", style=f"left:{num(ZERO)}%")
    if gap > 1e-9:
        inner += tag("s", style=f"left:{num(ZERO + (100.0 - ZERO) / FULL)}%")
    return tag("span", inner, class_="meter")


def marked_table(marks: Sequence[Mark]) -> str:
    """What fails and warns: number (a link to its marker where there is one), what is wrong, cure,
    figures."""
    return table(
        ("No.", "Check", "What", "Figure #", "Limit #", "To spare"), map(_marked_row, marks)
    )


def _marked_row(mark: Mark) -> str:
    f = mark.finding
    link = {"href": f"#m{mark.number}"} if mark.face else {}
    what = tag("p", escape(f.text)) + (tag("p", escape(f.cure), class_="cure") if f.cure else "")
    state = tag("span", SHOWN[f.status], class_="state")
    return row(
        cell(tag("a" if link else "span", str(mark.number), class_="no", **link)),
        cell(tag("span", escape(f.code), class_="check"), " ", state),
        cell(what, quiet(_details(f)), class_="what full"),
        *_figures(f),
        id=f"f{mark.number}",
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
    limit = "" if f.limit is None else f"{side(f)} {figure(f.limit, f.unit)}"
    value = escape(figure(f.value, f.unit)) if f.value is not None else ""
    if f.proof is not None:
        value += quiet(f"kernel {figure(f.proof, f.unit)}")
    return (
        cell(value, class_="n", data_label="is"),
        number(limit, "limit"),
        cell(escape(spare(f)), quiet(measure(f)) if measure(f) else "", meter(f), class_="full"),
    )


def held_table(findings: Sequence[Finding], asks: Mapping[str, str]) -> str:
    """Figures that hold, each with its bar; `asks` by check name is shown under the name."""
    rows = []
    for f in findings:
        note = tag("p", escape(asks[f.check]), class_="quiet asks") if f.check in asks else ""
        note += tag("p", escape(f"waived: {f.waiver}")) if f.waiver else ""
        check = cell(tag("span", escape(f.code), class_="check"))
        what = cell(tag("p", escape(f.text)), note, class_="what full")
        rows.append(row(check, what, *_figures(f), class_=f.status))
    return table(("Check", "What", "Figure #", "Limit #", "To spare"), rows)


def sizes_table(dimensions: Sequence[Dimension]) -> str:
    """Sizes with their origin; a claim that differs from the measured size is shown beside it."""
    rows = []
    for d in dimensions:
        tolerance = f" \u00b1 {d.tolerance:g}" if d.tolerance else ""
        claim = f", claimed {d.claim:g}" if d.claim is not None and d.claim != d.value else ""
        value = number(f"{d.value:.6g}{tolerance} {d.unit}{claim}")
        origin = cell(tag("span", escape(d.origin), class_=f"origin {d.origin}"))
        rows.append(row(full(f"{d.part}.{d.name}"), value, origin))
    return table(("Size", "Value #", "Origin"), rows, "sheet narrow")


def wires_table(rows: Sequence[Lead]) -> str:
    """The leads: which, of what, how long, and the way they take."""
    return table(
        ("Lead", "Kind", "Cut to #", "Bundle #", "By way of"),
        (
            row(
                full(f"{lead.one} to {lead.two}"),
                cell(escape(lead.kind)),
                number("no way yet" if lead.cut is None else f"{lead.cut:.0f}", "Cut to"),
                number("" if lead.bundle is None else f"{lead.bundle:g}", "Bundle"),
                full(", ".join(lead.way)),
            )
            for lead in rows
        ),
    )


def cuts_table(layout: Layout) -> str:
    """Every cut by face, deepest last: where, what size, how deep; for a left hand also the y that
    the script gives."""
    rows = [one for piece in layout.pieces for one in _cut_rows(piece, layout)]
    heads = "Cut", "From", "Work", "Size", "Depth #", "To the drill's tip #", "x, y in the wood #"
    return table((*heads, *["y in the script #"] * layout.left_handed), rows)


def _cut_rows(piece: Workpiece, layout: Layout) -> Iterator[str]:
    def place(v: Void) -> tuple[int, str, float, str]:
        return list(Face).index(v.face), v.operation, depth_of(v, piece.thickness), v.id

    for void in sorted(piece.voids, key=place):
        yield _cut_row(void, piece, layout)
    for c in piece.skin.contours:
        deep = max((deep for _, deep in contour_extent(c, piece)), default=0.0)
        size, depth = full("see the plans"), number(f"up to {deep:.2f}", "deep")
        face, work = cell(escape(c.face), data_label="from"), cell("shaped surface")
        blank = [number("")] * (3 if layout.left_handed else 2)
        yield row(full(c.id), face, work, size, depth, *blank)


def _cut_row(void: Void, piece: Workpiece, layout: Layout) -> str:
    shape, pocket = void.shape.hole, void.shape.prism
    deep, tip = f"{depth_of(void, piece.thickness):.2f}", ""
    if shape and (hole := drilled(void, piece, layout)):
        x, y, _ = shape.at(np.array([entry(shape, piece.skin)]))[0].tolist()
        size = f"\u00f8 {shape.diameter:.2f}"
        if not shape.upright:
            end = ", ".join(f"{v + 0.0:.1f}" for v in shape.end)
            begin = "its start in a cut" if hole.from_cut else "where it enters"
            size += f", along from {begin} to ({end})"
        deep = f"{hole.full:.2f}{' through' if hole.through else ''}"
        flat = hole.point_deg >= FLAT
        tip = "flat floor" if flat else f"{hole.tip:.2f} ({hole.point_deg:g}\u00b0)"
    else:
        plan = void.shape.plan
        x0, y0, x1, y1 = plan.box
        x, y, radius = (x0 + x1) / 2.0, (y0 + y1) / 2.0, plan.least_inside_radius
        size = f"{x1 - x0:.2f} \u00d7 {y1 - y0:.2f}"
        size += f", corner {radius:.2f}" if 0.0 < radius < math.inf else ""
        if pocket and pocket.tilted:
            steep = math.degrees(math.atan(math.hypot(*pocket.slope)))
            size += f", floor tilted {steep:.2f}\u00b0"
    first = before(void, piece)
    work = void.operation.lower() + (f", before {' and '.join(first)}" if first else "")
    return row(
        full(void.id),
        cell(escape(void.face), data_label="from"),
        cell(escape(work)),
        full(size),
        number(deep, "deep"),
        number(tip, "to the tip"),
        number(f"{x + 0.0:.2f}, {y + 0.0:.2f}", "at"),
        *[number(f"{0.0 - y:.2f}", "y in the script")] * layout.left_handed,
    )


def facts(rows: Iterable[tuple[str, str]], style: str = "box") -> str:
    """Pairs of name and value."""
    pairs = (tag("dt", escape(name)) + tag("dd", escape(value)) for name, value in rows)
    return tag("dl", *pairs, class_=style)


def legend(rows: Iterable[tuple[str, str]]) -> str:
    """Swatches, each the inside of an SVG of 26 by 14, with their meanings."""
    frame = '<svg class="drawing" viewBox="0 0 26 14">{}</svg>'
    return tag("ul", *(tag("li", frame.format(s), text) for s, text in rows), class_="legend")
