"""`build --proof`: every gap finding measured again by the kernel, and what is said when the two
disagree."""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from bodycad.checks.finding import Finding, judge, judge_gap
from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.design import build
from bodycad.exports.report.html import html_text
from bodycad.exports.report.json import json_report
from bodycad.exports.report.text import report_text
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.within import contour_gap_within
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.shop import Limit
from bodycad.solid import child, compare, proof
from tests import sample
from tests.checks.bench import bevel

DESIGNS = Path(__file__).parents[2] / "designs"
LIMIT = Limit(3.0, 5.0, "a made-up table")
TOUCHING = (
    "floor",
    "wall",
    "edge",
    "ferrule-wall",
    "string-holes",
    "bolt-edge",
    "pocket-fit",
    "ring-cover",
    "jack-path",
    "control-reach",
    "pilot-tip",
    "land",
)


def made(name: str):
    """A design of the gallery by its file's name, or the sample."""
    sys.path.insert(0, str(DESIGNS))
    try:
        return sample.design() if name == "sample" else __import__(name).design()
    finally:
        sys.path.remove(str(DESIGNS))


@cache
def measured(name: str, change: str) -> tuple[Report, tuple, list]:
    """The report of a design, its questions, and the kernel's answers."""
    design = made(name)
    if change == "left":
        design = replace(design, left_handed=True)
    elif change == "plain":
        design = replace(design, skin=replace(design.skin, contours=()))
    report = run(design.layout())
    asked = compare.questions(report.findings, design.layout().pieces[1:])
    return report, asked, proof.measure(design.layout().skin, [question for _, question in asked])


EVERY = [(path.stem, "") for path in sorted(DESIGNS.glob("*.py"))] + [
    ("teasel", "left"),
    ("teasel", "plain"),
    ("sample", ""),
]


@pytest.mark.parametrize("name, change", EVERY)
def test_every_gap_of_every_design_agrees(name, change):
    report, asked, answers = measured(name, change)
    assert len(asked) >= (5 if name == "sample" else 55)
    for (k, _), answer in zip(asked, answers, strict=True):
        one = report.findings[k]
        assert isinstance(answer, float), (one.check, one.subjects, answer)
        assert abs(answer - one.value) <= compare.AGREE + one.bound, (
            one.check,
            one.subjects,
            one.value,
            answer,
        )
    *rest, last = compare.compared(report.findings, answers)
    assert (
        last.check == "proof"
        and last.status == "pass"
        and last.text.startswith(f"{len(asked)} gaps measured again by the kernel")
    )
    assert all(f.check != "proof" for f in rest) and sum(f.proof is not None for f in rest) == len(
        asked
    )


def test_every_kind_of_gap_is_asked():
    """A check that measures between two shapes and forgets to say so would be missing here."""
    report, asked, _ = measured("teasel", "")
    assert {report.findings[k].check for k, _ in asked} == set(TOUCHING)
    for check in ("floor", "wall", "edge", "ferrule-wall"):
        for one in report.findings:
            if (
                one.check == check
                and one.value is not None
                and one.limit is not None
                and one.unit == "mm"
            ):
                assert one.between is not None or one.subjects[1].startswith("edge."), one


def test_left_and_right_hand_measure_the_same():
    right, left = (sorted(map(float, measured("teasel", change)[2])) for change in ("", "left"))
    assert right == pytest.approx(left, abs=1e-3)


def two_blocks(off: float = 0.0) -> tuple[Prism, Prism, Finding]:
    """Two blocks 4 mm apart, and a finding on them that is `off` mm wrong."""
    one, two = (
        Prism(rectangle(10.0, 10.0), -10.0, 0.0),
        Prism(rectangle(10.0, 10.0, 0.0, 14.0, 0.0), -12.0, -3.0),
    )
    right = gap(one, two)
    assert right.distance == 4.0
    return (
        one,
        two,
        judge_gap(
            ("a.one", "b.two"),
            replace(right, distance=4.0 + off),
            LIMIT,
            "some words",
            "some cure",
            code="wall",
        ),
    )


def test_what_a_contour_takes_is_measured_inside_the_outline_only():
    """A pocket's floor at z = -30 out of the end at x = 200, over a plane that rises 45 degrees to
    z = -34 there: 4 mm; past the end the plane would be 4 / sqrt(2) away."""
    heel = bevel("back", (190.0, 0.0), 0.0, run=60.0, drop=60.0)
    skin = Skin(rectangle(400.0, 300.0), 44.0, Square(), Square(), (heel,))
    pocket = Prism(rectangle(60.0, 40.0, 0.0, 170.0, 0.0), -30.0, 0.0)
    found = contour_gap_within(pocket, heel, skin)
    assert found is not None and found.distance == pytest.approx(4.0, abs=0.011)
    question = compare.Question(("pocket", heel.id), found)
    beside = compare.Question(("pocket", heel.id), gap(pocket, heel.carve))
    answers = proof.measure(skin, (question, beside))
    assert answers == pytest.approx([4.0, 4.0 / 2.0**0.5], abs=0.001)


@pytest.mark.parametrize(
    "off, fault", [(0.0, False), (0.015, False), (0.03, True), (-0.03, True), (-0.5, True)]
)
def test_a_disagreement_is_an_error_that_names_the_pair_and_both_figures(off, fault):
    _, _, finding = two_blocks(off)
    asked = compare.questions([finding])
    answers = proof.measure(sample.skin(), [question for _, question in asked])
    assert answers == [pytest.approx(4.0, abs=1e-6)]
    first, *rest = compare.compared([finding], answers)
    assert first == replace(finding, proof=answers[0])
    errors = [f for f in rest if f.status == "error"]
    assert (
        len(errors) == fault
        and rest[-1].text
        == f"1 gaps measured again by the kernel, largest difference {abs(off):.4f} mm"
    )
    for error in errors:
        assert (
            error.check == "proof"
            and error.subjects == ("a.one", "b.two")
            and error.cure
            and error.at == finding.at
        )
        assert (
            f"a.one to b.two (wall): {4.0 + off:.3f} mm by the checks, 4.000 mm by the kernel"
            in error.text
        )


def test_the_bound_of_a_figure_is_allowed_for():
    _, _, finding = two_blocks(0.05)
    assert len(compare.compared([replace(finding, bound=0.04)], [4.0])) == 2
    assert len(compare.compared([replace(finding, bound=0.02)], [4.0])) == 3


def test_only_distances_between_shapes_are_asked():
    _, _, finding = two_blocks()
    others = [
        judge(("a",), 4.0, LIMIT, "no shapes", "none", code="wall"),
        replace(finding, unit="diameters"),
        replace(finding, at=None),
    ]
    assert compare.questions(others) == ()
    (only,) = compare.compared([], [])
    assert (only.check, only.status) == ("proof", "skip")


def test_a_solid_that_cannot_be_built_is_an_error_that_names_the_pair():
    one, _, finding = two_blocks()
    upside = Prism(rectangle(5.0, 5.0, 0.0, 30.0, 0.0), -3.0, -8.0)
    spoiled = replace(finding, between=(one, upside))
    answers = proof.measure(sample.skin(), [q for _, q in compare.questions([spoiled, finding])])
    assert (
        isinstance(answers[0], str) and "b.two" in answers[0] and answers[1] == pytest.approx(4.0)
    )
    found = compare.compared([spoiled, finding], answers)
    (error,) = [f for f in found if f.status == "error"]
    assert (
        error.check == "proof"
        and "a.one to b.two (wall): the kernel cannot measure it" in error.text
    )
    assert found[-1].text.startswith("1 of 2 gaps measured again")


def test_each_solid_is_built_and_each_pair_measured_once(monkeypatch):
    one, two, finding = two_blocks()
    third = Prism(rectangle(10.0, 10.0, 0.0, 0.0, 20.0), -10.0, 0.0)
    rows = [
        finding,
        replace(finding, code="other"),
        replace(finding, between=(one, third)),
        replace(finding, between=(two, "front")),
    ]
    built, steps, real = [], [], proof.pieces
    monkeypatch.setattr(
        proof, "pieces", lambda thing, skin, name: built.append(thing) or real(thing, skin, name)
    )
    answers = proof.measure(sample.skin(), [q for _, q in compare.questions(rows)], steps.append)
    assert len(built) == 4 and len(steps) == 3 and steps[0] == "measuring a.one to b.two"
    assert answers == pytest.approx([4.0, 4.0, 10.0, 3.0], abs=1e-6)


def test_the_child_measures_and_dies_in_words(tmp_path):
    asked = [question for _, question in compare.questions([two_blocks()[2]])]
    slow = child.start_proof(sample.skin(), asked, time_limit=0.2)
    handle = child.start_proof(sample.skin(), asked)
    answers, (error,) = child.finish_proof(slow)
    assert (
        answers == ()
        and error.check == "proof"
        and error.status == "error"
        and "did not finish within 0.2 s; it was" in error.text
    )
    assert (
        child.finish_proof(handle) == ((pytest.approx(4.0, abs=1e-6),), ())
        and not handle.job.exists()
    )
    killed = child.start_proof(sample.skin(), asked)
    until = time.monotonic() + 20.0
    while time.monotonic() < until and child._step(killed) != "loading the kernel":
        time.sleep(0.01)
    killed.process.kill()
    _, (error,) = child.finish_proof(killed)
    assert (
        "ended by SIGKILL while it was loading the kernel" in error.text and "--proof" in error.cure
    )


def spoil(report: Report) -> Report:
    """The report with its first gap 0.1 mm wrong."""
    k = compare.questions(report.findings)[0][0]
    rows = list(report.findings)
    rows[k] = replace(rows[k], value=rows[k].value + 0.1)
    return replace(report, findings=tuple(rows))


def test_a_build_with_proof(tmp_path):
    """Files, findings and figures of the sample; then the same with one figure spoiled: exit status
    1."""
    report = build(sample.design(), tmp_path, proof=True)
    summary = [f for f in report.findings if f.code == "proof"]
    (fitted,) = (f for f in report.findings if f.code == "proof.assembly")
    assert fitted.status == "pass" and "put into the solids" in fitted.text
    assert (
        len(summary) == 1
        and summary[0].status == "pass"
        and " gaps measured again by the kernel" in summary[0].text
    )
    proven = [f for f in report.findings if f.proof is not None]
    assert len(proven) == len(compare.questions(run(sample.design().layout()).findings))
    stored = json.loads((tmp_path / "sample" / "report.json").read_text())
    assert sorted(row["proof"] for row in stored["findings"] if "proof" in row) == pytest.approx(
        sorted(f.proof for f in proven)
    )
    assert f"Proof: {summary[0].text}" in (tmp_path / "sample" / "report.html").read_text()
    text = " ".join(report_text(report).split())
    assert f"Proof: {summary[0].text}" in text and "kernel" in text
    plain = run(sample.design().layout())
    assert "kernel" not in report_text(plain) and all(
        "proof" not in row for row in json_report(plain)["findings"]
    )
    wrong = build(sample.design(), tmp_path, improve=spoil, proof=True)
    (error,) = [f for f in wrong.findings if f.check == "proof" and f.status == "error"]
    assert wrong.exit_status == 1 and error in wrong.findings and "mm by the checks" in error.text
    assert error.text in html_text(wrong).replace("&#x27;", "'")


def test_the_command_line_hands_it_on(tmp_path, monkeypatch, capsys):
    from bodycad import design as handle
    from bodycad.cli import main

    asked = []
    report = run(sample.design().layout())
    monkeypatch.setattr(
        handle,
        "build",
        lambda design, out, **more: asked.append((design.name, more["proof"])) or report,
    )
    (tmp_path / "body.py").write_text("from tests.sample import design\n")
    for words in ((), ("--proof",)):
        main(["build", str(tmp_path / "body.py"), "--no-cures", "--out", str(tmp_path), *words])
    assert asked == [("sample", False), ("sample", True)] and capsys.readouterr().out
    assert main(["check", str(tmp_path / "body.py"), "--proof"]) == 2
