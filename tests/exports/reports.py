"""Made-up reports and small readers of SVG for the tests of the renderers."""

import math
import re
from dataclasses import replace

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.report import Report, sorted_findings
from bodycad.shop import Limit
from bodycad.units import Dimension
from tests import sample

AT = ((60.0, 45.0, -10.0), (60.0, 47.5, -10.0))
FINDINGS = (
    judge(
        ("a.route", "b.cavity"),
        2.5,
        Limit(3.0, 5.0, "a made-up table"),
        "a.route & b.cavity are <near>",
        "move one",
        at=AT,
        bound=0.01,
        code="wall",
    ),
    judge(
        ("b.cavity",),
        4.0,
        Limit(3.0, 5.0),
        "4 mm under b.cavity",
        "leave more",
        at=((-60.0, -60.0, -7.0), (-60.0, -60.0, 0.0)),
        code="floor",
    ),
    judge(
        ("neck",),
        0.5,
        Limit(2.0, 1.0, most=True),
        "half a degree",
        "straighten",
        unit="deg",
        code="tilt",
    ),
    judge(("a.route", "wire"), 9.0, Limit(3.0, 5.0), "9 mm apart", "move one", at=AT, code="wall"),
    judge(("a.ears", "wire"), 30.0, Limit(3.0, 5.0), "30 mm apart", "move one", at=AT, code="wall"),
    failed("complete", ("bridge",), "no screws", "place screws"),
    passed("breakout", ("a.route",), "leaves the wood on its own faces"),
    skip("swing", "nothing swings here"),
    Finding("broken", "error", (), "the check gave no answer", cure="report it"),
)
DIMENSIONS = (
    Dimension("neck.heel", "length", 76.0, "mm", "default", 3.0),
    Dimension("neck.heel", "width", 56.1, "mm", "measured", 0.05, 56.0),
    Dimension("jack", "plug", 30.0, "mm", "default", 1.0),
    Dimension("jack", "cup", 22.2, "mm", "claimed", 0.0),
    Dimension("instrument", "modulus_gpa", 200.0, "GPa", "default", 8.0),
)


def report(*findings, dimensions=DIMENSIONS, parameters=None, **changes):
    """A report of the sample body with the given findings (FINDINGS when there are none)."""
    layout = replace(
        sample.design(**changes).layout(),
        parameters=parameters or {"width": 60.0, "left_handed": False},
    )
    return Report(layout, sorted_findings(list(findings or FINDINGS)), tuple(dimensions))


def path_area(data):
    """Area and box of SVG path data made of M, L, A (circular) and Z, by Green's theorem on true
    arcs."""
    area, box = 0.0, [math.inf, math.inf, -math.inf, -math.inf]
    for loop in data.split("M")[1:]:
        words = re.findall(r"([LA])([^LAZM]*)", loop)
        here = start = tuple(map(float, re.match(r"[^LAZ]*", loop)[0].split()))
        for kind, text in [*words, ("L", f"{start[0]} {start[1]}")]:
            numbers = list(map(float, text.split()))
            there = numbers[-2], numbers[-1]
            area += (here[0] * there[1] - there[0] * here[1]) / 2.0
            if kind == "A":
                radius, large, turn = numbers[0], numbers[3], numbers[4]
                chord = math.dist(here, there)
                sweep = 2.0 * math.asin(min(chord / (2.0 * radius), 1.0))
                sweep = 2.0 * math.pi - sweep if large else sweep
                area += (1.0 if turn else -1.0) * radius**2 * (sweep - math.sin(sweep)) / 2.0
            box = [
                min(box[0], there[0]),
                min(box[1], there[1]),
                max(box[2], there[0]),
                max(box[3], there[1]),
            ]
            here = there
    return abs(area), tuple(box)
