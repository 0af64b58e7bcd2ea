"""Sections along each neck screw toward the nearest carve, and the heel's place in the report."""

import re
import xml.etree.ElementTree as ET

import pytest

from bodycad.checks.runner import run
from bodycad.exports.report.evidence_html import evidence
from bodycad.exports.report.html import html_text
from bodycad.exports.sections.heel import BEHIND, draw_heel, heel_lines
from bodycad.parts.neckjoint import Bolt
from tests.checks.bench import bevel, board, necked

BOLTS = Bolt(13.0, -16.0, 18.0), Bolt(60.0, -16.0, 18.0), Bolt(60.0, 16.0, 20.0)
CARVE = bevel("back", (190.0, 0.0), 0.0)
"""Falls 0.25 mm a mm from x = 190 toward the nut; the body ends at x = 200."""


@pytest.fixture(scope="module")
def layout():
    """Screws at x = 137, 184 and 184; seats 18, 18 and 20 mm under a pocket 17 mm deep."""
    return board(necked(*BOLTS), contours=(CARVE,))


def words_of(svg):
    root = ET.fromstring(svg)
    return [t.text for t in root.iter() if t.tag.rpartition("}")[2] == "text"]


def test_each_screw_has_a_section_square_to_the_border_that_comes_nearest(layout):
    lines = heel_lines(layout)
    assert [one.line.title for one in lines] == [
        f"neck screw {k}, toward contour.back" for k in (1, 2, 3)
    ]
    for one, (x, y) in zip(lines, ((137.0, -16.0), (184.0, -16.0), (184.0, 16.0))):
        (ax, ay), (bx, by) = one.line.one, one.line.two
        assert (ax, ay) == pytest.approx((x - BEHIND, y)) and by == pytest.approx(y)
        assert bx > 200.0, "past the carve and the side"
        assert one.along == BEHIND and one.toward == "contour.back"


def test_all_stand_at_one_scale(layout):
    spans = {round(one.line.two[0] - one.line.one[0], 6) for one in heel_lines(layout)}
    assert len(spans) == 1


def test_inside_a_carve_the_section_still_looks_to_where_it_deepens():
    """A screw beyond the border: away from it, not back to the plain wood."""
    layout = board(necked(*BOLTS), contours=(bevel("back", (170.0, 0.0), 0.0),))
    second = heel_lines(layout)[1]
    assert second.line.two[0] > second.line.one[0]


def test_without_a_carve_it_looks_to_the_edge():
    (first, *_) = heel_lines(board(necked(*BOLTS)))
    assert first.toward == "edge"
    assert not heel_lines(board())


def test_the_figures_of_the_joint_are_drawn(layout):
    """Screw 2: seat 18 mm under the pocket's floor at -17, a screw of 35 mm whose head stands 2 mm
    under the seat: 15 mm of thread, the board's underside at -17 + 19 = 2 and the tip at -2. The
    carve reaches the seat's level at -35 past the side: the wood ends at x = 200, 16 mm from the
    axis."""
    one = heel_lines(layout)[1]
    svg, keys = draw_heel(layout, one)
    shown = words_of(svg)
    assert {"wood 18.0", "grip 15.0", "tip 4.0"} <= set(shown), shown
    land = next(w for w in shown if w.startswith("land "))
    assert float(land.split()[1]) == pytest.approx(16.0 - one.screw.flange / 2.0, abs=0.06)
    assert re.search(r'class="flange"', svg) and re.search(r'class="string"', svg)
    assert {"neck", "board", "ferrule", "screw"} <= {key.kind for key in keys}
    assert not any(w.startswith("least") for w in shown)


def test_the_heel_stands_first_after_the_verdict(layout):
    """Map, sections, each screw's figures and the heel under the hand, before any long table; where
    something fails, after the three worst."""
    report = run(board(necked(*BOLTS, Bolt(13.0, 16.0, 18.0)), contours=(CARVE,)))
    page = html_text(report)
    heel, plans, findings = (page.index(f'id="{name}"') for name in ("heel", "plans", "findings"))
    assert page.index('class="verdict') < heel < plans < findings
    assert (page.index('id="least"') < heel) is (report.verdict == "fail")
    part = page[heel:plans]
    assert part.count("neck screw ") >= 3 and "under the hand at the last frets" in part
    for head in ("seat in", "head under", "wood", "grip", "tip"):
        assert head in part
    link = page.index('href="#safety"')
    assert link < heel and "string tension" in page[link : link + 200]


@pytest.mark.parametrize("x, sections", [(190.0, 3), (400.0, 0)])
def test_a_neck_beside_the_body_breaks_no_report(x, sections):
    """Screws that stand in the air have no section; what fails says so, and the page is whole."""
    layout = board(necked(*BOLTS, x=x))
    assert len(heel_lines(layout)) == sections
    ET.fromstring(f"<div>{evidence(run(layout))}</div>")
