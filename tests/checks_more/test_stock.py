"""`stock` by hand: a 400 x 300 outline in blanks of several sizes."""

import pytest

from bodycad.checks.rules.stock import stock
from bodycad.layout.blank import Blank, Pin
from bodycad.shop import Shop
from bodycad.wood import species
from tests.checks_more.bench import bench, loose, only

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
    assert [f.text for f in stock(bench(loose())) if f.status == "skip"][0].startswith(
        "the blank's thickness has not been measured"
    )
