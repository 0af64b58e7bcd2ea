"""What a simulation says, for a terminal and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bodycad.exports.coordinates import convention
from bodycad.exports.report.chance_text import wrapped
from bodycad.exports.report.json import dumped, finding_json
from bodycad.exports.report.text import finding_lines, verdict_line
from bodycad.exports.simulation import Simulation
from bodycad.simulation.run import Simulated

WRONG = ("error", "fail", "warn")


def simulation_text(done: Simulation, colour: bool = False) -> str:
    """Verdict, figures of each piece and face, what is wrong and where, what was not simulated."""
    report = done.report
    lines = [verdict_line(report, colour), *wrapped(convention(done.layout), "  ", "  ")]
    for one in done.pieces:
        lines += ["", *(row for text in figures(one) for row in wrapped(text, "", "  "))]
    for finding in report.findings:
        if finding.status in WRONG:
            lines += ["", *finding_lines(finding, colour)]
    for finding in report.findings:
        if finding.status == "skip":
            lines += ["", *wrapped(f"{finding.text}.", "", "  ")]
    return "\n".join(lines) + "\n"


def figures(one: Simulated) -> Iterator[str]:
    """What was cut of a piece, in lines."""
    own, grid = one.compared, one.grid
    cells = f"{grid.nx} x {grid.ny} cells of {grid.pitch:g} mm"
    yield f"{one.piece.id}: {cells}, {own.wood / 1000.0:.1f} cm3 of wood left"
    for job in one.jobs:
        tools = {cut.tool.words: None for cut in job.cuts}
        shaped = f", shaped by a {job.heights.tool.words}" if job.heights else ""
        yield f"  {job.face}: {len(job.cuts)} cuts by {len(tools)} tools{shaped}"
    yield f"  walls {grid.judged}"
    left, gouged = (
        sum(patch.volume for patch in patches) for patches in (own.left_at, own.gouged_at)
    )
    yield (
        f"  left: {left:.1f} mm3, and as stated {own.stated:.1f} mm3 in corners and at {one.tabs} "
        f"tabs, {own.within[0]:.1f} mm3 within tolerance"
    )
    yield f"  gouged: {gouged:.1f} mm3, and {own.within[1]:.1f} mm3 within tolerance"


def simulation_json(done: Simulation) -> str:
    """The same as one JSON document: mm and mm3."""
    report = done.report
    document: dict[str, Any] = {
        "design": done.layout.name,
        "revision": done.layout.revision,
        "hand": done.layout.hand,
        "units": "mm",
        "verdict": report.verdict,
        "coordinates": convention(done.layout),
        "pieces": [_piece(one) for one in done.pieces],
        "findings": [finding_json(one, report) for one in report.findings],
    }
    return dumped(document)


def _piece(one: Simulated) -> dict[str, Any]:
    own = one.compared
    return {
        "piece": one.piece.id,
        "pitch": one.grid.pitch,
        "wood": round(own.wood, 1),
        "left": round(sum(patch.volume for patch in own.left_at), 2),
        "gouged": round(sum(patch.volume for patch in own.gouged_at), 2),
        "left_as_stated": round(own.stated, 2),
        "left_within_tolerance": round(own.within[0], 2),
        "missing_within_tolerance": round(own.within[1], 2),
        "tabs": one.tabs,
        "files": [job.name for job in one.jobs],
        "by_hand": dict(one.target.by_hand),
    }
