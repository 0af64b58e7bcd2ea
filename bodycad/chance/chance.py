"""The chance that each finding holds and that the whole body comes out right, and what to tighten
first.

What is drawn, and how: `draw`. How a figure changes with an error: `slopes`. What can be off:
`variables`. A finding whose worst case holds has the chance 1 and one whose best case fails has 0,
without a draw; a worst case is the lesser of what the slopes foretell and of what a body with all
those errors has (`corner`). A finding that the maker has waived, and one without a failing limit,
does not count for the whole body.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bodycad.chance.corner import at_corners
from bodycad.chance.draw import SLACK, Drawn, draw
from bodycad.chance.slopes import Slopes, slopes
from bodycad.chance.variables import Variable, shop_variables, size_variables
from bodycad.checks.finding import Finding
from bodycad.checks.outlook import Chance, Tighten
from bodycad.checks.report import Report
from bodycad.checks.table import NETS
from bodycad.errors import InputError

BODIES = 100_000
MOST_BODIES = 10_000_000
Key = tuple[str, tuple[str, ...]]


def bodies_of(value: object) -> int:
    """A number of bodies to draw. Raises InputError for anything but a whole number from 1 to
    MOST_BODIES."""
    text = str(value).strip()
    whole = text.isascii() and text.isdigit() and len(text) <= 12
    if not whole or not 1 <= int(text) <= MOST_BODIES:
        allowed = f"a whole number from 1 to {MOST_BODIES}"
        cure = f"write --chance alone for {BODIES}"
        raise InputError("the number of bodies to draw", value, allowed, cure)
    return int(text)


def with_chance(report: Report, bodies: int = BODIES) -> Report:
    """The report with the chance and the worst case of every finding, and the chance of the whole
    body."""
    bodies, layout = bodies_of(bodies), report.layout
    variables = (*shop_variables(layout), *size_variables(layout))
    found = slopes(layout, [v for v in variables if v.tolerance > 0.0])
    return judged(report, found, bodies)


def judged(report: Report, found: Slopes, bodies: int) -> Report:
    """The report with the chances that follow from those slopes; variables without a tolerance are
    left out."""
    real = [k for k, v in enumerate(found.variables) if v.tolerance > 0.0]
    variables, up, down = [found.variables[k] for k in real], found.up[real], found.down[real]
    low = found.rows.least(found.margins + np.minimum(np.minimum(up, down), 0.0).sum(axis=0))
    low = np.minimum(low, np.where(found.followed, at_corners(report.layout, found), np.inf))
    high = found.rows.least(found.margins + np.maximum(np.maximum(up, down), 0.0).sum(axis=0))
    chances = np.where(low >= -SLACK, 1.0, 0.0)
    open_ = np.flatnonzero((low < -SLACK) & (high >= -SLACK))
    accepted = {f.identity for f in report.findings if f.waiver}
    counted = np.array([f.identity not in accepted for f in found.findings], bool)
    nets = (f for f in report.findings if f.check in NETS and f.status in ("fail", "error"))
    lost = any(f.identity not in accepted for f in (*found.fixed, *nets))
    lost = lost or bool(((high < -SLACK) & counted).any())
    drawn, _ = _draw(found, up, down, variables, open_, bodies)
    chances[open_] = drawn.holds / bodies
    drawn, names = _draw(found, up, down, variables, open_[counted[open_]], bodies)
    gains = zip(names, (drawn.halved - drawn.all) / bodies)
    by_group = {v.group: v for v in variables}
    tighten = tuple(
        Tighten(g, by_group[g].tolerance, by_group[g].unit, float(gain))
        for g, gain in sorted(gains, key=lambda row: (-row[1], row[0]))
        if gain > 0.0 and not lost
    )
    rows: dict[Key, tuple[float, float | None]] = {}
    for f, p, worst, followed in zip(found.findings, chances, low, found.followed):
        figure = float((f.limit or 0.0) + (-worst if f.most else worst) + 0.0)
        rows[f.identity] = float(p), figure if followed else None
    sizes = sum(v.kind == "size" for v in variables)
    return replace(
        report,
        findings=tuple(_with(f, rows) for f in report.findings),
        chance=Chance(
            bodies, 0.0 if lost else drawn.all / bodies, tighten, len(variables) - sizes, sizes
        ),
    )


def _draw(
    found: Slopes,
    up: np.ndarray,
    down: np.ndarray,
    variables: list[Variable],
    columns: np.ndarray,
    bodies: int,
) -> tuple[Drawn, list[str]]:
    """Draw bodies for those of the findings; and the groups of the variables that move them."""
    own, columns = found.rows.part(columns)
    rows = np.flatnonzero(((up[:, columns] != 0.0) | (down[:, columns] != 0.0)).any(axis=1))
    some = [variables[k] for k in rows]
    names = list(dict.fromkeys(v.group for v in some))
    groups, block = [names.index(v.group) for v in some], np.ix_(rows, columns)
    streams = [v.name for v in some]
    margins = found.margins[columns]
    return draw(margins, up[block], down[block], streams, groups, bodies, own), names


def _with(finding: Finding, rows: dict[Key, tuple[float, float | None]]) -> Finding:
    if finding.margin is not None and finding.identity in rows:
        chance, worst = rows[finding.identity]
        return replace(finding, chance=chance, worst=worst)
    status, bare = finding.status, finding.margin is None
    if bare and (status in ("fail", "error") or (status == "pass" and finding.value is None)):
        return replace(finding, chance=float(status == "pass"))
    return finding
