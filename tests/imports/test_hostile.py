"""Drawings that are none: one clear line each and exit status 2, whatever is in the file."""

from __future__ import annotations

from tests.imports.hostile import KINDS
from tests.oracle.drawings import run, wrong


def test_each_kind_of_hostile_file_is_one_clear_line(capsys):
    """`python -m tests.oracle.drawings 500` asks more of each kind."""
    assert run(len(KINDS), seed=1) == 0, capsys.readouterr().out


def test_that_judge_sees_a_file_that_is_taken(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("0,0,corner\n300,0,corner\n300,200,corner\n0,200,corner\n")
    assert "exit status 0" in wrong(path)
