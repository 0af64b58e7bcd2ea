"""Cures by hand: two or three round pockets in a board, one number of the script at a time.

The wall between two pockets of 20 mm is their centres' distance less 20; it fails under 3 and warns
under 5.
"""

from __future__ import annotations

import json
import math
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from bodycad.checks.finding import Finding, failed
from bodycad.cli import cures as cures_cli
from bodycad.cli import design as loading
from bodycad.cli import entry as cli
from bodycad.cure import runs, search
from bodycad.cure.goal import Goal, Outcome
from bodycad.cure.line import Sample, dip, narrowed, onward
from bodycad.cure.number import Number, Reluctance
from bodycad.cure.search import Told, cures, with_cures
from bodycad.script import load, make, read_settings
from tests.oracle.kills import heard

LONG = 300.0
"""Seconds: no search of these small bodies takes them."""

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
BUMP = (
    HEAD
    + """
from math import exp

def design(angle: float = 66.0):
    wall = 1.5 + 4.0 * exp(-(((angle - 43.5) / 3.0) ** 2))
    return body(at("one", 0), at("two", 20.0 + wall))
"""
)
SCALED = (
    HEAD
    + """
def design(scale: float = 648.0, tolerance: float = 0.5, thickness: float = 44.0, far: float = 8.0):
    apart = 21.5 + (scale - 648.0) + (tolerance - 0.5) + (thickness - 44.0) + (8.0 - far) / 4.0
    made = body(at("one", 0), at("two", apart))
    neck = replace(made.instrument.neck, scale=scale)
    return replace(
        made,
        instrument=replace(made.instrument, neck=neck),
        shop=replace(made.shop, thickness_tolerance=tolerance),
        skin=replace(made.skin, thickness=thickness),
    )
"""
)
BOUGHT = (
    HEAD
    + """
from dataclasses import dataclass, field
from bodycad import measured

@dataclass(frozen=True)
class Cup:
    across: float
    x: float = field(metadata={"size": False})

    def voids(self, part, place, thickness):
        return at(part, self.x, self.across).part.voids(part, place, thickness)

    def rooms(self, part, place, thickness):
        return ()

    def interfaces(self, part, place, piece):
        return ()

def design(across: float = 20.0, calipers: float = 20.0, aside: float = 0.0):
    from bodycad.layout.layout import Placed
    cups = Placed("one", Cup(across, -aside / 9.0)), Placed("two", Cup(measured(calipers), 21.5))
    return body(*cups)
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
    """The function that gives the walls of a script, cured, as a dictionary by subjects."""

    def made(text: str, *settings: str, seconds: float = LONG):
        path = tmp_path / "round.py"
        path.write_text(text)
        script = load(path)
        values = read_settings(script, settings)
        report = make(script, values).check()
        report = with_cures(report, cures(report, script, values, seconds))
        return {
            f.subjects: f
            for f in report.findings
            if f.check == "wall" and f.status in ("fail", "warn")
        }

    return made


ONE = ("one.cut", "two.cut")


def test_the_distance_grows_to_where_it_no_longer_warns(cured):
    """1.5 mm of wall, 3 wanted, 5 without a warning: 3.5 more, and the words say so before the
    usual cure."""
    found = cured(APART)[ONE]
    assert found.change == ("distance", 25.0)
    assert found.cure.startswith(
        "set distance=25 (now 21.5): then this no longer warns, with 0.00 mm to spare and "
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
    """25 is wanted: the next twentieth is 25.00 itself; from 24.9563 the next hundredth is."""
    assert cured(APART, "distance=21.5137")[ONE].change == ("distance", 25.0)
    assert cured(APART, "distance=24.9563")[ONE].change == ("distance", 25.0)
    assert cured(APART, "distance=-21.5137")[ONE].change == ("distance", -25.0)


def test_where_more_would_break_something_the_limit_is_enough(cured):
    """Three at 46.4 leaves two no more than 23.4: 23 serve, and are told to warn still."""
    found = cured(BETWEEN, "end=46.4", "wide=19.99")[ONE]
    name, value = found.change
    assert (
        name == "distance" and 22.99 <= value <= 23.4 and "it still warns under 5 mm" in found.cure
    )


def test_a_parameter_that_breaks_another_wall_is_passed_over(cured):
    """Two can go 0.5 mm (three stands 3.5 mm off), 1.5 is wanted: the pocket shrinks instead, by 3
    to the limit, by 7 to where it no longer warns."""
    assert cured(BETWEEN)[ONE].change == ("wide", 13.0)


def test_the_smaller_of_two_changes_wins(cured):
    """With three out of the way the distance needs 1.5 to hold, the width 3.0."""
    assert cured(BETWEEN, "end=100")[ONE].change == ("distance", 25.0)


def test_a_narrow_window_takes_a_finer_value(cured):
    """Three at 46.013 leaves two up to 23.013; from 21.99 on, 1.01 is wanted: 23 serves, 23.05 does
    not."""
    assert cured(BETWEEN, "distance=21.99", "end=46.013")[ONE].change == ("distance", 23.0)
    # With one 18.008 wide the wall is the distance less 19.004: 22.004 is wanted, and 22.006 the
    # last that serves three.
    name, value = cured(BETWEEN, "distance=21.5", "end=45.006", "wide=18.008")[ONE].change
    assert name == "distance" and 22.004 <= value <= 22.006


def test_a_whole_number(cured):
    """Nine steps of 2.4 stand 1.6 mm apart, ten 4.0, eleven 6.4; flags and words are never
    changed."""
    assert cured(WHOLE)[ONE].change == ("steps", 11) and isinstance(
        cured(WHOLE)[ONE].change[1], int
    )


def test_refused_values_are_stepped_over(cured):
    """Nothing from 22 to 24 can be made: what can is found from beyond."""
    assert cured(REFUSED)[ONE].change == ("distance", 25.0)


@pytest.mark.parametrize("now", [66.0, 60.0, 53.0, 21.0])
def test_a_cure_inside_the_span_is_found_from_anywhere(cured, now):
    """Seen from 66 the wall does not move by a small step, or by one of 8: only near 43.5 is it
    thick enough."""
    name, value = cured(BUMP, f"angle={now}")[ONE].change
    wall = 1.5 + 4.0 * math.exp(-(((value - 43.5) / 3.0) ** 2))
    assert name == "angle" and wall >= 3.0 - 1e-6


def test_reluctance_decides_and_not_millimetres(cured):
    """Scale and thickness would cure by 1.5, a position only by 6 and a tolerance by 1.5: the
    position it is."""
    assert cured(SCALED)[ONE].change[0] == "far"


def test_the_stock_is_last_and_scale_and_tolerances_never(cured):
    """With the position left out, thickness is what remains, and the words warn of it; without it
    nothing does."""
    fixed = SCALED.replace(", far: float = 8.0", "").replace("(8.0 - far)", "0.0")
    found = cured(fixed)[ONE]
    assert found.change[0] == "thickness" and "change it last" in found.cure
    fixed = fixed.replace("thickness: float = 44.0", "").replace("(thickness - 44.0)", "0.0")
    fixed = fixed.replace("        skin=replace(made.skin, thickness=thickness),\n", "")
    assert cured(fixed)[ONE].change is None


def test_sizes_of_parts_come_after_positions_and_measured_ones_last(cured):
    """A ninth of the position moves the cup, and yet it is moved before another is bought; a cup
    that was measured is bought last."""
    assert cured(BOUGHT)[ONE].change[0] == "aside"
    fixed = BOUGHT.replace("aside: float = 0.0", "").replace("-aside / 9.0", "0.0")
    assert cured(fixed)[ONE].change[0] == "across"
    fixed = fixed.replace("across: float = 20.0, ", "").replace("Cup(across", "Cup(20.0")
    found = cured(fixed)[ONE]
    assert found.change[0] == "calipers" and "change it last" in found.cure


def test_what_differs_from_run_to_run_says_nothing_of_a_number(cured):
    """A part with an object that equals no other: the position still moves before a size does."""
    text = BOUGHT.replace("    across: float\n", "    across: float\n    tag: object\n")
    text = text.replace("Cup(across", "Cup(across, object()").replace(
        "Cup(measured(calipers)", "Cup(measured(calipers), object()"
    )
    assert cured(text)[ONE].change[0] == "aside"
    fixed = text.replace("aside: float = 0.0", "").replace("-aside / 9.0", "0.0")
    fixed = fixed.replace(", calipers: float = 20.0", "").replace("measured(calipers)", "20.0")
    assert cured(fixed)[ONE].change[0] == "across"


def test_no_number_helps(cured):
    """The plain statement, and the usual cure after it."""
    found = cured(NOTHING)[ONE]
    assert found.change is None
    assert found.cure == (
        "no single number of the script cures this; move one and two apart, or make one of them "
        "smaller"
    )


def test_leaving_a_part_out_is_no_cure(cured):
    """With one pocket there is no wall to be thin: that answers another question."""
    assert cured(FEWER)[ONE].change is None


def test_walls_too_far_apart_to_be_listed_hold(cured):
    """Both pockets are still there, 80 mm apart."""
    found = cured(AWAY)[ONE]
    assert found.change == ("place", 2) and "then this no longer arises" in found.cure


def test_the_time_is_kept_and_what_was_not_searched_is_said(cured, tmp_path):
    """By a clock that is past its time at the third look: the numbers left are named, and how to
    look longer."""
    path = tmp_path / "round.py"
    path.write_text(BETWEEN)
    script, looks = load(path), iter([0.0, 0.5, 0.5, *[9.0] * 1000])
    report = make(script).check()
    (told,) = [
        one
        for one in cures(report, script, {}, 2.0, clock=lambda: next(looks))
        if one.finding.subjects == ONE
    ]
    assert told.change is None and set(told.left) == {"distance", "wide", "end"}
    assert told.words.startswith("no cure was found in 2 s; not searched to the end: distance, ")
    assert "--cures 20 looks longer" in told.words
    assert cures(report, script, {}, 0.0) == ()


def test_a_last_resort_says_what_was_not_searched():
    """A measured size was found, the whole span of a position was not tried."""
    finding = Finding("wall", "fail", ONE, "", 1.0, 0.0, 3.0, 5.0)
    base = Outcome((finding,), frozenset())
    proof = Outcome((replace(finding, status="pass", value=5.0),), frozenset(), True)
    proof = replace(proof, reluctance=Reluctance.LAST)
    best = runs.Cure(Number("cup", 20.0, False), 16.0, proof, 17.0)
    for late, left, more in ((True, ("x", "y"), True), (True, (), False), (False, ("x",), False)):
        told = search._told(Goal(finding, base), runs.Wish((), best, left), late, 2.0)
        assert told.change == ("cup", 16.0) and "change it last" in told.words
        assert ("a better one may lie in what was not searched: x, y" in told.words) is more


@pytest.mark.parametrize("processes", [1, 3])
def test_the_number_of_processes_changes_nothing(cured, monkeypatch, processes):
    """As long as there is time."""
    plain = cured(BETWEEN)[ONE].cure
    monkeypatch.setattr(runs, "processes", lambda: processes)
    assert cured(BETWEEN)[ONE].cure == plain


def test_a_machine_without_processes_says_so(cured, monkeypatch):
    """The verdict stands, nothing is promised."""

    def none(*_):
        raise OSError("no more processes")

    monkeypatch.setattr(runs, "start", none)
    assert cured(APART)[ONE].cure.startswith("no cure was found in 300 s; not searched")


def test_runs_are_few_and_each_is_made_once(cured, monkeypatch):
    """Of a straight line: what each of the two numbers stands for, a step of the one that matters,
    the limit, the warning's limit, and its proof."""
    asked = []
    real = runs.Runs._answer
    monkeypatch.setattr(
        runs.Runs, "_answer", lambda own, ask, answer: asked.append(ask) or real(own, ask, answer)
    )
    monkeypatch.setattr(search, "curable", lambda f: f.status == "fail" and f.subjects == ONE)
    cured(APART)
    assert len(set(asked)) == len(asked) and len(asked) <= 8
    assert sum(len(checks) > 1 for _, _, checks in asked) == 1


WORSE = {
    "exits": "raise SystemExit(0)",
    "leaves": "import os; os._exit(0)",
    "hangs": "import time; time.sleep(1000)",
    "loops": "while True: pass",
    "interrupts": "raise KeyboardInterrupt",
    "shouts": "import os; print('noise'); os.system('echo noise'); os.write(1, b'noise')",
    "breaks": "raise BaseException('no')",
}
SPOILED = (
    HEAD
    + """
def design(distance: float = 21.5):
    if distance != 21.5 and distance < {to}:
        {what}
    return body(at("one", 0), at("two", distance))
"""
)


@pytest.mark.parametrize("what", WORSE)
def test_a_script_that_goes_wrong_at_another_value_costs_only_that_value(
    tmp_path, capfd, monkeypatch, what
):
    """One JSON document on stdout with the verdict, exit status 1; the value that does no harm is
    found, where the search comes to it."""
    monkeypatch.setattr(runs, "SHARE", 0.005)
    monkeypatch.setattr(runs, "LEAST", 0.8)
    path = tmp_path / "round.py"
    path.write_text(SPOILED.format(what=WORSE[what], to=22.4))
    assert cli.main(["check", str(path), "--json", "--cures", "300"]) == 1
    out = capfd.readouterr().out
    (wall,) = [f for f in json.loads(out)["findings"] if f["subjects"] == list(ONE)]
    assert wall["status"] == "fail" and "noise" not in out
    assert wall["set"] == {"distance": 25.0}


def test_saving_the_script_while_cures_are_sought_changes_nothing(tmp_path):
    """They run from the text that was read."""
    path = tmp_path / "round.py"
    path.write_text(APART)
    script = load(path)
    report = make(script).check()
    path.write_text("this is no (script")
    assert [
        one.change for one in cures(report, script, {}, LONG) if one.finding.subjects == ONE
    ] == [("distance", 25.0)]


def hanging(tmp_path) -> tuple[subprocess.Popen, Path, int]:
    """`check` of a script whose children hang, what it printed before, and a child's id."""
    mark, path, said = tmp_path / "child", tmp_path / "round.py", tmp_path / "said"
    wait = f"import os, time; open({str(mark)!r}, 'w').write(str(os.getpid())); time.sleep(1000)"
    path.write_text(SPOILED.format(what=wait, to=1e9))
    with said.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "bodycad", "check", str(path), "--cures", "3000"],
            stdout=out,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])},
            text=True,
            preexec_fn=heard,
        )
    until = time.monotonic() + 60.0
    while not (mark.exists() and mark.read_text()) and time.monotonic() < until:
        time.sleep(0.02)
    return process, said, int(mark.read_text())


def gone(child: int) -> bool:
    """Whether a process has ended, or does so soon."""
    until = time.monotonic() + 20.0
    while time.monotonic() < until:
        try:
            os.kill(child, 0)
        except ProcessLookupError:
            return True
        status = Path(f"/proc/{child}/stat")
        if status.exists() and status.read_text().rpartition(")")[2].split()[0] == "Z":
            return True
        time.sleep(0.02)
    return False


@pytest.mark.skipif(sys.platform != "linux", reason="looks at processes as Linux shows them")
@pytest.mark.parametrize("how, status", [(signal.SIGINT, 130), (signal.SIGKILL, -9)])
def test_the_keyboard_or_a_kill_ends_the_children_too(tmp_path, how, status):
    """The verdict was printed before; nothing runs on."""
    process, said, child = hanging(tmp_path)
    verdict = said.read_text()
    process.send_signal(how)
    _, err = process.communicate(timeout=60.0)
    assert process.returncode == status and gone(child) and "Traceback" not in err
    assert verdict.startswith("round: FAIL") and "cure: move one and two apart" in verdict


def test_a_script_is_heard_once(cured, capfd):
    """Its print at the first run only."""
    cured(APART)
    assert capfd.readouterr().err.count("a word to the maker") == 1


def test_a_design_that_holds_pays_nothing(tmp_path, monkeypatch):
    """No process is started."""
    path = tmp_path / "round.py"
    path.write_text(APART)
    script = load(path)
    report = make(script).check()
    monkeypatch.setattr(search, "curable", lambda finding: False)
    monkeypatch.setattr(search, "Runs", None)
    assert cures(report, script) == ()


def test_the_verdict_is_printed_before_cures_are_sought(tmp_path, monkeypatch):
    """And the cures after it."""
    path, said = tmp_path / "round.py", []
    path.write_text(APART)
    monkeypatch.setattr(cli.console, "write", said.append)

    def sought(report, *_, **__):
        assert len(said) == 1 and said[0].startswith("round: FAIL")
        found = {f.subjects: f for f in report.findings}[ONE]
        return (Told(found, "set distance=25", ("distance", 25.0)),)

    monkeypatch.setattr(search, "cures", sought)
    assert cli.main(["check", str(path)]) == 1
    assert len(said) == 2 and "set distance=25" in said[1]


def test_the_command_line(tmp_path, capsys, monkeypatch):
    """JSON has the words and, apart, the setting; --no-cures and --cures 0 leave both away and look
    for nothing."""
    path = tmp_path / "round.py"
    path.write_text(APART)

    def wall(*more):
        assert cli.main(["check", str(path), "--json", *more]) == 1
        return next(
            f for f in json.loads(capsys.readouterr().out)["findings"] if f["subjects"] == list(ONE)
        )

    found = wall("--cures", "300")
    assert found["set"] == {"distance": 25.0} and found["cure"].startswith(
        "set distance=25 (now 21.5): "
    )
    monkeypatch.setattr(search, "Runs", None)
    for words in (["--no-cures"], ["--cures", "0"]):
        found = wall(*words)
        assert "set" not in found and found["cure"].startswith("move one and two apart")


@pytest.mark.parametrize("text", ["", "soon", "-1", "nan", "inf", "1e9"])
def test_a_time_that_is_none(tmp_path, capsys, text):
    """One line, exit status 2, before anything is run."""
    assert cli.main(["check", str(tmp_path / "missing.py"), f"--cures={text}"]) == 2
    assert f"--cures is {text!r}; allowed: seconds, 0 (none) to 3600" in capsys.readouterr().err


def test_the_default_is_two_seconds():
    assert loading.CURES == search.SECONDS == 2.0


def test_what_is_printed_after_the_verdict(cured):
    """The cured, those that no number cures, and those that were not searched to the end."""
    finding = cured(APART)[ONE]
    text = cures_cli.cures_text(
        (
            Told(finding, "set distance=25", ("distance", 25.0)),
            Told(finding, "no single number of the script cures this"),
            Told(finding, "no cure was found", None, ("depth",)),
        ),
        2.0,
    )
    flat = " ".join(text.split())
    assert "fail wall (one.cut, two.cut) set distance=25" in flat
    assert "No single number of the script cures: fail wall (one.cut, two.cut)." in flat
    assert "Not searched to the end in 2 s: fail wall (one.cut, two.cut)." in flat
    assert "not yet tried over their whole span: depth. --cures 20 looks longer." in flat


@pytest.mark.parametrize(
    "now, low, high, aim, least, value",
    [
        (21.5, 21.5, 25.0, 23.0, 0.05, 23.0),
        (21.5137, 21.5137, 25.0, 23.0001, 0.05, 23.05),
        (-21.5, -21.5, -25.0, -23.01, 0.05, -23.05),
        (21.5, 22.95, 23.0, 22.97, 0.05, None),
        (21.5, 22.95, 23.0, 22.973, 0.001, 22.98),
        (21.5, 22.95, 23.0, 30.0, 0.001, 22.99),
        (0.0, 0.0, -0.08, -0.033, 0.01, -0.04),
        (21.5, 22.99, 23.0, 22.99, 0.001, 22.991),
    ],
)
def test_values_between_lie_on_the_grid_outward(now, low, high, aim, least, value):
    assert Number("x", now, False).inside(low, high, aim, least) == value


def test_far_values_are_round():
    """Drills and parts come in round sizes; a number that is as good as nil is tried as nil is."""
    assert 14.0 in Number("x", 13.077, False).rungs and Number("x", 13.077, False).rungs[0] == 21.0
    assert Number("x", 0.6128, False).rungs[0] == 3.1
    assert Number("x", 1e-6, False).rungs == Number("x", 0.0, False).rungs
    assert Number("x", 9, True).rungs[:2] == [17, 1]


def test_what_is_stepped_over_is_looked_at_again(cured):
    """The wall is thick enough within 2 of 24.5 only: by its slope at 30 it is so at 20."""
    text = BUMP.replace(
        "1.5 + 4.0 * exp(-(((angle - 43.5) / 3.0) ** 2))",
        "6.0 / (1.0 + ((angle - 24.5) / 2.0) ** 2)",
    )
    assert 22.5 <= cured(text, "angle=30")[ONE].change[1] <= 26.5


def test_whole_numbers_between():
    assert (
        Number("x", 9, True).inside(9, 12, 9.4) == 10
        and Number("x", 9, True).inside(9, 10, 9.5) is None
    )


def test_the_secant_goes_outward_as_long_as_the_figure_betters():
    """From 3 lacking to 2 over a step of 0.5: 1 more for the rest; on the other side, nothing."""
    number, now = Number("x", 10.0, False), Sample(10.0, 3.0, False)
    assert onward(number, [now, Sample(10.5, 2.0, False)], 1) == 11.5
    assert onward(number, [now, Sample(10.5, 2.0, False)], -1) is None
    assert onward(number, [Sample(9.5, 4.0, False), now], 1) == 11.5
    assert onward(number, [now, Sample(10.5, 2.999, False)], 1) is None


def test_closing_in_ends_where_the_figure_says_so():
    """1 lacking at 10 and 0.02 to spare at 11: 10.95 would lack 0.03."""
    number, held = Number("x", 9.0, False), Sample(11.0, -0.02, True)
    assert narrowed(number, [Sample(9.0, 2.0, False), Sample(10.0, 1.0, False), held]) is None
    held = Sample(11.0, -1.0, True)
    assert narrowed(number, [Sample(9.0, 2.0, False), Sample(10.0, 1.0, False), held]) == 10.5
    assert narrowed(number, [Sample(9.0, None, False), Sample(11.0, None, True)]) == 10.0


def test_a_dip_is_looked_for_where_it_may_be():
    """Between 0 and 10 a figure as steep as 1 could sink by 5; by 1.5 on either side it needs 1."""
    number = Number("x", 0.0, False)
    steep = [Sample(-1.0, 2.5, False), Sample(0.0, 1.5, False), Sample(10.0, 1.5, False)]
    assert dip(number, steep, 0.25) == 5.0
    assert dip(number, [Sample(0.0, 1.5, False), Sample(1.0, 1.4, False)], 0.25) is None


def test_a_net_that_fails_is_cured_though_another_check_warns(tmp_path, monkeypatch):
    """It is left aside only where a check that asks by name fails."""
    path = tmp_path / "round.py"
    path.write_text(APART)
    script, sought = load(path), []
    report = make(script).check()
    monkeypatch.setattr(search, "_search", lambda goal, *_: sought.append(goal.check))
    monkeypatch.setattr(runs.Runs, "drive", lambda *_: [])
    for status, wanted in (("warn", ["assembly", "wall"]), ("fail", ["wall"])):
        found = (failed("assembly.wood", ("one",), "", ""), Finding("wall", status, ONE, ""))
        cures(replace(report, findings=found), script)
        assert sought == wanted
        sought.clear()
