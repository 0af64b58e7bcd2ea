"""Drawings that are none: one clear line each and exit status 2, whatever is in the file."""

from __future__ import annotations

import itertools

import pytest

from bodycad.cli import main
from bodycad.errors import LONGEST
from tests.imports.hostile import KINDS, files

UNCLEAR = ("Traceback", "Error:", "takes longer", "no reader takes", "more than 1024 MB", "at x.py")


def refused(path, capsys) -> str:
    """The one line that the command says of a file."""
    status = main(["outline", str(path), "--out", str(path.parent / "out")])
    told = capsys.readouterr()
    assert status == 2 and told.out == "", (status, told.out)
    (line,) = told.err.splitlines()
    assert line.startswith("bodycad: ") and len(line) <= LONGEST + len("bodycad: ")
    assert path.name in line, line
    assert not any(word in line for word in UNCLEAR), line
    return line


@pytest.mark.parametrize("seed", [1])
def test_each_kind_of_hostile_file_is_one_clear_line(seed, tmp_path, capsys):
    for k, (kind, ending, data) in enumerate(itertools.islice(files(seed), len(KINDS))):
        path = tmp_path / f"{k}.{ending}"
        path.write_bytes(data)
        try:
            refused(path, capsys)
        except AssertionError as error:
            raise AssertionError(f"{kind}: {error}") from error
