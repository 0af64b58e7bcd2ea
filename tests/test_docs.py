"""The README says what is so: its list of checks is the table's, its commands and files exist."""

from __future__ import annotations

import re
from pathlib import Path
from types import SimpleNamespace

import pytest

import bodycad
import tests.all
from bodycad.checks.manual import renewed
from bodycad.cli import main
from tests.all import BESIDE, TESTS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = "".join(re.findall(r"```sh\n(.*?)```", README, re.S))
COMMANDS = sorted(set(re.findall(r"\bbodycad (\w+)", BLOCKS)))


def test_the_list_of_checks_is_the_tables():
    assert renewed(README) == README, "run: python -m bodycad.checks.manual"


def test_the_list_is_not_empty_and_its_marks_are_there():
    assert README.count("| `bolt-seat` |") == 1
    assert renewed(README.replace("| `bolt-seat` |", "| `old` |")) == README


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_of_the_readme_has_help(command, capsys):
    assert main([command, "--help"]) == 0
    assert f"bodycad {command}" in capsys.readouterr().out


def test_every_link_and_picture_exists():
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target


def test_names_of_the_readme_are_public():
    for name in re.findall(r"\b(measured|claimed|inch|Shop|Limit|Waiver|Neck|Design)\(", README):
        assert getattr(bodycad, name)


def test_one_command_runs_every_check_and_ci_runs_that_one():
    """The README's test command, the script of CI and the hooks run the same tools."""
    (line,) = [row for row in BLOCKS.splitlines() if "tests.all" in row]
    script, hooks = ((ROOT / name).read_text() for name in (".ci/run", ".pre-commit-config.yaml"))
    for words in ("pip", "install -q -e '.[test]'", "python", "-m tests.all"):
        assert words in line and words in script
    assert all(f"python -m {step[0]}" in hooks for step in BESIDE.values())
    extra = (ROOT / "pyproject.toml").read_text().partition("test = [")[2].partition("]")[0]
    assert all(f'"{step[0]}' in extra for step in (TESTS, *BESIDE.values()))


def test_the_one_command_fails_when_a_step_fails(monkeypatch, capsys):
    """Every step is run whatever the others say, and the failing ones are named."""
    ran = []

    def pretend(command, **how):
        ran.append(command[2])
        failing_here = command[2] in ("ruff", "mypy") and failing
        return SimpleNamespace(returncode=int(failing_here), communicate=lambda: ("said\n", None))

    monkeypatch.setattr(tests.all.subprocess, "run", pretend)
    monkeypatch.setattr(tests.all.subprocess, "Popen", pretend)
    for failing in (False, True):
        assert tests.all.main(["-x"]) == int(failing)
        words = capsys.readouterr().out.splitlines()[-1]
        assert words == ("-- FAILED: lint, format, types" if failing else "-- all hold")
    assert ran == [*(step[0] for step in BESIDE.values()), TESTS[0]] * 2
