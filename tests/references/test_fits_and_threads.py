"""Metric threads, clearance holes and fits against ISO 724, ISO 273 and ISO 286-2 as printed."""

import math

import pytest

from bodycad.errors import InputError
from bodycad.fits import clearance, clearance_hole, deviations, grade, thread


@pytest.mark.parametrize(
    "name, pitch_diameter, bore, root, area, drill",
    [
        ("M3", 2.675, 2.459, 2.387, 5.0308, 2.5),
        ("M4", 3.545, 3.242, 3.141, 8.779, 3.3),
        ("M5", 4.480, 4.134, 4.019, 14.183, 4.2),
        ("M6", 5.350, 4.917, 4.773, 20.123, 5.0),
        ("M8", 7.188, 6.647, 6.466, 36.609, 6.8),
    ],
)
def test_metric_threads(name, pitch_diameter, bore, root, area, drill):
    """ISO 261/724; stress areas published 5.0308 (M3), 14.183 (M5), 20.123 (M6), 36.609 (M8), M4
    computed."""
    found = thread(name)
    assert (found.pitch_diameter, found.nut_bore, found.root) == pytest.approx(
        (pitch_diameter, bore, root), abs=0.00051
    )
    assert found.stress_area == pytest.approx(area, abs=0.0006) and found.tap_drill == drill


@pytest.mark.parametrize(
    "series, row",
    [
        ("fine", (2.7, 3.2, 4.3, 5.3, 6.4, 8.4, 10.5)),
        ("medium", (2.9, 3.4, 4.5, 5.5, 6.6, 9.0, 11.0)),
        ("coarse", (3.1, 3.6, 4.8, 5.8, 7.0, 10.0, 12.0)),
    ],
)
def test_iso_273(series, row):
    """ISO 273:1979."""
    assert tuple(clearance_hole(f"M{d}", series) for d in ("2.5", 3, 4, 5, 6, 8, 10)) == row


ROWS = [
    (6, "H7", 12, 0),
    (6, "p6", 20, 12),
    (6, "n6", 16, 8),
    (6, "s6", 27, 19),
    (6, "g6", -4, -12),
    (6, "h6", 0, -8),
    (8, "H7", 15, 0),
    (10, "p6", 24, 15),
    (8, "n6", 19, 10),
    (8, "s6", 32, 23),
    (8, "g6", -5, -14),
    (8, "h6", 0, -9),
    (12, "H7", 18, 0),
    (14, "p6", 29, 18),
    (16, "n6", 23, 12),
    (12, "s6", 39, 28),
    (12, "g6", -6, -17),
    (12, "h6", 0, -11),
]


@pytest.mark.parametrize("size, symbol, upper, lower", ROWS)
def test_iso_286_rows(size, symbol, upper, lower):
    """ISO 286-2 through two table-driven packages, um. A web table that prints h6 of 6 to 10 mm as
    -10 is wrong."""
    assert deviations(size, symbol) == (upper, lower)


@pytest.mark.parametrize(
    "size, shaft, least, most",
    [
        (5, "p6", -20, 0),
        (8, "p6", -24, 0),
        (12, "p6", -29, 0),
        (5, "g6", 4, 24),
        (10, "g6", 5, 29),
        (18, "g6", 6, 35),
        (50, "g6", 9, 50),
        (50, "p6", -42, -1),
    ],
)
def test_iso_286_fits(size, shaft, least, most):
    """H7 holes; 50 H7/g6 clearance 9 to 50 um and H7/p6 interference 1 to 42 um are a published
    example."""
    assert clearance(size, "H7", shaft) == (least, most)


@pytest.mark.parametrize(
    "size, grades", [(6, (8, 12, 18, 75)), (10, (9, 15, 22, 90)), (18, (11, 18, 27, 110))]
)
def test_iso_286_grades(size, grades):
    """IT6, 7, 8, 11 in um."""
    assert tuple(grade(size, it) for it in (6, 7, 8, 11)) == grades


def test_band_edges_belong_below():
    """Bands run "over a, up to and including b": 6 mm is in 3 to 6, anything more in 6 to 10."""
    assert deviations(6.0, "H7") == (12, 0) and deviations(6.0001, "H7") == (15, 0)


def test_the_formula_is_not_the_table():
    """i = .45 D^(1/3) + .001 D gives 14.37 um for IT7 of 6 to 10 mm; the standard prints 15."""
    d = math.sqrt(6 * 10)
    assert 16 * (0.45 * d ** (1 / 3) + 0.001 * d) == pytest.approx(14.37, abs=0.05)
    assert grade(8, 7) == 15


@pytest.mark.parametrize(
    "call",
    [
        lambda: thread("M7"),
        lambda: clearance_hole("M7"),
        lambda: clearance_hole("M4", "loose"),
        lambda: deviations(3, "H7"),
        lambda: deviations(25, "H7"),
        lambda: deviations(8, "X9"),
        lambda: deviations(40, "s6"),
        lambda: grade(8, 5),
        lambda: grade(-1, 7),
    ],
)
def test_bad_input(call):
    with pytest.raises(InputError):
        call()
