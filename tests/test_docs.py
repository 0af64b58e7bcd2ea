"""The README says what is so: its list of checks is the table's, its commands and files exist."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import bodycad
from bodycad.checks.manual import renewed
from bodycad.cli import main

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
