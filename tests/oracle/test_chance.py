"""A few bodies of the oracle of `--chance`; `python -m tests.oracle.chance 400` draws more."""

from __future__ import annotations

import pytest

from tests.oracle.chance import ERRORS, SLACK, compared, pressed
from tests.oracle.drawn import BODIES

BODIES_EACH = 8


@pytest.fixture(scope="module", params=list(BODIES)[:2])
def drawn(request):
    """Of one body: its findings beside bodies laid out anew, under limits that errors decide."""
    design = pressed(BODIES[request.param]())
    return compared(design, BODIES_EACH)


def test_the_worst_case_bounds_every_body(drawn):
    assert len(drawn) > 150
    assert not {r.finding.identity: r.beyond for r in drawn if r.beyond > SLACK}


def test_the_chance_is_the_share_of_bodies(drawn):
    """Within the standard errors of so few bodies; findings that hold in all and in none too."""
    assert sum(0.02 < r.finding.chance < 0.98 for r in drawn) > 20
    off = [r for r in drawn if r.off > ERRORS]
    assert not {r.finding.identity: (r.share, r.finding.chance) for r in off}
