"""What may come out otherwise than drawn: a variable for each error that a body has of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from bodycad.chance.built import Errors, Shift, right_handed
from bodycad.chance.reads import SIZES_OF
from bodycad.checks.deviation import LONG
from bodycad.checks.wood.ends import ends_in_air
from bodycad.errors import InputError
from bodycad.layout.layout import Layout
from bodycad.parts.part import shared_sizes
from bodycad.units import Dimension, dimensions

PROBE = 0.5
"""How far a size without a tolerance is probed, mm or degrees, or SHARE of the size where that is
less."""
SHARE = 0.1


@dataclass(frozen=True)
class Variable:
    """One error: its kind ("size", "shift", "depth", "thickness", "tilt", "carve"), whose it is (a
    part, a void, a contour), along or about which axis (0, 1; 2 is a contour's depth), the
    tolerance that bounds it, each way, and what that tolerance is called.

    `sizes`: for a size, every (owner, path) that names it. `probe`: how far it is moved to see what
    depends on it."""

    kind: str
    subject: str
    tolerance: float
    group: str
    axis: int = 0
    unit: str = "mm"
    sizes: tuple[tuple[str, str], ...] = ()
    probe: float = 0.0

    @property
    def name(self) -> str:
        """A name that no other variable of the body has: it seeds the variable's own draws."""
        return f"{self.kind} {self.subject} {self.axis}"

    @property
    def reach(self) -> float:
        """How far it is moved to see what depends on it."""
        return self.tolerance or self.probe


def combined(variables: Sequence[Variable], amounts: Sequence[float]) -> Errors:
    """The errors of a body in which each variable is off by its amount."""
    sizes, deeper, thicker = dict[tuple[str, str], float](), dict[str, float](), 0.0
    shifts, tilts = dict[str, Shift](), dict[str, Shift]()
    carved = dict[str, tuple[float, float, float]]()
    for one, by in zip(variables, amounts):
        by = float(by)
        if one.kind == "size":
            sizes |= dict.fromkeys(one.sizes, by)
        elif one.kind in ("shift", "tilt"):
            pairs = shifts if one.kind == "shift" else tilts
            x, y = pairs.get(one.subject, (0.0, 0.0))
            pairs[one.subject] = (x + by, y) if one.axis == 0 else (x, y + by)
        elif one.kind == "depth":
            deeper[one.subject] = by
        elif one.kind == "carve":
            x, y, z = carved.get(one.subject, (0.0, 0.0, 0.0))
            own = (by * (one.axis == axis) for axis in range(3))
            carved[one.subject] = x + next(own), y + next(own), z + next(own)
        else:
            thicker += by
    return Errors(sizes, shifts, deeper, thicker, tilts, carved)


def shop_variables(layout: Layout) -> list[Variable]:
    """The errors of the cutting itself, those whose tolerance is not nil."""
    shop, drawn = layout.shop, right_handed(layout)
    found: list[Variable] = []
    if shop.template_repeat > 0.0:
        cut = dict.fromkeys(v.part for v in drawn.voids)
        pairs = ((part, axis) for part in cut for axis in (0, 1))
        by = shop.template_repeat
        found += [Variable("shift", part, by, "shop.template_repeat", axis) for part, axis in pairs]
    if shop.depth_stop > 0.0:
        blind = (v for v in drawn.voids if not ends_in_air(v, drawn))
        found += [Variable("depth", v.id, shop.depth_stop, "shop.depth_stop") for v in blind]
    if shop.thickness_tolerance > 0.0 and shop.measured_stock is None:
        by = shop.thickness_tolerance
        found.append(Variable("thickness", "stock", by, "shop.thickness_tolerance"))
    if (by := shop.contour_tolerance) > 0.0:
        each = ((c.id, axis) for c in drawn.skin.contours for axis in range(3))
        found += [Variable("carve", c, by, "shop.contour_tolerance", axis) for c, axis in each]
    if shop.wander_deg > 0.0:
        found += [
            Variable("tilt", v.id, shop.wander_deg, "shop.wander_deg", axis, "deg")
            for v in drawn.voids
            if (hole := v.shape.hole) and hole.length > LONG * hole.diameter
            for axis in (0, 1)
        ]
    return found


def size_variables(layout: Layout) -> list[Variable]:
    """One variable for each size of the instrument and the parts, with its tolerance (nil for many)
    and its probe. A size that a part shares with the instrument (see `parts.part.shared_sizes`) and
    that has the same value in both is one. Raises InputError for a share that names no size."""
    found: dict[tuple[str, str], Variable] = {}
    rows = {(owner, path): d for owner, path, d in _rows(layout)}
    twins = _twins(layout, [path for owner, path in rows if owner == SIZES_OF])
    for (owner, path), d in rows.items():
        twin = _twin(twins.get(owner, {}), path)
        if twin in found and rows[twin].value == d.value:
            first = found[twin]
            larger = max(first.tolerance, d.tolerance)
            found[twin] = replace(first, tolerance=larger, sizes=(*first.sizes, (owner, path)))
        else:
            name = f"{owner}.{path}"
            probe = min(PROBE, SHARE * abs(d.value)) if d.value else PROBE
            found[owner, path] = Variable(
                "size", name, d.tolerance, name, 0, d.unit, ((owner, path),), probe
            )
    return list(found.values())


def _rows(layout: Layout) -> Iterator[tuple[str, str, Dimension]]:
    """Owner, dotted path and row of every length and angle."""
    owners = [(SIZES_OF, layout.instrument), *((p.id, p.part) for p in layout.placed)]
    for owner, thing in owners:
        for d in dimensions(owner, thing):
            if d.unit in ("mm", "deg"):
                yield owner, f"{d.part}.{d.name}".removeprefix(f"{owner}."), d


def _twins(layout: Layout, paths: Sequence[str]) -> dict[str, Mapping[str, str]]:
    """What each part shares with the instrument, whose sizes have those paths."""
    found = {p.id: shared_sizes(p.part) for p in layout.placed}
    for part, shared in found.items():
        for its in shared.values():
            if not any(_named(path, its) for path in paths):
                what = f"a size of the instrument in shared_sizes of {part}"
                cure = "a name that ends with a dot stands for all below it"
                raise InputError(what, its, ", ".join(paths), cure)
    return found


def _named(path: str, name: str) -> bool:
    return path == name or (name.endswith(".") and path.startswith(name))


def _twin(shared: Mapping[str, str], path: str) -> tuple[str, str] | None:
    """The instrument's own name for a part's size, where it has one."""
    for own, its in shared.items():
        if _named(path, own):
            return SIZES_OF, its + path.removeprefix(own)
    return None
