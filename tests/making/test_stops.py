"""Where the cut order stops to measure: each figure is the one that its findings judge."""

from __future__ import annotations

import pytest

from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.checks.runner import run
from bodycad.exports.cutting.page import DRY
from bodycad.exports.cutting.texts import of
from bodycad.making.order import cut_order
from bodycad.making.stops import stops_of
from tests.drawn import layout_of

NAMES = ("teasel", "bramble", "comfrey", "burdock")


@pytest.fixture(scope="module")
def reports():
    return {name: run(layout_of(name)) for name in NAMES}


def stops(layout):
    return [stop for one in cut_order(layout).set_ups for step in one.steps for stop in step.stops]


@pytest.mark.parametrize("name", NAMES)
def test_a_stops_findings_are_on_what_is_measured(reports, name):
    """Not those of a code that begins alike, nor of another cavity, cover or row."""
    report = reports[name]
    for stop in stops(report.layout):
        for code in stop.codes:
            found = of(report, (code,), stop.about)
            assert all(f.code == code for f in found)
            told = {s for f in found for s in f.subjects}
            assert not stop.about or not found or told & set(stop.about), stop


def test_the_wood_over_a_cavity_is_judged_by_bushes_and_floor_of_that_cavity(reports):
    (stop,) = (s for s in stops(reports["teasel"].layout) if s.what.endswith("control.cavity"))
    spare = {f.code: f.margin for f in of(reports["teasel"], stop.codes, stop.about)}
    assert spare == pytest.approx({"control-clamp": 2.0, "floor": 3.0})


@pytest.mark.parametrize("name", ("teasel", "comfrey"))
def test_the_heels_play_is_the_checks(reports, name):
    """The pocket runs on past a heel that tapers: its widest place has no heel beside it."""
    (stop,) = (s for s in stops(reports[name].layout) if s.what.startswith("Play of the heel"))
    (least,) = of(reports[name], stop.codes, stop.about)
    assert stop.expected == pytest.approx(least.value, abs=1e-9)


def test_a_tilted_pockets_parameter_is_its_depth_at_the_mouth(reports):
    layout = reports["bramble"].layout
    own = [s for s in stops(layout) if s.parameter == "pocket_depth"]
    assert [s.expected for s in own] == pytest.approx([layout.parameters["pocket_depth"]])


def test_only_the_bodys_stock_goes_back_into_the_shop(reports):
    layout = reports["teasel"].layout
    piece = next(p for p in layout.pieces if p is not layout.body)
    for one, names in ((layout.body, ("stock.thickness",)), (piece, ())):
        (stop,) = stops_of([Job("plane", Work.PLANE, one, Hold.BENCH)], layout)
        assert stop.names == names and stop.expected == one.thickness


def test_what_is_compared_at_the_dry_assembly_are_codes_of_findings(reports):
    known = {f.code for report in reports.values() for f in report.findings}
    assert {code for codes, _ in DRY for code in codes} <= known
