"""The figures of many places are the ones that the bolt checks judge one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.checks.rules import bolts, walls
from bodycad.parts.neckjoint import Bolt
from bodycad.pattern.figures import FIGURES, Option, figures, least_margin, spots
from bodycad.pattern.standing import neck_of, standing
from bodycad.pattern.widest import with_screws
from tests.pattern.bodies import BODIES

ROW = {
    "bolt-seat.wall": 2,
    "bolt-seat.wood": 3,
    "bolt-grip": 4,
    "bolt-tip": 5,
    "bolt-tip.rod": 6,
    "bolt-edge.diameters": 10,
    "bolt-seat.proud": 11,
}
"""Row of FIGURES of the codes that judge one figure."""
OTHERS = {"neck.heel": 7, "neck.pocket": 8, "edge": 9}
"""Row of FIGURES of `bolt-edge` by its other subject; other counterbores have none."""


def row_of(finding):
    """The row of FIGURES that a finding of a bolt check judges, None for one that judges none."""
    if finding.code == "bolt-seat":
        return 0 if finding.subjects[1] == "back" else 1
    return ROW.get(finding.code, OTHERS.get(finding.subjects[1]))


FAR = Bolt(-400.0, 0.0, 12.0, 30.0)
"""A second screw, which every joint must have, away from everything."""


def asked(layout, bolt, walled=True):
    """Row of FIGURES -> (figure, status) as the checks judge the first screw of a joint with that
    bolt; and its thinnest wall to another part's cut (slow, so only where it is wanted)."""
    name = neck_of(layout).id
    made = with_screws(layout, name, (bolt, FAR))
    found = {}
    for check in (bolts.seat, bolts.grip, bolts.tip, bolts.edge):
        for f in check(made):
            row = row_of(f) if f.subjects[0].startswith(f"{name}.bolt.1.") else None
            if row is not None:
                assert row not in found
                found[row] = f.value, f.status
    hits = [
        f
        for f in (walls.wall(made) if walled else ())
        if any(s.startswith(f"{name}.bolt.1.") for s in f.subjects)
    ]
    return found, min((f.value for f in hits), default=math.inf)


def trials(layout, count, seed):
    """Random screws over the heel and a little beyond, seats from deep in the wood to behind the
    back."""
    rng, joint = np.random.default_rng(seed), neck_of(layout)
    for _ in range(count):
        u, v = (
            rng.uniform(-3.0, joint.length + 3.0),
            rng.uniform(-0.55, 0.55) * joint.widths[0][1],
        )
        wood = rng.choice([rng.uniform(5.0, 24.0), rng.uniform(24.0, 30.0), 16.0])
        yield Bolt(float(u), float(v), float(wood), float(rng.uniform(26.0, 48.0)))


@pytest.mark.parametrize("name", BODIES)
def test_every_figure_is_the_checks_own(name):
    """Value by value and verdict by verdict; walls to other parts' cuts are never overstated."""
    layout = BODIES[name]()
    neck = neck_of(layout)
    seen, verdicts = set(), set()
    for bolt in trials(layout, 40, 7):
        at = spots(layout, neck, np.array([bolt.u]), np.array([bolt.v]))
        ours = next(figures(layout, at, [Option(bolt.wood, bolt.length)]))
        theirs, wall = asked(layout, bolt, name == "beside")
        for row, (value, _) in theirs.items():
            assert ours[row, 0] == pytest.approx(value, abs=1e-7), FIGURES[row]
        unasked = set(range(len(FIGURES) - 1)) - set(theirs)
        assert all(ours[row, 0] == math.inf for row in unasked), [FIGURES[r] for r in unasked]
        assert (
            name != "beside"
            or ours[-1, 0] <= wall + 1e-7
            or wall == math.inf
            and ours[-1, 0] > 12.0 - 2.0
        )
        ours[-1, 0] = math.inf
        for strict, bad in ((False, ("fail",)), (True, ("fail", "warn"))):
            margin, _ = least_margin(layout, ours, strict, at.kit.thread)
            fine = not any(status in bad for _, status in theirs.values())
            assert (margin[0] >= -1e-9) == fine
            verdicts.add((strict, fine))
        seen |= set(theirs)
    assert (False, False) in verdicts and len(seen) >= 9


def test_walls_to_other_parts_are_close_to_the_checks():
    """Exact beside an upright cut; beside a slanted way too small by less than 2 mm (its distance
    to the screw's axis less the radius, not to the very rim)."""
    layout = BODIES["beside"]()
    neck, short = neck_of(layout), []
    for bolt in trials(layout, 90, 11):
        at = spots(layout, neck, np.array([bolt.u]), np.array([bolt.v]))
        ours = float(next(figures(layout, at, [Option(bolt.wood, bolt.length)]))[-1, 0])
        _, wall = asked(layout, bolt)
        if wall < 10.0:
            short.append(wall - ours)
    assert (
        len(short) > 35
        and min(short) > -1e-7
        and max(short) < 2.0
        and sum(s < 1e-6 for s in short) > 12
    )


@pytest.mark.parametrize("name", ["teasel", "narrow"])
def test_a_map_is_its_places_one_by_one(name):
    """Places of the map against the checks: where it says yes, no bolt check fails, and the
    reverse."""
    layout = BODIES[name]()
    found, rng = standing(layout, 16.0, 33.0), np.random.default_rng(3)
    margins = np.abs(found.margins[0])
    for i, j in [
        *rng.integers(0, found.any.shape, (12, 2)),
        *np.argwhere(margins < 0.6)[::97][:12],
    ]:
        theirs, wall = asked(layout, Bolt(float(found.u[i]), float(found.v[j]), 16.0, 33.0))
        fails = any(status == "fail" for _, status in theirs.values()) or wall < 3.0 - 1e-9
        assert found.any[i, j] == (not fails), (found.u[i], found.v[j], theirs)
