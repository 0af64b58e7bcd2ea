"""The script of the page on several bridges is run as it stands there."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from bodycad.design import check

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "bodycad" / "pages" / "several-bridges.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def design():
    """The page's one script."""
    (code,) = re.findall(r"```python\n(.*?)```", PAGE, re.S)
    space: dict = {}
    sys.path.insert(0, str(ROOT / "designs"))
    try:
        exec(compile(code, "several-bridges.md", "exec"), space)
        yield space["design"]
    finally:
        sys.path.remove(str(ROOT / "designs"))


def test_it_passes_as_it_says(design):
    report = check(design())
    assert report.verdict == "pass"
    bridges = {one.part for one in report.layout.placed if one.id.startswith("bridge.")}
    assert len(bridges) == 6


def test_a_saddle_without_travel_left_is_refused_by_the_checks(design):
    """With no travel left toward the nut the string's point stands at the end of its saddle's
    way."""
    found = [f for f in check(design(ahead=0.0)).findings if f.code == "saddle-window"]
    assert found and {f.status for f in found} != {"pass"}


def test_every_link_and_name_of_the_page_is_there():
    import bodycad

    for target in re.findall(r"\]\(([^)#]+)\)", PAGE):
        assert (ROOT / "bodycad" / "pages" / target).exists(), target
    for name in re.findall(r"`([A-Z]\w+|single_bridges|route)\b[^`]*`", PAGE):
        assert name in bodycad.NAMES, name
