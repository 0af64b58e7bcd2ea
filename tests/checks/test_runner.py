"""The table, the pages, the runner and the laws that every finding keeps."""

from __future__ import annotations

import importlib
import math
import pkgutil
from dataclasses import replace

import pytest

from bodycad.checks import rules
from bodycad.checks.finding import STATUSES, Finding, judge, margin_key
from bodycad.checks.page import Check, Page
from bodycad.checks.runner import answers, run
from bodycad.checks.table import CHECKS, MANUAL
from bodycad.shop import LIMITS, Limit, Shop
from designs import teasel
from tests import sample
from tests.checks.bench import board, pocket

PAGE = Page("Does it?", "It should.", (), "Mend it.")
LAYOUTS = {
    "teasel": lambda: teasel.design().layout(),
    "left": lambda: teasel.design(left_handed=True).layout(),
    "thin": lambda: teasel.design(thickness=30.0).layout(),
    "carved": lambda: teasel.design(heel_sculpt=24.0, bolt_tighten=-8.0).layout(),
    "deep": lambda: teasel.design(
        pocket_depth=22.0, neck_pickup_gap=-4.0, control_leave=1.0
    ).layout(),
    "sample": lambda: sample.design().layout(),
    "empty": lambda: board(),
}


def test_no_question_of_the_rules_is_left_out_of_the_table():
    """Every page that a module of `checks.rules` holds is in the manual, under one name."""
    names = [one.name for one in MANUAL]
    assert len(set(names)) == len(names)
    known = {id(one.page) for one in MANUAL}
    for info in pkgutil.iter_modules(rules.__path__):
        module = importlib.import_module(f"{rules.__name__}.{info.name}")
        own = [value for value in vars(module).values() if isinstance(value, Page)]
        assert {id(page) for page in own} <= known, f"a page of {info.name} is not in the table"


def test_every_page_says_something():
    for check in CHECKS:
        page = check.page
        assert page.asks.endswith("?") and page.why.endswith(".") and page.cures.endswith("."), (
            check.name
        )


def test_every_limit_named_by_a_page_exists_and_the_reverse():
    named = {name for page in MANUAL for name in page.page.limits}
    assert named <= set(LIMITS)
    assert set(LIMITS) - named == set()
    for check in MANUAL:
        assert all(
            name == check.name or name.startswith(f"{check.name}.") for name in check.page.limits
        ), check.name


def test_a_check_that_answers_nothing_is_an_error():
    found = answers(Check("mute", lambda layout: (), PAGE), board())
    assert [(f.check, f.status) for f in found] == [("mute", "error")] and "no answer" in found[
        0
    ].text


def test_a_broken_check_is_an_error_that_hides_no_other():
    def broken(layout):
        yield Finding("broken", "pass", (), "so far")
        raise KeyError("a.missing")

    layout = board(pocket("a", 0.0, 0.0, 40.0, 40.0, 42.0))
    report = run(layout, (Check("broken", broken, PAGE), *CHECKS))
    errors = [f for f in report.findings if f.status == "error"]
    assert [f.check for f in errors] == ["broken"] and "KeyError: 'a.missing'" in errors[0].text
    assert any(f.check == "floor" and f.status == "fail" for f in report.findings)
    assert report.verdict == "fail" and report.exit_status == 1


@pytest.mark.parametrize(
    "most, value, status",
    [
        (False, 5.0, "pass"),
        (False, 4.0, "warn"),
        (False, 3.0, "warn"),
        (False, 2.9, "fail"),
        (True, 1.0, "pass"),
        (True, 2.5, "warn"),
        (True, 3.0, "warn"),
        (True, 3.1, "fail"),
    ],
)
def test_judging_on_either_side(most, value, status):
    limit = Limit(3.0, 2.0, most=True) if most else Limit(3.0, 5.0)
    found = judge((), value, limit, "a figure", "mend it", code="x")
    assert found.status == status
    assert found.margin == pytest.approx(3.0 - value if most else value - 3.0)
    assert found.cure == ("" if status == "pass" else "mend it")


def test_the_error_bound_counts_against_the_figure():
    assert judge((), 3.005, Limit(3.0, 3.0), "", "", bound=0.01, code="x").status == "fail"
    assert (
        judge((), 2.995, Limit(3.0, 3.0, most=True), "", "", bound=0.01, code="x").status == "fail"
    )


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_figure_that_is_no_number_is_an_error(value):
    found = judge(("a",), value, Limit(0.0, 0.0), "the gap", "", code="x")
    assert found.status == "error" and found.value is None and found.margin is None


def test_worst_first():
    rows = [
        Finding("c", "pass", (), "", 1.0, limit=0.0),
        Finding("c", "fail", (), "", -2.0, limit=0.0),
        Finding("c", "skip", (), ""),
        Finding("c", "fail", (), "", -9.0, limit=0.0),
        Finding("c", "error", (), ""),
        Finding("c", "warn", (), "", 3.0, limit=0.0),
    ]
    assert [(f.status, f.value) for f in sorted(rows, key=margin_key)] == [
        ("error", None),
        ("fail", -9.0),
        ("fail", -2.0),
        ("warn", 3.0),
        ("skip", None),
        ("pass", 1.0),
    ]


@pytest.mark.parametrize("name", LAYOUTS)
def test_laws_of_findings(name):
    layout = LAYOUTS[name]()
    report = run(layout)
    assert [f for f in report.findings if f.status == "error"] == []
    assert {f.check for f in report.findings} == {check.name for check in CHECKS}
    limits = {n for check in CHECKS for n in check.page.limits}
    for f in report.findings:
        assert f.status in STATUSES and f.text and not f.text.startswith(" "), f
        if f.value is None:
            assert f.margin is None and (f.status != "fail" or f.cure), f
            continue
        assert math.isfinite(f.value) and math.isfinite(f.bound) and f.bound >= 0.0, f
        if f.limit is None:
            # Advice that may warn and never fails.
            assert f.margin is None and f.status in ("pass", "warn"), f
            continue
        assert f.margin == pytest.approx(f.limit - f.value if f.most else f.value - f.limit), f
        if f.status == "fail":
            assert f.margin - f.bound < 0.0, f
        elif f.status == "pass":
            assert f.margin - f.bound >= -1e-9, f
        assert f.status == "pass" or f.cure, f
        assert (f.limit, f.warn) in {
            (LIMITS[n].fail, LIMITS[n].warn) for n in limits if n.split(".")[0] == f.check
        }, f
        assert f.at is None or all(math.isfinite(c) for point in f.at for c in point), f


GAPS = (
    "floor",
    "wall",
    "edge",
    "bolt-grip",
    "bolt-tip",
    "bolt-edge",
    "saddle-window",
    "pole-offset",
    "ring-cover",
    "string-holes",
    "ferrule-wall",
    "control-room",
    "ground-path",
    "pickup-room",
    "string-margin",
)
NO_GAP = ("drift", "drill", "the two margins", "humidity", "the hole for neck screw")


@pytest.mark.parametrize("name", ["teasel", "left", "thin", "carved", "deep"])
def test_witness_points_stand_at_the_stated_distance(name):
    tested = 0
    for f in run(LAYOUTS[name]()).findings:
        if (
            f.check in GAPS
            and f.value is not None
            and not any(words in f.text for words in NO_GAP)
            and f.unit == "mm"
        ):
            assert f.at is not None, f
            assert math.dist(*f.at) == pytest.approx(abs(f.value), abs=0.011 + f.bound), f
            tested += 1
    assert tested > 90


def test_a_shops_limit_reaches_the_finding():
    layout = replace(
        teasel.design().layout(), shop=Shop(limits={"bolt-grip": Limit(16.0, 17.0, "my calipers")})
    )
    found = [f for f in run(layout).findings if f.code == "bolt-grip"]
    assert {(f.status, f.limit, f.warn, f.limit_source) for f in found} == {
        ("fail", 16.0, 17.0, "my calipers")
    }
