"""Bodies whose heels are asked where a screw may stand: the demo, its twin, and boards with one
trait each."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.contours import scoop
from bodycad.layout.layout import Layout
from bodycad.parts.neckjoint import NeckFerrule
from bodycad.script import load_design
from bodycad.shop import Limit, Shop
from tests.checks.bench import T, bevel, board, cut, necked

TEASEL = Path(__file__).parents[2] / "designs" / "teasel.py"


@cache
def teasel(*settings: str) -> Layout:
    """The demo with some of its parameters changed."""
    return load_design(TEASEL, settings).layout()


def tilted() -> Layout:
    """The demo with a pocket floor 0.7 degrees off level."""
    design = load_design(TEASEL)
    parts = tuple(
        replace(p, part=replace(p.part, angle_deg=0.7)) if p.id == "neck" else p
        for p in design.parts
    )
    return replace(design, parts=parts).layout()


def narrow() -> Layout:
    """A body 70 mm wide: a large roundover behind, and a bevel off one corner of the heel."""
    return board(
        necked(ferrule=NeckFerrule(proud=12.0)),
        outline=rectangle(400.0, 70.0, 10.0),
        back=Roundover(12.0),
        contours=[bevel("back", (174.0, 30.0), -60.0)],
        shop=Shop(limits={"bolt-edge.diameters": Limit(1.0, 1.0, "a narrow body for tests")}),
    )


def bound() -> Layout:
    """A body 70 mm wide with a ledge behind and a scoop that deepens from one side."""
    return board(
        necked(),
        outline=rectangle(400.0, 70.0),
        back=Ledge((2.0, 0.5), 12.0),
        contours=[scoop("contour.scoop", "back", T, (160.0, 10.0), 60.0, 40.0, 20.0)],
    )


def beside() -> Layout:
    """Two cavities under the heel, one with a pocket's tilt, and a slanted way past it."""
    slanted = bore((150.0, -40.0, -40.0), (0.3, 1.0, 0.15), 6.0, 90.0)
    return board(
        necked(),
        cut("hole", Prism(circle(12.0, 150.0, 14.0), -T, -24.0), "back"),
        cut("way", slanted, "edge", "CHANNEL", frozenset({"edge"})),
    )


BODIES = {
    "teasel": teasel,
    "left": lambda: teasel("left_handed=true"),
    "tilted": tilted,
    "narrow": narrow,
    "bound": bound,
    "beside": beside,
}
