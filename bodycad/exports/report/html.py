"""report.html: one self-contained page, for a phone at the bench as for a wide screen or paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.rules.balance import body_mass
from bodycad.checks.rules.seated import necks
from bodycad.checks.table import CHECKS
from bodycad.exports.cautions import of_design
from bodycad.exports.coordinates import convention
from bodycad.exports.marks import numbered
from bodycad.exports.plan import LEGEND, plan_svg
from bodycad.exports.report.chance_html import chance, measure_first
from bodycad.exports.report.evidence_html import evidence
from bodycad.exports.report.heel_html import heel_section
from bodycad.exports.report.tables import (
    cuts_table,
    facts,
    held_table,
    legend,
    marked_table,
    quiet,
    sizes_table,
    tag,
    wires_table,
)
from bodycad.exports.report.text import (
    ORDER,
    VERDICTS,
    counts,
    measure,
    proofs,
    spare,
    tightest,
    to_measure,
)
from bodycad.exports.sections.drawing import draw
from bodycad.exports.sections.lines import section_lines
from bodycad.exports.svg import STYLE, escape
from bodycad.layout.interface import Core
from bodycad.layout.volume import BodyFigures, body_figures
from bodycad.making.leads import SLACK, leads
from bodycad.pattern.standing import screwed
from bodycad.safety import ADVICE
from bodycad.version import VERSION
from bodycad.wood import Species
from bodycad.words import SIDES

_SCRIPT = """
const folds = document.querySelectorAll('details');
if (innerWidth > 900) folds.forEach(d => { if (d.dataset.open) d.open = true; });
addEventListener('beforeprint', () => folds.forEach(d => { if (d.dataset.open) d.open = true; }));
"""
LINES = (
    ("hidden", "cut from the other side or at an angle"),
    ("room", "fitted part"),
    ("edge", "edge treatment"),
    ("contour", "shaped surface"),
    ("glue", "glue joint"),
)
"""(style, meaning) of the lines of a plan."""
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
    first = (_least_cards, evidence) if report.verdict == "fail" else (evidence, _least_cards)
    parts = _top, *first, _plans, _findings, _sections, _heel, chance, _sizes
    page = "".join(part(report) for part in parts) + _facts(report, figures)
    page += _wires(report) + _cuts(report)
    page += _safety(report)
    page += tag(
        "footer", f"bodycad {VERSION}. Millimetres and degrees unless another unit is written."
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body><main>{page}</main>'
        f"<script>{_SCRIPT}</script></body></html>\n"
    )


def _top(report: Report) -> str:
    layout = report.layout
    wood = f"{layout.thickness:g} mm thick, {layout.blank.species.name}"
    what = f"{layout.hand}-handed, revision {layout.revision}, {wood}"
    title = tag("h1", escape(layout.name)), tag("p", escape(what), class_="quiet counts")
    links = "".join(
        tag("a", text, href=f"#{anchor}")
        for anchor, text in (
            *([("heel", "The heel")] if necks(layout) else []),
            ("plans", "Plans"),
            ("findings", "Findings"),
            ("sections", "Sections"),
            *([("screws", "Neck screws")] if screwed(layout) else []),
            ("sizes", "Sizes"),
            ("body", "Body"),
            *([("wires", "Wires")] if layout.links else []),
            ("cuts", "Cut list"),
            ("safety", "Working safely"),
        )
    )
    dangers = ", ".join(one.danger.lower() for one in of_design(layout)[:4])
    header = (
        tag("div", *title),
        tag("span", VERDICTS[report.verdict], class_=f"verdict {report.verdict}"),
        tag("p", escape(counts(report)), class_="counts"),
        tag("a", "Before you cut: ", escape(dangers), href="#safety", class_="care"),
    )
    return tag("header", *header, class_="top") + tag("nav", links)


def _least_cards(report: Report) -> str:
    cards = tag("div", *map(_card, _least(report)), class_="cards")
    title = "Worst first" if report.verdict == "fail" else "Tightest"
    return tag("h2", title, id="least") + cards if _least(report) else ""


def _least(report: Report) -> list[Finding]:
    """The three checks with the least to spare, worst first."""
    found: dict[str, Finding] = {}
    for finding in report.findings:
        if finding.margin is not None and not finding.waiver:
            found.setdefault(finding.check, finding)
    return list(found.values())[:3]


def _card(finding: Finding) -> str:
    words = (
        tag("b", escape(spare(finding))),
        tag(
            "p",
            tag("strong", escape(finding.code)),
            tag("span", f" {measure(finding)}", class_="quiet"),
        ),
        tag("p", escape(finding.text)),
    )
    return tag("div", *words, class_=f"card {finding.status}")


def _heel(report: Report) -> str:
    return heel_section(report.layout)


def _plans(report: Report) -> str:
    figures = (
        tag(
            "figure",
            tag("figcaption", f"{face.capitalize()}, seen from the {face}"),
            plan_svg(report, face, alone=False),
            class_="plan",
        )
        for face in SIDES
    )
    area = '<rect class="void {0}" x=".5" y=".5" width="25" height="13"/>'
    stroke = '<path class="{0}" fill="none" d="M0 7H26"/>'
    depths = (
        (area.format(style), text if k else f"depth {text}")
        for k, (style, text) in enumerate(LEGEND)
    )
    lines = ((stroke.format(style), text) for style, text in LINES)
    sheets = tag("div", *figures, class_="sheets")
    return _section("plans", "Plans", _convention(report), sheets, legend((*depths, *lines)))


def _findings(report: Report) -> str:
    marks = numbered(report)
    parts = [_convention(report)]
    parts += [marked_table(marks) if marks else tag("p", "Nothing fails and nothing warns.")]
    parts += [tag("p", escape(text)) for text in proofs(report)]
    held = tightest(report)
    asks = {check.name: check.page.asks for check in CHECKS}
    if held:
        every = [f for f in report.findings if f.status == "pass" and not f.waiver]
        parts += [
            tag("h3", "Tightest of what holds, by check"),
            quiet(ORDER),
            held_table(held, asks),
            _fold(f"All {len(every)} answers that hold", held_table(every, {})),
        ]
    if report.waived:
        parts += [tag("h3", "Waived by the design, and why"), held_table(report.waived, {})]
    skips = [f for f in report.findings if f.status == "skip"]
    if skips:
        parts += [tag("h3", "Not asked, and why"), facts((f.check, f.text) for f in skips)]
    note = quiet(
        "In the bars the heavy line is the limit and the faint one the end of the warning; "
        "what lies right of the heavy line is to spare."
    )
    return _section("findings", "Findings, tightest first", *parts, note)


def _sections(report: Report) -> str:
    figures = []
    for one in section_lines(report.layout):
        svg, keys = draw(report.layout, one.one, one.two, one.title, alone=False)
        rows = "".join(
            tag("li", tag("b", key.letter), escape(f"{key.name} ({key.kind})")) for key in keys
        )
        ends = " to ".join(f"({p[0]:.1f}, {p[1]:.1f})" for p in (one.one, one.two))
        caption = escape(one.title), tag("span", f" {ends}", class_="quiet")
        figures.append(
            tag(
                "figure",
                tag("figcaption", *caption),
                tag("div", svg, class_="scroll"),
                tag("ul", rows) if rows else "",
                class_="wide" if "section long" in svg else None,
            )
        )
    cuts = tag("div", *figures, class_="cuts")
    return _section("sections", "Sections", _convention(report), cuts)


def _sizes(report: Report) -> str:
    every, unsure = report.dimensions, to_measure(report.dimensions)
    if report.measure is not None:
        parts = [measure_first(report)]
    elif unsure:
        text = (
            f"{len(unsure)} of {len(every)} sizes are common practice, not taken from the "
            "real parts. The most uncertain first:"
        )
        parts = [tag("p", text), sizes_table(unsure[:MOST_SIZES])]
    else:
        parts = [tag("p", "Every size is measured or claimed by its vendor.")]
    if every:
        title = f"All {len(every)} sizes with their origin"
        parts.append(_fold(title, sizes_table(every), wide=True))
    return _section("sizes", "Measure before cutting", *parts)


def _facts(report: Report, figures: Sequence[BodyFigures]) -> str:
    layout, body = report.layout, figures[0]
    blank, species, moisture = layout.blank, layout.blank.species, layout.blank.moisture
    wood = (
        f"in {species.name} at {moisture:g} % moisture, {species.density(moisture):.0f} kg/m\u00b3"
    )
    middle = "x {:.1f}, y {:.1f}, z {:.1f} mm".format(*(v + 0.0 for v in body.centroid))
    size = f"{blank.x1 - blank.x0:.0f} \u00d7 {blank.y1 - blank.y0:.0f} mm"
    rows = [
        ("Outline area", f"{body.area / 100.0:.1f} cm\u00b2"),
        ("Wood left", f"{body.volume / 1000.0:.0f} cm\u00b3"),
        ("Mass", f"{body.mass:.2f} kg {wood}"),
        ("Centre of mass", middle),
        ("Thickness", f"{layout.thickness:g} mm"),
        ("Blank", f"{size}, {len(blank.joints)} glue joint(s)"),
    ]
    cores = {one.species.name for one in layout.stated(Core) if isinstance(one.species, Species)}
    if cores - {species.name}:
        text = f"about {body_mass(layout).kg:.2f} kg, the core in {', '.join(sorted(cores))}"
        rows.insert(3, ("With its core", text))
    for piece, one in zip(layout.pieces[1:], figures[1:], strict=True):
        text = f"{piece.thickness:g} mm thick, {one.area / 100.0:.1f} cm\u00b2, "
        text += f"{len(piece.voids)} cuts"
        text += f", {one.mass * 1000.0:.0f} g" if one.mass is not None else ""
        rows.append(((piece.title or piece.id).capitalize(), text))
    settings = [(name, _shown(value)) for name, value in layout.parameters.items()]
    right = tag("h2", "Parameters") + (
        facts(settings, "box short") if settings else tag("p", "The script has none.")
    )
    limits = []
    for name, limit in layout.shop.limits.items():
        side = "over" if limit.most else "under"
        text = f"fails {side} {limit.fail:g}, warns {side} {limit.warn:g} ({limit.source})"
        limits.append((name, text))
    right += tag("h3", "Limits changed by the design") + facts(limits) if limits else ""
    left = tag("section", _section("body", "Body", facts(rows, "box short")))
    return tag("div", left, tag("section", right), class_="pair")


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _wires(report: Report) -> str:
    rows = leads(report.layout)
    if not rows:
        return ""
    words = (
        f"Lengths in mm, straight from doorway to doorway and {SLACK:g} mm more at each end; the "
        "screen of a shielded lead is its ground."
    )
    return _section("wires", "Wires", quiet(words), wires_table(rows))


def _cuts(report: Report) -> str:
    pieces = report.layout.pieces
    count = sum(len(p.voids) + len(p.skin.contours) for p in pieces)
    note = quiet(
        "Depths run from the plain face of flat stock, along a slanted hole from where it enters; "
        "of a hole the first is at full diameter, the second to the tip of a drill with the point "
        "angle beside it. What lies under a shaped surface is cut before it. Those of a cover or "
        "another piece count from its own middle, seen from its front."
    )
    note = _convention(report) + note
    cuts = _fold(f"{count} cuts", cuts_table(report.layout), wide=True)
    return _section("cuts", "Cut list", note, cuts)


def _safety(report: Report) -> str:
    rows = facts((one.danger, one.words) for one in of_design(report.layout))
    return _section("safety", "Working safely", tag("p", tag("strong", ADVICE)), rows)


def _convention(report: Report) -> str:
    return quiet(convention(report.layout))


def _section(anchor: str, title: str, *content: str) -> str:
    return tag("h2", title, id=anchor) + "".join(content)


def _fold(title: str, content: str, wide: bool = False) -> str:
    return tag("details", tag("summary", escape(title)), content, data_open="1" if wide else None)
