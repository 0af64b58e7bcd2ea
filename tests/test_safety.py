"""Cautions stand where the danger is: those that concern a design, a sheet, a page."""

import json

import pytest

from bodycad.checks.runner import run
from bodycad.checks.table import MANUAL
from bodycad.exports.cautions import of_design, of_pattern, of_sheet
from bodycad.exports.dxf.annotate import annotated_document
from bodycad.exports.pattern_text import compare, json_text, text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import check_page, report_text
from bodycad.geometry.solids.bore import bore
from bodycad.safety import ADVICE, CAUTIONS, Danger
from bodycad.shop import Shop
from tests.checks.bench import board, controls, cut, necked, pocket


def dangers(cautions):
    return {one.danger for one in cautions}


def test_every_danger_has_words_of_both_lengths():
    """One line fits a drawing and a terminal; the full words say more."""
    assert list(CAUTIONS) == list(Danger)
    for danger, one in CAUTIONS.items():
        assert one.danger is danger and len(f"{danger}: {one.brief}") <= 94
        assert len(one.words) > len(one.brief) and one.words.endswith(".")
    for word in ("local codes", "data sheets", "licensed"):
        assert word in ADVICE


def test_a_plain_board_is_routed_and_nothing_more():
    """No neck, no wire, no long hole: nothing of string tension, mains or drills."""
    found = dangers(of_design(board(pocket("p", 0.0, 0.0, 60.0, 40.0, 10.0))))
    assert {Danger.ROUTER, Danger.DUST, Danger.NOISE, Danger.TRIAL, Danger.FINISH} <= found
    assert not found & {Danger.NECK, Danger.DRILL}
    bare = board(pocket("p", 0.0, 0.0, 60.0, 40.0, 10.0), shop=Shop(finish=0.0))
    assert Danger.FINISH not in dangers(of_design(bare))


def test_screws_of_a_neck_bring_string_tension_where_they_are_drilled():
    """On the back, from which they are driven; a glued neck brings none."""
    layout = board(necked())
    assert Danger.NECK in dangers(of_design(layout)) & dangers(of_pattern(layout))
    assert Danger.NECK in dangers(of_sheet(layout, layout.body, "back"))
    assert Danger.NECK not in dangers(of_sheet(layout, layout.body, "front"))


@pytest.mark.parametrize(
    "direction, length, long",
    [
        ((0.0, 0.0, -1.0), 20.0, False),
        ((0.0, 0.0, -1.0), 31.0, True),
        ((1.0, 0.0, -1.0), 9.0, True),
    ],
)
def test_a_hole_is_long_at_ten_diameters_or_at_an_angle(direction, length, long):
    hole = cut("h", bore((0.0, 0.0, 0.0), direction, 3.0, length), "front", "BORE")
    layout = board(hole)
    assert (Danger.DRILL in dangers(of_design(layout))) is long
    assert (Danger.DRILL in dangers(of_sheet(layout, layout.body, "front"))) is long
    assert Danger.DRILL not in dangers(of_sheet(layout, layout.body, "back"))


def test_wires_bring_the_mains():
    assert Danger.MAINS in dangers(of_design(board(controls(), necked())))


def test_the_verdict_and_the_document_carry_them():
    """On the terminal one line each, in JSON under `safety` in full."""
    report = run(board(necked()))
    words = " ".join(report_text(report).split())
    rows = {row["topic"]: row for row in json_report(report)["safety"]}
    assert rows["General"]["caution"] == ADVICE
    for one in of_design(report.layout):
        assert f"{one.danger}: {one.brief}" in words
        assert rows[one.danger]["caution"] == one.words
    assert len(rows) == 1 + len(of_design(report.layout))


@pytest.mark.parametrize(
    "name, danger",
    [
        ("drill-reach", Danger.DRILL),
        ("wire-path", Danger.DRILL),
        ("wire-path", Danger.MAINS),
        ("cutter-reach", Danger.ROUTER),
        ("joint-load", Danger.NECK),
    ],
)
def test_pages_of_dangerous_work_carry_them(name, danger):
    page = " ".join(check_page(next(one for one in MANUAL if one.name == name)).split())
    assert "Care:" in page and CAUTIONS[danger].words in page


def test_annotated_drawings_carry_those_of_their_face():
    layout = board(necked())
    for face in ("front", "back"):
        doc = annotated_document(layout, face)
        shown = [e.dxf.text for e in doc.modelspace().query("TEXT")]
        for one in of_sheet(layout, layout.body, face):
            assert f"{one.danger}: {one.brief}" in shown
        neck = any(line.startswith(f"{Danger.NECK}:") for line in shown)
        assert neck is (face == "back")


def test_the_pattern_of_neck_screws_says_to_slacken_the_strings():
    found = compare(board(necked()), 4, grid=4.0)
    assert CAUTIONS[Danger.NECK].words in " ".join(text(found).split())
    assert "String tension" in [row["topic"] for row in json.loads(json_text(found))["safety"]]
