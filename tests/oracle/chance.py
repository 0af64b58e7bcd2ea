"""An oracle of `--chance`: bodies drawn with all their errors, laid out anew and asked.

It shares with the package the errors that a shop and its parts have, and nothing that foretells
what they do: each body is laid out by `lay_out` from parts that answer as cut and as fitted, and
every check is asked of it. A stated worst case must bound every body; a stated chance must lie
within three standard errors of the share of bodies that hold.

    python -m tests.oracle.chance 400
"""

from __future__ import annotations

import math
import sys
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Any

import numpy as np

from bodycad import Design
from bodycad.chance.built import Errors, changed, tilted
from bodycad.chance.chance import with_chance
from bodycad.chance.reads import SIZES_OF
from bodycad.chance.variables import Variable, combined, shop_variables, size_variables
from bodycad.checks.finding import Finding
from bodycad.checks.runner import answers
from bodycad.checks.table import CHECKS
from bodycad.checks.wood.ends import ends_in_air
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout, Placed, lay_out
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.parts.part import fitted, own_pieces
from bodycad.shop import LIMITS, Limit, Shop
from tests.oracle.drawn import BODIES

SEED = 1_946
SLACK = 1e-4
"""What a stated worst case may be off, mm, for rounding."""
ERRORS = 3.0
"""Standard errors within which a stated chance must lie."""


@dataclass(frozen=True, eq=False)
class AsBuilt:
    """A part as it answers in a body with errors: its cuts as cut for the drawn part, its rooms
    and its records as the part really is."""

    drawn: Any
    real: Any
    layout: Layout
    errors: Errors
    shift: tuple[float, float]
    place: Place

    def voids(self, part, place, thickness):
        made, layout, found = self.errors, self.layout, []
        for void in self.drawn.voids(part, self.place, layout.thickness):
            shape, deeper = void.shape, made.deeper.get(void.id, 0.0)
            if shape.hole and ends_in_air(layout.by_id[void.id], layout):
                opened = sum(made.deeper.get(w.id, 0.0) for w in layout.openings.get(void.id, ()))
                deeper = max(opened + made.thicker * (void.face != "edge"), 0.0)
            shape = shape.deepened(deeper, void.face)
            if void.id in made.tilts and shape.hole:
                shape = tilted(shape.hole, *made.tilts[void.id])
            sunk = -made.thicker if void.face == "back" else 0.0
            found.append(replace(void, shape=shape.moved(*self.shift, sunk)))
        return tuple(found)

    def rooms(self, part, place, thickness):
        return tuple(r.moved(*self.shift) for r in self.real.rooms(part, self.place, thickness))

    def interfaces(self, part, place, piece):
        return self.real.interfaces(part, place, piece)

    def pieces(self, part, place, piece):
        return own_pieces(self.real, part, place, piece)


def pressed(design: Design, share: float = 0.45) -> Design:
    """The design under limits so near to its figures that errors decide: of each limit the finding
    nearest to failing, at its worst, would be short by the rest of `share`."""
    report = with_chance(design.check(), 1)
    least: dict[str, tuple[float, float]] = {}
    for f in report.findings:
        if f.code not in LIMITS or f.worst is None or f.margin is None or f.margin < 0.0:
            continue
        by = abs(f.value - f.worst)
        if by > 0.02 and f.margin < least.get(f.code, (30.0, 0.0))[0]:
            sign = 1.0 if f.most else -1.0
            least[f.code] = f.margin, f.value + sign * (f.bound + share * by)
    limits = {
        name: Limit(at, at, "set by the oracle", LIMITS[name].most)
        for name, (_, at) in least.items()
    }
    return replace(design, shop=Shop(limits=limits))


def relaid(design: Design, errors: Errors) -> Layout:
    """The design's body with those errors, laid out anew."""
    drawn = replace(design, left_handed=False).layout()
    by_neck = [errors.shifts.get(j.part, (0.0, 0.0)) for j in drawn.stated(Joint)]
    sx, sy = by_neck[0] if by_neck and errors.carried else (0.0, 0.0)
    made, parts = Made(errors.deeper, errors.thicker), []
    for one in design.parts:
        dx, dy = errors.shifts.get(one.id, (0.0, 0.0))
        shift, sizes = (dx - sx, dy - sy), sizes_of(errors, one.id)
        real = fitted(changed(one.part, sizes), one.id, one.part, made)
        place = replace(one.place, x=one.place.x + shift[0], y=one.place.y + shift[1])
        built = AsBuilt(one.part, real, drawn, errors, shift, one.place)
        parts.append(Placed(one.id, built, place))
    skin = shaped(design.skin, errors, (-sx, -sy))
    blank = design.blank
    pins = tuple(replace(p, x=p.x - sx, y=p.y - sy) for p in blank.pins)
    joints = tuple(y - sy for y in blank.joints)
    x, y = (blank.x0 - sx, blank.x1 - sx), (blank.y0 - sy, blank.y1 - sy)
    blank = replace(blank, x0=x[0], x1=x[1], y0=y[0], y1=y[1], pins=pins, joints=joints)
    played = changed(design.instrument, sizes_of(errors, SIZES_OF))
    given = design.name, blank, skin, played, parts, design.links, design.shop
    return lay_out(*given, left_handed=design.left_handed, pieces=design.pieces)


def shaped(skin: Skin, errors: Errors, by: tuple[float, float]) -> Skin:
    """The skin moved, of thicker stock, its contours as carved."""
    skin, contours = skin.moved(*by, errors.thicker), []
    for contour in skin.contours:
        dx, dy, deeper = errors.carved.get(contour.id, (0.0, 0.0, 0.0))
        contours.append(contour.moved(dx, dy, -deeper if contour.face == "front" else deeper))
    return replace(skin, contours=tuple(contours))


def sizes_of(errors: Errors, owner: str) -> dict[str, float]:
    return {path: more for (name, path), more in errors.sizes.items() if name == owner}


def every_error(layout: Layout) -> list[Variable]:
    """All errors that have a tolerance."""
    return [v for v in (*shop_variables(layout), *size_variables(layout)) if v.tolerance > 0.0]


def drawn_errors(errors: list[Variable], bodies: int, extreme: bool) -> Iterator[Errors]:
    """The errors of each body: from triangles; or each one at an end of its tolerance."""
    rng = np.random.default_rng(SEED)
    for _ in range(bodies):
        x = rng.triangular(-1.0, 0.0, 1.0, len(errors))
        if extreme:
            x = np.sign(x)
        yield combined(errors, x * [v.tolerance for v in errors])


def spare(finding: Finding) -> float:
    """What a finding has to spare, its error bound taken off; a fault without a figure is -inf."""
    if finding.margin is None:
        return -math.inf if finding.status in ("fail", "error") else math.inf
    return finding.margin - finding.bound


def answer(finding: Finding, found: Mapping[Any, list[Finding]], stated: Collection[Any]) -> float:
    """What the same question has to spare on a body: the least of all answers to it. Where another
    thing has become the nearest, it is that of the code and the first subject that is not `stated`
    by itself; where there is none, nothing is near: inf."""
    rows = found.get(finding.identity) or found.get((finding.code, *finding.subjects[:1]), ())
    own = [f for f in rows if f.identity == finding.identity or f.identity not in stated]
    return min(map(spare, own), default=math.inf)


PLACED = "neck-place"
"""The check of where the template put the neck: the body, not the neck, says where that is."""
FAIRED = "contour-end"
"""The check of where a shaped surface ends: that is faired by eye, however deep it came out."""


def asked_of(design: Design, errors: Errors) -> dict[Any, list[Finding]]:
    """Every finding of the body with those errors."""
    found = asked(relaid(design, errors))
    for check, others in ((PLACED, {"carried": False}), (FAIRED, {"carved": {}})):
        own = asked(relaid(design, replace(errors, **others)), check)
        found = {key: rows for key, rows in found.items() if not key[0].startswith(check)} | own
    return found


def asked(layout: Layout, only: str = "") -> dict[Any, list[Finding]]:
    """Every finding of a body by its identity, and by its code and first subject."""
    found: dict[Any, list[Finding]] = {}
    for check in CHECKS:
        if only not in ("", check.name):
            continue
        for f in answers(check, layout):
            for key in (f.identity, (f.code, *f.subjects[:1])):
                found.setdefault(key, []).append(f)
    return found


@dataclass(frozen=True)
class Row:
    """One finding: what `--chance` states, what the bodies have."""

    finding: Finding
    spare: np.ndarray
    least: float

    @property
    def beyond(self) -> float:
        """How far the worst body lies beyond the stated worst case, mm; less than nothing where it
        is bounded."""
        return self.least - float(self.spare.min())

    @property
    def share(self) -> float:
        return float((self.spare >= -1e-9).mean())

    @property
    def off(self) -> float:
        """Standard errors between the stated chance and the bodies' share. Where so few bodies hold
        or fail that the law of large numbers says little, as many as have the same odds."""
        n, p = len(self.spare), min(max(self.finding.chance, 1e-9), 1.0 - 1e-9)
        errors = abs(self.share - p) / math.sqrt(p * (1.0 - p) / n)
        k = round(self.share * n)
        less = self.share < p
        odds = sum(
            math.comb(n, j) * p**j * (1.0 - p) ** (n - j)
            for j in (range(k + 1) if less else range(k, n + 1))
        )
        return min(errors, -NormalDist().inv_cdf(min(max(odds, 1e-12), 0.5)))


def compared(design: Design, bodies: int, extreme: bool = False) -> list[Row]:
    """Each finding that has a chance and a worst case, beside the bodies drawn."""
    report = with_chance(design.check(), 20_000)
    stated = [f for f in report.findings if f.worst is not None]
    rows, known = np.empty((bodies, len(stated))), {f.identity for f in report.findings}
    for n, errors in enumerate(drawn_errors(every_error(report.layout), bodies, extreme)):
        found = asked_of(design, errors)
        rows[n] = [answer(f, found, known) for f in stated]
    return [Row(f, rows[:, k], least(f)) for k, f in enumerate(stated)]


def least(finding: Finding) -> float:
    """What is spare in the stated worst case."""
    sign = -1.0 if finding.most else 1.0
    return sign * (finding.worst - finding.limit)


def main(argv: list[str]) -> int:
    """Print what lies beyond its worst case and what chances are off; 1 where any does."""
    bodies, wrong = int(argv[0]) if argv else 400, 0
    for name, make in BODIES.items():
        for press in (False, True):
            rows = compared(pressed(make()) if press else make(), bodies)
            print(f"{name}{', pressed' if press else ''}: {len(rows)} findings, {bodies} bodies")
            print(f"  nearest to a worst case: {max(r.beyond for r in rows):+.4f} mm beyond it")
            print(f"  farthest from a chance: {max(r.off for r in rows):.2f} standard errors")
            for r in rows:
                if r.beyond > SLACK or r.off > ERRORS:
                    wrong += 1
                    told = f"chance {r.finding.chance:.4f}, of the bodies {r.share:.4f}"
                    print(f"  {r.finding.identity}: beyond by {r.beyond:.4f}; {told}")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
