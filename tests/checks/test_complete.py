"""`complete`: nothing is forgotten, and every hole opens where it should."""

from __future__ import annotations

import pytest

from bodycad.geometry.solids.bore import bore
from bodycad.layout.blank import on_edge
from bodycad.layout.layout import Link, Placed
from bodycad.layout.place import Place
from bodycad.parts.channel import Channel
from bodycad.parts.control import Pot
from bodycad.parts.jack import EndJack, StrapButton
from tests.checks.bench import (
    ask,
    board,
    cavity,
    controls,
    cut,
    hardtail,
    holds,
    humbucker,
    necked,
    one,
)
from tests.sample import Loose

OUTLINE = board().skin.outline


def whole(*less: str, links=None):
    """A complete set of parts, without those named."""
    parts = (
        necked(),
        hardtail(),
        humbucker(60.0),
        controls(),
        Placed("pot", Pot("control", 6.0), Place(0.0, -80.0)),
        Placed("jack", EndJack("control", -22.0, 180.0), on_edge(OUTLINE, -200.0, -80.0)),
        Placed("strap.tail", StrapButton(-22.0), on_edge(OUTLINE, -200.0, 0.0)),
        Placed("strap.horn", StrapButton(-22.0), on_edge(OUTLINE, 150.0, 150.0)),
        Placed(
            "wire",
            Channel((60.0, -30.0, -12.0), (20.0, -75.0, -30.0), ("pickup.route", "control.cavity")),
        ),
    )
    wires = (Link("pickup", "pot"), Link("pot", "jack")) if links is None else links
    return board(
        *(p for p in parts if p.id not in less),
        links=[w for w in wires if not {w.one, w.two} & set(less)],
    )


def failures(layout) -> list[str]:
    return [f.text for f in ask(layout, "complete") if f.status != "pass"]


def test_a_whole_body():
    """Neck 1 + 4 x 2, bridge 6 + 6 + 5, pickup 2 + 4, cavity 2, pot 1, jack 2, buttons 2, channel
    1: 40."""
    found = ask(whole(), "complete")
    assert [f.status for f in found] == ["pass"]
    assert found[0].text.startswith("9 parts, 40 cuts and holes")


@pytest.mark.parametrize(
    "less, words",
    [
        (("neck",), "0 of a neck joint"),
        (("bridge",), "no part states a Saddle"),
        (("strap.horn",), "1 of two strap buttons"),
        (("pot",), "0 of a control"),
        (("jack",), "0 of a jack"),
    ],
)
def test_a_forgotten_part(less, words):
    assert any(words in text for text in failures(whole(*less)))


@pytest.mark.parametrize(
    "links, missing",
    [
        ((Link("pot", "jack"),), "pickup"),
        ((Link("pickup", "pot"),), "jack"),
        ((Link("pickup", "jack"),), "pot"),
    ],
)
def test_a_forgotten_connection(links, missing):
    assert failures(whole(links=links)) == [f"{missing} has no connection to anything"]


def test_a_body_without_pickups_needs_no_controls():
    layout = whole("pickup", "pot", "jack", "control", "wire")
    assert failures(layout) == []


@pytest.mark.parametrize("depth, short", [(8.0, None), (5.5, -0.5)])
def test_a_hole_that_stops_short(depth, short):
    """6 mm of wood over the cavity."""
    hole = cut(
        "hole", bore((0.0, 0.0, 0.0), (0, 0, -1), 8.0, depth), operation="BORE", meets=("b.cut",)
    )
    layout = board(cavity("b", 0.0, 0.0, 40.0, 40.0, 6.0), hole)
    if short is None:
        assert not [f for f in ask(layout, "complete") if f.subjects == ("hole.cut", "b.cut")]
    else:
        holds(one(layout, "complete", "hole.cut", "b.cut"), "fail", short)


def test_a_part_without_a_hole():
    assert "empty has no cut, no hole and no room" in failures(board(Placed("empty", Loose())))
