"""A body whose drawing is moved, turned, mirrored or in other units has the same figures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bodycad.script import load_design

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = (ROOT / "designs" / "sorrel.py").read_text(encoding="utf-8")
PAGE = (ROOT / "designs" / "sorrel.svg").read_text(encoding="utf-8")
SAME = 1e-6


def figures(script: Path) -> dict:
    """The figure of each finding of a design."""
    report = load_design(script).check()
    return {(one.code, one.subjects): one.value for one in report.findings}


@pytest.fixture(scope="module")
def plain():
    return figures(ROOT / "designs" / "sorrel.py")


def page(transform: str, size: str) -> str:
    """The drawing with all of it transformed, on a page of another size."""
    opening = re.search(r"<svg[^>]*>", PAGE)[0]
    body = PAGE.partition(opening)[2].removesuffix("</svg>\n")
    sized = re.sub(r'width=.*viewBox="[^"]*"', size, opening)
    return f'{sized}<g transform="{transform}">{body}</g></svg>'


MM = 'width="440mm" height="560mm" viewBox="0 0 440 560"'
INCHES = f'width="{440 / 25.4!r}in" height="{560 / 25.4!r}in" viewBox="0 0 1320 1680"'


@pytest.mark.parametrize(
    ("transform", "size", "said"),
    [
        ("translate(-812.5 39.25) rotate(11)", MM, 'neck="up"'),
        ("scale(3)", INCHES, 'neck="up"'),
        ("translate(440) scale(-1 1)", MM, 'neck="up", seen="back"'),
        (f"rotate(90) scale({1 / 25.4!r})", MM, 'neck="right", units="inch"'),
    ],
    ids=["moved and turned", "a page in inches", "seen from the back", "on its side, in inches"],
)
def test_every_figure_is_the_same(transform, size, said, plain, tmp_path):
    script = SCRIPT.replace('neck="up"', said)
    (tmp_path / "sorrel.py").write_text(script, encoding="utf-8")
    (tmp_path / "sorrel.svg").write_text(page(transform, size), encoding="utf-8")
    found = figures(tmp_path / "sorrel.py")
    assert found.keys() == plain.keys() and len(plain) > 300
    for key, value in plain.items():
        assert (value is None) == (found[key] is None), key
        assert value is None or abs(value - found[key]) <= SAME, (key, value, found[key])
