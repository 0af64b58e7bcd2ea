"""No ruin passes: 34 random spoilings of one number each, judged by an independent assembly.

`python -m tests.oracle.spoil 500` is the long run."""

from __future__ import annotations

import pytest

from tests.oracle.known import PASSED
from tests.oracle.spoil import SEED, drawn, outcome

CASES = 34


@pytest.fixture(scope="module")
def outcomes():
    return [outcome(number) for number in range(CASES)]


def test_no_ruin_passes(outcomes):
    wrong = [one for one in outcomes if one.word == "passed" and one.number not in PASSED]
    assert not wrong, "\n".join(map(str, wrong))


def test_the_table_lists_no_case_that_is_caught(outcomes):
    stale = [one for one in outcomes if one.number in PASSED and one.word != "passed"]
    assert not stale, "\n".join(map(str, stale))


def test_the_cases_spoil_and_are_caught(outcomes):
    """A judge that calls everything sound would pass above."""
    caught = [one for one in outcomes if one.word in ("failed", "warned")]
    assert len(caught) >= 5


def test_a_case_is_the_same_in_every_run():
    assert drawn(7)[0] == drawn(7)[0] and drawn(7, SEED + 1)[0] != drawn(7)[0]
