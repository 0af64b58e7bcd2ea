"""Bulges, angles and flats of the outline against its edges: hand-worked places and figures."""

from __future__ import annotations

import math

import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import hull, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.edge import Chamfer, Ledge, Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Stretch
from tests.checks.bench import TABLE, board

HORN = hull([(0.0, 0.0, 140.0), (220.0, 0.0, 4.93)])
"""A body with a horn whose tip has radius 4.93 mm, at (224.93, 0)."""


def asked(outline, back=Square(), front=Square()):
    return {
        (f.code, f.subjects[0]): f
        for f in TABLE["mitre"].function(board(outline=outline, front=front, back=back))
        if f.subjects
    }


def test_a_roundover_wider_than_a_horn_is_round_warns_at_the_horn():
    found = asked(HORN, Roundover(6.0))["mitre", "body.back.edge"]
    assert found.status == "warn" and found.value == pytest.approx(4.93 - 6.0)
    assert found.at[0] == pytest.approx((224.93, 0.0, -44.0))
    assert "radius 4.93 mm, at (224.9, 0.0)" in found.text and "ridge" in found.text
    assert "round the outline to 6.00 mm" in found.cure
    held = asked(HORN, Roundover(4.0))["mitre", "body.back.edge"]
    assert held.status == "pass" and held.value == pytest.approx(0.93)


def test_a_binding_is_mitred_there():
    found = asked(HORN, front=Ledge((5.5,), 6.0))["mitre", "body.front.edge"]
    assert found.status == "warn" and "strip must be mitred" in found.text


def test_every_horn_is_named():
    horns = hull([(0.0, 0.0, 140.0), (220.0, 0.0, 5.0), (0.0, 190.0, 4.0), (0.0, -190.0, 4.5)])
    text = asked(horns, Roundover(6.0))["mitre", "body.back.edge"].text
    assert "radius 4.00 mm, at (" in text and "; also at (" in text
    first, rest = text.split("; also at ")
    assert "194.0)" in first and "(225.0, 0.0)" in rest and "-194.5)" in rest


def test_a_chamfer_there_is_refused_by_place():
    with pytest.raises(InputError, match=r"tightest bulge there, at \(224.9, 0.0\), radius 4.93"):
        Skin(HORN, 44.0, Chamfer(6.0), Square())


def test_corners_are_told_and_slight_angles_warn():
    found = asked(rectangle(400.0, 300.0), Roundover(6.0))
    corners = found["mitre.corner", "body.back.edge"]
    assert corners.status == "pass" and "4 corners" in corners.text
    assert "(200.0, 150.0)" in corners.text
    assert ("mitre.angle", "body.back.edge") not in found
    # One side leaves the other by atan(7 / 200) = 2.0045 degrees.
    bent = profile([(-200, -150), (200, -150), (207, 50), (200, 150), (-200, 150)])
    angle = asked(bent, Roundover(6.0))["mitre.angle", "body.back.edge"]
    at = math.degrees(math.atan(7 / 200) + math.atan(7 / 100))
    assert angle.status == "warn" and angle.value == pytest.approx(at)
    assert angle.at[0] == pytest.approx((207.0, 50.0, -44.0))


def test_an_angle_beside_the_stretch_is_not_its_own():
    bent = profile([(-200, -150), (200, -150), (207, 50), (200, 150), (-200, 150)])
    along = Stretch(Roundover(6.0), (-150.0, -150.0), (150.0, -150.0))
    found = asked(bent, (along,))
    assert ("mitre.angle", "body.back.edge.1") not in found
    assert found["mitre", "body.back.edge.1"].status == "pass"


def test_a_waist_narrower_than_both_edges_leaves_the_flat_in_two():
    waist = [(-200, -150), (0, -5), (200, -150), (200, 150), (0, 5), (-200, 150)]
    flat = asked(profile(waist), Roundover(6.0))["mitre.flat", "body.back.edge"]
    assert flat.status == "warn" and "in 2 pieces" in flat.text
    assert flat.at[0] == pytest.approx((0.0, 0.0, -44.0), abs=0.01)
    assert ("mitre.flat", "body.back.edge") not in asked(profile(waist), Roundover(3.0))


def test_a_square_body_is_skipped_by_name():
    (one,) = TABLE["mitre"].function(board(outline=HORN))
    assert one.status == "skip"
