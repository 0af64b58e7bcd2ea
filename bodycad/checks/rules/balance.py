"""`balance`: how heavy the instrument becomes and how it hangs from its strap. Advice only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bodycad.checks.finding import Finding, advise, passed, skip
from bodycad.checks.page import Page
from bodycad.geometry.plane.segments import encloses_grid
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.void import Void
from bodycad.parts.channel import Channel
from bodycad.parts.jack import StrapButton
from bodycad.parts.neckjoint import NeckJoint

STEP = 4.0
"""Side of the cubes in which the wood is weighed here, mm (mass within about 1 %; the report's own
figure is exact)."""
NECK_MASS, TUNER_MASS, HEADSTOCK = 0.56, 0.035, 180.0
"""kg of a neck without its machines and of one machine; mm of headstock beyond the nut. Common
practice, no source."""
MASSES = {
    "NeckJoint": 0.06,
    "Humbucker": 0.16,
    "Hardtail": 0.25,
    "Cavity": 0.03,
    "Pot": 0.05,
    "Toggle": 0.04,
    "EndJack": 0.05,
    "StrapButton": 0.015,
}
"""kg of each kind of part as fitted, by class name (common practice, no source)."""
OTHER_MASS = 0.03
"""kg of a part of any other kind."""

PAGE = Page(
    asks="What will the instrument weigh, and does it hang level from its strap buttons?",
    why="Held level, the horn's button takes the share of the weight that the centre of mass lies along the way from tail to horn. At "
    "half it is even; a strap slips over the shoulder somewhere beyond two thirds, and with the centre beyond the horn the neck "
    "always dives. With the centre above the line of the buttons it turns over. Estimated masses: advice, never a failure.",
    limits=("balance.share", "balance.strap"),
    cures="Lengthen the horn, move the bridge and the neck toward the tail together, lighten the headstock.",
)


@dataclass(frozen=True)
class Mass:
    """kg and the centre of mass (x, y, z) in mm."""

    kg: float
    centre: tuple[float, float, float]


def balance(layout: Layout) -> list[Finding]:
    """Mass and centre of mass; share of the weight on the horn's button; height over the line of
    the buttons."""
    wood = body_mass(layout)
    whole = together([wood, *neck_masses(layout), *part_masses(layout)])
    x, y, z = whole.centre
    found = [
        passed(
            "balance",
            (),
            f"about {whole.kg:.1f} kg strung up, of which the body's wood {wood.kg:.1f} kg; "
            f"centre of mass {x:.0f} mm from the scale line, {y:+.0f} mm off the centreline",
        )
    ]
    buttons = sorted(layout.parts(StrapButton), key=lambda p: p.place.x)
    if len(buttons) < 2:
        return [*found, skip("balance", "how it hangs is not known without two strap buttons")]
    tail, horn = buttons[0], buttons[-1]
    span = horn.place.x - tail.place.x
    if span < 50.0:
        return [
            *found,
            skip(
                "balance",
                f"{tail.id} and {horn.id} stand {span:.0f} mm apart along the neck: no strap line to hang from",
            ),
        ]
    ends = tuple((b.place.x, b.place.y, b.part.z) for b in (tail, horn))
    share = 100.0 * (x - tail.place.x) / span
    found.append(
        advise(
            (horn.id, tail.id),
            share,
            layout.shop.limit("balance.share"),
            f"held level, {horn.id} takes {share:.0f} % of the weight; the centre of mass is "
            f"{abs(horn.place.x - x):.0f} mm {'behind' if x <= horn.place.x else 'in front of'} it",
            "lengthen the horn or lighten the headstock",
            unit="%",
            at=((x, y, z), ends[1]),
        )
    )
    line = tail.place.y + (horn.place.y - tail.place.y) * (x - tail.place.x) / span
    under = (line - y) * (-1.0 if layout.left_handed else 1.0)
    found.append(
        advise(
            (horn.id, tail.id),
            under,
            layout.shop.limit("balance.strap"),
            f"the centre of mass hangs {under:.0f} mm under the line of the strap buttons",
            "move a strap button toward the bass side",
            at=((x, y, z), (x, line, z)),
        )
    )
    return found


def together(masses: list[Mass]) -> Mass:
    """Several masses as one."""
    kg = sum(m.kg for m in masses)
    return Mass(kg, tuple(sum(m.kg * m.centre[k] for m in masses) / kg for k in range(3)))


def body_mass(layout: Layout) -> Mass:
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
        near = np.flatnonzero(cut < 0.0 if contour.face == "front" else cut > -layout.thickness)
        cells = rows[near], columns[near]
        wood[cells] &= zs <= cut[near] if contour.face == "front" else zs >= cut[near]
    boxes = np.array([void.shape.box for void in layout.voids]).reshape(-1, 6).T
    spans = [
        (np.searchsorted(axis, boxes[k]), np.searchsorted(axis, boxes[k + 3], "right"))
        for k, axis in enumerate(grid)
    ]
    for void, span in zip(layout.voids, np.transpose(spans, (2, 0, 1)).tolist()):
        _take(wood, grid, void, tuple(slice(*ends) for ends in span))
    cells = wood.sum(axis=2)
    count = int(cells.sum())
    volume = count * (x1 - x0) / len(xs) * (y1 - y0) / len(ys) * layout.thickness / len(zs)
    x, y, z = (
        float(row @ axis) / count
        for row, axis in zip((cells.sum(axis=1), cells.sum(axis=0), wood.sum(axis=(0, 1))), grid)
    )
    return Mass(volume * 1e-9 * layout.blank.species.density(layout.blank.moisture), (x, y, z))


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


def neck_masses(layout: Layout) -> list[Mass]:
    """The neck, even from heel to headstock's end, and its machines in the middle of the
    headstock."""
    nut = layout.instrument.neck.centre_scale
    joints = layout.parts(NeckJoint)
    heel = joints[0].place.x if joints else nut / 3.0
    machines = TUNER_MASS * len(layout.instrument.strings)
    return [
        Mass(NECK_MASS, ((heel + nut + HEADSTOCK) / 2.0, 0.0, 0.0)),
        Mass(machines, (nut + HEADSTOCK / 2.0, 0.0, 0.0)),
    ]


def part_masses(layout: Layout) -> list[Mass]:
    """Each fitted part where its rooms are; a drilled way weighs nothing."""
    return [
        Mass(MASSES.get(type(p.part).__name__, OTHER_MASS), _middle(layout, p))
        for p in layout.placed
        if not isinstance(p.part, Channel)
    ]


def _middle(layout: Layout, placed: Placed) -> tuple[float, float, float]:
    boxes = [r.shape.box for r in layout.rooms if r.part == placed.id] or [
        v.shape.box for v in layout.voids_of(placed.id)
    ]
    if not boxes:
        return placed.place.x, placed.place.y, -layout.thickness / 2.0
    box = np.array(boxes)
    low, high = box[:, :3].min(axis=0), box[:, 3:].max(axis=0)
    return tuple(map(float, (low + high) / 2.0))
