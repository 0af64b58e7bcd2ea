"""Cures by hand: two or three round pockets in a board, one number of the script at a time.

The wall between two pockets of 20 mm is their centres' distance less 20; it fails under 3 and warns
under 5.
"""

from __future__ import annotations

import json
from concurrent.futures import process
from dataclasses import replace

import pytest

from bodycad.cli import entry as cli
from bodycad.cure import rerun, search
from bodycad.cure.search import Number, Rungs, with_cures
from bodycad.script import load, make, read_settings

HEAD = """
from bodycad import Design, InputError
from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.prism import Prism
from tests.checks.bench import cut
from tests.sample import design as sample
from dataclasses import replace

def at(name, x, wide=20.0):
    return cut(name, Prism(circle(wide, x), -10.0, 0.0))

def body(*parts):
    return replace(sample(), name="round", parts=parts)
"""
APART = (
    HEAD
    + """
def design(distance: float = 21.5, depth: float = 3.0):
    print("a word to the maker")
    return body(at("one", 0), at("two", distance))
"""
)
BETWEEN = (
    HEAD
    + """
def design(distance: float = 21.5, wide: float = 20.0, end: float = 45.0):
    return body(at("one", 0, wide), at("two", distance), at("three", end))
"""
)
WHOLE = (
    HEAD
    + """
def design(steps: int = 9, deeper: bool = False, wood: str = "alder"):
    return body(at("one", 0), at("two", 2.4 * steps))
"""
)
REFUSED = (
    HEAD
    + """
def design(distance: float = 21.5):
    if 22.0 < distance < 24.0:
        raise ValueError("no jig for this")
    return body(at("one", 0), at("two", distance))
"""
)
NOTHING = (
    HEAD
    + """
def design(aside: float = 100.0, left_handed: bool = False):
    return body(at("one", 0), at("two", 21.5), at("three", aside))
"""
)
FEWER = (
    HEAD
    + """
def design(pockets: int = 2):
    return body(*[at(name, 21.5 * k) for k, name in enumerate(("one", "two", "three")[:pockets])])
"""
)
AWAY = (
    HEAD
    + """
def design(place: int = 0):
    return body(at("one", 0), at("two", {0: 21.5, 1: 21.0, 2: 100.0, 3: 100.0}[place]))
"""
)


@pytest.fixture
def cured(tmp_path):
    """The function that gives the walls of a script, cured, as a dictionary by subjects, and keeps
    the runs."""

    def made(text: str, *settings: str):
        path = tmp_path / "round.py"
        path.write_text(text)
        script = load(path)
        values = read_settings(script, settings)
        report = with_cures(make(script, values).check(), script, values)
        return {
            f.subjects: f
            for f in report.findings
            if f.check == "wall" and f.status in ("fail", "warn")
        }

    return made


ONE = ("one.cut", "two.cut")


def test_the_distance_grows_by_what_is_lacking(cured):
    """1.5 mm of wall, 3 wanted: 1.50 more, to the hundredth, and the words say so before the usual
    cure."""
    found = cured(APART)[ONE]
    assert found.change == ("distance", 23.0)
    assert found.cure.startswith(
        "set distance=23 (now 21.5): then this holds with 0.00 mm to spare (it still warns under 5 "
        "mm) and "
        "nothing that held before fails; or move one and two apart"
    )


def test_a_warning_is_brought_to_its_own_limit(cured):
    """4 mm of wall warn; 5 are wanted."""
    found = cured(APART, "distance=24")[ONE]
    assert (found.status, found.change) == (
        "warn",
        ("distance", 25.0),
    ) and "then this no longer warns, with 0.00 mm" in found.cure


def test_values_are_rounded_outward(cured):
    """21.5137 lacks 1.4863: the next twentieth beyond is 23.00; a lack of 0.0437 takes the next
    hundredth."""
    assert cured(APART, "distance=21.5137")[ONE].change == ("distance", 23.0)
    assert cured(APART, "distance=22.9563")[ONE].change == ("distance", 23.0)
    assert cured(APART, "distance=-21.5137")[ONE].change == ("distance", -23.0)


def test_a_parameter_that_breaks_another_wall_is_passed_over(cured):
    """Two can go 0.5 mm (three stands 3.5 mm off), 1.5 is wanted: the pocket shrinks by 3
    instead."""
    assert cured(BETWEEN)[ONE].change == ("wide", 17.0)


def test_the_smaller_of_two_changes_wins(cured):
    """With three out of the way the distance needs 1.5, the width 3.0."""
    assert cured(BETWEEN, "end=100")[ONE].change == ("distance", 23.0)


def test_a_narrow_window_takes_a_finer_value(cured):
    """Three at 46.013 leaves two up to 23.013; from 21.99 on, 1.01 is wanted: 23 serves, 23.05 does
    not."""
    assert cured(BETWEEN, "distance=21.99", "end=46.013")[ONE].change == ("distance", 23.0)
    # With one 18.008 wide the wall is the distance less 19.004: 22.004 is wanted, and 22.006 the
    # last that serves three.
    assert cured(BETWEEN, "distance=21.5", "end=45.006", "wide=18.008")[ONE].change == (
        "distance",
        22.004,
    )


def test_a_whole_number(cured):
    """Nine steps of 2.4 stand 1.6 mm apart, ten 4.0; flags and words are never changed."""
    assert cured(WHOLE)[ONE].change == ("steps", 10) and isinstance(
        cured(WHOLE)[ONE].change[1], int
    )


def test_refused_values_are_stepped_over(cured):
    """Nothing from 22 to 24 can be made: the first that can, 24, is found from beyond."""
    assert cured(REFUSED)[ONE].change == ("distance", 24.0)


def test_no_parameter_helps(cured):
    """The plain statement, and the usual cure after it."""
    found = cured(NOTHING)[ONE]
    assert found.change is None
    assert found.cure == (
        "no single parameter of the script cures this; move one and two apart, or make one of them "
        "smaller or shallower"
    )


def test_leaving_a_part_out_is_no_cure(cured):
    """With one pocket there is no wall to be thin: that answers another question."""
    assert cured(FEWER)[ONE].change is None


def test_walls_too_far_apart_to_be_listed_hold(cured):
    """Both pockets are still there, 80 mm apart."""
    found = cured(AWAY)[ONE]
    assert found.change == ("place", 2) and "then this no longer arises" in found.cure


def test_the_bound_on_runs_is_kept_and_said(cured, monkeypatch):
    """No run of all checks allowed: nothing is proven, so nothing is promised."""
    monkeypatch.setattr(rerun, "MOST_RUNS", 0)
    found = cured(APART)[ONE]
    assert found.change is None and found.cure.startswith("no single parameter was found in")
    monkeypatch.setattr(rerun, "MOST_RUNS", 300)
    monkeypatch.setattr(rerun, "MOST_PARTS", 2)
    assert cured(APART)[ONE].change is None


@pytest.mark.parametrize("broken", [False, True])
def test_other_processes_give_the_same_answer(cured, monkeypatch, broken):
    """A batch in processes of their own, or on a machine that allows none, changes nothing."""
    plain, started = cured(BETWEEN)[ONE].cure, []

    def pool(*given, **more):
        started.append(given)
        if broken:
            raise OSError("no more processes")
        return process.ProcessPoolExecutor(*given, **more)

    monkeypatch.setattr(rerun, "POOL_FROM", 1)
    monkeypatch.setattr(rerun.os, "cpu_count", lambda: 2)
    monkeypatch.setattr(rerun, "ProcessPoolExecutor", pool)
    assert cured(BETWEEN)[ONE].cure == plain and len(started) == 1


def test_runs_are_few_and_each_is_made_once(cured, monkeypatch):
    """A straight line needs a step each way of two parameters, a first guess, the value before it
    and the proof."""
    asked = []
    real = rerun.run_once
    monkeypatch.setattr(
        rerun,
        "run_once",
        lambda script, values, only: (
            asked.append((tuple(values.items()), only)) or real(script, values, only)
        ),
    )
    cured(APART)
    walls = [only for _, only in asked if "wall" in only.split() or not only]
    assert len(set(asked)) == len(asked) and len(walls) == 4 + 2 + 1 and walls.count("") == 1


def test_a_script_is_heard_once(cured, capsys):
    """Its print at the first run only."""
    cured(APART)
    assert capsys.readouterr().err.count("a word to the maker") == 1


def test_a_design_that_holds_pays_nothing(tmp_path, monkeypatch):
    """No run, and the very report comes back."""
    path = tmp_path / "round.py"
    path.write_text(APART)
    script = load(path)
    report = make(script).check()
    sound = replace(
        report, findings=tuple(f for f in report.findings if f.status not in ("fail", "warn"))
    )
    monkeypatch.setattr(search, "Runs", None)
    assert with_cures(sound, script) is sound


def test_the_command_line(tmp_path, capsys, monkeypatch):
    """JSON has the words and, apart, the setting; --no-cures leaves both away and looks for
    nothing."""
    path = tmp_path / "round.py"
    path.write_text(APART)

    def wall(*more):
        assert cli.main(["check", str(path), "--json", *more]) == 1
        return next(
            f for f in json.loads(capsys.readouterr().out)["findings"] if f["subjects"] == list(ONE)
        )

    found = wall()
    assert found["set"] == {"distance": 23.0} and found["cure"].startswith(
        "set distance=23 (now 21.5): "
    )
    monkeypatch.setattr(search, "Runs", None)
    found = wall("--no-cures")
    assert "set" not in found and found["cure"].startswith("move one and two apart")


@pytest.mark.parametrize(
    "now, sign, grid, k, value",
    [
        (21.5, 1, 0.05, 1, 21.55),
        (21.5, -1, 0.05, 1, 21.45),
        (21.52, 1, 0.05, 1, 21.55),
        (21.52, -1, 0.05, 1, 21.5),
        (-21.52, 1, 0.05, 1, -21.5),
        (-21.52, -1, 0.05, 2, -21.6),
        (0.0, -1, 0.01, 3, -0.03),
        (0.1, 1, 0.05, 3, 0.25),
    ],
)
def test_rungs_lie_on_the_grid_outward(now, sign, grid, k, value):
    rungs = Rungs(Number("x", now, False), sign, grid)
    assert rungs.at(k) == value and rungs.offset(k) == pytest.approx(abs(value - now))
    assert rungs.first(rungs.offset(k)) == k == rungs.last(rungs.offset(k))
    assert (
        rungs.first(rungs.offset(k) + 0.001) == k + 1 and rungs.last(rungs.offset(k) + 0.001) == k
    )
