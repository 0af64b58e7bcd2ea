"""The chance that each finding holds and that the whole body comes out right, and what to tighten
first.

What is drawn, and how: `draw`. How a figure changes with an error: `slopes`. What can be off:
`variables`. A finding whose worst case holds has the chance 1 and one whose best case fails has 0,
without a draw. A finding that the maker has waived, and one without a failing limit, does not count
for the whole body.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bodycad.chance.draw import SLACK, Drawn, draw
from bodycad.chance.slopes import Slopes, slopes
from bodycad.chance.variables import Variable, shop_variables, size_variables
from bodycad.checks.finding import Finding
from bodycad.checks.outlook import Chance, Tighten
from bodycad.checks.report import Report
from bodycad.errors import InputError

BODIES = 100_000
MOST_BODIES = 10_000_000
Key = tuple[str, tuple[str, ...]]


def bodies_of(value: object) -> int:
    """A number of bodies to draw. Raises InputError for anything but a whole number from 1 to
    MOST_BODIES."""
    text = str(value).strip()
    if not (
        text.isascii() and text.isdigit() and len(text) <= 12 and 1 <= int(text) <= MOST_BODIES
    ):
        raise InputError(
            "the number of bodies to draw",
            value,
            f"a whole number from 1 to {MOST_BODIES}",
            f"write --chance alone for {BODIES}",
        )
    return int(text)


def with_chance(report: Report, bodies: int = BODIES) -> Report:
    """The report with the chance and the worst case of every finding, and the chance of the whole
    body."""
    bodies = bodies_of(bodies)
    variables = [
        v
        for v in (*shop_variables(report.layout), *size_variables(report.layout))
        if v.tolerance > 0.0
    ]
    return judged(report, slopes(report.layout, variables), bodies)


def judged(report: Report, found: Slopes, bodies: int) -> Report:
    """The report with the chances that follow from those slopes; variables without a tolerance are
    left out."""
    real = [k for k, v in enumerate(found.variables) if v.tolerance > 0.0]
    variables, up, down = [found.variables[k] for k in real], found.up[real], found.down[real]
    low = found.margins + np.minimum(np.minimum(up, down), 0.0).sum(axis=0)
    high = found.margins + np.maximum(np.maximum(up, down), 0.0).sum(axis=0)
    chances = np.where(low >= -SLACK, 1.0, 0.0)
    open_ = np.flatnonzero((low < -SLACK) & (high >= -SLACK))
    accepted = {f.identity for f in report.findings if f.waiver}
    counted = np.array([f.identity not in accepted for f in found.findings], bool)
    lost = any(f.identity not in accepted for f in found.fixed) or bool(
        ((high < -SLACK) & counted).any()
    )
    chances[open_] = _draw(found.margins, up, down, variables, open_, bodies).holds / bodies
    rest = open_[counted[open_]]
    drawn = _draw(found.margins, up, down, variables, rest, bodies)
    whole = 0.0 if lost else drawn.all / bodies
    names = list(dict.fromkeys(v.group for v in _moving(up, down, variables, rest)[0]))
    gains = (
        []
        if lost
        else sorted(
            zip(names, (drawn.halved - drawn.all) / bodies), key=lambda row: (-row[1], row[0])
        )
    )
    by_group = {v.group: v for v in variables}
    tighten = tuple(
        Tighten(g, by_group[g].tolerance, by_group[g].unit, float(gain))
        for g, gain in gains
        if gain > 0.0
    )
    rows: dict[Key, tuple[float, float]] = {}
    for f, p, worst in zip(found.findings, chances, low):
        figure = (f.limit or 0.0) + (-worst if f.most else worst) + 0.0
        rows[f.identity] = float(p), float(figure)
    sizes = sum(v.kind == "size" for v in variables)
    return replace(
        report,
        findings=tuple(_with(f, rows) for f in report.findings),
        chance=Chance(bodies, whole, tighten, len(variables) - sizes, sizes),
    )


def _moving(
    up: np.ndarray, down: np.ndarray, variables: list[Variable], columns: np.ndarray
) -> tuple[list[Variable], np.ndarray]:
    """The variables that move any of those findings, and their rows."""
    rows = (
        np.flatnonzero(((up[:, columns] != 0.0) | (down[:, columns] != 0.0)).any(axis=1))
        if len(columns)
        else np.zeros(0, int)
    )
    return [variables[k] for k in rows], rows


def _draw(
    margins: np.ndarray,
    up: np.ndarray,
    down: np.ndarray,
    variables: list[Variable],
    columns: np.ndarray,
    bodies: int,
) -> Drawn:
    """Draw bodies for the findings of those columns, with the variables that move them."""
    some, rows = _moving(up, down, variables, columns)
    names = list(dict.fromkeys(v.group for v in some))
    return draw(
        margins[columns],
        up[np.ix_(rows, columns)],
        down[np.ix_(rows, columns)],
        [v.name for v in some],
        [names.index(v.group) for v in some],
        bodies,
    )


def _with(finding: Finding, rows: dict[Key, tuple[float, float]]) -> Finding:
    if finding.margin is not None and finding.identity in rows:
        chance, worst = rows[finding.identity]
        return replace(finding, chance=chance, worst=worst)
    if finding.margin is None and (
        finding.status in ("fail", "error") or (finding.status == "pass" and finding.value is None)
    ):
        return replace(finding, chance=0.0 if finding.status != "pass" else 1.0)
    return finding
