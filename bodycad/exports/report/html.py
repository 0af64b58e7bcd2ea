"""report.html: one self-contained page, for a phone at the bench as for a wide screen or paper."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.table import CHECKS
from bodycad.exports.marks import numbered
from bodycad.exports.plan import LEGEND, plan_svg
from bodycad.exports.report.chance_html import chance, measure_first
from bodycad.exports.report.heel_html import heel_section
from bodycad.exports.report.safety import ADVICE, CAUTIONS
from bodycad.exports.report.tables import (
    cuts_table,
    facts,
    held_table,
    marked_table,
    sizes_table,
    tag,
)
from bodycad.exports.report.text import VERDICTS, spare, tightest, to_measure
from bodycad.exports.sections.drawing import draw
from bodycad.exports.sections.lines import section_lines
from bodycad.exports.svg import STYLE
from bodycad.layout.volume import BodyFigures, body_figures
from bodycad.pattern.standing import screwed
from bodycad.version import VERSION

_SCRIPT = """
const folds = document.querySelectorAll('details');
if (innerWidth > 900) folds.forEach(d => { if (d.dataset.open) d.open = true; });
addEventListener('beforeprint', () => folds.forEach(d => { if (d.dataset.open) d.open = true; }));
"""
MOST_SIZES = 15


def html_text(report: Report, figures: Sequence[BodyFigures] = ()) -> str:
    """The whole page. It names no outside file, so it can be sent on its own.

    `figures`: those of each workpiece where they are known already.
    """
    figures = figures or tuple(map(body_figures, report.layout.pieces))
    name = report.layout.name
    css = Path(__file__).with_name("report.css").read_text(encoding="utf-8")
    head = (
        '<meta charset="utf-8"/><meta name="viewport" content="width=device-width, '
        'initial-scale=1"/>'
        + tag("title", f"{escape(name)}: {VERDICTS[report.verdict]}")
        + f"<style>{STYLE}{css}</style>"
    )
    page = "".join(
        (
            _top(report),
            _plans(report),
            _findings(report),
            _sections(report),
            heel_section(report.layout),
            chance(report),
            _sizes(report),
            _facts(report, figures),
            _cuts(report),
            _safety(),
            _foot(),
        )
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body><main>{page}</main>'
        f"<script>{_SCRIPT}</script></body></html>\n"
    )


def _top(report: Report) -> str:
    layout = report.layout
    counts = ", ".join(
        f"{report.count(s)} {word}"
        for s, word in (
            ("error", "in error"),
            ("fail", "fail"),
            ("warn", "warn"),
            ("pass", "hold"),
            ("skip", "not asked"),
        )
        if report.count(s)
    )
    counts += f", {len(report.waived)} waived" if report.waived else ""
    hand = "left-handed" if layout.left_handed else "right-handed"
    title = tag(
        "div",
        tag("h1", escape(layout.name)),
        tag(
            "p",
            escape(f"{hand}, {layout.thickness:g} mm thick, {layout.blank.species.name}"),
            class_="quiet counts",
        ),
    )
    verdict = tag("span", VERDICTS[report.verdict], class_=f"verdict {report.verdict}")
    links = "".join(
        tag("a", text, href=f"#{anchor}")
        for anchor, text in (
            ("plans", "Plans"),
            ("findings", "Findings"),
            ("sections", "Sections"),
            *([("heel", "Neck screws")] if screwed(layout) else []),
            ("sizes", "Sizes"),
            ("body", "Body"),
            ("cuts", "Cut list"),
            ("safety", "Working safely"),
        )
    )
    cards = "".join(map(_card, _least(report)))
    return (
        tag("header", title, verdict, tag("p", escape(counts), class_="counts"), class_="top")
        + tag("nav", links)
        + tag("div", cards, class_="cards")
    )


def _least(report: Report) -> list[Finding]:
    """The three checks with the least to spare, worst first."""
    found: dict[str, Finding] = {}
    for finding in report.findings:
        if finding.margin is not None and not finding.waiver:
            found.setdefault(finding.check, finding)
    return list(found.values())[:3]


def _card(finding: Finding) -> str:
    place = tag("p", escape(finding.text))
    return tag(
        "div",
        tag("b", escape(spare(finding))),
        tag("p", tag("strong", escape(finding.check))),
        place,
        class_=f"card {finding.status}",
    )


def _plans(report: Report) -> str:
    figures = "".join(
        tag(
            "figure",
            tag("figcaption", f"{face.capitalize()}, seen from the {face}"),
            plan_svg(report, face, alone=False),
            class_="plan",
        )
        for face in ("front", "back")
    )
    swatch = (
        '<svg class="drawing" viewBox="0 0 26 14">'
        '<rect class="void {0}" x=".5" y=".5" width="25" height="13"/></svg>'
    )
    lines = (
        ("hidden", "cut from the other side or at an angle"),
        ("room", "fitted part"),
        ("edge", "edge treatment"),
        ("contour", "shaped surface"),
        ("glue", "glue joint"),
    )
    stroke = (
        '<svg class="drawing" viewBox="0 0 26 14"><path class="{0}" fill="none" d="M0 7H26"/></svg>'
    )
    rows = [
        tag("li", swatch.format(style), text if k else f"depth {text}")
        for k, (style, text) in enumerate(LEGEND)
    ]
    rows += [tag("li", stroke.format(style), text) for style, text in lines]
    return (
        tag("h2", "Plans", id="plans")
        + tag("div", figures, class_="sheets")
        + tag("ul", *rows, class_="legend")
    )


def _findings(report: Report) -> str:
    marks = numbered(report)
    parts = [tag("h2", "Findings, tightest first", id="findings")]
    parts.append(marked_table(marks) if marks else tag("p", "Nothing fails and nothing warns."))
    parts += [
        tag("p", escape(f"Proof: {f.text}."))
        for f in report.findings
        if f.check == "proof" and f.status == "pass"
    ]
    held = tightest(report)
    asks = {check.name: check.page.asks for check in CHECKS}
    if held:
        parts.append(tag("h3", "Tightest of what holds, by check"))
        parts.append(held_table(held, asks))
        every = [f for f in report.findings if f.status == "pass" and not f.waiver]
        parts.append(_fold(f"All {len(every)} answers that hold", held_table(every, {})))
    if report.waived:
        parts.append(tag("h3", "Waived by the design, and why"))
        parts.append(held_table(report.waived, {}))
    skips = [f for f in report.findings if f.status == "skip"]
    if skips:
        parts.append(tag("h3", "Not asked, and why"))
        parts.append(facts((f.check, f.text) for f in skips))
    parts.append(
        tag(
            "p",
            "In the bars the heavy line is the limit and the faint one the end of the warning; "
            "what lies right of "
            "the heavy line is to spare.",
            class_="quiet",
        )
    )
    return "".join(parts)


def _sections(report: Report) -> str:
    figures = []
    for one in section_lines(report.layout):
        svg, keys = draw(report.layout, one.one, one.two, one.title, alone=False)
        rows = "".join(
            tag("li", tag("b", key.letter), escape(f"{key.name} ({key.kind})")) for key in keys
        )
        ends = " to ".join(f"({p[0]:.1f}, {p[1]:.1f})" for p in (one.one, one.two))
        figures.append(
            tag(
                "figure",
                tag("figcaption", escape(one.title), tag("span", f" {ends}", class_="quiet")),
                tag("div", svg, class_="scroll"),
                tag("ul", rows) if rows else "",
                class_="wide" if "section long" in svg else None,
            )
        )
    return tag("h2", "Sections", id="sections") + tag("div", *figures, class_="cuts")


def _sizes(report: Report) -> str:
    every, unsure = report.dimensions, to_measure(report.dimensions)
    parts = [tag("h2", "Measure before cutting", id="sizes")]
    if report.measure is not None:
        parts.append(measure_first(report))
    elif unsure:
        parts.append(
            tag(
                "p",
                f"{len(unsure)} of {len(every)} sizes are common practice, not taken from the "
                "real parts. "
                "The most uncertain first:",
            )
        )
        parts.append(sizes_table(unsure[:MOST_SIZES]))
    else:
        parts.append(tag("p", "Every size is measured or claimed by its vendor."))
    if every:
        parts.append(
            _fold(f"All {len(every)} sizes with their origin", sizes_table(every), wide=True)
        )
    return "".join(parts)


def _facts(report: Report, figures: Sequence[BodyFigures]) -> str:
    layout, body = report.layout, figures[0]
    species, moisture = layout.blank.species, layout.blank.moisture
    rows = [
        ("Outline area", f"{body.area / 100.0:.1f} cm\u00b2"),
        ("Wood left", f"{body.volume / 1000.0:.0f} cm\u00b3"),
        (
            "Mass",
            f"{body.mass:.2f} kg in {species.name} at {moisture:g} % moisture, "
            f"{species.density(moisture):.0f} kg/m\u00b3",
        ),
        (
            "Centre of mass",
            "x {:.1f}, y {:.1f}, z {:.1f} mm".format(*(v + 0.0 for v in body.centroid)),
        ),
        ("Thickness", f"{layout.thickness:g} mm"),
        (
            "Blank",
            f"{layout.blank.x1 - layout.blank.x0:.0f} \u00d7 "
            f"{layout.blank.y1 - layout.blank.y0:.0f} mm, "
            f"{len(layout.blank.joints)} glue joint(s)",
        ),
    ]
    rows += [
        (
            (piece.title or piece.id).capitalize(),
            f"{piece.thickness:g} mm thick, {one.area / 100.0:.1f} cm\u00b2, {len(piece.voids)} "
            "cuts" + (f", {one.mass * 1000.0:.0f} g" if one.mass is not None else ""),
        )
        for piece, one in zip(layout.pieces[1:], figures[1:], strict=True)
    ]
    settings = [(name, _shown(value)) for name, value in layout.parameters.items()]
    left = tag("h2", "Body", id="body") + facts(rows, "box short")
    right = tag("h2", "Parameters") + (
        facts(settings, "box short") if settings else tag("p", "The script has none.")
    )
    limits = [
        (
            name,
            f"fails {'over' if one.most else 'under'} {one.fail:g}, warns "
            f"{'over' if one.most else 'under'} "
            f"{one.warn:g} ({one.source})",
        )
        for name, one in layout.shop.limits.items()
    ]
    more = tag("h3", "Limits changed by the design") + facts(limits) if limits else ""
    return tag("div", tag("section", left), tag("section", right, more), class_="pair")


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _cuts(report: Report) -> str:
    layout = report.layout
    count = sum(len(p.voids) + len(p.skin.contours) for p in layout.pieces)
    note = tag(
        "p",
        "Millimetres from the scale line and the centreline, y toward the bass side; depths from "
        "the plain face "
        "of flat stock; those of a cover or another piece from its own middle, seen from its "
        "front.",
        class_="quiet",
    )
    return (
        tag("h2", "Cut list", id="cuts")
        + note
        + _fold(f"{count} cuts", cuts_table(layout), wide=True)
    )


def _safety() -> str:
    return (
        tag("h2", "Working safely", id="safety") + tag("p", tag("strong", ADVICE)) + facts(CAUTIONS)
    )


def _foot() -> str:
    return tag(
        "footer", f"bodycad {VERSION}. Millimetres and degrees unless another unit is written."
    )


def _fold(title: str, content: str, wide: bool = False) -> str:
    return tag("details", tag("summary", escape(title)), content, data_open="1" if wide else None)
