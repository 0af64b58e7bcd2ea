"""The JSON document, key by key, and its promise of finite numbers."""

import json
import math

import pytest

from bodycad.exports.report.json import json_report, json_text
from bodycad.layout.volume import BodyFigures, body_figures
from bodycad.version import VERSION
from tests.exports.reports import FINDINGS, report

BODY = (BodyFigures(120000.0, 5e6, 2.1, (1.0, -0.0, -21.5)),)


def test_the_documents_keys():
    """Top level and one of each row, key by key."""
    made = json_report(report(), BODY)
    assert list(made) == [
        "design",
        "units",
        "version",
        "revision",
        "coordinates",
        "parameters",
        "verdict",
        "findings",
        "dimensions",
        "cuts",
        "body",
        "pieces",
        "wires",
        "safety",
    ]
    assert (made["design"], made["units"], made["version"], made["verdict"]) == (
        "sample",
        "mm",
        VERSION,
        "fail",
    )
    assert made["parameters"] == {"width": 60.0, "left_handed": False}
    assert all(
        set(f)
        == {
            "check",
            "code",
            "status",
            "subjects",
            "value",
            "bound",
            "limit",
            "warn",
            "margin",
            "deviations",
            "bands",
            "unit",
            "at",
            "text",
            "cure",
            "limit_source",
        }
        for f in made["findings"]
    )
    assert all(
        {"part", "name", "value", "unit", "origin", "tolerance"} <= set(d)
        for d in made["dimensions"]
    )
    assert all({"id", "face", "kind", "z", "area", "volume", "box"} <= set(c) for c in made["cuts"])
    assert set(made["body"]) == {"area", "volume", "mass", "centroid"} and made["body"][
        "centroid"
    ] == [1.0, 0.0, -21.5]


def test_findings_keep_their_order_and_figures():
    """Worst status first, then least to spare; a margin is negative when short, whichever way the
    limit runs."""
    made = json_report(report(), BODY)["findings"]
    ladder = ["error", "fail", "warn", "skip", "pass"]
    ranks = [ladder.index(f["status"]) for f in made]
    assert ranks == sorted(ranks) and len(made) == len(FINDINGS)
    by = {(f["check"], f["status"]): f for f in made}
    assert by["wall", "fail"]["margin"] == pytest.approx(-0.5) and by["tilt", "pass"][
        "margin"
    ] == pytest.approx(1.5)
    assert by["wall", "fail"]["at"] == [[60.0, 45.0, -10.0], [60.0, 47.5, -10.0]]
    assert (
        by["complete", "fail"]["value"]
        is by["complete", "fail"]["margin"]
        is by["complete", "fail"]["at"]
        is None
    )
    assert by["swing", "skip"]["text"] == "nothing swings here"


def test_cuts_by_kind():
    """Prisms, bores and contours with their own figures: the cavity's 37 mm by exact area, a bore's
    start, direction, diameter and length; what a contour takes is null, with the reason."""
    cuts = {c["id"]: c for c in json_report(report(), BODY)["cuts"]}
    cavity, string, belly = cuts["b.cavity"], cuts["bridge.string.1"], cuts["contour.belly"]
    area = 60.0 * 50.0 - (4.0 - math.pi) * 100.0
    assert (
        cavity["kind"] == "prism"
        and cavity["z"] == [-44.0, -7.0]
        and cavity["box"] == [-90.0, -85.0, -30.0, -35.0]
    )
    assert cavity["area"] == pytest.approx(area) and cavity["volume"] == pytest.approx(area * 37.0)
    assert (
        string["kind"],
        string["start"],
        string["direction"],
        string["diameter"],
        string["length"],
    ) == (
        "bore",
        [-10.0, 20.0, 0.0],
        [0.0, 0.0, -1.0],
        3.2,
        44.0,
    )
    assert belly["kind"] == "contour" and belly["area"] is None and "outline" in belly["text"]


def test_the_text_is_finite_ascii_and_repeatable():
    """It parses under a strict reader, is equal for equal reports, and ends in a newline."""

    def refuse(name):
        raise AssertionError(f"{name} in the document")

    one = json_text(report(), BODY)
    assert one == json_text(report(), BODY) and one.isascii() and one.endswith("}\n")
    assert json.loads(one, parse_constant=refuse)["design"] == "sample"


def test_odd_parameters_become_plain_values():
    """Lists stay lists; what JSON has no word for becomes text, what is not finite becomes null."""
    made = json_report(
        report(parameters={"a": (1, 2.5), "b": 3 + 4j, "c": math.inf, "d": None}), BODY
    )
    assert made["parameters"] == {"a": [1, 2.5], "b": "(3+4j)", "c": None, "d": None}


def test_the_bodys_figures_are_worked_out_when_not_given():
    """The same figures either way."""
    made = report(contours=False)
    assert json_report(made)["body"]["volume"] == pytest.approx(body_figures(made.layout).volume)


def test_a_claim_beside_a_measured_size():
    """Both figures are kept where they differ."""
    rows = {(d["part"], d["name"]): d for d in json_report(report(), BODY)["dimensions"]}
    assert (
        rows["neck.heel", "width"]["value"] == 56.1 and rows["neck.heel", "width"]["claim"] == 56.0
    )
    assert "claim" not in rows["neck.heel", "length"]
