"""Bad input in CI: a sample of the generated cases, and that the generator sees what it looks
for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import pytest

from bodycad import Depth, InputError
from tests.oracle import inputs
from tests.oracle.inputs import FAULTS, answer, answers, at, drawn, put


def test_generated_bad_inputs_end_in_a_verdict_or_one_line():
    found = list(answers(list(range(500))))
    assert len(found) == 500
    faults = [one for one in found if one.kind in FAULTS]
    assert not faults, "\n".join(f"{x.case}: {x.kind}: {x.what}: {x.words}" for x in faults)
    kinds = {one.kind for one in found}
    assert {"refused", "made", "judged"} <= kinds


def test_a_case_is_the_same_whenever_it_is_drawn():
    for case in range(40):
        assert drawn(case)[:2] == drawn(case)[:2]


def test_something_else_is_put_at_a_place():
    tree = (Depth(3.0), (1.0, 2.0))
    assert put(tree, (1, 0), 5.0) == (Depth(3.0), (5.0, 2.0))
    assert put(tree, (0, "depth"), 7.0)[0] == Depth(7.0) and at(tree, (0, "depth")) == 3.0
    with pytest.raises(InputError, match="a depth's depth is nan"):
        put(tree, (0, "depth"), math.nan)


@dataclass
class _Made:
    area: float = math.nan


@pytest.mark.parametrize(
    "make, kind",
    [
        (lambda: 1 / 0, "raw"),
        (lambda: _Made(), "not finite"),
        (lambda: [0] * 10**14, "large"),
        (lambda: put(Depth(3.0), ("depth",), "3"), "refused"),
        (lambda: Depth(4.0), "made"),
    ],
)
def test_the_generator_sees_each_fault(monkeypatch, tmp_path: Path, make, kind):
    monkeypatch.setattr(inputs, "drawn", lambda case: ("a thing", "a slip", make))
    assert answer(0, tmp_path).kind == kind


def test_an_unclear_line_is_a_fault(monkeypatch, tmp_path: Path):
    def make():
        fault = InputError("a thing", 1, "nothing")
        fault.args = ("one\ntwo",)
        raise fault

    monkeypatch.setattr(inputs, "drawn", lambda case: ("a thing", "a slip", make))
    assert answer(0, tmp_path).kind == "unclear"
