"""What `bodycad pattern` prints: the widest pattern beside the present one, as text or JSON."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.rules.loads import HELD
from bodycad.checks.runner import run
from bodycad.exports.cautions import of_pattern
from bodycad.exports.coordinates import HEEL, convention, script, wood
from bodycad.exports.dxf.heels import screws_words
from bodycad.exports.report.json import dumped
from bodycad.layout.layout import Layout
from bodycad.pattern.standing import Standing, standing_of
from bodycad.pattern.widest import (
    Held,
    Pattern,
    Stand,
    pattern_of,
    widest_pattern,
    with_screws,
)
from bodycad.safety import ADVICE
from bodycad.version import VERSION

WIDTH = 79
MODEL = (
    "A rigid heel on equal springs: the strings tip it over its bridge-side end, a push over the "
    "pocket's mouth, a twist over one of its sides, until the first screw draws out of the neck; "
    "a knock aside turns it in the pocket until the first screw stays bent. How tight the screws "
    "are, friction and the pocket's walls are left out; push, knock and twist are assumed. Advice, "
    "no promise."
)
WIDEST = (
    "Widest: of the patterns that hold every load with the reserve that joint-load asks, the one "
    "that reaches farthest from the middle of the heel the way that it reaches least; then the one "
    "that encloses most; symmetric where that costs little."
)


@dataclass(frozen=True, eq=False)
class Comparison:
    """The map of a neck, its present screws, the widest pattern (None: there is none) and the
    report of the same body with that pattern."""

    layout: Layout
    count: int
    map: Standing
    present: Pattern
    widest: Pattern | None
    report: Report | None


def compare(layout: Layout, count: int = 4, **wishes: Any) -> Comparison:
    """Search and check the widest pattern; `wishes` as `widest_pattern` takes them."""
    widest = widest_pattern(layout, count, **wishes)
    kept = {name: wishes[name] for name in ("options", "grid", "neck") if name in wishes}
    strict = wishes.get("strict", True)
    found = standing_of(layout, strict=strict, **kept)
    neck = found.neck.id
    report = run(with_screws(layout, neck, widest.screws)) if widest else None
    present = pattern_of(layout, neck=neck, strict=strict)
    return Comparison(layout, count, found, present, widest, report)


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
        "coordinates": {
            "u, v": HEEL,
            "wood": wood(found.layout),
            "script": script(found.layout) or None,
        },
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
        "loads": [
            {"load": h.load.name, "words": h.load.words, "reserve": h.reserve, **_size(h)}
            for h in found.present.held
        ],
        "present": _document(found.present),
        "widest": _document(found.widest) if found.widest else None,
        "widest_report": _verdict(found.report) if found.report else None,
        "safety": [
            {"topic": one.danger, "brief": one.brief, "caution": one.words}
            for one in of_pattern(found.layout)
        ],
    }
    return dumped(document)


def load_words(held: Held) -> str:
    """A load in words, with its moment where the words do not say how great it is."""
    words = held.load.words
    return words if held.load.name != "pull" else f"{words}, {held.load.moment / 1000.0:.1f} N m"


def times_words(held: Held) -> str:
    """How many times a load is held; a load of nothing is held anyway."""
    return f"{held.times:.1f}" if held.times < HELD else "any"


def spared(one: Pattern | Stand) -> str:
    """What its tightest check has to spare."""
    return f"{round(one.margin, 2) + 0.0:.2f} mm"


def reach_words(pattern: Pattern) -> str:
    """How far the screws reach every way from the heel's middle."""
    return f"{pattern.lever:.1f} mm" if pattern.lever > 0.0 else "none"


def _lines(found: Comparison) -> Iterator[str]:
    standing, present, widest = found.map, found.present, found.widest
    level = "without a warning" if standing.strict else "without a failure"
    yield f"{found.layout.name}, {standing.neck.id}: where a screw may stand {level}:"
    yield f"  {standing.area:.0f} mm2 of the heel, tried on a {standing.grid:g} mm grid"
    yield from _wrapped(screws_words(standing), "  ")
    for (check, what), places in sorted(standing.counts.items(), key=lambda c: -c[1]):
        yield f"  kept out first by {check}, {what}: {places} places"
    yield ""
    yield from _wrapped(f"u, v: {HEEL}. {convention(found.layout)}")
    yield ""
    if widest is None:
        cure = "carve less, or offer other screws (--screw WOOD,LENGTH)"
        yield from _wrapped(
            f"No pattern of {found.count} screws stands {level}, reaches round the middle of the "
            f"heel and holds every load with its reserve: {cure}."
        )
    else:
        yield from _pattern(f"Widest pattern of {found.count} screws", widest)
    yield ""
    yield from _pattern(f"Present pattern of {len(present.stands)} screws", present)
    yield ""
    yield from _loads(present, widest)
    if found.report is not None:
        yield ""
        yield f"The body with the widest pattern: {found.report.verdict.upper()}"
        for finding in _bad(found.report):
            yield from _wrapped(f"{finding.check} {finding.status}: {finding.text}", "  ")
    for words in (WIDEST, MODEL):
        yield ""
        yield from _wrapped(words)
    yield ""
    yield from _wrapped(f"Working safely. {ADVICE}")
    for caution in of_pattern(found.layout):
        yield from _wrapped(f"{caution.danger}: {caution.words}", "  ")


def _wrapped(words: str, indent: str = "") -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent)


def _pattern(title: str, pattern: Pattern) -> Iterator[str]:
    yield f"{title}:"
    yield "       u       v   wood  length  least to spare of its checks"
    for stand in pattern.stands:
        b = stand.screw
        sizes = f"{b.u:6.2f}  {b.v + 0.0:6.2f}  {b.wood:5.2f}  {b.length:6.2f}"
        yield f"  {sizes}  {spared(stand)} {', '.join(stand.check)}"
    yield f"  least of all: {spared(pattern)} {', '.join(pattern.check)}"
    spots = ((c + 0.0 for c in stand.point) for stand in pattern.stands)
    places = ", ".join("({:.2f}, {:.2f})".format(*spot) for spot in spots)
    yield from _wrapped(f"their x, y in the wood: {places}", "  ")


def _loads(present: Pattern, widest: Pattern | None) -> Iterator[str]:
    """What each pattern holds, and how wide it is, side by side."""
    shown = [present] if widest is None else [widest, present]
    names = ["present"] if widest is None else ["widest", "present"]
    yield _row("How many times each load is held", "asked", names)
    for held in zip(*(pattern.held for pattern in shown), strict=True):
        times = [times_words(one) + ("" if one.enough else " !") for one in held]
        yield _row(f"  {load_words(held[0])}", f"{held[0].reserve:g}", times)
    if any(not held.enough for pattern in shown for held in pattern.held):
        yield "  (! less than joint-load asks)"
    yield _row("Least reach from the heel's middle", "", map(reach_words, shown))
    yield _row("Area enclosed", "", (f"{p.area:.0f} mm2" for p in shown))
    yield _row("Symmetric", "", ("yes" if p.symmetric else "no" for p in shown))


def _row(words: str, asked: str, values: Iterable[str]) -> str:
    return f"{words:<42}{asked:>6}" + "".join(f"{value:>12}" for value in values)


def _verdict(report: Report) -> dict[str, Any]:
    rows = [
        {"check": f.check, "status": f.status, "subjects": list(f.subjects), "text": f.text}
        for f in _bad(report)
    ]
    return {"verdict": report.verdict, "findings": rows}


def _document(pattern: Pattern) -> dict[str, Any]:
    screws = [
        {
            **{name: float(getattr(stand.screw, name)) for name in ("u", "v")},
            "x": stand.point[0],
            "y": stand.point[1],
            **{name: float(getattr(stand.screw, name)) for name in ("wood", "length")},
            "holds": stand.holds,
            "slips": stand.slips,
            **_tightest(stand),
        }
        for stand in pattern.stands
    ]
    return {
        "screws": screws,
        "times": {held.load.name: held.times for held in pattern.held},
        "lever": pattern.lever,
        "area": pattern.area,
        "symmetric": pattern.symmetric,
        **_tightest(pattern),
    }


def _size(held: Held) -> dict[str, float]:
    """The moment of a load that tips the heel, the force of one that does not."""
    if held.load.edge is None:
        return {"force": held.load.force}
    return {"moment": held.load.moment}


def _tightest(one: Pattern | Stand) -> dict[str, Any]:
    margin = float(one.margin) if math.isfinite(one.margin) else None
    return {"margin": margin, "check": one.check[0], "figure": one.check[1]}


def _bad(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.status in ("error", "fail", "warn")]
