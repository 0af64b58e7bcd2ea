"""Second opinions on 12 random bodies; `python -m tests.oracle.suite 300` is the long run."""

from __future__ import annotations

import pytest

from tests.oracle.figures import TOLERANCE
from tests.oracle.suite import compared, table

BODIES = 12


@pytest.fixture(scope="module")
def found():
    figures = compared(0, BODIES)
    print()
    print(table(figures))
    return figures


@pytest.mark.parametrize("kind", list(TOLERANCE))
def test_two_libraries_agree(found, kind):
    own = found[kind]
    assert own, f"no figure of the kind {kind}"
    worst = max(own, key=lambda pair: pair.off)
    assert worst.off <= TOLERANCE[kind], worst
