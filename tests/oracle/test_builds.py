"""A handful of random bodies built; `python -m tests.oracle.builds 400` is the long run."""

from __future__ import annotations

import pytest

from tests.oracle.builds import built

VOLUMES_AGREE = 1e-4


@pytest.mark.parametrize("number", [2, 7])
def test_what_is_drawn_is_built(number):
    one = built(number)
    assert not one.cause, one.text
    assert one.off <= VOLUMES_AGREE
    assert not one.broken
