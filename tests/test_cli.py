"""The command line: exit statuses, what goes where, one line for every fault, nothing written."""

import inspect
import json
import os
import re
import subprocess
import sys
from enum import StrEnum
from pathlib import Path

import pytest

import bodycad
from bodycad import design as handle
from bodycad.checks.table import MANUAL
from bodycad.cli import console, selftest
from bodycad.cli import entry as cli

ROOT = Path(__file__).parents[1]
TEASEL = str(ROOT / "designs" / "teasel.py")
SAMPLE = "from tests.sample import design\n"


@pytest.fixture
def sample(tmp_path):
    """A script whose design fails some checks (it has no bridge)."""
    path = tmp_path / "body.py"
    path.write_text(SAMPLE)
    return str(path)


def run(capsys, *argv):
    """Exit status, stdout, stderr."""
    status = cli.main(list(argv))
    return status, *capsys.readouterr()


def test_check_of_a_sound_design(capsys):
    """Exit 0, the verdict first, nothing on stderr."""
    status, out, err = run(capsys, "check", TEASEL)
    assert (
        status == 0
        and out.startswith("teasel: ")
        and "FAIL" not in out.splitlines()[0]
        and err == ""
    )


def test_check_of_a_failing_design(capsys, sample):
    """Exit 1, and the failing finding comes before what holds."""
    status, out, _ = run(capsys, "check", sample)
    assert (
        status == 1
        and out.startswith("sample: FAIL")
        and out.index("FAIL  complete") < out.index("Tightest of what holds")
    )


def test_a_setting_changes_the_verdict(capsys):
    """The same script, another number, another answer."""
    status, out, _ = run(capsys, "check", TEASEL, "--set", "control_leave=2", "--no-cures")
    assert status == 1 and "FAIL  floor" in out


def test_json_is_one_document_and_nothing_else(capsys, sample):
    """stdout parses as a whole; stderr stays empty; the exit status is the verdict's."""
    status, out, err = run(capsys, "check", sample, "--json")
    assert status == 1 and err == "" and json.loads(out)["verdict"] == "fail"


@pytest.mark.parametrize(
    "argv, words",
    [
        ([], ["no command", ", ".join(cli.COMMANDS)]),
        (["--bogus"], ["--bogus"]),
        (["chek"], ["chek", "did you mean check"]),
        (["check"], ["DESIGN.py", "bodycad check --help"]),
        (["check", "BODY", "more"], ["more"]),
        (["check", "BODY", "--out", "x"], ["--out"]),
        (["check", "BODY", "--jso"], ["--jso"]),
        (["check", "BODY", "--set"], ["--set"]),
        (
            ["check", "BODY", "--set", "contour=no"],
            ["contour", "did you mean contours", "left_handed"],
        ),
        (["check", "BODY", "--set", "contours=perhaps"], ["contours", "perhaps", "true, false"]),
        (["check", "none.py"], ["none.py", "existing"]),
        (["check", "."], ["not a directory"]),
        (["check", "bad.py"], ["bad.py, line 1"]),
        (["check", "part.py"], ["AttributeError", "part.py, line 7"]),
        (["build", "BODY", "--out", "BODY"], ["--out", "is a file"]),
        (["build", "BODY", "--out", "notes"], ["notes", "mine.txt", "move it away"]),
        (["build", "bad.py"], ["bad.py, line 1"]),
        (["build", "BODY", "--paper", "a5"], ["--paper", "a5", "roll, a4, a3, letter"]),
        (["build", "BODY", "--paper", "a4", "--paper", "a4"], ["papers", "each of them once"]),
        (["explain", "flor"], ["flor", "did you mean floor"]),
        (["explain", "floor", "wall"], ["wall"]),
        (["selftest", "now"], ["now"]),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(
    capsys, tmp_path, monkeypatch, sample, argv, words
):
    """Exit 2; stdout empty; one line on stderr that names the thing; the directory as it was."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.py").write_text("def design(:\n")
    (tmp_path / "part.py").write_text(
        "from dataclasses import dataclass, replace\nfrom bodycad import Placed\n"
        "from tests.sample import design as d\n@dataclass(frozen=True)\nclass P:\n"
        "    def voids(self, *a):\n        return self.gone\n    rooms = interfaces = voids\n"
        "def design():\n    return replace(d(), parts=(Placed('x', P()),))\n"
    )
    (tmp_path / "notes" / "sample").mkdir(parents=True)
    (tmp_path / "notes" / "sample" / "mine.txt").write_text("mine")
    before = sorted(p.name for p in tmp_path.rglob("*") if "__pycache__" not in str(p))
    status, out, err = run(capsys, *[sample if word == "BODY" else word for word in argv])
    assert status == 2 and out == ""
    assert err.startswith("bodycad: ") and err.count("\n") == 1 and err.endswith("\n")
    assert all(word in err for word in words), err
    assert sorted(p.name for p in tmp_path.rglob("*") if "__pycache__" not in str(p)) == before


def test_an_unforeseen_fault_can_be_traced(monkeypatch, tmp_path):
    """BODYCAD_TRACEBACK=1 lets the exception through for whoever wants to follow it."""
    (tmp_path / "part.py").write_text(
        "from dataclasses import dataclass, replace\nfrom bodycad import Placed\n"
        "from tests.sample import design as d\n@dataclass(frozen=True)\nclass P:\n"
        "    def voids(self, *a):\n        return self.gone\n    rooms = interfaces = voids\n"
        "def design():\n    return replace(d(), parts=(Placed('x', P()),))\n"
    )
    monkeypatch.setenv("BODYCAD_TRACEBACK", "1")
    with pytest.raises(AttributeError):
        cli.main(["check", str(tmp_path / "part.py")])


def test_build_prints_where_the_files_are(capsys, tmp_path, sample, monkeypatch):
    """The report, then the directory; with --json the document alone."""
    monkeypatch.setattr(handle, "build", lambda design, out, **more: design.check())
    status, out, err = run(capsys, "build", sample, "--out", str(tmp_path / "o"))
    assert (
        status == 1
        and out.splitlines()[-1] == f"Files: {tmp_path / 'o' / 'sample'}{os.sep}"
        and err == ""
    )
    _, out, _ = run(capsys, "build", sample, "--out", str(tmp_path / "o"), "--json")
    assert json.loads(out)["design"] == "sample"


def test_build_prints_on_the_papers_that_are_named(capsys, tmp_path, sample, monkeypatch):
    """In place of the shop's own, in their order."""
    asked = []

    def build(design, out, **more):
        asked.append(design.shop.papers)
        return design.check()

    monkeypatch.setattr(handle, "build", build)
    run(capsys, "build", sample, "--out", str(tmp_path / "o"))
    run(capsys, "build", sample, "--out", str(tmp_path / "o"), "--paper", "a3", "--paper", "roll")
    assert asked == [("roll", "a4", "letter"), ("a3", "roll")]


def test_explain_lists_every_check_and_prints_every_page(capsys):
    """What is in the table is documented, waivers too: name, question, reason, cures."""
    status, listed, _ = run(capsys, "explain")
    assert status == 0 and all(f"\n{check.name} " in f"\n{listed}" for check in MANUAL)
    for check in MANUAL:
        status, page, err = run(capsys, "explain", check.name)
        assert status == 0 and err == "" and page.startswith(f"{check.name}\n")
        assert (
            all(f"\n{word}:" in page for word in ("Asks", "Why", "Cures"))
            and max(map(len, page.splitlines())) <= 96
        )


@pytest.mark.parametrize("name", bodycad.NAMES)
def test_explain_tells_what_every_public_name_takes(name, capsys):
    status, page, err = run(capsys, "explain", name)
    assert (
        status == 0
        and err == ""
        and page.startswith(f"{name}\n\n")
        and len(page.splitlines()[2]) > 10
    )
    thing = getattr(bodycad, name)
    words = isinstance(thing, type) and issubclass(thing, StrEnum)
    assert not words or f"One of: {', '.join(thing)}\n" in page
    takes = () if words else inspect.signature(thing).parameters
    assert all(re.search(rf"^  {one} ", f"{page} ".replace("\n", " \n"), re.M) for one in takes)


def test_explain_tells_sizes_with_their_tolerance_and_what_was_meant(capsys):
    _, page, _ = run(capsys, "explain", "Ring")
    assert (
        re.search(r"length +91, give or take 0.5 +5 to 250 mm\n", page)
        and "screw_length apart across the strings" in page
    )
    status, _, err = run(capsys, "explain", "Humbuker")
    assert status == 2 and "did you mean Humbucker" in err and len(err) < 160


@pytest.mark.parametrize("name", ["nosuch", "Hardtial", "wire-pth", "x" * 50])
def test_explain_refuses_in_a_short_line_with_near_names(capsys, name):
    status, out, err = run(capsys, "explain", name)
    near = {"Hardtial": "did you mean Hardtail?", "wire-pth": "did you mean wire-path"}
    assert status == 2 and not out and err.count("\n") == 1 and "..." not in err.replace(name, "")
    assert near.get(name, "bodycad explain lists them all") in err and "inch" not in err


def test_explain_takes_the_code_of_a_finding(capsys):
    assert run(capsys, "explain", "wire-path.shank") == run(capsys, "explain", "wire-path")


def test_version_names_what_it_stands_on(capsys):
    """bodycad, python and five packages, each with a number."""
    status, out, _ = run(capsys, "--version")
    assert status == 0
    assert [line.split()[0] for line in out.splitlines()] == [
        "bodycad",
        "python",
        "numpy",
        "shapely",
        "ezdxf",
        "svgelements",
        "cadquery",
    ]


def test_a_missing_package_is_said(monkeypatch):
    """A version that is not there is no crash."""
    monkeypatch.setattr(selftest, "PACKAGES", ("a-package-nobody-made",))
    assert selftest.versions()[-1] == ("a-package-nobody-made", "not installed")


@pytest.mark.parametrize(
    "tty, settings, wanted",
    [
        (True, {}, True),
        (False, {}, False),
        (True, {"NO_COLOR": "1"}, False),
        (True, {"NO_COLOR": ""}, True),
        (True, {"TERM": "dumb"}, False),
    ],
)
def test_colour_only_on_a_terminal_that_wants_it(monkeypatch, tty, settings, wanted):
    """NO_COLOR with any text in it switches colour off."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in settings.items():
        monkeypatch.setenv(name, value)
    stream = type("Stream", (), {"isatty": lambda self: tty})()
    assert console.coloured(stream) is wanted


def test_the_keyboard_stops_it_quietly(capsys, monkeypatch, sample):
    """One line, status 130."""

    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("bodycad.script.load", stop)
    status, out, err = run(capsys, "check", sample)
    assert (status, out) == (130, "") and err.count("\n") == 1


def test_a_reader_that_goes_away_is_no_fault(sample):
    """A closed pipe on stdout: no traceback, and the verdict is still the exit status."""
    read, gone = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "bodycad", "check", sample],
        stdout=gone,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    os.close(gone)
    assert done.stderr == "" and done.returncode == 1


def test_a_terminal_without_the_letters(sample):
    """An ASCII stdout gets escapes, not an exception."""
    done = subprocess.run(
        [sys.executable, "-m", "bodycad", "check", sample],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"},
    )
    assert done.stderr == "" and done.returncode == 1 and done.stdout.startswith("sample: FAIL")


def test_selftest_passes_here_and_says_what_is_missing():
    """Every line is ok on a whole machine; a missing package and a wrong volume say FAILED and what
    to do."""
    from bodycad.cli.selftest import compared
    from bodycad.cli.selftest import run as selftest

    lines, whole = selftest([("numpy", "2.0")])
    assert whole and all(line.startswith("ok") for line in lines[:-1]), lines
    assert (
        "instead of" in compared(227433.0, 227433.63)
        and compared(227433.63 + 1e-4, 227433.63) == ""
    )


def test_selftest_names_a_missing_package(monkeypatch):
    """The line says FAILED and the command that mends it."""
    from bodycad.cli import selftest

    monkeypatch.setattr(selftest, "LIBRARIES", (("libnobody.so.1", "libnobody1"),))
    monkeypatch.setattr(selftest, "_cut", lambda: "")
    lines, whole = selftest.run([("ezdxf", "not installed")])
    assert not whole
    assert lines[0] == "FAILED  ezdxf not installed: pip install ezdxf"
    assert "apt-get install libnobody1" in lines[1] and lines[1].startswith("FAILED")
