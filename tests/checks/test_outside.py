"""A part placed beyond the board."""

from __future__ import annotations

import pytest

from bodycad.design import build
from bodycad.errors import InputError
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from tests.checks.bench import ask, board, cut


def test_a_cut_outside_the_blank_is_named_and_not_built(tmp_path):
    """The blank ends at x = 210; the pocket's far side is at 300 + 20."""
    layout = board(
        cut("far", Prism(rectangle(40.0, 30.0, 0.0, 300.0, 0.0), -20.0, 0.0)),
        cut("near", Prism(rectangle(40.0, 30.0), -20.0, 0.0)),
    )
    found = [f for f in ask(layout, "complete") if f.subjects[-1:] == ("blank",)]
    assert [(f.status, f.subjects[0]) for f in found] == [
        ("fail", "far.cut")
    ] and "110.00 mm outside" in found[0].text
    with pytest.raises(
        InputError, match="far.cut lies outside the blank.*110.*move far into the body"
    ):
        build(layout, tmp_path)
    assert list(tmp_path.iterdir()) == []
