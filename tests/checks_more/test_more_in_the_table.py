"""The further checks as the runner sees them."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import pytest

from bodycad.checks.runner import answers
from bodycad.checks.table import CHECKS
from bodycad.shop import LIMITS

MORE = (
    "joint-load",
    "land",
    "pilot-tip",
    "post-web",
    "glue-joint",
    "drill-reach",
    "control-reach",
    "vibrato-swing",
    "stock",
    "balance",
)
TABLE = {check.name: check for check in CHECKS}


@pytest.fixture(scope="module")
def teasel():
    spec = importlib.util.spec_from_file_location(
        "teasel_for_more", Path(__file__).parents[2] / "designs" / "teasel.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.design()


@pytest.mark.parametrize("name", MORE)
def test_page_names_its_limits(name):
    page = TABLE[name].page
    assert page.limits and set(page.limits) <= set(LIMITS)
    assert all(limit.split(".")[0] == name for limit in page.limits)


@pytest.mark.parametrize("name", MORE)
def test_real_body_is_answered_and_passes(teasel, name):
    found = answers(TABLE[name], teasel.layout())
    assert found and {f.status for f in found} <= {"pass", "skip"}, [
        f.text for f in found if f.status not in ("pass", "skip")
    ]
    assert {f.check for f in found} == {name}


@pytest.mark.parametrize("name", MORE)
def test_left_hand_gives_the_same_figures(teasel, name):
    """A law: the mirrored body has the same values."""
    right, left = (
        answers(TABLE[name], teasel.layout()),
        answers(TABLE[name], teasel.layout().mirrored()),
    )
    figures = [sorted(f.value for f in found if f.value is not None) for found in (right, left)]
    assert figures[0] == pytest.approx(figures[1], abs=0.021)
    assert sorted(f.status for f in right) == sorted(f.status for f in left)


@pytest.mark.parametrize("name", MORE)
def test_order_of_parts_does_not_matter(teasel, name):
    layout = teasel.layout()
    turned = replace(
        layout.with_body(voids=layout.voids[::-1]),
        placed=layout.placed[::-1],
        rooms=layout.rooms[::-1],
        interfaces=layout.interfaces[::-1],
    )
    rows = [
        sorted(
            (f.status, f.subjects if name != "drill-reach" else len(f.subjects), f.value or 0.0)
            for f in answers(TABLE[name], one)
        )
        for one in (layout, turned)
    ]
    assert [r[:2] for r in rows[0]] == [r[:2] for r in rows[1]]
    assert [r[2] for r in rows[0]] == pytest.approx([r[2] for r in rows[1]], abs=0.021)
