"""The unspoiled bodies are sound to the judge and to `check`; and the judge sees plain ruins."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodycad import Place
from tests.oracle.judge.verdict import ruins
from tests.oracle.spoil import bodies, sound


@pytest.mark.parametrize("name", list(bodies()))
def test_the_unspoiled_body_is_sound(name):
    assert ruins(sound(name).layout()) == []
    assert sound(name).check().verdict != "fail"


def moved(part: str, dx: float, dy: float, turn: float = 0.0):
    """The demo with one part moved."""
    design = sound("teasel")
    parts = []
    for one in design.parts:
        if one.id == part:
            p = one.place
            one = replace(one, place=Place(p.x + dx, p.y + dy, p.turn_deg + turn))
        parts.append(one)
    return replace(design, parts=tuple(parts))


@pytest.mark.parametrize(
    ("part", "by", "code"),
    [
        ("neck", (-3.0, 0.0), "neck.short"),
        ("neck", (3.0, 0.0), "neck.block-in-wood"),
        ("neck", (0.0, 0.0, 0.5), "neck.block-in-wood"),
        ("bridge", (0.0, 4.0), "pole.aside"),
        ("bridge", (-25.0, 0.0), "string.out-of-tune"),
        ("volume", (20.0, 0.0), "part.in-wood"),
        ("pickup.neck", (6.0, 0.0), "part.in-part"),
        ("strap.tail", (-6.0, 0.0), "land.off"),
    ],
)
def test_the_judge_sees_a_part_out_of_place(part, by, code):
    found = {one.code for one in ruins(moved(part, *by).layout())}
    assert code in found
