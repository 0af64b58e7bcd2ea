"""Every figure of the demo designs is what it was, but for what `changed` lists with its reason."""

from __future__ import annotations

import json

import pytest

from tests.golden.changed import ADDED, CHANGED, CUTS
from tests.golden.make import CASES, HOME, cuts, rows

KEPT = json.loads((HOME / "figures.json").read_text(encoding="utf-8"))
SAME = 1e-9


def asked(row: dict) -> tuple:
    return (
        row["check"],
        tuple(row["subjects"]),
        row["limit"],
        row["warn"],
        row["most"],
        row["unit"],
    )


def differs(one: dict, two: dict) -> bool:
    """Whether status or figure of two rows differ."""
    if one["status"] != two["status"] or (one["value"] is None) != (two["value"] is None):
        return True
    return one["value"] is not None and abs(one["value"] - two["value"]) > SAME


@pytest.mark.parametrize("case", CASES)
def test_every_figure_is_as_it_was(case):
    left = rows(case)
    missing = []
    for kept in KEPT[case]["findings"]:
        if kept["status"] == "skip" or not kept["subjects"]:
            continue
        same = [r for r in left if asked(r) == asked(kept) and not differs(r, kept)]
        if same:
            left.remove(min(same, key=lambda r: abs((r["value"] or 0.0) - (kept["value"] or 0.0))))
        elif (kept["check"], tuple(kept["subjects"])) not in CHANGED:
            missing.append((kept["check"], kept["subjects"], kept["status"], kept["value"]))
    assert not missing
    unsound = [r for r in left if r["status"] in ("fail", "warn", "error")]
    listed = {*CHANGED, *ADDED}
    new = [
        r
        for r in unsound
        if not {(r["check"], tuple(r["subjects"])), (r["code"], tuple(r["subjects"]))} & listed
    ]
    assert not new


@pytest.mark.parametrize("case", CASES)
def test_every_cut_is_as_it_was(case):
    now = {row["id"]: row for row in cuts(case)}
    for kept in KEPT[case]["cuts"]:
        if kept["id"] in CUTS:
            continue
        row = now[kept["id"]]
        assert (row["face"], row["operation"]) == (kept["face"], kept["operation"])
        assert row["volume"] == pytest.approx(kept["volume"], rel=1e-12)
        assert row["box"] == pytest.approx(kept["box"], abs=SAME)
