"""`stock` by hand: a 400 x 300 outline in blanks of several sizes."""

import math
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from bodycad.checks.rules.stock import other_way, stock
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import Blank, Pin, blank_round
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.tools import Cutter
from bodycad.wood import species
from tests.checks_more.bench import BOARD, bench, loose, only

ALDER = species("alder, red")


@pytest.mark.parametrize(
    "x1, margin, status", [(210.0, 10.0, "pass"), (205.0, 5.0, "warn"), (198.0, -2.0, "fail")]
)
def test_waste_at_the_neck_end(x1, margin, status):
    layout = bench(loose(), blank=Blank(-215.0, -165.0, x1, 165.0, ALDER))
    found = only(stock(layout), "stock", "blank", "neck end")
    assert found.value == pytest.approx(margin) and found.status == status
    assert only(stock(layout), "stock", "blank", "-y side").value == pytest.approx(15.0)


@pytest.mark.parametrize(
    "x, wood, what, status",
    [
        (210.0, 7.0, "the outline", "pass"),
        (207.0, 4.0, "the outline", "warn"),
        (201.0, -2.0, "the outline", "fail"),
        (222.0, 5.0, "the blank's end", "pass"),
        (226.0, 1.0, "the blank's end", "fail"),
    ],
)
def test_pin_in_the_waste(x, wood, what, status):
    """A 6 mm pin hole between the outline's end at 200 and the blank's at 230."""
    layout = bench(loose(), blank=Blank(-230.0, -165.0, 230.0, 165.0, ALDER, (), (Pin(x, 0.0),)))
    found = only(stock(layout), "stock", "pin.1", what)
    assert found.value == pytest.approx(wood) and found.status == status


def test_pin_inside_the_outline_fails():
    layout = bench(loose(), pins=(Pin(150.0, 0.0),))
    assert only(stock(layout), "stock", "pin.1", "the outline").value == pytest.approx(-53.0)


@pytest.mark.parametrize("measured, status", [(44.1, "pass"), (43.8, "warn"), (44.4, "fail")])
def test_measured_thickness(measured, status):
    """Drawn 44: 0.1, 0.2 and 0.4 mm off."""
    found = only(
        stock(bench(loose(), shop=Shop(measured_stock=measured))), "stock", "blank", "thickness"
    )
    assert found.value == pytest.approx(abs(measured - 44.0)) and found.status == status


def test_unmeasured_thickness_is_said():
    (found,) = (f for f in stock(bench(loose())) if f.code == "stock" and f.status == "skip")
    assert found.text.startswith("the blank's thickness has not been measured")


@pytest.mark.parametrize(
    "outline_from, x, beside, status",
    [
        # Right through 44 mm only the 12.7 mm cutter reaches: 217 - 200 - 3 - 12.7.
        ("back", 217.0, 1.3, "warn"),
        ("back", 214.0, -1.7, "fail"),
        ("back", 220.0, 4.3, "pass"),
        # 22.5 mm from each face all three reach.
        (None, 217.0, 1.3, "warn"),
    ],
)
def test_a_cutter_round_the_outline_passes_the_pin(outline_from, x, beside, status):
    blank = Blank(
        -230.0, -165.0, 240.0, 165.0, ALDER, (), (Pin(x, 0.0),), outline_from=outline_from
    )
    found = [f for f in stock(bench(loose(), blank=blank)) if f.code == "stock.pin.cutter"]
    assert [(f.subjects, f.status) for f in found] == [(("pin.1",), status)]
    assert found[0].value == pytest.approx(beside)


def test_a_small_cutter_that_reaches_needs_less_way():
    """In 44 mm stock, 46 mm of reach at 8 mm: 214 - 200 - 3 - 8."""
    blank = Blank(-230.0, -165.0, 240.0, 165.0, ALDER, (), (Pin(214.0, 0.0),))
    shop = Shop(cutters=(Cutter(8.0, 46.0), Cutter(12.7, 30.0)))
    found = list(stock(bench(loose(), blank=blank, shop=shop)))
    (one,) = (f for f in found if f.code == "stock.pin.cutter")
    assert one.value == pytest.approx(3.0)


@pytest.mark.parametrize(
    "pins, off, status",
    [
        # On one line: turned over about it, or, alike, end for end, they fit.
        (((-220, 0, 6), (220, 0, 6)), 0.0, "fail"),
        (((-220, 0, 6), (220, 0, 8)), 0.0, "fail"),
        (((-220, 0, 6),), 0.0, "fail"),
        # Mirrored in the line between its two like pins, a triangle with two like sides fits.
        (((-220, 0, 6), (220, 100, 6), (220, -100, 6)), 0.0, "fail"),
        # But not where those two pins differ by 1 mm: half of that is too tight.
        (((-220, 0, 6), (220, 100, 6), (220, -100, 7)), 0.5, "warn"),
        (((-220, 0, 6), (220, 0, 6), (-220, 110, 6)), None, "pass"),
        # The four corners of a rectangle fit end for end; one moved by 8 mm no longer.
        (((-220, 100, 6), (220, 100, 6), (-220, -100, 6), (220, -100, 6)), 0.0, "fail"),
        (((-220, 100, 6), (220, 100, 6), (-220, -100, 6), (220, -92, 6)), None, "pass"),
    ],
)
@pytest.mark.parametrize("hand", [False, True])
def test_the_blank_goes_on_its_pins_in_one_way_only(pins, off, status, hand):
    made = tuple(Pin(*map(float, row)) for row in pins)
    layout = bench(loose(), blank=Blank(-240.0, -165.0, 240.0, 165.0, ALDER, (), made))
    layout = layout.mirrored() if hand else layout
    (found,) = (f for f in stock(layout) if f.code == "stock.pins")
    assert found.subjects == ("blank", "pins") and found.status == status
    assert found.value > 1.0 if off is None else found.value == pytest.approx(off, abs=1e-6)


def test_a_blank_without_pins_is_said_and_one_face_needs_none():
    (found,) = (f for f in stock(bench(loose())) if f.code == "stock.pins")
    assert found.status == "skip"
    plate = Workpiece(
        "plate",
        Skin(rectangle(60.0, 40.0), 10.0, Square(), Square()),
        blank=Blank(-50.0, -40.0, 50.0, 40.0, ALDER, (), (Pin(-42.0, 0.0),)),
    )
    layout = bench(loose(), blank=blank_round(BOARD, ALDER))
    layout = replace(layout, pieces=(*layout.pieces, plate))
    assert [f.subjects[0] for f in stock(layout) if f.code == "stock.pins"] == ["blank"]


@given(
    st.lists(st.tuples(st.floats(-300, 300), st.floats(-200, 200)), min_size=2, max_size=4),
    st.floats(0.0, 6.28),
    st.tuples(st.floats(-9, 9), st.floats(-9, 9)),
    st.booleans(),
)
# Two pins in one spot: a difference of large squares once said 2e-6 for 0.
@example([(0.0, 186.0), (1.0, 1.0), (1.0, 1.0)], 0.0, (0.0, 0.0), False)
@settings(max_examples=60, deadline=None)
def test_no_way_to_lay_the_blank_misses_the_pins_by_less(spots, turn, shift, over):
    """The figure bounds from below what any turn, shift and choice of holes comes to."""
    pins = [Pin(x, y) for x, y in spots]
    c, s = math.cos(turn), math.sin(turn)
    laid = [(x, -y if over else y) for x, y in spots]
    laid = [(c * x - s * y + shift[0], s * x + c * y + shift[1]) for x, y in laid]
    for order in permutations(range(len(pins))):
        if order == tuple(range(len(pins))) and not over:
            continue
        worst = max(math.dist(p, laid[k]) for p, k in zip(spots, order))
        assert worst >= other_way(pins) - 1e-6
