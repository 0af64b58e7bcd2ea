"""Runs a table of checks over a layout. Knows nothing of wood."""

from __future__ import annotations

from collections.abc import Sequence

from bodycad.checks.deviation import with_deviations
from bodycad.checks.finding import Finding, skip
from bodycad.checks.page import Check
from bodycad.checks.report import Report, sorted_findings
from bodycad.checks.table import CHECKS
from bodycad.checks.waive import waive
from bodycad.layout.layout import Layout
from bodycad.units import Dimension, dimensions


def run(layout: Layout, checks: Sequence[Check] = CHECKS) -> Report:
    """The report of `checks` on a layout. A check that answers nothing, or breaks, is an error
    finding; behind a gate that fails, checks are skipped by name.

    The layout's waivers are applied to the answers. Raises InputError for a waiver whose code
    can be no finding's."""
    known = {check.name: check.page.limits for check in (*CHECKS, *checks)}
    found: list[Finding] = []
    asked: list[str] = []
    shut = ""
    for check in checks:
        if shut:
            found.append(skip(check.name, f"not asked while {shut} fails: mend that first"))
            continue
        asked.append(check.name)
        rows = answers(check, layout)
        found += rows
        if check.gate:
            own = [waiver for waiver in layout.waivers if waiver.check == check.name]
            left = waive(rows, own, (check.name,), known)
            shut = check.name if any(f.status in ("fail", "error") for f in left) else ""
    findings = waive(found, layout.waivers, asked, known)
    nets = {check.name for check in checks if check.net}
    return Report(layout, sorted_findings(with_deviations(findings, layout, nets)), sizes(layout))


def answers(check: Check, layout: Layout) -> list[Finding]:
    """One check's findings; its own fault becomes an `error` finding that names it."""
    words, cure = "the check gave no answer", "report this with the design script"
    try:
        found = list(check.function(layout))
    except Exception as fault:  # a broken check must not hide the others' answers
        found, words = [], f"the check itself broke: {type(fault).__name__}: {fault}"
    return found or [Finding(check.name, "error", (), words, cure=cure)]


def sizes(layout: Layout) -> tuple[Dimension, ...]:
    """Every dimension of the instrument and the placed parts, with its origin."""
    rows = list(dimensions("instrument", layout.instrument))
    for placed in layout.placed:
        rows += dimensions(placed.id, placed.part)
    return tuple(rows)
