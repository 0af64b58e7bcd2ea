"""`--chance` where a figure is the least of several, hangs on what it does not name, or jumps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bodycad.chance import slopes as module
from bodycad.chance.chance import with_chance
from bodycad.chance.concern import concern, drawn_answers
from bodycad.chance.slopes import CLOSE, slopes
from bodycad.chance.variables import shop_variables, size_variables
from bodycad.tools import Cutter
from tests.checks.bench import TABLE
from tests.oracle.drawn import beside_a_carve
from tests.sample import design as sample

LEAST = {
    "bolt-seat.proud",
    "string-holes.proud",
    "string-holes.way",
    "string-clearance",
    "string-clearance.most",
    "land.off",
    "board-air",
}


@pytest.fixture(scope="module")
def report():
    return beside_a_carve().check()


def test_each_least_is_that_of_the_figures_it_is_said_to_be_of(report):
    found = [f for f in report.findings if f.code in LEAST and f.of is not None]
    assert {f.code for f in found} == LEAST & {
        f.code for f in report.findings if f.value is not None
    }
    assert len({f.code for f in found}) > 4
    for f in found:
        own = max(f.of()) if f.most else min(f.of())
        assert own == pytest.approx(f.value, abs=CLOSE), f.identity


def test_a_pole_hangs_on_the_bridge_that_bears_its_string(report):
    """The bridge's place turns the line of the string; the finding names pickup and string only."""
    layout = report.layout
    known = drawn_answers(layout, layout, [TABLE["pole-offset"]])
    bridge = [v for v in shop_variables(layout) if (v.kind, v.subject) == ("shift", "bridge")]
    assert len(bridge) == 2
    assert all(concern(v, known, layout) for v in bridge)


def test_errors_left_out_move_nothing(monkeypatch):
    """The slopes are those of every error tried with every finding that it might concern."""
    checks = [TABLE[n] for n in ("string-margin", "stock", "cutter-reach", "stack", "string-holes")]
    layout = sample().layout()
    errors = [v for v in (*shop_variables(layout), *size_variables(layout)) if v.tolerance > 0.0]
    quick = slopes(layout, errors, checks)
    monkeypatch.setattr(module, "TOGETHER", ())
    slow = slopes(layout, errors, checks)
    assert np.abs(slow.up).max() > 0.1
    assert np.allclose(quick.up, slow.up, atol=1e-9)
    assert np.allclose(quick.down, slow.down, atol=1e-9)


def test_no_worst_case_is_told_where_another_cutter_may_take_over():
    """The 20 mm deep route may come out deeper than this cutter reaches."""
    design = sample()
    plain = {f.identity: f for f in with_chance(design.check(), 1).findings}
    code, subject = next(
        key for key, f in plain.items() if f.code == "cutter-corner" and f.worst is not None
    )
    deep = next(-v.low for v in design.layout().voids if v.id in subject and v.face == "front")
    shop = replace(design.shop, cutters=(*design.shop.cutters, Cutter(3.0, deep + 0.1)))
    near = {f.identity: f for f in with_chance(replace(design, shop=shop).check(), 1).findings}
    assert near[code, subject].value is not None
    assert near[code, subject].worst is None
