"""Code and subjects are what a finding is: its words may be anything, and nothing that is worked
out changes with them."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from bodycad.checks.finding import Finding
from bodycad.checks.runner import run
from bodycad.cure.search import cures, with_cures
from bodycad.script import load, make
from bodycad.waiver import Waiver
from tests.checks.test_runner import LAYOUTS
from tests.test_chance import chances, small

SCRIPT = """
from bodycad import measured, Shop, Limit, Waiver
from dataclasses import replace
from tests.sample import design as sample
from tests.checks.bench import necked, hardtail, humbucker, cavity, pocket

def design(wall: float = 2.5, poles: float = 46.0, low: float = 13.0):
    parts = (
        necked(), hardtail(saddle_low=low), humbucker(poles),
        cavity("one", -100.0, 60.0, 40.0, 40.0, 2.0),
        pocket("two", -60.0 + wall, 60.0, 40.0, 30.0, 20.0),
    )
    return replace(sample(), parts=parts, links=())
"""


@pytest.fixture
def noise(monkeypatch):
    """A function that makes every finding from now on say something else, at random."""

    def begin(seed: int) -> None:
        drawn, made = random.Random(seed), Finding.__init__

        def init(self, *args, **named):
            made(self, *args, **named)
            words = "".join(drawn.choice("abc 0123456789.-,;") for _ in range(12))
            object.__setattr__(self, "text", words)

        monkeypatch.setattr(Finding, "__init__", init)

    return begin


def told(report):
    """All of a report but the words, in its order."""
    return [
        (f.identity, f.status, f.value, f.waiver, f.change, f.chance, f.worst)
        for f in report.findings
    ]


@pytest.mark.parametrize("seed", [1, 2])
def test_words_change_no_chance_and_no_waiver(noise, seed):
    """Every chance, worst case, waived and stale finding, and the order of all."""
    waivers = (
        Waiver("floor", ("front", "one.cut"), 1.0, "tried"),
        Waiver("bolt-grip", ("neck.bolt.1.hole", "neck.heel"), 16.0, "tried"),
        Waiver("stack", ("nothing",), 1.0, "tried"),
    )
    layout = replace(small(), waivers=waivers)
    plain = chances(layout, 1000)
    assert 0.0 < plain.chance.all < 1.0 and len(plain.waived) == 1
    assert [f.code for f in plain.findings if f.check == "waiver"] == ["waiver.stack"]
    noise(seed)
    spoken = chances(layout, 1000)
    assert told(spoken) == told(plain) and spoken.chance == plain.chance
    assert {f.text for f in spoken.findings}.isdisjoint({f.text for f in plain.findings})


def test_words_change_no_cure(noise, tmp_path):
    """The same parameter, value and figures, or none."""
    path = tmp_path / "many.py"
    path.write_text(SCRIPT)
    script = load(path)
    plain = cured(script)
    assert sum(f.change is not None for f in plain.findings) >= 3
    noise(1)
    assert told(cured(script)) == told(plain)


def cured(script):
    """The report of a script with its cures, all of them searched."""
    report = make(script).check()
    return with_cures(report, cures(report, script, seconds=300.0))


@pytest.mark.parametrize("name", LAYOUTS)
def test_no_two_findings_are_one(name):
    """Code and subjects are found once in a report."""
    count = Counter(f.identity for f in run(LAYOUTS[name]()).findings)
    assert not [one for one, times in count.items() if times > 1]
