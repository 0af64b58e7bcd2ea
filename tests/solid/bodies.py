"""Small layouts for the tests of solids: a plain board and whatever voids a test wants in it."""

from __future__ import annotations

from dataclasses import replace

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from tests.sample import THICKNESS, design

BOARD = rectangle(400.0, 300.0, 20.0)


def board(*voids: Void, skin: Skin | None = None) -> Layout:
    """A 400 x 300 x 44 mm board with 20 mm corners, square edges and no contours, with these
    voids."""
    plain = skin or Skin(BOARD, THICKNESS, Square(), Square())
    made = design(False).layout().with_body(skin=plain, voids=voids)
    return replace(made, rooms=(), interfaces=(), placed=(), links=())


def pocket(
    name: str,
    profile: Profile,
    depth: float,
    top: float = 0.0,
    opens: str = "front",
    meets: tuple[str, ...] = (),
) -> Void:
    """A front pocket `depth` mm deep below `top`."""
    return Void(
        name,
        "p",
        "front",
        "POCKET",
        Prism(profile, top - depth, top),
        frozenset(opens.split()),
        frozenset(meets),
    )


def hole(name: str, shape: Bore, face: str = "front", opens: str = "front") -> Void:
    """A drilled hole."""
    return Void(name, "p", face, "BORE", shape, frozenset(opens.split()))
