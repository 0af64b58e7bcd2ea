"""Specks closed up, held against the same shape drawn without them."""

from __future__ import annotations

import pytest
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

from bodycad.geometry.plane.profile import profile
from bodycad.solid import kernel, occ
from bodycad.solid.mend import CLOSED, mended
from bodycad.solid.specks import specks

FLAT = kernel.Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
HIGH = 1.0


def block(nick: float, high: float = HIGH) -> occ.Solid:
    """A block 100 by 60 mm with one of its corners cut off by `nick` mm."""
    corner = [(100.0, 60.0 - nick), (100.0 - nick, 60.0)] if nick else [(100.0, 60.0)]
    outline = profile([(0.0, 0.0), (100.0, 0.0), *corner, (0.0, 60.0)])
    return kernel.extruded(outline, (), FLAT, high, "block")


@pytest.mark.parametrize("nick", [2e-5, 5e-4, 1.2e-3])
def test_specks_are_closed_and_nothing_else_moves(nick):
    solid = block(nick)
    assert specks(solid)
    found = mended(solid, kernel.volume(solid), nick * 160.0)
    assert not found.specks and found.solid.isValid()
    assert len(found.solid.Faces()) == 6
    assert kernel.volume(found.solid) == pytest.approx(6000.0 * HIGH, abs=nick * 160.0)


def test_what_is_wider_stays():
    solid = block(0.5)
    found = mended(solid, kernel.volume(solid), 0.01)
    assert found.solid is solid and not found.specks


def test_no_more_than_is_allowed_is_given_away():
    """No speck is closed at the price of a volume that is wrong."""
    solid = block(1.2e-3)
    found = mended(solid, kernel.volume(solid) - 1.0, 0.5)
    assert found.solid is solid and found.specks
    assert max(CLOSED) <= 0.002


@pytest.mark.parametrize("nick", [5e-4, 1.2e-3])
def test_what_it_was_given_stays_as_it_was(nick):
    """The body before a cut shares faces with what the cut leaves, and other ways start from it."""
    solid = block(nick)
    before = specks(solid), loosest(solid), solid.isValid()
    mended(solid, kernel.volume(solid), nick * 160.0)
    again = occ.Solid(solid.wrapped)
    assert (specks(again), loosest(again), again.isValid()) == before


def loosest(solid):
    return ShapeAnalysis_ShapeTolerance().Tolerance(solid.wrapped, 1)
