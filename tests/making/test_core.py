"""A core that runs on as the neck: nothing that cuts the outline crosses it, no pin, tab or
hold-down stands in it, and the bench is told how its blank and its order of work differ.

The core is 66 mm wide; its neck runs from the fretboard's end to the nut."""

from __future__ import annotations

import ezdxf
import numpy as np
import pytest

from bodycad import Ledge, Roundover, Skin, Square, blank_round, species
from bodycad.checks.order.jobs import Work
from bodycad.checks.rules.stock import stock
from bodycad.exports.cutting.page import page
from bodycad.exports.dxf import blank as blank_file
from bodycad.exports.sheet import cut_sheet
from bodycad.geometry.solids.stretch import Stretch
from bodycad.layout.core import beside_neck
from bodycad.making.blank_plan import blank_plan
from bodycad.making.cuts import EDGE, LEDGE, OUTLINE, cuts
from bodycad.making.order import cut_order
from bodycad.making.stock import boards
from bodycad.making.tabs import tabs
from bodycad.making.templates import templates
from bodycad.words import Face
from tests.parts.test_neck_through import THROUGH, design
from tests.strangers.bench import OUTLINE as BODY
from tests.strangers.bench import THICKNESS, quoin

HALF = 33.0


@pytest.fixture(scope="module", params=[False, True], ids=["right", "left"])
def layout(request):
    return design(left_handed=request.param).layout()


def spare(layout, way, off) -> np.ndarray:
    """How far the middle of a tool, `off` mm outside a chain, stays from the neck at places of it
    (worked out from the core's width alone)."""
    share = np.repeat(np.linspace(0.0, 1.0, 40)[None], len(way), axis=0).ravel()
    own = way.take(np.repeat(np.arange(len(way)), 40))
    ahead = own.tangent(share)
    middle = own.at(share) + off * np.column_stack([ahead[:, 1], -ahead[:, 0]])
    return np.abs(middle[middle[:, 0] > layout.body.neck.box[0], 1]) - HALF


def test_the_outline_is_cut_from_one_side_of_the_core_round_to_the_other(layout):
    (cut,) = (c for c in cuts(layout) if c.piece == "body" and c.operation == OUTLINE)
    half = cut.tool.diameter / 2.0
    assert spare(layout, cut.along, half).min() == pytest.approx(half, abs=1e-3)
    ends = cut.along.a[0], cut.along.b[-1]
    assert {float(np.sign(end[1])) for end in ends} == {-1.0, 1.0}
    # All of the outline but what lies between its ends, across the core.
    whole, gap = layout.skin.outline.length, float(np.hypot(*(ends[0] - ends[1])))
    assert 2.0 * HALF < gap < whole - cut.along.length.sum() + 1e-6 < 2.0 * HALF + 60.0


def test_an_edge_bit_stays_clear_of_the_core_by_all_of_its_width(layout):
    (cut,) = (c for c in cuts(layout) if c.piece == "body" and c.operation == EDGE)
    reach = cut.tool.bearing / 2.0 + 5.0
    assert spare(layout, cut.along, cut.tool.bearing / 2.0).min() == pytest.approx(reach, abs=1e-3)


def test_a_ledge_ends_at_the_core():
    edge = Ledge((1.5,), 6.0)
    made = design(skin=Skin(BODY, THICKNESS, edge, Square())).layout()
    rings = [c for c in cuts(made) if c.piece == "body" and c.operation == LEDGE]
    x0, x1 = made.body.neck.box[0] + 1.0, made.blank.x1
    xs, ys = np.meshgrid(np.linspace(x0, x1, 90), np.linspace(0.5 - HALF, HALF - 0.5, 40))
    spots = np.column_stack([xs.ravel(), ys.ravel()])
    for region in (r for cut in rings for r in cut.area):
        assert not (region.outer.segments.encloses(spots)).any() or any(
            hole.segments.encloses(spots).all() for hole in region.holes
        )
    assert rings


def test_a_body_without_a_core_is_cut_all_round():
    made = quoin().layout()
    assert made.body.neck is None and beside_neck(made.body, 6.0, 6.0) == (None,)
    assert all(cut.along is None for cut in cuts(made) if cut.operation == OUTLINE)


def test_the_bare_drawing_has_the_outline_as_a_mark(layout):
    for face in layout.body.faces:
        names = [layer.name for layer in cut_sheet(layout.body, face).layers]
        assert "OUTLINE-MARK" in names and not any("_OUTLINE_" in name for name in names)


def test_no_tab_pin_or_hold_down_stands_in_the_core(layout):
    neck, plan = layout.body.neck, blank_plan(layout)
    tabbed = np.array([tab.at for tab in tabs(layout) if tab.piece == "body"])
    assert len(tabbed) > 1 and neck.signed_distance(tabbed).min() > 12.0
    assert neck.signed_distance(np.array(plan.holds)).min() > 8.0
    pins = np.array([(pin.x, pin.y) for pin in layout.blank.pins])
    assert neck.signed_distance(pins).min() >= 3.0 + 5.0


def test_a_pin_in_the_core_is_no_pin_in_waste():
    """The pin at the neck's end stands on the centreline, 33 mm inside the core's sides, 3 of them
    its own half."""
    bare = blank_round(BODY, species("alder, red"), joints=THROUGH.joints)
    told = [f for f in stock(design(blank=bare).layout()) if f.status == "fail"]
    assert [(f.code, f.subjects[0]) for f in told] == [("stock.pin", "pin.2")]
    assert told[0].value == pytest.approx(-HALF - 3.0) and "runs on as the neck" in told[0].text
    assert not [f for f in stock(design().layout()) if f.status == "fail"]


def test_the_template_lies_on_the_core_and_never_leads_across_it(layout):
    (made,) = (one for one in templates(layout) if one.id == "outline")
    xs = np.linspace(0.0, layout.blank.x1 - 1.0, 200)
    for y in (1.0 - HALF, 0.0, HALF - 1.0):
        inside = made.plan.signed_distance(np.column_stack([xs, np.full(len(xs), y)]))
        assert inside.max() < 0.0
    assert any("never round the tongue's end" in note for note in made.notes)


def test_the_blank_is_told_and_drawn_with_its_core(layout, tmp_path):
    plan = blank_plan(layout)
    (core,) = (board for board in boards(layout) if board.core is not None)
    assert plan.core.box[2] - layout.blank.x0 == pytest.approx(core.net[0])
    path = tmp_path / "blank.dxf"
    blank_file.write(layout, plan, path)
    drawn = ezdxf.readfile(path)
    (shape,) = drawn.modelspace().query('LWPOLYLINE[layer=="CORE"]')
    xs = [x for x, *_ in shape.get_points()]
    assert (min(xs), max(xs)) == (layout.blank.x1, pytest.approx(layout.blank.x0 + core.net[0]))
    told = " ".join(one.dxf.text for one in drawn.modelspace().query("TEXT"))
    assert f"{core.net[0]:.1f} long to the nut" in told


def test_the_order_says_how_core_wings_fretboard_and_neck_are_made(layout):
    """The seat stands 2 mm over the front all along: 44 mm wings, a core of 46."""
    steps = [step for one in cut_order(layout).set_ups for step in one.steps]
    by_work = {step.jobs[0].work: step for step in steps if step.jobs[0].piece is layout.body}
    glue, plane, fit = by_work[Work.GLUE_UP], by_work[Work.PLANE], by_work[Work.FIT]
    assert glue.words.startswith("Plane the wings to 44.00 mm, the core to 46.00. Glue up")
    assert "both faces flat" not in plane.words and "stands 2.00 mm over the front" in plane.words
    assert fit.words == "Lay the fretboard with its nut on its seat, dry, and look along it"
    assert any("its own drawing" in note or "neck's own drawing" in note for note in fit.notes)
    cut = [step.number for step in steps for job in step.jobs if job.work.cuts]
    own = [step.number for step in steps if step.jobs[0].piece is layout.body]
    late = by_work[Work.GLUE_NECK]
    assert late.words == "Glue the fretboard on its seat, and shape the neck"
    assert late.number > max(set(cut) & set(own)) and fit.number < late.number
    outline = by_work[Work.OUTLINE]
    assert "from one side of the core round the tail to the other" in outline.words
    assert any(note.startswith("never across the core") for note in outline.notes)


def test_the_pages_say_that_the_seat_stands_over_the_front():
    text = page(design().check())
    assert "on packing of 2.00 mm or more" in text and "The blank is no rectangle" in text


def test_a_core_flush_with_the_front_is_planed_with_it():
    made = design(type(THROUGH)(THROUGH.heel, 6.4, core=66.0, species="maple, sugar")).layout()
    steps = [step.words for one in cut_order(made).set_ups for step in one.steps]
    assert "Plane the blank to 44.00 mm, both faces flat" in steps
    assert made.body.faces[-1] is Face.BACK and isinstance(made.skin.edge("back"), Roundover)


def test_only_the_stretch_that_comes_to_the_core_is_told_of_it():
    """Two stretches of one edge: across the neck's side of the body, and round its tail."""
    x0, _, x1, _ = BODY.box
    near = [(x1 - 30.0, -150.0), (x1 - 30.0, 150.0)]
    tail = [(x0 + 10.0, 60.0), (x0 + 10.0, -60.0)]
    edges = tuple(Stretch(Roundover(5.0), *ends) for ends in (near, tail))
    made = design(skin=Skin(BODY, THICKNESS, edges, Square())).layout()
    told = {
        step.jobs[0].stretch: any(note.startswith("it ends where") for note in step.notes)
        for step in cut_order(made).steps
        if step.jobs[0].work is Work.EDGE
    }
    assert told == {1: True, 2: False}
