"""Spoilings of one number get the cure that undoes them, or a nearer one.

`python -m tests.oracle.cured 30` is the long run, within the two seconds that `check` takes."""

from __future__ import annotations

import pytest

from tests.oracle.cured import case, result

LONG = 300.0
"""Seconds: for the slowest machine."""
CASES = (3, 14, 28, 36, 56)
"""A bore too deep for its drill, a control against its cavity's wall, a strap button in the wood,
and two more; each fails, whatever the demo's numbers are, or is drawn again as one that does."""


@pytest.mark.parametrize("number", CASES)
def test_a_spoiling_is_undone(number):
    one = case(number)
    found = None
    while found is None:
        found = result(one, LONG) if one is not None else None
        number += 1
        one = case(number)
    assert found.told and found.word == "cured", str(found)
