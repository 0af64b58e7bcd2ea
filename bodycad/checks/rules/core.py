"""`neck-core`: a neck that runs through the body as its core."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.loads import NECK_SPECIES
from bodycad.checks.strings_served import held_ends, string_holes
from bodycad.instrument.load import total_tension
from bodycad.instrument.neck import board_half_width, mouth_x
from bodycad.instrument.seat import Seat
from bodycad.layout.assembly import core_seat
from bodycad.layout.interface import Core
from bodycad.layout.layout import Layout
from bodycad.wood import AIR_DRY, Species, bending_law, shearing_law, species
from bodycad.words import SIDES

PAGE = Page(
    asks="Where the neck runs through the body: are its glue lines joints of the blank, is the "
    "core as wide as the neck that is cut from it, does it lie where strings and scale want it, do "
    "the strings' ends stand in it, how much of each wing's glue line do the cavities leave, and "
    "does what the routes leave of the core bear the strings' pull?",
    why="The core carries the pull from the bridge to the nut. A route across it leaves a thin "
    "floor, and a cavity across a glue line takes the wing's hold. The load is advice from a "
    "simple model, no promise: a straight beam of the core's own wood, the wings left out.",
    limits=(
        "neck-core.joint",
        "neck-core.width",
        "neck-core.along",
        "neck-core.aside",
        "neck-core.board",
        "neck-core.end",
        "neck-core.glue",
        "neck-core.load",
    ),
    cures="Give the blank the core (blank_round(..., core=66.0)), use a wider core, make routes "
    "shallower, or move a cavity into the wing.",
)
ALONG, ACROSS, UP = 2.0, 1.0, 0.5
"""Spacing of the places at which the core's wood is looked at, mm."""


def neck_core(layout: Layout) -> Iterator[Finding]:
    """Each core's glue lines, width, place, its strings' ends and what is left of it."""
    cores = layout.stated(Core)
    if not cores:
        yield skip("neck-core", "no neck runs through this body")
    for core in cores:
        seat = core_seat(layout, core)
        if seat is None:
            words = f"{core.board} cannot be judged: it must be a prism on or over the front"
            cure = "draw the fretboard so, tilted along the neck by -5 to 10 degrees"
            yield failed("neck-core.shape", (core.board,), words, cure)
            continue
        yield from _lines(layout, core)
        yield from _place(layout, core, seat)
        yield from _ends(layout, core)
        yield from _wings(layout, core)
        yield _load(layout, core, seat)


def _lines(layout: Layout, core: Core) -> Iterator[Finding]:
    """The core's sides beside the joints of the blank, and its width beside the neck's."""
    limit, x = layout.shop.limit("neck-core.joint"), core.end[0]
    for name, sign in (("treble", -1.0), ("bass", 1.0)):
        y = core.end[1] + sign * core.width / 2.0 * (-1.0 if layout.left_handed else 1.0)
        near = min(layout.blank.joints, key=lambda joint: abs(joint - y), default=None)
        subjects, cure = (core.board, name), "give the blank the joints of the neck's core"
        if near is None:
            words = f"the blank has no joint at y = {y:+.1f} mm, where {core.part} meets its wing"
            yield failed("neck-core.joint", subjects, words, cure)
            continue
        off = abs(near - y)
        words = f"the blank's joint lies {off:.2f} mm beside the {name} side of {core.part}'s core"
        at = witness((x, y, 0.0), (x, near, 0.0))
        yield judge(subjects, off, limit, words, cure, at=at)
    own = layout.instrument.neck
    wide = 2.0 * board_half_width(own, mouth_x(own))
    words = f"the core of {core.part} is {core.width - wide:.2f} mm wider than the neck where it "
    words += "leaves the body"
    limit, cure = layout.shop.limit("neck-core.width"), "use a wider core"
    yield judge((core.board, "neck"), core.width - wide, limit, words, cure)


def _place(layout: Layout, core: Core, seat: Seat) -> Iterator[Finding]:
    """Where the neck leaves the body, along and beside the strings, and the fretboard's own."""
    (x, y, z), (wanted, _, _) = core.end, seat.mouth
    own, thick = layout.instrument.neck, layout.rooms_by_id[core.board].shape.prism
    assert thick is not None
    board = thick.high - thick.floor_range[1]
    same, subjects = "give it the fretboard of the instrument's neck", (core.board, "instrument")
    for code, off, what, cure in (
        (
            "along",
            abs(x - wanted),
            "from where the scale wants it",
            f"move it {wanted - x:+.2f} mm",
        ),
        ("aside", abs(y), "beside the middle of the strings", f"move it {-y:+.2f} across"),
        ("board", abs(board - own.board_thickness), "off in its fretboard's thickness", same),
    ):
        limit = layout.shop.limit(f"neck-core.{code}")
        words, at = f"{core.part} lies {off:.2f} mm {what}", witness((x, y, z), (wanted, 0.0, z))
        yield judge(subjects, off, limit, words, cure, at=at)


def _ends(layout: Layout, core: Core) -> Iterator[Finding]:
    """What holds the strings' ends, inside the core's sides or in the wings."""
    spots: list[tuple[str, float, float, float]] = []
    for hole, _ in string_holes(layout):
        box = layout.by_id[hole.seat or hole.hole].shape.box
        spots.append((hole.part, hole.at[0], hole.at[1], (box[4] - box[1]) / 2.0))
    for anchor, spot, _ in held_ends(layout):
        boxes = [layout.by_id[name].shape.box for name in anchor.posts]
        posts = [((b[0] + b[3]) / 2.0, (b[1] + b[4]) / 2.0, (b[4] - b[1]) / 2.0) for b in boxes]
        spots += [(anchor.part, *row) for row in posts or [(spot[0], spot[1], 0.0)]]
    if not spots:
        yield skip("neck-core.end", "no part of this design holds the strings' ends")
        return
    half, y0 = core.width / 2.0, core.end[1]
    rows = [(half - abs(y - y0) - r, part, x, y) for part, x, y, r in spots]
    spare, part, x, y = min(rows)
    if spare >= 0.0:
        words = f"{part} holds the strings' ends {spare:.2f} mm inside the core of {core.part}"
        limit = layout.shop.limit("neck-core.end")
        at = witness((x, y, 0.0), (x, y0 + (half if y > y0 else -half), 0.0))
        cure = f"use a wider core, or a narrower {part}"
        yield judge((core.board, part), spare, limit, words, cure, at=at)
        return
    pull, areas = total_tension(layout.instrument), _glued(layout, core)
    area = min(left for left, _ in areas)
    weak = min(_wood(core), layout.blank.species, key=lambda one: one.gravity_at(AIR_DRY))
    times = shearing_law(weak.gravity_at(AIR_DRY)) / (pull / area) if area > 0.0 else 0.0
    words = f"{part} holds strings {-spare:.2f} mm outside the core of {core.part}: the pull goes "
    words += f"through a wing's glue line, {area:.0f} mm2 of which hold {times:.1f} times of it"
    limit, cure = layout.shop.limit("joint-load.glue"), "use a wider core, or move the cavities"
    subjects, code = (core.board, part), "neck-core.end.wing"
    yield judge(subjects, times, limit, words, cure, unit="times", code=code)


def _wings(layout: Layout, core: Core) -> Iterator[Finding]:
    """What the cuts leave of each wing's glue line."""
    limit = layout.shop.limit("neck-core.glue")
    for name, (left, whole) in zip(("treble", "bass"), _glued(layout, core), strict=True):
        share = 100.0 * left / whole if whole > 0.0 else 0.0
        words = f"{share:.0f} % of the {name} wing's glue line is left, {left:.0f} mm2"
        cure = "move cavities into the wing, or make them shallower"
        yield judge((core.board, name), share, limit, words, cure, unit="%")


def _glued(layout: Layout, core: Core) -> list[tuple[float, float]]:
    """mm2 of the treble and the bass glue line that the cuts leave, and of the whole."""
    x0, _, x1, _ = layout.skin.outline.box
    xs, found = np.arange(x0 + ALONG / 2.0, x1, ALONG), []
    for sign in (-1.0, 1.0):
        y = core.end[1] + sign * core.width / 2.0 * (-1.0 if layout.left_handed else 1.0)
        whole, left = _wood_over(layout, np.column_stack([xs, np.full(len(xs), y)]))
        found.append((float(left.sum()) * ALONG * UP, float(whole.sum()) * ALONG * UP))
    return found


def _wood_over(layout: Layout, plan: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Whether wood is (points, heights) before and after the cuts, over plan points (m, 2), at
    heights UP apart from the back up."""
    z = np.arange(-layout.thickness + UP / 2.0, 0.0, UP)
    front, back = (layout.skin.height(face, plan)[:, None] for face in SIDES)
    inside = layout.skin.outline.segments.encloses(plan)[:, None]
    whole = inside & (z < front) & (z > back)
    left = whole.copy()
    (a0, b0), (a1, b1) = plan.min(axis=0), plan.max(axis=0)
    for void in layout.voids:
        x0, y0, _, x1, y1, _ = void.shape.box
        if x0 <= a1 and a0 <= x1 and y0 <= b1 and b0 <= y1:
            near = np.flatnonzero(((plan >= (x0, y0)) & (plan <= (x1, y1))).all(axis=1))
            low, high = void.shape.column(plan[near])
            with np.errstate(invalid="ignore"):
                left[near] &= ~((z >= low[:, None]) & (z <= high[:, None]))
    return whole, left


def _load(layout: Layout, core: Core, seat: Seat) -> Finding:
    """The weakest section of the core between the bridge and where the neck leaves the body: its
    bending and thrust by the strings' pull, against the wood's bending strength."""
    x0, x1 = min(one.saddle[0] for one in layout.instrument.lines), core.end[0]
    xs = np.arange(x0, x1, ALONG)
    # Where the body ends sooner, the neck's own shaft goes on.
    middle_line = np.column_stack([xs, np.full(len(xs), core.end[1])])
    xs = xs[layout.skin.outline.segments.encloses(middle_line)]
    ys = core.end[1] + np.arange(ACROSS / 2.0, core.width, ACROSS) - core.width / 2.0
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    left = _wood_over(layout, grid)[1].reshape(len(xs), len(ys), -1)
    wide = left.sum(axis=1) * ACROSS  # (along, heights): mm of wood across
    z = np.arange(-layout.thickness + UP / 2.0, 0.0, UP)
    area = np.maximum(wide.sum(axis=1) * UP, 1e-9)
    middle = (wide * z).sum(axis=1) * UP / area
    off = z - middle[:, None]
    inertia = np.maximum((wide * (off * off + UP * UP / 12.0)).sum(axis=1) * UP, 1e-9)
    reach = np.where(wide > 0.0, np.abs(off) + UP / 2.0, 0.0).max(axis=1)
    pull = total_tension(layout.instrument)
    lever = np.array([seat.height(float(x)) for x in xs]) - middle
    stress = pull * lever * reach / inertia + pull / area
    k, wood = int(np.argmax(stress)), _wood(core)
    times = bending_law(wood.gravity_at(AIR_DRY)) / float(stress[k])
    x, deep = float(xs[k]), float((wide[k] > 0.0).sum()) * UP
    words = f"at x = {x:.0f} mm the core of {core.part} is {deep:.1f} mm of {wood.name} deep: the "
    words += f"strings' {pull:.0f} N bend it with {float(stress[k]):.2f} MPa, and it breaks at "
    words += f"about {times:.1f} times of that (a law of specific gravity, from memory)"
    cure = "make the routes in the core shallower or narrower, or use a wider core"
    at = witness((x, core.end[1], float(middle[k])), (x, core.end[1], float(middle[k] + lever[k])))
    limit = layout.shop.limit("neck-core.load")
    return judge((core.board, "core"), times, limit, words, cure, unit="times", at=at)


def _wood(core: Core) -> Species:
    """The core's wood, as a neck's is taken where it is not named."""
    return core.species if isinstance(core.species, Species) else species(NECK_SPECIES)
