"""The body's outline: in millimetres, of a body's size, turned the right way; else one finding."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad.checks.runner import run
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.blank import blank_round
from bodycad.shop import Limit, Shop
from bodycad.waiver import Waiver
from bodycad.wood import species
from tests.checks.bench import board, cut

PLAN = rectangle(480.0, 330.0, 40.0, x=60.0)
INCH, POINT = 25.4, 25.4 / 72.0


def cuts(reach: float = 200.0):
    """Pockets along the neck's line, as the parts of an instrument stand."""
    places = [60.0 + share * reach for share in (-1.0, -0.5, 0.0, 0.5, 1.0)]
    spots = [(x, y) for x in places for y in (-30.0, 30.0)]
    return [
        cut(f"c{k}", Prism(rectangle(20.0, 20.0, x=x, y=y), -15.0, 0.0))
        for k, (x, y) in enumerate(spots)
    ]


def scaled(shape: Profile, by: float) -> Profile:
    return Profile(shape.vertices * [by, by, 1.0])


def report(outline: Profile, parts=None, **given):
    return run(board(*(cuts() if parts is None else parts), outline=outline, **given))


def unsound(found):
    return [f for f in found.findings if f.status in ("fail", "error", "warn")]


def test_a_sound_outline_says_its_size_and_all_else_is_asked():
    found = report(PLAN)
    (one,) = [f for f in found.findings if f.check == "outline"]
    assert one.status == "pass"
    assert "480.0 mm long and 330.0 mm wide, and holds 10 of 10 cuts" in one.text
    assert not [f for f in found.findings if "not asked while" in f.text]


@pytest.mark.parametrize(
    "by, unit, code",
    [
        (1 / INCH, "inches", "outline.length"),
        (1 / 10.0, "centimetres", "outline.length"),
        (1 / POINT, "points", "outline.length.most"),
        (96.0 / 25.4, "pixels", "outline.length.most"),
    ],
)
def test_other_units_are_one_finding_that_says_what_it_is_in_mm(by, unit, code):
    found = report(scaled(PLAN, by))
    (one,) = unsound(found)
    assert (one.code, one.status, found.exit_status) == (code, "fail", 1)
    assert f"read as {unit}" in one.text and "480 by 330 mm" in one.text
    assert f"multiply its points by {1.0 / by:.6g}" in one.cure
    skipped = [f for f in found.findings if f.status == "skip"]
    assert len(skipped) > 30 and all("not asked while outline fails" in f.text for f in skipped)


@pytest.mark.parametrize("turn, points", [(90.0, "(y, -x)"), (-90.0, "(-y, x)")])
def test_an_outline_with_the_neck_upright_is_turned(turn, points):
    (one,) = unsound(report(PLAN.moved(turn_deg=turn)))
    assert one.code == "outline.turned"
    assert "holds 80% of the cuts" in one.text and "100% when it is turned back" in one.text
    assert points in one.cure


def test_an_outline_drawn_elsewhere_holds_too_few_of_the_cuts():
    (one,) = unsound(report(PLAN.moved(300.0, 0.0)))
    assert (one.code, one.value) == ("outline.holds", 40.0)


def test_a_shop_that_makes_small_bodies_sets_its_limit_or_waives_it():
    small, parts = rectangle(140.0, 100.0, 10.0, x=60.0), cuts(50.0)
    limits = {"outline.length": Limit(100.0, 100.0)}
    assert [f.code for f in unsound(report(small, parts))] == ["outline.length"]
    accepted = (Waiver("outline.length", ("outline",), 140.0, "a travel body"),)
    lawful = report(small, parts, shop=Shop(limits=limits))
    waived = run(replace(board(*parts, outline=small), waivers=accepted))
    for found in (lawful, waived):
        assert not [f for f in found.findings if "not asked while" in f.text]


def test_a_blank_round_an_outline_in_inches_names_the_inches():
    with pytest.raises(InputError, match="18.8976 by 12.9921 mm.*inches.*480 by 330 mm.*25.4"):
        blank_round(scaled(PLAN, 1 / INCH), species("alder, red"))
