"""The report's chapters on what to measure first and on chance, as HTML."""

from __future__ import annotations

from collections.abc import Sequence

from bodycad.chance.measure import CLOSE, contradicted, unsure
from bodycad.checks.outlook import Hanging
from bodycad.checks.report import Report
from bodycad.exports.report.chance_text import least_sure, percent, sentence, value
from bodycad.exports.report.tables import cell, full, number, row, table, tag
from bodycad.exports.svg import escape

MOST = 15


def measure_first(report: Report) -> str:
    """Sizes that decide a finding and are not yet measured, the least room for error first; claims
    that differ."""
    rows, count = report.measure or (), sum(unsure(d) for d in report.dimensions)
    parts = [tag("p", f"No finding hangs on the {count} sizes that are not yet measured.")]
    if rows:
        parts = [
            tag(
                "p",
                f"{count} of {len(report.dimensions)} sizes are not yet measured; {len(rows)} of "
                "them decide a finding. How far each may be off from its number, once the wood is "
                "cut, before that finding fails, the least first:",
            ),
            _hanging(rows[:MOST]),
        ]
    if len(rows) > MOST:
        more = tag("summary", f"{len(rows) - MOST} more, with more room")
        parts.append(tag("details", more, _hanging(rows[MOST:])))
    differ = [
        row(
            full(f"{d.part}.{d.name}"),
            *map(number, (f"{d.value:g} {d.unit}", f"{d.claim:g}", f"{d.apart:.2f}")),
            class_="warn" if d.apart > CLOSE else None,
        )
        for d in contradicted(report.dimensions)
    ]
    if differ:
        parts.append(tag("h3", "Claimed otherwise"))
        parts.append(table(("Size", "Measured #", "Claimed #", "Apart #"), differ, "sheet narrow"))
    return "".join(parts)


def _hanging(sizes: Sequence[Hanging]) -> str:
    rows = (
        row(
            full(f"{h.part}.{h.name}"),
            number(value(h)),
            number(f"{h.may_be_off:.2f} {h.unit}", "off"),
            cell(escape(f"{h.finding.code}: {h.finding.text}"), class_="what full"),
            class_=None if h.within else "warn",
        )
        for h in sizes
    )
    return table(("Size", "Value #", "May be off #", "Then fails"), rows)


def chance(report: Report) -> str:
    """The chance that everything comes out right, what is least sure, and what to tighten first."""
    if report.chance is None:
        return ""
    parts = [tag("h2", "Chance", id="chance"), tag("p", escape(sentence(report)))]
    some = [
        row(
            number(percent(f.chance or 0.0)),
            cell(escape(f"{f.code}: {f.text}"), class_="what full"),
        )
        for f in least_sure(report)
    ]
    tighter = [
        row(full(f"{t.what} \u00b1 {t.tolerance:g} {t.unit}"), number(f"{t.gain * 100.0:+.2f} %"))
        for t in report.chance.tighten
    ]
    parts += [table(("Chance #", "Finding"), some)] if some else []
    heads = "Halve this tolerance", "Gain #"
    parts += [table(heads, tighter, "sheet narrow")] if tighter else []
    return "".join(parts)
