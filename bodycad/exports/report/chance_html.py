"""The report's chapters on what to measure first and on chance, as HTML."""

from __future__ import annotations

from html import escape

from bodycad.chance.measure import CLOSE, contradicted, unsure
from bodycad.checks.outlook import Hanging
from bodycad.checks.report import Report
from bodycad.exports.report.chance_text import least_sure, percent, sentence, value
from bodycad.exports.report.tables import cell, table, tag

MOST = 15


def measure_first(report: Report) -> str:
    """Sizes that decide a finding and are not yet measured, the least room for error first; claims
    that differ."""
    rows, count = report.measure or (), sum(unsure(d) for d in report.dimensions)
    if rows:
        parts = [
            tag(
                "p",
                f"{count} of {len(report.dimensions)} sizes are not yet measured; {len(rows)} of "
                "them decide a finding. How far "
                "each may be off from its number, once the wood is cut, before that finding "
                "fails, the least first:",
            )
        ]
        parts.append(
            table(
                (("Size", ""), ("Value", "n"), ("May be off", "n"), ("Then fails", "")),
                map(_row, rows[:MOST]),
            )
        )
        if len(rows) > MOST:
            parts.append(
                tag(
                    "details",
                    tag("summary", f"{len(rows) - MOST} more, with more room"),
                    table(
                        (("Size", ""), ("Value", "n"), ("May be off", "n"), ("Then fails", "")),
                        map(_row, rows[MOST:]),
                    ),
                )
            )
    else:
        parts = [tag("p", f"No finding hangs on the {count} sizes that are not yet measured.")]
    differ = contradicted(report.dimensions)
    if differ:
        parts.append(tag("h3", "Claimed otherwise"))
        heads = (("Size", ""), ("Measured", "n"), ("Claimed", "n"), ("Apart", "n"))
        parts.append(
            table(
                heads,
                (
                    tag(
                        "tr",
                        cell(escape(f"{d.part}.{d.name}"), class_="full"),
                        cell(f"{d.value:g} {d.unit}", class_="n"),
                        cell(f"{d.claim:g}", class_="n"),
                        cell(f"{d.apart:.2f}", class_="n"),
                        class_="warn" if d.apart > CLOSE else None,
                    )
                    for d in differ
                ),
                "sheet narrow",
            )
        )
    return "".join(parts)


def _row(h: Hanging) -> str:
    style = None if h.within else "warn"
    what = f"{h.finding.code}: {h.finding.text}"
    return tag(
        "tr",
        cell(escape(f"{h.part}.{h.name}"), class_="full"),
        cell(escape(value(h)), class_="n"),
        cell(f"{h.may_be_off:.2f} {h.unit}", class_="n", data_label="off"),
        cell(escape(what), class_="what full"),
        class_=style,
    )


def chance(report: Report) -> str:
    """The chance that everything comes out right, what is least sure, and what to tighten first."""
    if report.chance is None:
        return ""
    parts = [tag("h2", "Chance", id="chance"), tag("p", escape(sentence(report)))]
    some = least_sure(report)
    if some:
        parts.append(
            table(
                (("Chance", "n"), ("Finding", "")),
                (
                    tag(
                        "tr",
                        cell(percent(f.chance or 0.0), class_="n"),
                        cell(escape(f"{f.code}: {f.text}"), class_="what full"),
                    )
                    for f in some
                ),
            )
        )
    if report.chance.tighten:
        parts.append(
            table(
                (("Halve this tolerance", ""), ("Gain", "n")),
                (
                    tag(
                        "tr",
                        cell(escape(f"{t.what} \u00b1 {t.tolerance:g} {t.unit}"), class_="full"),
                        cell(f"{t.gain * 100.0:+.2f} %", class_="n"),
                    )
                    for t in report.chance.tighten
                ),
                "sheet narrow",
            )
        )
    return "".join(parts)
