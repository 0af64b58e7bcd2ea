"""Ten kills of builds, three of them with the CAD kernel: whatever dies, a whole build stands under
its name.

`python -m tests.oracle.kills 60` is the long run."""

from __future__ import annotations

import hashlib
import os

import pytest

from tests.oracle import kills

pytestmark = pytest.mark.skipif(not os.path.exists("/proc/self/environ"), reason="asks /proc")


def test_ten_kills_leave_a_whole_build_and_nothing_else(tmp_path):
    at = kills.bench(tmp_path)
    told = {str(case): kills.faults(case, at) for case in kills.cases(10)}
    assert len(told) == 10 and not any(told.values()), told


def test_sixty_kills_reach_every_step_and_everybody():
    drawn = kills.cases(60)
    assert {(*one.step[:3],) for one in drawn if one.step} == set(kills.STEPS)
    assert {one.whom for one in drawn} == {"command", "work", "kernel", "copy", "all"}
    assert len({str(one) for one in drawn}) > 55


@pytest.mark.parametrize(
    "spoil, said",
    [
        (lambda f: (f / "sample-front.dxf").unlink(), "missing or too much: sample-front.dxf"),
        (lambda f: (f / "sample-front.dxf").write_text("EOF"), "not whole: sample-front.dxf"),
        (lambda f: (f / "sample-old.dxf").write_text(""), "missing or too much: sample-old.dxf"),
        (lambda f: (f / "notes.txt").write_text("other"), "the maker's: notes.txt"),
        (lambda f: (f / "jig/sample-front.dxf").unlink(), "the maker's: jig/sample-front.dxf"),
    ],
)
def test_the_judge_sees_what_is_not_whole(tmp_path, spoil, said):
    """A judge that calls everything whole would pass above."""
    (tmp_path / "jig").mkdir()
    for name, data in kills.OWN.items():
        (tmp_path / name).write_bytes(data)
    names = ["sample-front.dxf", *(f"sample-{k}.dxf" for k in range(9))]
    for name in names:
        (tmp_path / name).write_bytes(b"EOF\n")
    rows = (f"{hashlib.sha256(b'EOF' + bytes([10])).hexdigest()}  {name}\n" for name in names)
    (tmp_path / "sample-files.sha256").write_text("".join(rows))
    assert kills.not_whole(tmp_path) == []
    spoil(tmp_path)
    assert said in kills.not_whole(tmp_path)
