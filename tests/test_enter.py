"""`bodycad enter`: measured values go into the table whole or not at all."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from bodycad.cli import main
from bodycad.script import load_design
from tests.test_measured_tables import HEAD, ROOT, SCRIPT

FITTED = SCRIPT.replace("SizeTable, claimed", "Fitted, SizeTable, claimed").replace(
    'name="wren", ', 'name="wren", fitted=sizes.of("fitted", Fitted()), '
)


@pytest.fixture
def script(tmp_path) -> Path:
    shutil.copy(ROOT / "designs" / "teasel.py", tmp_path)
    path = tmp_path / "wren.py"
    path.write_text(FITTED)
    text = f"# the neck\n{HEAD}neck.heel.length,,mm,,inside the jaws\n"
    path.with_name("wren-sizes.csv").write_text(text)
    return path


def table(script: Path) -> str:
    return script.with_name("wren-sizes.csv").read_text()


def enter(script: Path, *sizes: str) -> int:
    return main(["enter", str(script), *sizes])


def test_a_value_goes_in_and_the_verdict_follows(script, capsys):
    assert enter(script, "neck.heel.length=64.1") == 0
    said = capsys.readouterr().out
    assert said.startswith("neck.heel.length: 64 mm (claimed) -> 64.1 mm\n")
    assert "wren-sizes.csv is written.\n\nwren: PASS" in said
    assert table(script) == f"# the neck\n{HEAD}neck.heel.length,64.1,mm,,inside the jaws\n"
    size = load_design(script).instrument.neck.heel.length
    assert (size, size.origin, size.claim) == (64.1, "measured", 64.0)


def test_the_same_value_once_more_changes_nothing(script, capsys):
    assert enter(script, "neck.heel.length=64,1+-0.1") == 0
    first, before = table(script), script.with_name("wren-sizes.csv").stat()
    assert enter(script, "neck.heel.length=64.1") == 0
    assert "wren-sizes.csv says so already." in capsys.readouterr().out
    after = script.with_name("wren-sizes.csv").stat()
    assert (table(script), after.st_mtime_ns) == (first, before.st_mtime_ns)


def test_a_fitted_neck_goes_in_and_the_bridge_follows(script):
    drawn = {p.id: p.place for p in load_design(script).layout().placed}
    offs = "fitted.aside=0.6", "fitted.along=-1/64 in", "fitted.aside_at_board=.6"
    assert enter(script, *offs) == 0
    made = {p.id: p.place for p in load_design(script).layout().placed}
    assert made["bridge"].y - drawn["bridge"].y == pytest.approx(0.6)
    assert made["bridge"].x - drawn["bridge"].x == pytest.approx(-25.4 / 64)
    assert made["neck"] == drawn["neck"]
    names = [line.partition(",")[0] for line in table(script).splitlines()[2:]]
    fitted = ["fitted.aside", "fitted.aside_at_board", "fitted.along"]
    assert names == ["design", "neck.heel.length", *fitted]


WRONG = {
    "neck.heel.length": "what to enter is 'neck.heel.length'; allowed: NAME=VALUE",
    "neck.heel.length=": "allowed: NAME=VALUE",
    "neck.heel.lenght=64": "did you mean neck.heel.length?",
    "neck.heel.length=long": "the value of neck.heel.length is 'long'",
    "neck.heel.length=1e999": "the value of neck.heel.length is '1e999'",
    "neck.heel.length=3/4": "the value of neck.heel.length is '3/4'; allowed: a number of mm",
    "neck.heel.length=640": "allowed: 20 to 300 mm",
    "neck.heel.length=64 deg": "the unit of neck.heel.length is 'deg'",
    "neck.heel.length=2 1/2 in +- 0.1 mm": "the unit of neck.heel.length is 'in and mm'; allowed: "
    "one unit for the size and its tolerance",
    "neck.heel.length=64+-wide": "the tolerance of neck.heel.length is 'wide'",
    "neck.heel.length=64+--1": "the tolerance of neck.heel.length is '-1'",
    "fitted.aside=9": "allowed: -5 to 5 mm",
    "neck.heel.corner=40": "the heel's corner radius is 40",
}


@pytest.mark.parametrize("size", WRONG)
def test_nonsense_is_one_line_and_leaves_the_table(script, size, capsys):
    before = table(script)
    assert enter(script, "neck.heel.width_end=56.2", size) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1
    assert WRONG[size] in said.err
    assert table(script) == before


def test_twice_in_one_line_is_refused(script, capsys):
    assert enter(script, "neck.heel.length=64", "neck.heel.length=65") == 2
    assert "each name once" in capsys.readouterr().err


def test_a_script_without_a_table_is_told_how(script, capsys):
    assert main(["enter", str(script.with_name("teasel.py")), "a=1"]) == 2
    assert "give design() a parameter: sizes: SizeTable" in capsys.readouterr().err


@pytest.mark.parametrize("broken", ["fsync", "replace", "chmod"])
def test_whatever_breaks_the_writing_leaves_the_old_table(script, broken, monkeypatch, capsys):
    before = table(script)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, broken, full)
    assert enter(script, "neck.heel.length=64.1") == 2
    monkeypatch.undo()
    assert "No space left on device" in capsys.readouterr().err
    assert table(script) == before
    assert not [*script.parent.glob("*.part")]


def test_a_table_that_was_changed_meanwhile_is_kept(script, monkeypatch, capsys):
    """Somebody saves the table in an editor while the design is checked."""
    from bodycad.cli import enter as command

    path, made = script.with_name("wren-sizes.csv"), command._entered
    theirs = path.read_bytes() + b"neck.heel.width_end,56.2,mm,,\n"

    def meanwhile(*given):
        path.write_bytes(theirs)
        return made(*given)

    monkeypatch.setattr(command, "_entered", meanwhile)
    assert enter(script, "neck.heel.length=64.1") == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1
    assert "it was changed since it was read" in said.err
    assert path.read_bytes() == theirs and not [*script.parent.glob("*.part")]


def test_a_stop_in_the_middle_leaves_the_old_table(script, monkeypatch):
    before = table(script)

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stopped)
    assert enter(script, "neck.heel.length=64.1") == 130
    assert table(script) == before
    assert not [*script.parent.glob("*.part")]


@pytest.mark.parametrize("file", ["wren-sizes.csv", "wren-measuring.html"])
@pytest.mark.parametrize("words", [("check",), ("enter", "neck.heel.length=76")])
def test_a_file_beside_the_script_is_no_script(file, words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for name in (file, "wren.py"):
        (tmp_path / name).write_text("name,value,unit")
    assert main([words[0], file, *words[1:]]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert f"{file}, which is no Python script" in said and "did you mean wren.py?" in said
