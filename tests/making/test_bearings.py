"""A bearing runs on wood: in a recess, under a ledge, past an open pocket."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bodycad import BearingBit, Ledge, Roundover, Shop, load_design
from bodycad.checks.order.jobs import Work
from bodycad.exports.router_pages import step_words
from bodycad.geometry.plane.build import rectangle
from bodycad.making.guided import Track, choose
from bodycad.making.order import cut_order
from bodycad.making.templates import templates
from bodycad.making.toolbox import tools
from tests.drawn import layout_of

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def drawn(name):
    return load_design(DESIGNS / f"{name}.py")


def template(layout, name):
    return next(one for one in templates(layout) if one.id == name)


def words(one):
    return [step_words(k, step, one.guide) for k, step in enumerate(one.guide.steps, 1)]


def in_recess(thickness):
    """Bistort with a cover of another thickness over its controls."""
    design = drawn("bistort")
    own = next(part for part in design.parts if part.id == "control")
    cover = replace(own.part.cover, thickness=thickness)
    other = replace(own, part=replace(own.part, cover=cover))
    return replace(
        design, parts=tuple(other if part is own else part for part in design.parts)
    ).layout()


@pytest.mark.parametrize("thickness", [2.5, 6.0])
def test_a_bearing_runs_under_a_recess_that_is_cut_first(thickness):
    """A bearing 5 mm high rides on 2 mm of the template or of the wall under the recess's floor
    wherever it stands, and the page says how deep the first pass without the template must be."""
    one = template(in_recess(thickness), "control-cavity")
    assert one.guide.short == 0.0
    off = [step for step in one.guide.steps if not step.on]
    assert off
    for step in off:
        flutes = float(step.bit.split()[2])
        assert step.hung == pytest.approx((step.start - flutes, step.end - flutes))
        assert step.hung[0] >= thickness + 2.0 - 1e-9
    for step in one.guide.steps:
        for low in np.linspace(*step.hung):
            over = max(5.0 - max(low, 0.0), 0.0) if step.on else 0.0
            assert over + max(low - thickness, 0.0) >= 2.0 - 1e-9
    first = words(one)[one.guide.steps.index(off[0])]
    assert f"first pass down to {off[0].start:.2f}, or its bearing finds no wall" in first


def test_a_bit_that_must_be_led_by_the_wall_alone():
    """Vetch with one bit: flutes of 25.4, a recess of 2.5 mm, and 2 mm to ride on, 29.9."""
    shop = Shop(bushes=(), bearing_bits=(BearingBit(12.7, 25.4, 30.0),))
    one = template(replace(drawn("vetch"), shop=shop).layout(), "control-cavity")
    assert "bore out the waste to 29.90 first" in words(one)[1]


def test_no_bearing_runs_on_a_wall_that_is_not_cut_yet():
    """A wall that begins 24 mm down: the bearing leaves the template at 15.7, long before."""
    shop = Shop(bushes=(), bearing_bits=(BearingBit(12.7, 12.7, 35.7),), template_thickness=(12.0,))
    route = rectangle(80.0, 50.0, 8.0)
    plain = choose((Track(route),), 30.0, shop)
    assert [step.on for step in plain.steps] == [True, False]
    deep = choose((Track(route, wall=24.0),), 30.0, shop)
    assert [step.on for step in deep.steps] == [True] and deep.short == pytest.approx(14.3)


def test_the_outline_under_a_ledge_that_is_cut_first():
    """Bryony cut out from the front, with a ledge 6.4 mm high there: no bearing runs on what the
    ledge took."""
    design = drawn("bryony")
    skin = replace(design.skin, front=Ledge((0.5, 1.5), 6.4))
    blank = replace(design.blank, outline_from="front")
    layout = replace(design, skin=skin, blank=blank).layout()
    one = template(layout, "outline")
    assert one.face == "front" and one.guide.short == 0.0
    assert all(step.hung[0] >= 8.4 - 1e-9 for step in one.guide.steps if not step.on)
    assert all(step.hung[1] <= 3.0 + 1e-9 for step in one.guide.steps if step.on)
    assert any("neck.pocket is open" in note for note in one.notes)


def test_an_outline_from_the_back_finds_its_wall_under_no_front_pocket():
    one = template(layout_of("teasel"), "outline")
    assert one.face == "back" and not any("no wall" in note for note in one.notes)


def edge_step(layout, face, work=Work.EDGE):
    return next(
        step
        for step in cut_order(layout).steps
        if step.work is work and step.jobs[0].face == face and step.jobs[0].piece.id == "body"
    )


def test_a_roundover_past_an_open_pocket():
    """Bistort's pocket is 14.8 deep; the bearing runs 2 to 7 mm under the front. 55.4 mm of the
    outline lie in the pocket, as its plan says."""
    layout = layout_of("bistort")
    (note,) = edge_step(layout, "front").notes
    assert "finds no wall over 55 mm" in note and "plug that with a scrap" in note
    pocket = layout.by_id["neck.pocket"].shape.plan.segments
    s = layout.skin.outline.segments
    t = (np.arange(2000) + 0.5) / 2000
    own = [
        (float(long), pocket.encloses(s.take(np.full(2000, k)).at(t)).mean())
        for k, long in enumerate(s.length)
    ]
    assert sum(long * share for long, share in own) == pytest.approx(55.4, abs=0.1)
    assert not edge_step(layout, "back").notes


def test_a_thin_side_carries_no_bearing():
    """A front roundover of 1.5 mm on a cover of 2.5 leaves 1 mm of side."""
    layout = layout_of("teasel")
    cover = next(p for p in layout.pieces if p.id == "control.cover")
    thin = replace(cover, skin=replace(cover.skin, front=Roundover(1.5)))
    pieces = tuple(thin if p is cover else p for p in layout.pieces)
    step = next(
        step
        for step in cut_order(replace(layout, pieces=pieces)).steps
        if step.work is Work.EDGE and step.jobs[0].piece.id == "control.cover"
    )
    assert any("only 1.00 mm of side" in note for note in step.notes)


@pytest.mark.parametrize(("name", "off"), [("teasel", "2.80"), ("bramble", "3.80")])
def test_a_ledge_that_follows_a_contour_is_led_by_the_side(name, off):
    """A bearing smaller than its cutter by twice the ledge's width; it is listed."""
    layout = layout_of(name)
    step = edge_step(layout, "front", Work.LEDGE)
    bit = f"rebate bit, its bearing {off} mm smaller than its cutter"
    assert [run.tool for run in step.runs] == [bit]
    assert f"the side guides a {bit}" in step.notes[0]
    assert any("neck.pocket is open" in note for note in step.notes)
    (tool,) = (tool for tool in tools(layout) if tool.what == bit)
    assert tool.uses == ("body.front.edge",) and not tool.lacking


def test_passes_are_each_steps_own():
    """Half of the cutter's diameter, and no deeper than the flutes are long."""
    one = template(drawn("bryony").layout(), "control-cavity")
    narrow = next(k for k, step in enumerate(one.guide.steps) if step.bit.startswith("9.5"))
    assert words(one)[narrow].endswith("in passes of 4.75 at most")
    short = Shop(pass_depth=1.0, bushes=(), bearing_bits=(BearingBit(12.7, 6.35, 30.0),))
    assert choose((Track(rectangle(80, 50, 8)),), 9.0, short).steps[0].once == 6.35


def test_no_wall_is_asked_for_where_there_is_nothing_to_cut():
    """Bramble's outline is cut from the back: where the bearing comes down to the neck's pocket,
    nothing but air is under it."""
    one = template(layout_of("bramble"), "outline")
    assert max(step.hung[1] for step in one.guide.steps) > 49.0 - 34.5 + 5.0
    assert not any("no wall" in note for note in one.notes)
