"""`--chance` on a bridge of the maker's own: what it says of a shipped bridge of the same sizes."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from bodycad import Hardtail, Instrument, Place, Placed, measured
from bodycad.chance.chance import judged
from bodycad.chance.slopes import slopes
from bodycad.chance.variables import shop_variables, size_variables
from bodycad.checks.runner import run
from bodycad.layout.layout import Layout
from tests.strangers.bench import instrument, quoin
from tests.strangers.bridges import Comb
from tests.strangers.test_bridges import NAMES

SPREAD = measured(52.5, 0.3)


@dataclass(frozen=True)
class Told(Comb):
    """The comb, whose maker says that its spread is the instrument's."""

    def shared_sizes(self):
        return {"spread": "bridge_spread"}


def played() -> Instrument:
    """The strings, their spread at the bridge in doubt by 0.3 mm."""
    return instrument(bridge_spread=SPREAD)


def body(part) -> Layout:
    """The body with that bridge."""
    swap = {"bridge": Placed("bridge", part, Place(-17.0))}
    return quoin(swap=swap, instrument=played()).layout()


def shipped(subject: str) -> str:
    """What the shipped bridge calls it."""
    for mine, its in NAMES.items():
        if subject.startswith("bridge."):
            subject = subject.replace(mine, its)
    return subject


def named(rows) -> dict:
    """Rows of (finding, figures) by code and subjects, under the shipped names."""
    return {(f.code, tuple(map(shipped, f.subjects))): figures for f, *figures in rows}


@pytest.fixture(scope="module")
def bodies() -> dict[str, Layout]:
    return {
        "own": body(Told(spread=SPREAD)),
        "alone": body(Comb(spread=SPREAD)),
        "shipped": body(Hardtail(SPREAD, plate_front=30.0)),
    }


def test_the_shops_errors_tell_as_much_of_an_own_bridge(bodies):
    """The bridge beside its place: every chance and worst case of a finding that both bodies have
    is the same."""
    told = []
    for name in ("own", "shipped"):
        layout = bodies[name]
        some = [v for v in shop_variables(layout) if v.subject == "bridge"]
        assert len(some) == 2
        report = judged(run(layout), slopes(layout, some), 1000)
        told.append(named((f, f.chance, f.worst) for f in report.findings if f.chance is not None))
    same = told[0].keys() & told[1].keys()
    assert len([key for key in same if any(s.startswith("bridge.") for s in key[1])]) > 40
    off = {
        key: (told[0][key], told[1][key])
        for key in same
        if told[0][key] != pytest.approx(told[1][key], abs=1e-9)
    }
    assert not off


def test_a_size_that_is_shared_tells_as_much_of_an_own_bridge(bodies):
    """The spread moves each finding as that of the shipped bridge does; of a part that does not
    share it, it is another size, and strings and saddles part."""
    rows = {}
    for name, layout in bodies.items():
        spreads = [v for v in size_variables(layout) if v.subject.endswith("spread")]
        spreads = [v for v in spreads if "nut" not in v.subject]
        assert len(spreads) == (2 if name == "alone" else 1)
        found = slopes(layout, spreads)
        ways = (found.rows.least(found.margins + way[0]) for way in (found.up, found.down))
        rows[name] = named(
            zip(found.findings, *(w - found.rows.least(found.margins) for w in ways))
        )
    own, its = rows["own"], rows["shipped"]
    moved = {key for key in own.keys() & its.keys() if any(own[key]) or any(its[key])}
    assert len(moved) > 4
    assert not {key for key in moved if own[key] != pytest.approx(its[key], abs=1e-9)}
    assert any(rows["alone"][key] != pytest.approx(own[key], abs=0.01) for key in moved)
