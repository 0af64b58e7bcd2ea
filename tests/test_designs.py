"""Every design of `designs/`: what it says of itself, its verdict, and its build with proof."""

from __future__ import annotations

import os

import pytest

from bodycad import build, load_design
from bodycad.design import check
from bodycad.exports import more
from bodycad.exports.plan import portrait
from tests.drawn import layout_of
from tests.gallery import README, gallery, page, renewed

DESIGNS = {one.path.stem: one for one in gallery()}
PROVEN = ("yarrow",)
"""Designs that every run of the tests builds with proof; BODYCAD_DESIGNS=all builds each of them,
BODYCAD_DESIGNS=name one (a build takes the kernel half a minute)."""
SINGLE = "burdock"
"""The one with a bridge for each string."""


def asked() -> list[str]:
    """The designs that are built in this run."""
    wanted = os.environ.get("BODYCAD_DESIGNS", "").split(",")
    if "all" in wanted:
        return list(DESIGNS)
    named = [name for name in wanted if name]
    return [name for name in DESIGNS if name in (named or PROVEN)]


@pytest.mark.parametrize("name", DESIGNS)
def test_it_says_what_it_shows(name):
    """Its name, a sentence, and a paragraph that names the bench."""
    one = DESIGNS[name]
    assert one.name.lower() == name.replace("_", " ") and one.sentence.endswith(".")
    assert len(one.sentence) < 120 and len(one.paragraph) > 150
    assert "Hedgerow" in one.path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", DESIGNS)
def test_nothing_of_it_fails(name):
    report = check(layout_of(name))
    bad = [(f.code, f.subjects, f.text) for f in report.findings if f.status in ("fail", "error")]
    assert not bad
    assert report.exit_status == 0


@pytest.mark.parametrize("name", DESIGNS)
def test_every_file_of_it_that_needs_no_kernel_is_written(name, tmp_path):
    """One whose bridges are single had no cut order: it asked for a limit of no such name. What is
    slow is written of SINGLE alone."""
    report = check(layout_of(name))
    for kind in more.kinds():
        if not kind.slow or name == SINGLE:
            kind.write(report, tmp_path)
            assert all((tmp_path / file).exists() for file in kind.names(report.layout))


@pytest.mark.parametrize("name", asked())
def test_it_builds_with_proof(name, tmp_path):
    """The kernel measures every gap, and puts all parts into the finished wood."""
    report = build(load_design(DESIGNS[name].path), tmp_path, proof=True)
    bad = [(f.code, f.text) for f in report.findings if f.status in ("fail", "error")]
    assert not bad
    assert {"proof", "solid"} <= {f.check for f in report.findings}
    assert (tmp_path / name / f"{name}-body.step").exists()


def test_the_readme_lists_and_shows_them():
    text = README.read_text(encoding="utf-8")
    assert renewed(text, gallery()) == text, "run: python -m tests.gallery"
    assert "(out/README-gallery.png)" in text


def test_the_gallery_draws_each_to_one_scale():
    """A tile is as wide as its own millimetres ask for."""
    one = DESIGNS["teasel"]
    layout = layout_of(one.path.stem)
    svg, width, height = page(((one, layout), (one, layout)))
    _, (x0, y0, x1, y1) = portrait(layout)
    assert f'width="{0.8 * (x1 - x0):.3f}'.rstrip("0") in svg and height > 0.8 * (y1 - y0)
    assert svg.count(one.name) == 2 and width > 3 * 0.8 * (x1 - x0)
