"""What `bodycad pattern` prints: the best pattern beside the present one, as text or JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.exports.dxf.heels import screws_words
from bodycad.layout.layout import Layout
from bodycad.pattern.best import Pattern, Stand, best_pattern, pattern_of, with_screws
from bodycad.pattern.standing import Standing, standing_of
from bodycad.version import VERSION

OTHER_WAYS = (
    ("back", "pushed back, about the mouth"),
    ("bass", "rolled about the bass side"),
    ("treble", "rolled about the treble side"),
)


@dataclass(frozen=True, eq=False)
class Comparison:
    """The map of a neck, its present screws, the best pattern (None: there is none) and the report
    of the same body with that pattern."""

    layout: Layout
    count: int
    map: Standing
    present: Pattern
    best: Pattern | None
    report: Report | None


def compare(layout: Layout, count: int = 4, **wishes: Any) -> Comparison:
    """Search and check the best pattern; `wishes` as `best_pattern` takes them."""
    best = best_pattern(layout, count, **wishes)
    kept = {name: wishes[name] for name in ("options", "grid", "neck") if name in wishes}
    found = standing_of(layout, strict=wishes.get("strict", True), **kept)
    neck = found.neck.id
    report = run(with_screws(layout, neck, best.screws)) if best else None
    return Comparison(layout, count, found, pattern_of(layout, neck=neck), best, report)


def text(found: Comparison) -> str:
    """The comparison for a terminal."""
    return "\n".join(_lines(found)) + "\n"


def json_text(found: Comparison) -> str:
    """The comparison as one JSON document: mm, N, N mm."""
    standing = found.map
    document = {
        "design": found.layout.name,
        "units": "mm",
        "version": VERSION,
        "neck": standing.neck.id,
        "count": found.count,
        "grid": standing.grid,
        "options": [{"wood": o.wood, "length": o.length} for o in standing.options],
        "limits": "warn" if standing.strict else "fail",
        "standing": {
            "area": standing.area,
            "places": int(standing.any.sum()),
            "tried": int(standing.any.size),
            "kept_out": [
                {"check": check, "figure": what, "places": n}
                for (check, what), n in standing.counts.items()
            ],
        },
        "present": _document(found.present),
        "best": _document(found.best) if found.best else None,
        "best_report": _verdict(found.report) if found.report else None,
    }
    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def newton_metres(moment: float) -> str:
    """A moment in N mm, shown in N m."""
    return f"{moment / 1000.0:.0f} N m"


def spared(one: Pattern | Stand) -> str:
    """What its tightest check has to spare."""
    return f"{round(one.margin, 2) + 0.0:.2f} mm"


def _lines(found: Comparison) -> Iterator[str]:
    standing, present, best = found.map, found.present, found.best
    level = "without a warning" if standing.strict else "without a failure"
    yield (
        f"{found.layout.name}, {standing.neck.id}: where a screw may stand {level}: "
        f"{standing.area:.0f} mm2 of the heel"
    )
    yield f"  ({standing.grid:g} mm grid; {screws_words(standing)})"
    for (check, what), places in sorted(standing.counts.items(), key=lambda c: -c[1]):
        yield f"  kept out first by {check}, {what}: {places} places"
    yield ""
    if best is None:
        cure = "carve less, or offer other screws (--screw WOOD,LENGTH)."
        yield f"No pattern of {found.count} screws stands {level}: {cure}"
    else:
        yield from _pattern(f"Best pattern of {found.count} screws", best)
    yield ""
    yield from _pattern(f"Present pattern of {len(present.stands)} screws", present)
    if best is not None:
        yield ""
        if present.moments.pull > 0.0:
            ratio = best.moments.pull / present.moments.pull
            yield f"The best pattern resists {ratio:.2f} times what the present one does."
        assert found.report is not None
        yield f"The body with the best pattern: {found.report.verdict.upper()}"
        for finding in _bad(found.report):
            yield f"  {finding.check} {finding.status}: {finding.text}"
    yield ""
    yield "Model: a rigid heel turned about its bridge-side end until the first screw draws out;"
    yield "clamping, friction and knocks are left out. Advice, no promise."


def _pattern(title: str, pattern: Pattern) -> Iterator[str]:
    times = ""
    if pattern.times is not None:
        times = f", {pattern.times:.1f} times the strings' {pattern.needed / 1000.0:.1f} N m"
    yield f"{title}: resists {newton_metres(pattern.moments.pull)}{times}"
    yield "       u       v    wood  length   holds   tightest of its checks"
    for stand in pattern.stands:
        b = stand.screw
        sizes = f"{b.u:6.2f}  {b.v + 0.0:6.2f}  {b.wood:6.2f}  {b.length:6.2f}"
        yield f"  {sizes}  {stand.holds:4.0f} N   {spared(stand)} {', '.join(stand.check)}"
    yield f"  tightest of all: {spared(pattern)}, {', '.join(pattern.check)}"
    yield "  the other ways: " + "; ".join(
        f"{newton_metres(getattr(pattern.moments, name))} {words}" for name, words in OTHER_WAYS
    )


def _verdict(report: Report) -> dict[str, Any]:
    rows = [
        {"check": f.check, "status": f.status, "subjects": list(f.subjects), "text": f.text}
        for f in _bad(report)
    ]
    return {"verdict": report.verdict, "findings": rows}


def _document(pattern: Pattern) -> dict[str, Any]:
    moments = pattern.moments
    screws = [
        {
            **{name: float(getattr(stand.screw, name)) for name in ("u", "v")},
            "x": stand.point[0],
            "y": stand.point[1],
            **{name: float(getattr(stand.screw, name)) for name in ("wood", "length")},
            "holds": stand.holds,
            **_tightest(stand),
        }
        for stand in pattern.stands
    ]
    ways = {f"moment_{name}": getattr(moments, name) for name, _ in OTHER_WAYS}
    pull = {"strings_moment": pattern.needed, "times": pattern.times}
    return {"screws": screws, "moment": moments.pull, **ways, **pull, **_tightest(pattern)}


def _tightest(one: Pattern | Stand) -> dict[str, Any]:
    margin = float(one.margin) if math.isfinite(one.margin) else None
    return {"margin": margin, "check": one.check[0], "figure": one.check[1]}


def _bad(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.status in ("error", "fail", "warn")]
