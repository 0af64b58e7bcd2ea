"""What is largest and most still passes every check within a gigabyte; what is more is one line."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from bodycad.errors import InputError
from bodycad.geometry.solids.bore import bore
from tests.checks.bench import board, cut

HOME = Path(__file__).resolve().parents[2]
BEGIN = """
import math, resource, sys
resource.setrlimit(resource.RLIMIT_AS, (1_000_000_000, 1_000_000_000))
from bodycad.checks.runner import run
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.outline import smooth_outline
from bodycad.geometry.plane.profile import MOST, profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.workpiece import MOST_VOIDS
from tests.checks.bench import bevel, board, cut, necked, pocket

def ring(count):
    turns = [2.0 * math.pi * k / count for k in range(count)]
    return [(240.0 * math.cos(t), (160.0 + 10.0 * math.cos(3.0 * t)) * math.sin(t)) for t in turns]

pockets = [pocket(f"p{k}", -150.0 + 60.0 * k, 40.0, 40.0, 20.0, 20.0) for k in range(4)]
carved = (bevel("back", (120.0, 60.0), 30.0),)
given = {"back": Roundover(6.0), "front": Ledge((1.5,), 6.0), "contours": carved}
spots = [(11.0 * (k % 32) - 180.0, 8.0 * (k // 32) - 140.0, 0.0) for k in range(MOST_VOIDS)]
holes = [bore(spot, (0.0, 0.0, -1.0), 2.0, 10.0) for spot in spots]
foot = Prism(rectangle(2900.0, 20.0, 5.0).moved(turn_deg=30.0), -5.0, 0.0)
"""
BODIES = {
    "smooth": "necked(x=150.0), *pockets, outline=smooth_outline(ring(MOST // 2)), **given",
    "a polygon": "necked(x=150.0), *pockets, outline=profile(ring(MOST)), **given",
    "voids": "*(cut(f'v{k}', hole) for k, hole in enumerate(holes))",
    "a long foot": "*pockets, cut('f', foot)",
}
END = """
found = run(board({made})).findings
assert not [f for f in found if f.status == "error"], [f.text for f in found if f.status == "error"]
assert len(found) > 40
"""


@pytest.mark.parametrize("what", BODIES)
def test_the_largest_is_checked_within_a_gigabyte(what):
    # One thread: each reserves address space of its own.
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    script = BEGIN + END.format(made=BODIES[what])
    words = [sys.executable, "-c", script]
    done = subprocess.run(words, capture_output=True, text=True, env=alone, cwd=HOME)
    assert done.returncode == 0, done.stderr[-600:]


def test_more_cuts_than_a_body_has_are_refused_in_one_line():
    parts = [cut(f"v{k}", bore((k * 0.1, 0.0, 0.0), (0, 0, -1), 2.0, 10.0)) for k in range(1001)]
    with pytest.raises(InputError, match="cuts of the body is '1001 of them'.*at most 1000.*rows"):
        board(*parts)
