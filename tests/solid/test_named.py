"""An error of the kernel's names what it is about: by its id, or by the place that it speaks of."""

from __future__ import annotations

import pytest

from bodycad.solid.work import _fault
from tests.sample import design


@pytest.mark.parametrize(
    ("text", "subjects"),
    [
        ("b.shaft (bore of 9.5 mm): the kernel refused it", {"b.shaft"}),
        ("the voids of body (12 tools): an edge of 2e-06 mm at (60.00, 44.90, -10.00)", {"a.ears"}),
        ("contours contour.belly: the kernel refused it", {"contour.belly"}),
        ("the slab with its edges: too narrow for this edge near (-150.0, 147.0)", {"edge"}),
    ],
)
def test_what_an_error_is_about(text, subjects):
    found = _fault(design().layout(), text)
    assert subjects <= set(found.subjects) and "body" not in found.subjects
    assert "named here" not in found.cure and all(one in found.cure for one in subjects)


def test_an_error_without_a_name_or_a_place_offers_no_change_of_what_is_named():
    found = _fault(design().layout(), "Standard_Failure")
    assert found.subjects == ("body",) and "in turn" in found.cure
