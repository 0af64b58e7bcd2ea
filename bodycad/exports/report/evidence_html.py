"""What stands first in the report after the verdict: the evidence of each heel. A map of it from
the back, a section along each neck screw, the screws' figures and how thick the heel is under the
hand."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.checks.finding import Finding, margin_key
from bodycad.checks.report import Report
from bodycad.checks.rules.hand import Grasp, grasp
from bodycad.checks.rules.seated import Neck, necks
from bodycad.exports.report.heel_html import MARGIN, levels
from bodycad.exports.report.tables import cell, number, quiet, row, table, tag
from bodycad.exports.report.text import SHOWN
from bodycad.exports.sections.heel import HeelLine, draw_heel, heel_lines
from bodycad.exports.svg import BACK, drawing, element, escape, group, line, path, words
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout

FIGURES = (
    ("bolt-seat", "seat in"),
    ("bolt-seat.proud", "head under"),
    ("bolt-seat.wood", "wood"),
    ("bolt-grip", "grip"),
    ("bolt-tip", "tip"),
    ("bolt-edge", "to edge"),
)
"""The codes of a neck screw's figures, mm, and the heads of their columns."""
NOTE = (
    "seat in: how far what takes the head lies inside the shaped back or edge at its depth; head "
    "under: below the shaped back; wood: between seat and pocket; grip: thread in the neck; "
    "tip: to the fretboard; to edge: of its hole or counterbore. mm; the least of each; ! fails or "
    "warns."
)


def evidence(report: Report) -> str:
    """The section of the report, nothing for a body without a neck in a pocket."""
    joints = "".join(_joint(report, neck) for neck in necks(report.layout))
    return tag("h2", "The heel", id="heel") + joints if joints else ""


def _joint(report: Report, neck: Neck) -> str:
    layout = report.layout
    held = grasp(layout, neck.seat(layout))
    lines = [h for h in heel_lines(layout) if h.neck.id == neck.id]
    title = tag("figcaption", "From the back", tag("span", ", with the sections", class_="quiet"))
    left = tag("figure", title, _map(layout, neck, lines))
    left += _hand(held) if held is not None else ""
    if neck.screws:
        left += _table(report, neck)
    cuts = "".join(_section(layout, one) for one in lines)
    right = tag("div", cuts, class_="heelcuts") if cuts else ""
    return tag("div", tag("div", left, class_="heelmain"), right, class_="evidence")


def _hand(held: Grasp) -> str:
    """The heel's thickness under the hand at the last frets."""
    thick = sum(held.thick.tolist()) / len(held.thick)
    frets = ", ".join(f"{t:.1f} at {fret}" for fret, t in held.frets[:8])
    first = tag("b", f"{thick:.1f} mm"), " of heel under the hand at the last frets"
    more = tag("span", f": {frets} (board's face to shaped back, treble edge)", class_="quiet")
    return tag("p", *first, more if frets else "", class_="hand")


def _map(layout: Layout, neck: Neck, lines: list[HeelLine]) -> str:
    """The heel from the back: how deep it is carved, its screws and where the sections run."""
    x0, y0, x1, y1 = neck.block.profile.box
    ys = [BACK.point(0.0, y)[1] for y in (y0 - MARGIN, y1 + MARGIN)]
    box = x0 - MARGIN, min(ys), x1 + MARGIN, max(ys)
    body = BACK.path(layout.skin.outline)
    carved = (
        path(BACK.path(shape), "level", f"{name}, {depth:g} mm deep")
        for name, depth, shape in levels(layout, neck)
    )
    parts = [
        path(body, "wood"),
        group(carved),
        path(BACK.path(neck.pocket.profile), "hidden", "pocket"),
        path(BACK.path(neck.block.profile), "room", "heel"),
        path(body, "line"),
        group(line(BACK.point(*one.line.one), BACK.point(*one.line.two), "axis") for one in lines),
        group(mark for screw in neck.screws for mark in _screw(screw)),
    ]
    return drawing(box, f"{neck.id} from the back", "".join(parts), False, "heelmap")


def _screw(screw: Screw) -> Iterator[str]:
    x, y = BACK.point(*screw.at[:2])
    yield element("circle", cx=x, cy=y, r=screw.flange / 2.0, class_="screw")
    yield element("circle", cx=x, cy=y, r=screw.thread / 2.0, class_="bar")
    yield words(x + screw.flange / 4.0, y - screw.flange / 5.0, str(screw.number), 4.2, "label")


def _section(layout: Layout, one: HeelLine) -> str:
    svg, keys = draw_heel(layout, one)
    letters = ", ".join(f"{key.letter} {key.kind}" for key in keys)
    caption = tag("figcaption", escape(one.line.title))
    return tag("figure", caption, tag("div", svg), quiet(letters))


def _table(report: Report, neck: Neck) -> str:
    """Every screw's figures, each with the colour of its finding, and the limits."""
    found = [(code, head, _of(report, code)) for code, head in FIGURES]
    shown = [(head, rows) for _, head, rows in found if rows]
    body = []
    for screw in neck.screws:
        cells = []
        for head, rows in shown:
            mine = [f for f in rows if f.subjects[0] in (screw.hole, screw.seat)]
            cells.append(_figure(min(mine, key=margin_key), head) if mine else number("-", head))
        body.append(row(cell(tag("b", str(screw.number)), data_label="screw"), *cells))
    limits = (number(f"\u2265 {rows[0].limit:g}", head) for head, rows in shown)
    body.append(row(cell("limit"), *limits, class_="skip"))
    heads = "Screw", *(f"{head} #" for head, _ in shown)
    return table(heads, body) + quiet(NOTE)


def _of(report: Report, code: str) -> list[Finding]:
    return [f for f in report.findings if f.code == code and f.value is not None and f.subjects]


def _figure(finding: Finding, head: str) -> str:
    state = finding.status if finding.status in ("fail", "warn", "error") else ""
    value = f"{(finding.value or 0.0) + 0.0:.1f}"
    mark = tag("span", "!", class_="state", title=SHOWN[finding.status]) if state else ""
    return cell(value, mark, class_=f"n {state}".rstrip(), data_label=head)
