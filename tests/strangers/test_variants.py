"""The same small body round other necks, by parameters alone: four to twelve strings, a baritone, a
bass, fanned frets with a slanted heel, thin stock. Every question is asked of each."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import pytest

from bodycad import (
    BassBridge,
    Design,
    Hardtail,
    Heel,
    Instrument,
    Neck,
    NeckPlate,
    Place,
    Placed,
    PlateJoint,
    Roundover,
    Skin,
    Square,
    StrapButton,
    blank_round,
    heel_end_x,
    on_edge,
    rectangle,
    species,
    strings,
)
from bodycad.checks.rules.seated import necks
from bodycad.instrument.load import total_tension

TAIL = -150.0
SIX = (".010", ".013", ".017", ".026w", ".036w", ".046w")


@dataclass(frozen=True)
class Kind:
    """One instrument by its numbers; mm."""

    gauges: tuple[str, ...]
    scale: Any
    frets: int
    nut: tuple[float, float]
    last: float
    heel: tuple[float, float]
    spread: float
    bridge: Any
    bridge_x: float
    plate: NeckPlate = field(default_factory=NeckPlate)
    thickness: float = 44.0
    screw: float = 45.0
    pitches: tuple[str, ...] | None = None
    slant: float = 0.0
    more: dict[str, Any] = field(default_factory=dict)


def hardtail(spread: float, count: int, width: float) -> Hardtail:
    v = width / 2.0 - 8.0
    return Hardtail(
        spread,
        strings=count,
        hole_pitch=10.5,
        plate_front=30.0,
        plate_width=width,
        screws=((26.0, -v), (26.0, 0.0), (26.0, v)),
    )


PLATE = NeckPlate(screw_width=34.0)
KINDS = {
    "bass of four": Kind(
        (".045w", ".065w", ".085w", ".105w"),
        864.0,
        21,
        (42.0, 33.0),
        60.0,
        (63.0, 90.0),
        57.0,
        BassBridge(57.0),
        -36.0,
        NeckPlate(length=70.0, width=58.0, screw_length=54.0, screw_width=40.0),
    ),
    "bass of five": Kind(
        (".045w", ".065w", ".085w", ".105w", ".130w"),
        889.0,
        24,
        (46.0, 38.0),
        68.0,
        (70.0, 90.0),
        68.0,
        BassBridge(68.0, strings=5),
        -39.0,
        NeckPlate(length=70.0, width=60.0, screw_length=54.0, screw_width=46.0),
    ),
    "six in thin stock": Kind(
        SIX,
        610.0,
        22,
        (43.0, 35.0),
        56.0,
        (56.0, 76.0),
        52.5,
        hardtail(52.5, 6, 80.0),
        -17.0,
        PLATE,
        thickness=36.0,
        screw=37.0,
    ),
    "baritone": Kind(
        (".013", ".017", ".026w", ".036w", ".046w", ".062w"),
        711.0,
        24,
        (43.0, 35.0),
        56.0,
        (56.0, 76.0),
        52.5,
        hardtail(52.5, 6, 80.0),
        -18.0,
        PLATE,
        pitches=("B3", "F#3", "D3", "A2", "E2", "B1"),
    ),
    "seven, fanned": Kind(
        (*SIX, ".062w"),
        (648.0, 686.0),
        24,
        (48.0, 41.0),
        66.0,
        (66.0, 76.0),
        63.0,
        hardtail(63.0, 7, 92.0),
        -20.0,
        NeckPlate(screw_width=42.0, width=56.0),
        slant=4.0,
    ),
    "eight": Kind(
        (*SIX, ".062w", ".080w"),
        686.0,
        24,
        (55.0, 48.0),
        76.0,
        (76.0, 80.0),
        73.5,
        hardtail(73.5, 8, 102.0),
        -20.0,
        NeckPlate(screw_width=52.0, width=66.0),
    ),
    "twelve in courses": Kind(
        (
            ".010",
            ".010",
            ".013",
            ".013",
            ".008",
            ".017",
            ".012",
            ".026w",
            ".017",
            ".036w",
            ".026w",
            ".046w",
        ),
        648.0,
        22,
        (47.6, 40.0),
        60.0,
        (60.0, 76.0),
        52.5,
        None,
        -17.0,
        NeckPlate(screw_width=38.0),
        more={"courses": (2,) * 6, "pair_nut": 2.0, "pair_bridge": 2.5},
    ),
}


@cache
def drawn(name: str, left: bool = False) -> Design:
    """The design of a kind."""
    return made(KINDS[name], left)


def made(kind: Kind, left: bool = False) -> Design:
    width, length = kind.heel
    heel = Heel(width - length / 25.0, width, length, 25.4, 7.0, slant_deg=kind.slant)
    more = {"overhang": 8.0} if kind.slant else {}
    neck = Neck(kind.scale, kind.frets, *kind.nut, kind.last, heel, **more)
    own = Instrument(neck, strings(kind.gauges, kind.pitches), kind.spread, **kind.more)
    x, deep = heel_end_x(neck), -kind.thickness / 2.0
    mouth = x + length
    outline = rectangle(mouth - TAIL, 290.0, 60.0, (mouth + TAIL) / 2.0, 0.0)
    sizes = {"length": kind.screw, "plate": kind.plate, "masked": True}
    parts = [
        Placed("neck", PlateJoint(heel, 17.0, 6.4, length / 2.0, **sizes), Place(x)),
        Placed("strap.tail", StrapButton(deep), on_edge(outline, TAIL, 0.0)),
        Placed("strap.horn", StrapButton(deep), on_edge(outline, mouth - 20.0, 145.0)),
    ]
    if kind.bridge is not None:
        parts.append(Placed("bridge", kind.bridge, Place(kind.bridge_x)))
    skin = Skin(outline, kind.thickness, Square(), Roundover(5.0))
    blank = blank_round(outline, species("alder, red"))
    return Design("kind", blank, skin, own, tuple(parts), left_handed=left)


NECK = ("bolt-seat", "bolt-grip", "bolt-tip", "bolt-edge", "pocket-fit", "neck-place", "joint-load")


@pytest.mark.parametrize("name", KINDS)
def test_every_question_of_a_neck_is_asked_and_answered(name):
    """Four screws each, a pocket, a neck in its place, and the pull of just these strings."""
    report, kind = drawn(name).check(), KINDS[name]
    assert not [f.text for f in report.findings if f.status == "error"]
    for check in NECK:
        mine = [f for f in report.findings if f.check == check]
        assert mine and not [f.text for f in mine if f.status in ("fail", "skip")], check
    assert sum(f.code == "bolt-grip" for f in report.findings) == 4
    layout = report.layout
    pull = next(f.text for f in report.findings if f.code == "joint-load" and len(f.subjects) == 1)
    assert f"pull {total_tension(layout.instrument):.0f} N" in pull
    assert len(layout.instrument.lines) == len(kind.gauges)
    margins = [f for f in report.findings if f.code == "string-margin"]
    assert {f.subjects[0] for f in margins} == {"string.1", f"string.{len(kind.gauges)}"}
    if kind.bridge is not None:
        window = {f.subjects[0] for f in report.findings if f.code == "saddle-window"}
        assert window == {f"bridge.saddle.{k}" for k in range(1, len(kind.gauges) + 1)}


@pytest.mark.parametrize("name", ["bass of five", "seven, fanned"])
def test_the_left_handed_twin_has_the_same_figures(name):
    rows = [
        sorted(
            (f.code, f.status, round(f.value or 0.0, 6)) for f in drawn(name, hand).check().findings
        )
        for hand in (False, True)
    ]
    assert rows[0] == rows[1]


def told(kind: Kind) -> dict[str, str]:
    """The worst status of every code."""
    order = ("pass", "skip", "warn", "fail", "error")
    found: dict[str, str] = {}
    for one in made(kind).check().findings:
        found[one.code] = max(found.get(one.code, "pass"), one.status, key=order.index)
    return found


def test_thin_stock_wants_shorter_screws():
    """36 - 17 = 19 mm of wood under the pocket: of 45 mm, 2.5 in the plate, 23.5 would be in 19 mm
    of neck; of 37 mm, 15.5."""
    thin = KINDS["six in thin stock"]
    assert told(replace(thin, screw=45.0))["bolt-tip"] == "fail"
    assert necks(made(thin).layout())[0].pocket_depth == 17.0
    assert told(replace(thin, thickness=24.0))["floor.pocket"] == "fail"


def test_one_straight_bridge_does_not_serve_a_fan():
    """38 mm more scale in the bass put its saddle about 16 mm behind the treble's; a plate's
    saddles travel 12."""
    assert told(KINDS["seven, fanned"])["saddle-window"] == "fail"
    assert told(replace(KINDS["seven, fanned"], scale=660.0))["assembly.saddle"] == "pass"


def test_a_pocket_with_a_square_end_does_not_take_a_slanted_heel():
    kind = KINDS["seven, fanned"]
    square = made(replace(kind, slant=0.0))
    heel = replace(square.instrument.neck.heel, slant_deg=4.0)
    neck = replace(square.instrument.neck, heel=heel)
    mixed = replace(square, instrument=replace(square.instrument, neck=neck))
    codes = {f.code for f in mixed.check().findings if f.status == "fail"}
    assert "neck-place.size.slant" in codes
