"""The cut order's steps: passes, times, tools, stops, what the work lies on."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from bodycad import Pace, Shop
from bodycad.checks.order.jobs import Hold, Work
from bodycad.checks.report import Report
from bodycad.exports.cutting.page import page
from bodycad.geometry.plane.build import rectangle
from bodycad.layout.layout import Placed
from bodycad.layout.void import Void, from_front
from bodycad.making.cuts import cuts
from bodycad.making.order import cut_order
from bodycad.making.rest import beyond, hull
from bodycad.safety import Danger
from bodycad.tools import Cutter
from bodycad.words import Face, Nose
from tests import sample
from tests.checks.walk import complaints, everything
from tests.drawn import SOME, layout_of
from tests.simulation.bodies import T, block


@pytest.mark.parametrize("name", SOME)
def test_steps_hold_every_cut_once_in_an_order_that_a_maker_can_follow(name):
    layout = layout_of(name)
    order = cut_order(layout)
    jobs = [job for step in order.steps for job in step.jobs]
    assert list(complaints(layout, jobs)) == []
    assert [step.number for step in order.steps] == list(range(1, len(order.steps) + 1))
    cut = Counter((job.piece.id, job.ids[0]) for job in jobs if job.void and job.work is Work.VOID)
    drawn = Counter((p.id, v.id) for p in layout.pieces for v in p.voids)
    assert cut == drawn
    rest = Counter(job.work for job in jobs)
    assert rest[Work.CONTOUR] == sum(len(p.skin.contours) for p in layout.pieces)
    assert sum(1 for job in jobs if job.work.cuts) == len(list(everything(layout)))


@pytest.mark.parametrize("name", SOME)
def test_passes_end_at_the_depth_and_none_is_deeper_than_the_rule(name):
    """By the rule in words: at most half of the cutter's diameter at once."""
    layout = layout_of(name)
    routed = 0
    for step in cut_order(layout).steps:
        for run in step.runs:
            if not run.passes or "bit" in run.tool:
                continue
            routed += 1
            ends = np.array([run.start, *run.passes])
            assert ends[-1] == run.depth
            wide = float(run.tool.split()[0])
            assert (np.diff(ends) > 0.0).all() and np.diff(ends).max() <= 0.5 * wide + 0.01
    assert routed > 3


@pytest.mark.parametrize("name", SOME)
def test_the_time_is_the_sum_of_its_parts(name):
    order = cut_order(layout_of(name))
    parts = sum(one.minutes for step in order.steps for one in step.time)
    assert order.minutes == pytest.approx(parts + sum(one.minutes for one in order.set_ups))
    assert all(step.minutes > 0.0 for step in order.steps)
    assert 5.0 * 60.0 < order.minutes < 40.0 * 60.0


@pytest.mark.parametrize("name", SOME)
def test_every_tool_is_in_the_shop(name):
    """Or the step says that it is shaped by hand, or that no drill on hand makes the hole. A shop
    lists no rebate bits."""
    layout = layout_of(name)
    shop = layout.shop
    sizes = {f"{float(one.diameter):.4g}" for one in (*shop.cutters, *shop.drills)}
    sizes |= {f"{float(bit.size):g}" for bit in shop.bits}
    sizes |= {f"{float(pin.diameter):g}" for pin in layout.blank.pins}
    for step in cut_order(layout).steps:
        for run in step.runs:
            size = run.tool.split()[0]
            assert size in sizes or size in ("chamfer", "rebate") or "no drill" in run.tool, (
                run.tool
            )
        if step.work.cuts and not step.runs:
            assert step.by_hand and step.work in (Work.CONTOUR, Work.EDGE, Work.LEDGE)


def test_a_pocket_by_hand_sums():
    """The demo's pocket: 44 cm2 by a 12.7 mm cutter, 0.4 of it beside the last pass, at 1 m a
    minute, in three passes of 5.7 mm."""
    layout = layout_of("teasel")
    step = next(s for s in cut_order(layout).steps if s.ids == ("neck.pocket",) and s.runs)
    run = step.runs[0]
    assert run.passes == pytest.approx((17 / 3, 34 / 3, 17.0))
    plan = layout.by_id["neck.pocket"].shape.plan
    way = plan.area / (0.4 * 12.7) + plan.segments.length.sum()
    (cut,) = [one for one in step.time if "cm2" in one.words]
    assert cut.minutes == pytest.approx(3.0 * way / 1000.0, rel=0.02)


def test_a_hole_has_both_depths_and_its_countersink():
    """A twist drill of 2 mm has a point 1 / tan 59 long; the screws of a cover are let in."""
    steps = cut_order(layout_of("campion")).steps
    (jack,) = (step for step in steps if step.work is Work.VOID and "jack.screw.1" in step.ids)
    assert jack.words.endswith("12.00 mm deep at full diameter, 12.60 to the tip")
    assert jack.runs[0].tip == pytest.approx(12.0 + 1.0 / math.tan(math.radians(59.0)))
    (seat,) = (step for step in steps if step.work is Work.VOID and "neck.bolt.1.seat" in step.ids)
    assert seat.words.endswith("9.20 mm deep") and seat.runs[0].tip is None
    (cover,) = (step for step in steps if "vibrato.cover.screw.1" in step.ids)
    assert cover.words.endswith("through; countersink each to 6.7 mm")


def test_a_faster_shop_takes_less_time_and_deeper_passes_fewer():
    layout = layout_of("teasel")
    slow = cut_order(layout).minutes
    shop = replace(layout.shop, pace=Pace(feed=4000.0, setup=1.0, tool=1.0))
    assert cut_order(replace(layout, shop=shop)).minutes < slow - 60.0
    deep = cut_order(replace(layout, shop=Shop(pass_depth=1.0)))
    (run, *_) = next(s for s in deep.steps if s.ids == ("neck.pocket",) and s.runs).runs
    assert len(run.passes) == 2  # 17 mm by 12.7 at once


def test_stops_name_what_goes_back_into_the_design():
    steps = cut_order(layout_of("teasel")).steps
    names = [name for step in steps for stop in step.stops for name in stop.names]
    fitted = ["fitted.aside", "fitted.aside_at_board", "fitted.along"]
    assert names == ["stock.thickness", *fitted]
    found = {stop.what: stop.expected for step in steps for stop in step.stops}
    assert found["Thickness of the blank"] == 44.0
    assert found["Depth of the pocket"] == pytest.approx(17.0)
    assert found["Row of string holes"] == pytest.approx(52.5)
    assert found["Wood left over control.cavity"] == pytest.approx(6.0)


def test_the_pin_under_the_neck_is_told_how_high_it_may_stand():
    """44 mm less the pocket's 17 and 3 mm more."""
    steps = cut_order(layout_of("teasel")).steps
    (waste,) = [step for step in steps if step.work is Work.WASTE]
    (note,) = waste.notes
    assert note.startswith("datum pin 2 is under it: no pin may stand over 24 mm into the wood")


def test_a_step_of_a_sloped_floor_is_as_deep_as_its_passes():
    """Bramble's pocket falls from 31.98 to 34.47: a level cut to that spoils the floor."""
    steps = cut_order(layout_of("bramble")).steps
    (step,) = (one for one in steps if one.words.startswith("Rout neck.pocket"))
    assert step.words == "Rout neck.pocket, 31.98 mm deep"
    assert round(step.runs[-1].depth, 2) == 31.98
    assert any("slopes to 34.47, the rest on a wedge" in note for note in step.notes)


def test_where_the_back_is_carved_the_work_no_longer_lies_flat():
    """An arched front leaves an eighth of the face to lie on; a plain one nearly all."""
    arched = {s.ids: s.rest for s in cut_order(layout_of("bramble")).steps if s.rest}
    plain = {s.ids: s.rest for s in cut_order(layout_of("sorrel")).steps if s.rest}
    belly = arched["contour.belly",]
    assert belly.face is Face.FRONT and belly.share < 0.2 and not belly.firm
    assert all(rest.firm and rest.share > 0.8 for rest in plain.values())


def test_flat_wood_by_hand_sums():
    """The plain body's back: its outline less what opens there and the roundover's 5 mm."""
    layout = layout_of("sorrel")
    (step,) = [s for s in cut_order(layout).steps if s.ids == ("body.front.edge",)]
    outline = layout.skin.outline
    area = outline.area - sum(v.shape.plan.area for v in layout.voids if v.id == "control.recess")
    assert step.rest.area == pytest.approx(area, rel=0.05)


def test_a_hull_by_eye():
    """A square with a point inside: its corners; 3 mm beside it, and at a corner 5."""
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (4.0, 5.0)])
    ring = hull(square)
    assert sorted(map(tuple, ring.tolist())) == sorted(map(tuple, square[:4].tolist()))
    out = beyond(ring, np.array([(13.0, 5.0), (13.0, 14.0), (5.0, 5.0)]))
    assert out == pytest.approx([3.0, 5.0, -5.0])
    assert np.isinf(beyond(hull(square[:2]), square[4:])).all()


def test_what_is_held_flat_is_cut_before_the_outline_frees_it():
    for name in ("teasel", "campion"):
        order = cut_order(layout_of(name))
        holds = [one.hold for one in order.set_ups if one.piece.id == "body"]
        free = [k for k, hold in enumerate(holds) if hold in (Hold.EDGE, Hold.ANGLE, Hold.FREE)]
        flat = [k for k, hold in enumerate(holds) if hold is Hold.FLAT]
        assert max(flat) < min(free)


@pytest.mark.parametrize("more", [(), (Cutter(6.35, 40.0, Nose.BALL),)])
def test_a_slot_through_that_no_flat_cutter_reaches_is_routed_half_from_each_face(more):
    shop = replace(sample.design().shop, cutters=(Cutter(6.35, 14.0), *more))
    shape = from_front(rectangle(8.0, 20.0, 3.5, -20.0, 0.0), T)
    slot = Void("slot", "p", "front", "POCKET", shape, frozenset({"front", "back"}))
    layout = block(shop=shop, parts=(Placed("p", sample.Loose((slot,))),))
    steps = [step for step in cut_order(layout).steps if "slot" in step.ids]
    assert [step.words for step in steps] == [
        "Rout slot, half through",
        "Rout the other half of slot, half through",
    ]
    assert all(Danger.ROUTER in step.dangers for step in steps)
    own = [cut for cut in cuts(layout) if "slot" in cut.ids]
    assert [cut.face for cut in own] == ["front", "back"]
    assert [step.runs[-1].depth for step in steps] == [cut.depth for cut in own]
    assert "the other half of slot" in page(Report(layout, (), ()))


def test_each_kind_of_seat_is_tried_once():
    """Seven ferrules of one size want one test piece, whoever's they are."""
    layout = layout_of("burdock")
    seats = [s for s in cut_order(layout).steps if s.work is Work.TEST and "seat" in s.jobs[0].name]
    sizes = {layout.by_id[one].shape.hole.diameter for s in seats for one in s.ids}
    assert len(seats) == len(sizes) and all(Danger.ROUTER in s.dangers for s in seats)


def test_waste_that_no_cutter_reaches_is_cleared_by_hand_and_says_so():
    layout = layout_of("teasel")
    layout = replace(layout, shop=replace(layout.shop, cutters=(Cutter(12.7, 10.0),)))
    (step,) = (s for s in cut_order(layout).steps if s.work is Work.WASTE)
    assert step.by_hand and not step.runs
