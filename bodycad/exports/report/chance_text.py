"""The report's lines on chance and on what to measure first, for a terminal."""

from __future__ import annotations

import textwrap

from bodycad.chance.measure import CLOSE, contradicted, unsure
from bodycad.checks.finding import Finding
from bodycad.checks.outlook import Hanging
from bodycad.checks.report import Report

WIDTH = 96
MOST_UNSURE = 6
MOST_TIGHTEN = 5
MOST_SIZES = 12


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """A paragraph of at most WIDTH columns; what its first line and the others begin with."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def chance_lines(report: Report) -> list[str]:
    """How likely everything comes out right, what is least sure, and what to tighten first; nothing
    when not asked for."""
    if report.chance is None:
        return []
    lines = ["", *wrapped(f"Chance: {sentence(report)}", "", "  ")]
    some = least_sure(report)
    if some:
        lines.append("Least sure:")
        for f in some[:MOST_UNSURE]:
            worst = ""
            if f.worst is not None:
                worst = f", at worst {f.worst + 0.0:.2f} {f.unit} (limit {f.limit:g})"
            lines += wrapped(f"{percent(f.chance or 0.0)} {f.code}: {f.text}{worst}", "  ", "    ")
        if len(some) > MOST_UNSURE:
            lines.append(f"  and {len(some) - MOST_UNSURE} more in the JSON report")
    if report.chance.tighten:
        lines.append("Tighten first (gain when the tolerance is halved):")
        lines += [
            f"  {t.gain * 100.0:+.2f} % {t.what} +-{t.tolerance:g} {t.unit}"
            for t in report.chance.tighten[:MOST_TIGHTEN]
        ]
    return lines


def sentence(report: Report) -> str:
    """In one sentence, what was drawn and how many came out right."""
    chance, shop = report.chance, report.layout.shop
    assert chance is not None
    sizes = "no size of a part in doubt"
    if chance.sizes:
        sizes = f"{chance.sizes} sizes of parts within their own tolerances"
    stock = "as measured" if shop.measured_stock is not None else f"+-{shop.thickness_tolerance:g}"
    carved = f", contours +-{shop.contour_tolerance:g} mm" if report.layout.skin.contours else ""
    return (
        f"{percent(chance.all)} of {chance.bodies:,} bodies come out right, with the template "
        f"+-{shop.template_repeat:g} mm, depths +-{shop.depth_stop:g}, stock {stock}, drills "
        f"+-{shop.wander_deg:g} deg{carved}, and {sizes}."
    )


def least_sure(report: Report) -> list[Finding]:
    """Findings that may fail, the likeliest to fail first."""
    return sorted(
        (f for f in report.findings if f.chance is not None and f.chance < 1.0 and not f.waiver),
        key=lambda f: f.chance or 0.0,
    )


def percent(share: float) -> str:
    """A share as a percentage; "100 %" and "0 %" only when nothing is left or lacking."""
    if share in (0.0, 1.0):
        return f"{share * 100.0:.0f} %"
    return f"{min(max(share * 100.0, 0.01), 99.99):.2f} %"


def measure_lines(report: Report) -> list[str]:
    """What to measure before cutting, the least room for error first, and claims that the calipers
    deny."""
    rows, lines = report.measure or (), []
    every, count = len(report.dimensions), sum(unsure(d) for d in report.dimensions)
    if rows:
        head = (
            f"Measure before cutting, the least room for error first ({count} of {every} sizes are "
            f"not yet measured, {len(rows)} of them decide a finding):"
        )
        lines = ["", *wrapped(head)]
        for h in rows[:MOST_SIZES]:
            lines += wrapped(f"{h.part}.{h.name} {value(h)}: {fate(h)}", "  ", "    ")
        if len(rows) > MOST_SIZES:
            lines.append(f"  and {len(rows) - MOST_SIZES} more in the report's list of sizes")
    elif report.measure is not None:
        none = f"nothing hangs on the {count} sizes that are not yet measured."
        lines = ["", f"Measure before cutting: {none}"]
    for d in contradicted(report.dimensions):
        size = f"{d.part}.{d.name} measures {d.value:g} {d.unit} and is claimed {d.claim:g}"
        word = "; mind what else the sheet says" if d.apart > CLOSE else ""
        lines += wrapped(f"{size}: {d.apart:.2f} apart{word}", "  ", "    ")
    return lines


def value(h: Hanging) -> str:
    """A size with its tolerance and origin."""
    return f"{h.value:g}{f' +-{h.tolerance:g}' if h.tolerance else ''} {h.unit} ({h.origin})"


def fate(h: Hanging) -> str:
    """How far a size may be off, and what fails then."""
    subjects = ", ".join(h.finding.subjects)
    return f"{h.may_be_off:.2f} {h.unit} off, and {h.finding.code} fails ({subjects})"
