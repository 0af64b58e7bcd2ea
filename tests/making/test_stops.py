"""Where the cut order stops to measure: each figure is the one that its findings judge."""

from __future__ import annotations

import pytest

from bodycad import load_design
from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.checks.runner import run
from bodycad.checks.table import ASKED
from bodycad.exports.cutting.page import DRY
from bodycad.making.order import cut_order
from bodycad.making.room import room
from bodycad.making.stops import stops_of
from tests.drawn import DESIGNS, layout_of

NAMES = ("teasel", "bramble", "comfrey", "burdock", "tansy")


@pytest.fixture(scope="module")
def reports():
    return {name: run(layout_of(name)) for name in NAMES}


def stops(layout):
    return [stop for one in cut_order(layout).set_ups for step in one.steps for stop in step.stops]


def broken(layout, checks=ASKED):
    return {f.code for f in run(layout, checks).findings if f.status in ("fail", "error")}


@pytest.mark.parametrize("name", ("bramble", "tansy", "teasel"))
def test_all_checks_hold_within_a_stops_room_and_one_fails_past_it(reports, name):
    """The figure a little less off than is stated, and a little more."""
    told = set()
    for stop in stops(reports[name].layout):
        if stop.off is None or stop.off in told:
            continue
        told.add(stop.off)
        for sign, side in zip((-1.0, 1.0), room(reports[name], stop.off), strict=True):
            off, (own,) = stop.what, side.code.split(".")[:1]
            assert not broken(stop.off(sign * (side.by - 0.01))), off
            if side.code:
                assert side.code in broken(stop.off(sign * (side.by + 0.02)), named(own)), off


def named(name):
    return [check for check in ASKED if check.name == name]


def test_a_pockets_room_is_what_the_design_says_of_that_depth(reports):
    (less, more), *_ = (
        room(reports["bramble"], s.off)
        for s in stops(reports["bramble"].layout)
        if s.what.startswith("Depth of the pocket")
    )
    assert (less.code, more.code) == ("pocket-fit.tongue", "floor.pocket") and more.by < 0.05
    for depth, codes in ((34.0 + more.by - 0.01, set()), (34.0 + more.by + 0.02, {more.code})):
        path = str(DESIGNS / "bramble.py")
        assert broken(load_design(path, (f"pocket_depth={depth:.4f}",)).layout()) == codes


def test_the_wood_over_a_cavity_is_judged_by_bushes_and_floor_of_that_cavity(reports):
    (stop,) = (s for s in stops(reports["teasel"].layout) if s.what.endswith("control.cavity"))
    less, more = room(reports["teasel"], stop.off)
    assert (less.code, more.code) == ("floor", "control-clamp")
    assert less.by == pytest.approx(3.0, abs=0.01)
    assert more.by == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize("name", ("teasel", "comfrey"))
def test_the_heels_play_is_the_checks(reports, name):
    """The pocket runs on past a heel that tapers: its widest place has no heel beside it."""
    (stop,) = (s for s in stops(reports[name].layout) if s.what.startswith("Play of the heel"))
    (least,) = (f for f in reports[name].findings if f.code == "pocket-fit.least")
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
