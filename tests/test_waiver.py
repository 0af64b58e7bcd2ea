"""Waivers: what is accepted holds with its reason, what goes beyond says by how much, what is stale
warns."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from bodycad.checks.finding import Finding, judge
from bodycad.checks.runner import run
from bodycad.checks.table import CHECKS, MANUAL, TOPICS
from bodycad.checks.waive import waive
from bodycad.design import Design
from bodycad.errors import InputError
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import check_page, report_text
from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.volume import BodyFigures
from bodycad.shop import Limit
from bodycad.waiver import Waiver
from tests import sample
from tests.checks.bench import TABLE, board, cut

WALL = (TABLE["wall"],)
REASON = "both are covered by the ring"
X = {"x": ("x",)}
"""The codes of a check by the name of x."""
BODY = BodyFigures(120000.0, 5e6, 2.1, (1.0, 0.0, -21.5))


def waived(*waivers: Waiver, wall: float = 1.5, checks=WALL):
    """The report on a board where two round pockets of 20 mm stand `wall` mm apart."""
    parts = [
        cut(name, Prism(circle(20.0, x), -10.0, 0.0))
        for name, x in (("one", 0.0), ("two", 20.0 + wall))
    ]
    return run(replace(board(*parts), waivers=waivers), checks)


def thin(accepts: float | None = 1.5, **changes) -> Waiver:
    return Waiver(
        **{
            "code": "wall",
            "subjects": ("one.cut", "two.cut"),
            "accepts": accepts,
            "reason": REASON,
            **changes,
        }
    )


@pytest.mark.parametrize("wall, before", [(1.5, "fail"), (4.0, "warn")])
def test_what_is_accepted_holds(wall, before):
    """A failing or warning wall becomes a pass that carries the reason; the verdict follows, and it
    counts apart."""
    assert waived(wall=wall).verdict == before
    report = waived(thin(wall), wall=wall)
    found = next(f for f in report.findings if f.subjects)
    assert (report.verdict, report.exit_status, found.status, found.waiver, found.cure) == (
        "pass",
        0,
        "pass",
        REASON,
        "",
    )
    assert found.value == pytest.approx(wall) and report.waived == (found,)
    assert report.count("pass") == len(report.findings) - 1


def test_subjects_in_any_order_and_one_as_text():
    assert waived(thin(subjects=("two.cut", "one.cut"))).verdict == "pass"
    assert Waiver("floor", "one.cut", 2.0, REASON).subjects == ("one.cut",)


def test_worse_than_accepted_stays_and_says_by_how_much():
    """1.5 mm of wall where 2.0 is accepted: 0.50 beyond; nothing is stale."""
    report = waived(thin(2.0))
    found = next(f for f in report.findings if f.subjects)
    assert report.verdict == "fail" and found.status == "fail" and found.waiver == "" and found.cure
    assert found.text.endswith("0.50 mm beyond its waiver, which accepts 2 mm")
    assert not [f for f in report.findings if f.check == "waiver"]


def test_a_hair_worse_is_not_accepted():
    assert "less than 0.01 mm beyond" in waived(thin(1.501)).findings[0].text


def test_the_error_bound_counts_against_it():
    """1.50 to within 0.01 is not surely 1.50, and is surely 1.49."""
    close = judge(("a",), 1.5, Limit(3.0, 5.0), "a figure", "mend it", bound=0.01, code="x")
    for accepts, status in ((1.5, "fail"), (1.49, "pass")):
        assert waive([close], [Waiver("x", "a", accepts, REASON)], ["x"], X)[0].status == status


def test_a_limit_from_above():
    """3.2 where at most 2.5 is allowed: accepted up to 3.3, not up to 3.0."""
    wide = judge(("a",), 3.2, Limit(2.5, 1.5, most=True), "a figure", "mend it", code="x")
    for accepts, status in ((3.3, "pass"), (3.2, "pass"), (3.0, "fail")):
        assert waive([wide], [Waiver("x", "a", accepts, REASON)], ["x"], X)[0].status == status


def test_a_finding_without_a_figure():
    """Something that is missing is accepted by name; a figure does not cover it, nor the
    reverse."""
    gone = Finding("x", "fail", ("a",), "no hole", cure="drill it")
    assert waive([gone], [Waiver("x", "a", None, REASON)], ["x"], X)[0].status == "pass"
    found = waive([gone], [Waiver("x", "a", 1.0, REASON)], ["x"], X)[0]
    assert found.status == "fail" and "no figure" in found.text
    assert "names no figure" in next(f for f in waived(thin(None)).findings if f.subjects).text


def test_an_error_is_never_waived():
    """A check that broke leaves its waivers as they are: neither used nor stale."""
    broken = Finding("x", "error", ("a",), "it broke")
    assert waive([broken], [Waiver("x", "a", None, REASON)], ["x"], X) == [broken]


def test_a_waiver_that_is_no_longer_needed():
    """8 mm of wall hold by themselves: the waiver is reported, with what to do; other findings are
    as before."""
    report = waived(thin(), wall=8.0)
    stale = [f for f in report.findings if f.check == "waiver"]
    assert report.verdict == "warn" and [f.status for f in stale] == ["warn"]
    assert "holds without it (8.00 mm)" in stale[0].text and "remove this waiver" in stale[0].cure
    assert [f for f in report.findings if f.check != "waiver"] == list(waived(wall=8.0).findings)


def test_a_waiver_that_matches_nothing():
    """A wrong id is no waiver: the wall still fails, and the nearest subjects are named."""
    report = waived(thin(subjects=("one.cut", "too.cut")))
    stale = next(f for f in report.findings if f.check == "waiver")
    assert (
        report.verdict == "fail"
        and "matches no finding" in stale.text
        and "nearest: wall of one.cut, two.cut" in stale.cure
    )


def test_a_code_accepts_nothing_of_another_code():
    """`bolt-seat` is a code as well as a check: it covers no `bolt-seat.wall`."""
    seat = judge(("a",), -1.0, Limit(0.0, 0.5), "a seat", "mend it", code="x")
    wall = judge(("a",), 1.0, Limit(3.0, 4.0), "a wall", "mend it", code="x.wall")
    known = {"x": ("x", "x.wall")}
    for code, statuses in (("x", ["pass", "fail"]), ("x.wall", ["fail", "pass"])):
        found = waive([seat, wall], [Waiver(code, "a", -1.0, REASON)], ["x"], known)
        assert [f.status for f in found] == statuses
    stale = waive([seat, wall], [Waiver("x.wal", "a", 1.0, REASON)], ["x"], known)[-1]
    assert stale.code == "waiver.x.wal" and "nearest: x.wall of a" in stale.cure


def test_a_waiver_of_a_check_that_was_not_asked_is_let_be():
    assert [
        f
        for f in waived(thin(), checks=(TABLE["floor"],)).findings
        if f.check in ("waiver", "wall")
    ] == []


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: thin(reason="  "), "the reason of the waiver for wall of one.cut, two.cut"),
        (lambda: thin(reason=None), "words that say why"),
        (lambda: thin(float("nan")), "accepts"),
        (lambda: thin(True), "accepts"),
        (lambda: thin(code=""), "the code of the waiver"),
        (lambda: thin(subjects=()), "the subjects of the waiver for wall"),
        (lambda: thin(subjects=("one.cut", 2)), "the subjects of the waiver for wall"),
        (
            lambda: replace(
                sample.design(), waivers=(thin(), thin(2.0, subjects=("two.cut", "one.cut")))
            ),
            "one for each finding",
        ),
        (lambda: replace(sample.design(), waivers=("wall",)), "item 1 of the design's waivers"),
        (lambda: replace(sample.design(), waivers=thin()), "the design's waivers"),
        (lambda: run(replace(board(), waivers=(thin(code="wal"),))), "did you mean wall"),
        (lambda: run(replace(board(), waivers=(thin(code="walls.x"),))), "did you mean wall"),
        (
            lambda: run(replace(board(), waivers=(thin(code="cover-fit"),))),
            "cover-fit.boss, .*cover-fit.season. cover-fit is a check; name the code",
        ),
    ],
)
def test_bad_input_is_one_input_error(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_a_design_hands_them_on_and_a_left_hand_keeps_them():
    """The same ids, so the same waiver: both bodies accept the same finding and have no stale
    one."""
    parts = tuple(
        cut(name, Prism(circle(20.0, x, 7.0), -10.0, 0.0))
        for name, x in (("one", 0.0), ("two", 21.5))
    )
    for left_handed in (False, True):
        design = replace(sample.design(left_handed=left_handed), parts=parts, waivers=[thin()])
        assert isinstance(design, Design) and design.layout().waivers == (thin(),)
        found = design.check()
        assert [f.subjects for f in found.waived] == [("one.cut", "two.cut")]
        assert not [f for f in found.findings if f.check == "waiver"]


def test_every_report_shows_it():
    """Text: counted apart, with figure and reason, and not among what holds. HTML and JSON: the
    reason; JSON only where set."""
    report = waived(thin())
    text = report_text(report)
    assert text.startswith("bench: PASS  (0 fail, 0 warn, 1 hold, 1 waived)\n")
    assert (
        f"waived: {REASON}" in text
        and "short by 1.50 mm" in text
        and "Tightest of what holds" not in text
    )
    page = html_text(report, (BODY,))
    assert f"waived: {REASON}" in page and "1 waived" in page and "short by 1.50 mm" in page
    rows = {tuple(f["subjects"]): f for f in json_report(report, (BODY,))["findings"]}
    assert rows["one.cut", "two.cut"]["waiver"] == REASON and "waiver" not in rows[()]
    assert json.dumps(rows["one.cut", "two.cut"]) and rows["one.cut", "two.cut"]["status"] == "pass"


def test_the_manual_has_a_page():
    """It has no limit of its own, and is not one of the checks that are put to a layout."""
    page = next(one for one in MANUAL if one.name == "waiver")
    assert "waiver" not in {check.name for check in CHECKS}
    assert len(MANUAL) == len(CHECKS) + len(TOPICS)
    text = check_page(page)
    assert text.startswith("waiver\n") and "Cures:" in text and "Limit" not in text
