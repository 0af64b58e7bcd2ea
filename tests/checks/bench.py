"""Small bodies to check: a rectangular board, a few parts, one number changed at a time.

The board is 400 x 300 mm (x -200..200, y -150..150), 44 mm thick, edges square, no contours. Sizes
of parts are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from bodycad.checks.finding import Finding
from bodycad.checks.runner import answers
from bodycad.checks.table import CHECKS
from bodycad.design import Design
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Heel, Neck
from bodycad.instrument.strings import strings
from bodycad.layout.blank import Blank
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.neckjoint import Bolt, NeckJoint
from bodycad.parts.pickup import Humbucker
from bodycad.shop import Limit, Shop
from bodycad.wood import species
from tests.sample import Loose

T = 44.0
TABLE = {check.name: check for check in CHECKS}
HEEL = Heel(width_mouth=56.0, width_end=56.0, length=76.0, thickness=25.4, corner=7.0)
BOARD_THICKNESS = 6.4


def instrument(**changes) -> Instrument:
    """635 mm, 22 frets, 35 mm at the nut, 52.5 mm at the bridge, equal centres, board 43 to 56 mm
    wide."""
    neck = Neck(
        scale=635.0, frets=22, nut_width=43.0, nut_spread=35.0, width_at_last_fret=56.0, heel=HEEL
    )
    given = {"bridge_spread": 52.5, "equal": "centres", **changes}
    return Instrument(neck, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), **given)


def board(
    *parts: Placed,
    thickness: float = T,
    front=Square(),
    back=Square(),
    contours=(),
    outline=None,
    shop: Shop = Shop(),
    links=(),
    left_handed: bool = False,
    played: Instrument | None = None,
) -> Layout:
    """The laid-out board with those parts."""
    shape = rectangle(400.0, 300.0) if outline is None else outline
    x0, y0, x1, y1 = shape.box
    blank = Blank(x0 - 10.0, y0 - 10.0, x1 + 10.0, y1 + 10.0, species("alder, red"))
    return Design(
        "bench",
        blank,
        Skin(shape, thickness, front, back, tuple(contours)),
        played or instrument(),
        parts,
        tuple(links),
        shop,
        left_handed,
    ).layout()


def cut(
    name: str, shape, face: str = "front", operation: str = "POCKET", opens=None, meets=()
) -> Placed:
    """One ready-made void as a part of its own, in which wires may end; it opens only its own face
    unless `opens` says otherwise."""
    opened = frozenset({face} if opens is None else opens)
    void = Void(f"{name}.cut", name, face, operation, shape, opened, frozenset(meets))
    ends = Terminal(part=name, kind="signal", voids=(void.id,), linked=False)
    return Placed(name, Loose((void,), says=(ends,)))


def pocket(name: str, x: float, y: float, length: float, width: float, depth: float) -> Placed:
    """A square-cornered pocket from the front, centred on (x, y)."""
    return cut(name, Prism(rectangle(length, width, 0.0, x, y), -depth, 0.0))


def cavity(name: str, x: float, y: float, length: float, width: float, leave: float) -> Placed:
    """A square-cornered cavity from the back of a 44 mm board that leaves wood to the front."""
    return cut(name, Prism(rectangle(length, width, 0.0, x, y), -T, -leave), "back")


def bevel(
    face: str,
    origin: tuple[float, float],
    turn_deg: float,
    thickness: float = T,
    run: float = 60.0,
    drop: float = 15.0,
) -> Contour:
    """A plane that falls `drop` mm over `run` mm from a line through `origin`, in the direction
    `turn_deg`."""
    rows = [(0.0, 0.0), (run, -drop), (run, 10.0), (0.0, 10.0)]
    if face == "back":
        rows = [(u, -thickness - z) for u, z in rows]
    return Contour(f"contour.{face}", face, Carve(profile(rows), origin, turn_deg, (-400.0, 400.0)))


def joint(*bolts: Bolt, **changes) -> NeckJoint:
    """A neck joint 17 mm deep; without bolts, four of them 35 mm long with 18 mm of wood under the
    ferrules."""
    given = bolts or tuple(Bolt(u, v, 18.0) for u in (13.0, 60.0) for v in (-16.0, 16.0))
    sizes = {"heel": HEEL, "depth": 17.0, "board_thickness": BOARD_THICKNESS, **changes}
    return NeckJoint(bolts=given, **sizes)


def necked(*bolts: Bolt, x: float = 124.0, **changes) -> Placed:
    """The joint with its heel's end at `x`: at 124 the heel's mouth is flush with the board's
    end."""
    return Placed("neck", joint(*bolts, **changes), Place(x))


def humbucker(x: float = 0.0, turn_deg: float = 0.0, y: float = 0.0, **changes) -> Placed:
    """A pickup whose route leaves 1.0 mm round a 70 x 38 frame; poles 52 apart."""
    return Placed("pickup", Humbucker(**{"pole_spacing": 52.0, **changes}), Place(x, y, turn_deg))


def hardtail(x: float = -17.0, y: float = 0.0, turn_deg: float = 0.0, **changes) -> Placed:
    """A six-string bridge: strings 52.5 mm apart, holes 10.5 apart, saddles from 9 to 21 mm before
    its holes."""
    return Placed("bridge", Hardtail(**{"spread": 52.5, **changes}), Place(x, y, turn_deg))


def controls(
    leave: float = 6.0,
    x: float = 0.0,
    y: float = -80.0,
    length: float = 60.0,
    width: float = 50.0,
    cover: Cover = Cover(),
    corner: float = 6.35,
) -> Placed:
    """A control cavity, 60 x 50 mm unless said otherwise."""
    return Placed(
        "control",
        Cavity(rectangle(length, width, corner), Depth(leave=leave), cover, corner),
        Place(x, y),
    )


def ask(layout: Layout, name: str) -> list[Finding]:
    """One check's findings for the wood as it is now (the season's have tests of their own)."""
    return [f for f in answers(TABLE[name], layout) if "humidity" not in f.text]


def one(layout: Layout, name: str, *subjects: str, text: str = "") -> Finding:
    """The only finding of a check with those subjects whose words hold `text`."""
    found = [f for f in ask(layout, name) if f.subjects == subjects and text in f.text]
    assert len(found) == 1, (
        f"{len(found)} findings for {subjects}: {[(f.subjects, f.text) for f in ask(layout, name)]}"
    )
    return found[0]


def none(layout: Layout, name: str, *subjects: str) -> bool:
    """Whether the check has no finding with those subjects."""
    return not [f for f in ask(layout, name) if f.subjects == subjects]


def holds(finding: Finding, status: str, value: float, within: float = 0.006) -> None:
    """Assert a finding's status and figure, and that its margin is told from the right side of its
    limit."""
    assert finding.value is not None, finding.text
    assert abs(finding.value - value) <= within, f"{finding.value} for {value}: {finding.text}"
    assert finding.status == status, f"{finding.status} for {status} at {finding.value}"
    sign = 1.0 if finding.margin >= 0.0 else -1.0
    assert (sign < 0.0) == (status == "fail") or abs(finding.margin) < 1e-6 or finding.bound > 0.0


def looser(name: str, fail: float, warn: float, most: bool = False) -> Shop:
    """A shop with one limit of its own."""
    return Shop(limits={name: Limit(fail, warn, "this test", most)})


def with_shop(layout: Layout, shop: Shop) -> Layout:
    """The same body in another shop."""
    return replace(layout, shop=shop)
