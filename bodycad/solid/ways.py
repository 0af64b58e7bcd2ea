"""Several ways to make one cut, for the kernel fails at some: it takes nothing, or all, or leaves
specks where walls and joints nearly meet.

The first way whose result has the volume that is due, in one valid solid without specks, is kept;
else the best."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from bodycad.errors import SolidError
from bodycad.solid import kernel, occ
from bodycad.solid.mend import mended
from bodycad.solid.specks import Speck, specks, weight

SHIFT, RAISE = 0.002, 0.0005
"""How far (mm) tools are shifted in plan where they meet the outside at its own joints, and up or
down, where what they leave shows at once."""
ENOUGH = 3
"""Where so many ways take just what is due and leave no one solid, the design is at fault; where so
many are right but for specks that a file may hold, it is left at that."""
ROUND = 20.0
"""How far (mm) a block about the body stands over it."""
SPLINED = "cut by walls written as splines"
Tool = tuple[str, occ.Solid]


@dataclass(frozen=True)
class Way:
    """How a cut is made. words: what it does to the wood, for the report; "" for nothing.

    shift: of all tools, mm. fuzzy: within how much (mm) the kernel takes two places for
    one. kept: by what the block round the body keeps of it. near: with what of the tools lies
    in that block. singly: tools one by one, in their order where 1, in reverse where -1. seam:
    degrees by which bores are turned about their own axes, for the kernel fails where the seam
    of a round wall meets others. splined: the same walls written as splines, for it cannot cut a
    plane near the point of a cone.
    """

    words: str = ""
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    fuzzy: float = 0.0
    kept: bool = False
    near: bool = False
    singly: int = 0
    seam: float = 0.0
    splined: bool = False


def _shifted(x: float, y: float, splined: bool = False) -> Way:
    far = SHIFT / (x * x + y * y) ** 0.5
    words = f"shifted by {SHIFT:g} mm" + (f" and {SPLINED}" if splined else "")
    return Way(words, (x * far, y * far, 0.0), splined=splined)


def _raised(z: float) -> Way:
    return Way(f"{'raised' if z > 0.0 else 'lowered'} by {abs(z):g} mm", (0.0, 0.0, z))


WAYS = (
    Way(),
    Way(kept=True),
    _shifted(0.8, 0.6),
    _shifted(-0.6, 0.8),
    Way("joined where they come within 0.001 mm", fuzzy=1e-3),
    Way(singly=-1),
    Way(near=True, singly=1),
    _raised(RAISE),
    _raised(-RAISE),
    _shifted(-0.8, -0.6),
    _shifted(0.6, -0.8),
    Way(seam=123.0),
    Way(seam=60.0),
    Way(seam=251.0),
    Way(SPLINED, splined=True),
    _shifted(0.8, 0.6, splined=True),
    _shifted(-0.6, 0.8, splined=True),
    Way("joined where they come within 0.03 mm", fuzzy=0.03),
)


class Made(NamedTuple):
    """A cut, the way it was made, the specks that it leaves, and the width (mm) under which others
    were closed."""

    solid: occ.Solid
    way: Way
    specks: Sequence[Speck]
    closed: float = 0.0


@dataclass
class _Best:
    off: float = float("inf")
    made: Made | None = None
    errors: list[tuple[Way, SolidError]] = field(default_factory=list)
    broken: int = 0
    right: int = 0

    @property
    def settled(self) -> bool:
        """Whether no other way need be tried."""
        if self.made is None:
            return self.broken >= ENOUGH
        return self.right >= ENOUGH and weight(self.made.specks)[0] == 0

    @property
    def told(self) -> SolidError:
        """The first error of one tool alone, which names it, else the first."""
        return next((err for way, err in self.errors if way.singly), self.errors[0][1])


def cut(
    body: occ.Solid,
    tools: Sequence[Tool],
    name: str,
    due: float,
    allowed: float,
    after: Callable[[occ.Shape], occ.Solid],
    ways: Iterable[Way] = WAYS,
    seamed: Callable[[float], Sequence[Tool]] | None = None,
) -> Made:
    """The body less all the tools, as `after` finds one solid in it, which should hold `due` mm3
    within `allowed`. `seamed`: the tools with their seams turned by so many degrees, None where
    they have none.

    Where no way is right, the one with the volume nearest to that, so that it can be judged and
    blamed. Raises SolidError where no way gives one valid solid."""
    best = _Best()
    known = len(specks(body))
    for way in ways:
        if best.settled:
            break
        if way.seam and seamed is None:
            continue
        taken: occ.Shape | None = None
        try:
            own = seamed(way.seam) if seamed and way.seam else tools
            taken = _by(way, body, own, name)
            made = after(taken)
        except SolidError as err:
            best.errors.append((way, err))
            best.broken += taken is not None and _right(taken, due, allowed)
            continue
        off = abs(kernel.volume(made) - due)
        if off > allowed:
            if best.made is None or off < best.off / 2.0:
                best.off, best.made = off, Made(made, way, ())
            continue
        clean = mended(made, due, allowed)
        found = Made(clean.solid, way, clean.specks, clean.closed)
        if len(found.specks) <= known:
            return found
        best.right += 1
        if best.off > allowed or (best.made and weight(found.specks) < weight(best.made.specks)):
            best.off, best.made = off, found
    if best.made is None:
        raise best.told
    return best.made


def _right(taken: occ.Shape, due: float, allowed: float) -> bool:
    """Whether a cut is sound and leaves what is due, be it in pieces."""
    return taken.isValid() and abs(kernel.volume(taken) - due) <= allowed


def _by(way: Way, body: occ.Solid, tools: Sequence[Tool], name: str) -> occ.Shape:
    if any(way.shift):
        to = occ.Location(way.shift)
        tools = [(one, tool.moved(to)) for one, tool in tools]
    if way.splined:
        with kernel.step(name):
            tools = [(one, occ.splined(tool)) for one, tool in tools]
    if way.near:
        tools = _near(body, tools, name)
    if way.kept:
        return _kept(body, tools, name)
    if not way.singly:
        return kernel.cut(body, tools, name, way.fuzzy)
    made: occ.Shape = body
    for one in tools[:: way.singly]:
        made = kernel.sound(kernel.cut(made, [one], one[0]), one[0], "cut alone")
    return made


def _kept(body: occ.Solid, tools: Sequence[Tool], name: str) -> occ.Shape:
    """What the body shares with a block about it that the tools were cut from."""
    left = kernel.sound(kernel.cut(_block(body, name), tools, name), name, "a block")
    with kernel.step(name):
        return body.intersect(left)


def _near(body: occ.Solid, tools: Sequence[Tool], name: str) -> list[Tool]:
    """What of the tools lies in a block about the body."""
    block = _block(body, name)
    with kernel.step(name):
        return [(one, piece) for one, tool in tools for piece in tool.intersect(block).Solids()]


def _block(body: occ.Solid, name: str) -> occ.Solid:
    """A block about the body."""
    x0, y0, z0, x1, y1, z1 = kernel.rough_box(body)
    corner = occ.Vector(x0 - ROUND, y0 - ROUND, z0 - ROUND)
    with kernel.step(name):
        wide, deep, high = (side + 2.0 * ROUND for side in (x1 - x0, y1 - y0, z1 - z0))
        return occ.Solid.makeBox(wide, deep, high, corner)
