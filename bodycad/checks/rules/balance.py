"""`balance`: how heavy the instrument becomes and how it hangs from its strap."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.checks.finding import Finding, advise, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.geometry.plane.segments import encloses_grid
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Core, Joint, Land, Mass
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.wood import Species
from bodycad.words import Face, RoomKind

STEP = 4.0
"""Side of the cubes in which the wood is weighed here, mm (mass within about 1 %; the report's own
figure is exact)."""
NECK_MASS, TUNER_MASS, HEADSTOCK = 0.56, 0.035, 180.0
"""kg of a neck without its machines and of one machine; mm of headstock beyond the nut. Common
practice, no source."""
UNKNOWN = 2e-6
"""kg a mm3 of the rooms of a part that states no Mass: metal, plastic and air together (common
practice, no source)."""
LINE = 50.0
"""mm along the neck between two buttons under which no share of the weight is reckoned."""
WEIGHTLESS = (RoomKind.PLUG, RoomKind.SWING, RoomKind.TOOL)
"""Rooms that are kept free."""

PAGE = Page(
    asks="What will the instrument weigh, are its outer strap buttons far enough apart along the "
    "neck to hang it from, and does it hang level from them?",
    why="From two buttons near each other nothing hangs level: it turns about them. Held level, "
    "the horn's button takes the share of the weight that the centre of mass lies along the way "
    "from tail to horn. At half it is even; a strap slips over the shoulder somewhere beyond two "
    "thirds, and with the centre beyond the horn the neck always dives. With the centre above the "
    "line of the buttons it turns over. Masses are estimated: what rests on them is advice, never "
    "a failure.",
    limits=("balance.span", "balance.share", "balance.strap"),
    cures="Set one button on the horn or at the neck and one at the tail. Lengthen the horn, move "
    "the bridge and the neck toward the tail together, lighten the headstock.",
)


@dataclass(frozen=True)
class Lump:
    """kg and the centre of mass (x, y, z) in mm."""

    kg: float
    centre: tuple[float, float, float]


def balance(layout: Layout) -> list[Finding]:
    """Mass and centre of mass; how far apart the outer buttons stand; share of the weight on the
    horn's button; height over the line of the buttons."""
    wood, (fitted, guessed) = body_mass(layout), part_masses(layout)
    whole = together([wood, *neck_masses(layout), *fitted])
    x, y, z = whole.centre
    guess = f"; {', '.join(guessed)} counted by volume, for no Mass is stated" if guessed else ""
    mass = f"about {whole.kg:.1f} kg strung up, of which the body's wood {wood.kg:.1f} kg"
    place = f"centre of mass {x:.0f} mm from the scale line, {y:+.0f} mm off the centreline"
    found = [passed("balance.mass", (), f"{mass}; {place}{guess}")]
    buttons = sorted((*land.at, land.part) for land in strap_buttons(layout) if land.at)
    if len(buttons) < 2:
        return [*found, skip("balance", "how it hangs is not known without two strap buttons")]
    (tx, ty, tz, tail), (hx, hy, hz, horn) = buttons[0], buttons[-1]
    span, limit = hx - tx, layout.shop.limit("balance.span")
    text = f"{tail} and {horn} stand {span:.0f} mm apart along the neck"
    cure, at = "set one of them on the horn or at the neck", ((hx, ty, tz), (tx, ty, tz))
    found.append(judge((horn, tail), span, limit, text, cure, at=at))
    if span < LINE:
        return found
    share = 100.0 * (x - tx) / span
    limit = layout.shop.limit("balance.share")
    where = f"{abs(hx - x):.0f} mm {'behind' if x <= hx else 'in front of'} it"
    text = f"held level, {horn} takes {share:.0f} % of the weight; the centre of mass is {where}"
    cure, at = "lengthen the horn or lighten the headstock", ((x, y, z), (hx, hy, hz))
    found.append(advise((horn, tail), share, limit, text, cure, unit="%", at=at))
    line = ty + (hy - ty) * (x - tx) / span
    under = (line - y) * (-1.0 if layout.left_handed else 1.0)
    text = f"the centre of mass hangs {under:.0f} mm under the line of the strap buttons"
    cure, at = "move a strap button toward the bass side", ((x, y, z), (x, line, z))
    found.append(advise((horn, tail), under, layout.shop.limit("balance.strap"), text, cure, at=at))
    return found


def strap_buttons(layout: Layout) -> list[Land]:
    """Where strap buttons lie on the edge."""
    worn = {room.part for room in layout.rooms if room.kind is RoomKind.BUTTON}
    lands = (land for land in layout.stated(Land) if land.face is Face.EDGE)
    return [land for land in lands if land.part in worn]


def together(masses: list[Lump]) -> Lump:
    """Several masses as one."""
    kg = math.fsum(m.kg for m in masses)
    x, y, z = (math.fsum(m.kg * m.centre[k] for m in masses) / kg for k in range(3))
    return Lump(kg, (x, y, z))


def body_mass(layout: Layout) -> Lump:
    """The body's wood, counted in cubes of STEP mm whose middle lies in wood (its edges counted
    square)."""
    skin = layout.skin
    x0, y0, x1, y1 = skin.outline.box
    grid = _middles(x0, x1), _middles(y0, y1), _middles(-layout.thickness, 0.0)
    xs, ys, zs = grid
    body = encloses_grid(skin.outline.segments, xs, ys)
    wood = np.repeat(body[:, :, None], len(zs), axis=2)
    rows, columns = np.nonzero(body)
    plan = np.column_stack([xs[rows], ys[columns]])
    for contour in skin.contours:
        cut = contour.carve.height(plan, contour.face)[:, None]
        near = np.flatnonzero(cut < 0.0 if contour.face is Face.FRONT else cut > -layout.thickness)
        cells = rows[near], columns[near]
        wood[cells] &= zs <= cut[near] if contour.face is Face.FRONT else zs >= cut[near]
    boxes = np.array([void.shape.box for void in layout.voids]).reshape(-1, 6).T
    spans = [
        (np.searchsorted(axis, boxes[k]), np.searchsorted(axis, boxes[k + 3], "right"))
        for k, axis in enumerate(grid)
    ]
    for void, span in zip(layout.voids, np.transpose(spans, (2, 0, 1)).tolist()):
        across, along, up = (slice(*ends) for ends in span)
        _take(wood, grid, void, (across, along, up))
    heavy = _densities(layout, ys)
    cells = wood.sum(axis=2) * heavy
    count = float(cells.sum())
    volume = count * (x1 - x0) / len(xs) * (y1 - y0) / len(ys) * layout.thickness / len(zs)
    sums = cells.sum(axis=1), cells.sum(axis=0), wood.sum(axis=0).T @ heavy
    x, y, z = (float(row @ axis) / count for row, axis in zip(sums, grid))
    return Lump(volume * 1e-9 * layout.blank.species.density(layout.blank.moisture), (x, y, z))


def _densities(layout: Layout, ys: np.ndarray) -> np.ndarray:
    """How much denser than the blank's wood that at each y (m,) is: a neck that runs through the
    body is of a wood of its own."""
    wet, found = layout.blank.moisture, np.ones(len(ys))
    for core in layout.stated(Core):
        if isinstance(core.species, Species):
            denser = core.species.density(wet) / layout.blank.species.density(wet)
            found[np.abs(ys - core.end[1]) < core.width / 2.0] = denser
    return found


def _middles(low: float, high: float) -> np.ndarray:
    count = max(round((high - low) / STEP), 1)
    return low + (np.arange(count) + 0.5) * (high - low) / count


def _take(
    wood: np.ndarray,
    grid: tuple[np.ndarray, np.ndarray, np.ndarray],
    void: Void,
    near: tuple[slice, slice, slice],
) -> None:
    """Clear the cells of `wood` (x, y, z) that a void takes, all of which lie in `near`."""
    shape = void.shape
    xs, ys, zs = (axis[part] for axis, part in zip(grid, near))
    if not (len(xs) and len(ys) and len(zs)):
        return
    spots = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    low, high = (row.reshape(len(xs), len(ys), 1) for row in shape.column(spots))
    taken = (zs >= low) & (zs <= high)
    wood[near] &= ~taken


def neck_masses(layout: Layout) -> list[Lump]:
    """Each neck, even from the end of its block to the end of its headstock, and its machines in
    the middle of the headstock; one at a third of the scale where no neck is stated."""
    nut, found = layout.instrument.neck.centre_scale, []
    machines = TUNER_MASS * len(layout.instrument.strings)
    ends = [one.end for one in layout.stated(Joint)] + [one.end for one in layout.stated(Core)]
    ends = ends or [(nut / 3.0, 0.0, 0.0)]
    for x, y, _ in ends:
        found.append(Lump(NECK_MASS, ((x + nut + HEADSTOCK) / 2.0, y, 0.0)))
        found.append(Lump(machines / len(ends), (nut + HEADSTOCK / 2.0, y, 0.0)))
    return found


def part_masses(layout: Layout) -> tuple[list[Lump], list[str]]:
    """What is fitted, as its parts state it, and the ids of those that state no Mass: they count by
    the volume of their rooms. A part without Mass and rooms weighs nothing."""
    found, guessed, stated = [], [], {mass.part for mass in layout.stated(Mass)}
    for mass in layout.stated(Mass):
        found.append(Lump(mass.kg, mass.at or _middle(layout, mass.part)))
    for placed in layout.placed:
        rooms = (room for room in layout.rooms if room.part == placed.id)
        volume = sum(room.shape.volume for room in rooms if room.kind not in WEIGHTLESS)
        if placed.id not in stated and volume:
            guessed.append(placed.id)
            found.append(Lump(UNKNOWN * volume, _middle(layout, placed.id)))
    return found, guessed


def _middle(layout: Layout, part: str) -> Point3:
    """The middle of the box round a part's rooms, but for those that are kept free, or round its
    voids where it has none."""
    own = [room for room in layout.rooms if room.part == part]
    rooms = [r.shape.box for r in own if r.kind not in WEIGHTLESS] or [r.shape.box for r in own]
    boxes = rooms or [void.shape.box for void in layout.voids_of(part)]
    if not boxes:
        x0, y0, x1, y1 = layout.skin.outline.box
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0, -layout.thickness / 2.0
    box = np.array(boxes)
    x, y, z = ((box[:, :3].min(axis=0) + box[:, 3:].max(axis=0)) / 2.0).tolist()
    return x, y, z
