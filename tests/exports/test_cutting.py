"""The page of the cut order and the blank's drawing, read back and spoiled."""

from __future__ import annotations

from dataclasses import replace

import ezdxf
import pytest

from bodycad import Cutter, Drill, Fitted, Shop, load_design
from bodycad.checks.order.jobs import Hold, Work
from bodycad.checks.order.sequence import ordered
from bodycad.checks.runner import run
from bodycad.errors import FileError
from bodycad.exports.cutting import page
from bodycad.exports.cutting.texts import entered
from bodycad.exports.dxf import blank
from bodycad.exports.report.text import counts
from bodycad.layout.interface import Saddle
from bodycad.making.bill import bill
from bodycad.making.blank_plan import blank_plan
from bodycad.making.order import cut_order
from bodycad.making.step import spans
from tests.drawn import DESIGNS, layout_of
from tests.strangers.bench import quoin


@pytest.fixture(scope="module")
def report():
    return run(load_design(str(DESIGNS / "teasel.py"), ("left_handed=true",)).layout())


@pytest.fixture(scope="module")
def written(report, tmp_path_factory):
    folder = tmp_path_factory.mktemp("cutting")
    page.write(report, folder)
    return folder


def test_the_page_says_what_it_is_of_and_every_step(written, report):
    text = (written / "teasel-cutting.html").read_text(encoding="utf-8")
    assert "left-handed, revision 1" in text and "Millimetres" in text
    assert f"{counts(report)}: the checks of the layout alone" in text
    for step in cut_order(report.layout).steps:
        assert f"<b>{step.number}. </b>" in text
    for void in report.layout.by_id:
        assert f": {void}<" in text or void in text
    assert text.count('type="checkbox"') > len(cut_order(report.layout).steps)
    assert "; what holds as drawn holds from " in text and "Stop and measure" in text


def test_equal_input_gives_equal_bytes(written, report, tmp_path):
    page.write(report, tmp_path)
    for name in page.names(report.layout):
        assert (tmp_path / name).read_bytes() == (written / name).read_bytes()


def test_a_cut_that_is_left_out_is_noticed(report):
    layout = report.layout
    order = cut_order(layout)
    first = next(one for one in order.set_ups if one.face == "back")
    short = tuple(
        replace(one, steps=one.steps[1:]) if one is first else one for one in order.set_ups
    )
    spoiled = replace(order, set_ups=short)
    assert page.missing(layout, spoiled)
    with pytest.raises(FileError, match="leaves out neck.bolt"):
        page.complete(layout, spoiled)
    twice = tuple(
        replace(one, steps=(*one.steps, one.steps[0])) if one is first else one
        for one in order.set_ups
    )
    with pytest.raises(FileError, match="twice"):
        page.complete(layout, replace(order, set_ups=twice))


@pytest.mark.parametrize(
    "name, work, what",
    [
        ("teasel", Work.EDGE, "body.back.edge"),
        ("teasel", Work.LEDGE, "body.front.edge"),
        ("teasel", Work.MEET, "the second half of bridge.string.1"),
        ("teasel", Work.VOID, "bridge.string.1"),
        ("teasel", Work.OUTLINE, "body.outline"),
    ],
)
def test_each_kind_of_cut_that_is_left_out_is_named(name, work, what):
    layout = layout_of(name)
    order = cut_order(layout)
    assert page.missing(layout, order) == ()
    short = []
    for one in order.set_ups:
        rows = [
            replace(step, jobs=tuple(job for job in step.jobs if job.work is not work))
            for step in one.steps
        ]
        short.append(replace(one, steps=tuple(step for step in rows if step.jobs)))
    assert what in page.missing(layout, replace(order, set_ups=tuple(short)))


def test_page_and_list_name_the_same_boards():
    """What the blank's page says to begin with is what the list says to buy."""
    for layout in (layout_of("teasel"), layout_of("yarrow")):
        rows = [r for r in bill(layout).rows if r.what.startswith(("board of", "core of"))]
        bought = [tuple(dict(row.sizes).values()) for row in rows]
        plan = blank_plan(layout)
        assert [tuple(one) for one in plan.rough] == [pytest.approx(b, abs=0.01) for b in bought]
        first = " x ".join(f"{size:.0f}" for size in bought[0])
        assert first in plan.bought and len(bought) == len(plan.boards)


def test_where_no_order_keeps_every_rule_the_page_says_what_is_left(report, tmp_path):
    layout = replace(layout_of("teasel"))
    from bodycad.checks.order.jobs import jobs
    from bodycad.checks.order.rules import Rule, Why, rules

    todo = tuple(jobs(layout))
    kept = (*rules(layout, todo), Rule("body:contour:contour.heel", "neck.bolt.4.seat", Why.OPEN))
    layout.memo[("sequence",)] = ordered(layout, todo, kept)
    page.write(replace(report, layout=layout), tmp_path)
    text = (tmp_path / "teasel-cutting.html").read_text(encoding="utf-8")
    assert "No order keeps every rule" in text and "contour.heel" in text


def test_values_go_back_by_the_design_s_own_names():
    layout = layout_of("teasel")
    stops = [stop for step in cut_order(layout).steps for stop in step.stops]
    fitted = [stop for stop in stops if stop.names and stop.names[0].startswith("fitted")]
    (line,) = entered(layout, fitted)
    assert line.startswith("in YOUR-SCRIPT.py: Design(..., fitted=Fitted(aside=measured(VALUE)")
    names = {one.split("=")[0].strip() for one in line.split("Fitted(")[1].split(",")}
    assert names == {"aside", "aside_at_board", "along"} < set(Fitted.__dataclass_fields__)
    sizes = {**layout.parameters, "sizes": "teasel-sizes.csv", "thickness": 45.0}
    asked = *(name for stop in fitted for name in stop.names), "stock.thickness"
    table = replace(layout, parameters=sizes, asked=asked)
    wanted = "bodycad enter YOUR-SCRIPT.py fitted.aside=VALUE fitted.aside_at_board=VALUE"
    assert next(iter(entered(table, fitted))).startswith(wanted)
    blank = [stop for stop in stops if stop.names == ("stock.thickness",)]
    wanted = "bodycad enter YOUR-SCRIPT.py stock.thickness=VALUE"
    assert list(entered(table, blank)) == [wanted]  # not the parameter too: one truth
    assert "enter" not in next(iter(entered(replace(table, asked=()), blank)))
    depth = [stop for stop in stops if stop.what == "Depth of the pocket"]
    assert list(entered(layout, depth)) == ["bodycad check YOUR-SCRIPT.py --set pocket_depth=VALUE"]
    bare = replace(layout, parameters={})
    assert list(entered(bare, depth)) == []


def test_the_dry_assembly_says_nothing_twice(report):
    """Here two findings of one kind say the same."""
    first = next(f for f in report.findings if f.code == "string-clearance")
    twin = replace(first, subjects=("twin",))
    told = "".join(page._dry(replace(report, findings=(first, twin))))
    assert told.count(first.text) == 1


def test_what_is_expected_of_saddles_is_what_is_measured(report):
    """Not what is spare: a saddle's height over the front, and its place behind the scale line."""
    known = {f.code: page.measured(f) for f in report.findings if f.check == "stack"}
    texts = {f.code: f.text for f in report.findings}
    for code, (height, holds) in known.items():
        assert f"must stand {height:.2f} mm over the body" in texts[code]
        assert holds == "9.50 to 14.00"
    layout = report.layout
    for f in (f for f in report.findings if f.code == "saddle-window"):
        number = int(f.subjects[0].rpartition(".")[2])
        saddle = next(s for s in layout.stated(Saddle) if s.id == f.subjects[0])
        back, holds = page.measured(f)
        assert back == pytest.approx(layout.instrument.setbacks[number - 1].value)
        low, high = map(float, holds.split(" to "))
        assert high - low == pytest.approx(saddle.ahead + saddle.behind, abs=0.011)
        assert low < back < high
    least = next(f for f in report.findings if f.code == "string-margin")
    assert page.measured(least) == (least.value, "at least 2.50")


@pytest.mark.parametrize(
    "name, deep, least, whole", [("bramble", 34, 44, 49), ("teasel", 17, 27, 44)]
)
def test_a_pin_that_reaches_no_wood_is_told_where_the_blank_lies_on_it(name, deep, least, whole):
    """The way of the neck is cleared from the front round pin 1; then the front lies on the bed."""
    layout = layout_of(name)
    done, told = [], {}
    for one in cut_order(layout).set_ups:
        told[one.hold, one.face, one.piece.id] = page._flat(layout, one, done)
        done += [job for step in one.steps for job in step.jobs]
    assert "reaches no wood" not in told[Hold.FLAT, "front", "body"]
    words = told[Hold.FLAT, "back", "body"]
    assert f"reaches no wood here: {deep:.2f} mm are cleared round it" in words
    assert f"stands {least} to {whole} mm over the bed; else the other 2 locate" in words


def test_spans():
    assert spans([3]) == "step 3" and spans([9, 4, 5, 6]) == "steps 4-6, 9"


def test_the_blank_is_drawn_where_it_is(written, report):
    doc = ezdxf.readfile(written / "teasel-blank.dxf")
    assert doc.header["$INSUNITS"] == 4
    space = doc.modelspace()
    found = [c.dxf.center for c in space.query('CIRCLE[layer=="PIN"]')]
    pins = sorted((p.x, p.y) for p in report.layout.blank.pins)
    for one, pin in zip(sorted((p.x, p.y) for p in found), pins, strict=True):
        assert one == pytest.approx(pin)
    (joint,) = space.query('LINE[layer=="JOINT"]')
    assert joint.dxf.start.y == pytest.approx(-24.0)  # the left-handed twin's
    texts = " ".join(one.dxf.text for one in space.query("TEXT"))
    assert "left-handed" in texts and "FRONT" in texts and "millimetres" in texts


def test_a_spoiled_drawing_of_the_blank_is_refused(report, tmp_path):
    layout, path = report.layout, tmp_path / "blank.dxf"
    plan = blank_plan(layout)
    blank.write(layout, plan, path)
    x, y = plan.holds[0]
    moved = replace(plan, holds=((x + 1.0, y), *plan.holds[1:]))
    with pytest.raises(FileError, match="HOLD"):
        blank.verify(layout, moved, path)
    with pytest.raises(FileError, match="TAB"):
        blank.verify(layout, replace(plan, tabs=plan.tabs[1:]), path)
    path.write_text("no drawing")
    with pytest.raises(FileError):
        blank.verify(layout, plan, path)


def test_a_step_that_no_tool_on_hand_makes_says_so(tmp_path):
    """A shop of one shallow cutter and one thin drill."""
    shop = Shop(cutters=(Cutter(6.0, 3.0),), drills=(Drill(1.0, 5.0),), bits=())
    layout = replace(quoin(), shop=shop).layout()
    page.write(run(layout), tmp_path)
    text = (tmp_path / "quoin-cutting.html").read_text(encoding="utf-8")
    routed = [v for v in layout.voids if v.shape.hole is None and "recess" not in v.id]
    assert text.count("no tool on hand makes it") >= len(routed) >= 2
    assert "hole, no drill on hand" in text
