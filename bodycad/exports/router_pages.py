"""Router templates on paper: each at full size on a page of its own, with all that its maker must
know, engraved on the sheet or written under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bodycad.exports import cautions
from bodycad.exports.pdf import document, kit
from bodycad.exports.pdf.kit import AXIS, BOLD, DASHED, PLAIN, Box, Ink, Pen, width, wrapped
from bodycad.exports.pdf.pages import Heading, Picture
from bodycad.exports.sheet import MARKS, around, as_seen, cut_sheet
from bodycad.geometry.plane.profile import Point, Profile
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.fixtures import Fixture
from bodycad.making.guided import Guide, Step
from bodycad.making.templates import RouterTemplate
from bodycad.words import Face, Paper

SIZE, PITCH = 3.0, 4.3
"""Size of the letters under a template, and the distance of its lines, mm."""
WIDE = 190.0
"""The least width of the words under a template, mm."""
ENGRAVED, LARGE = 4.0, 7.0
"""Sizes of the letters on a template, mm."""
ALONE, LEAST_HIGH = 290.0, 80.0
"""Least heights, mm: of the overview, so that it comes first, on a page of its own; of any other
drawing, so that the upright bars beside it have room."""
AIR = 4.0
"""Room round a template, mm."""
CUT = Ink(0.25)
LEAST_ROLL, STRIPS = 400.0, 120.0
"""Least width of the pages, and the room of their strips, mm: a page is as large as it must be."""
KERF = (
    "The line is the edge of the finished template. The kerf is left to whoever cuts it: measure "
    "the opening before it guides a router."
)

BARE = (
    "the sheet has no room for its name, face, settings and the arrow to the nut: write them on it "
    "before it leaves this page."
)
CORNER = (
    "The cut corner lies at the nut's end, to the left as one looks at the face with the nut away."
)


@dataclass(frozen=True)
class _Line:
    words: str
    font: str = PLAIN


Block = tuple[tuple[str, float, str], ...]
"""Lines that are engraved: words, size, font."""


def write_pages(
    layout: Layout, found: Sequence[RouterTemplate], more: Sequence[Fixture], path: Path
) -> None:
    """Write the PDF of all templates and fixtures; equal input gives equal bytes."""
    hand = f"{layout.hand}-handed"
    facts = (f"{hand}, revision {layout.revision}; millimetres, 1:1", KERF)
    pictures = [_overview(layout, found, more)]
    pictures += [_template(layout, one, hand) for one in found if one.sheet is not None]
    pictures += [_fixture(layout, one, hand) for one in more]
    roll = max(LEAST_ROLL, *(min(picture.size) + STRIPS for picture in pictures))
    document.write(path, Paper.ROLL, roll, Heading(layout.name, facts), pictures)


def _overview(layout: Layout, found: Sequence[RouterTemplate], more: Sequence[Fixture]) -> Picture:
    """What each template is for, and why there is none for the rest."""
    lines = [_Line("Router templates", BOLD), _Line("")]
    for one in found:
        lines.append(_Line(f"{one.id} ({one.on}): {one.what}, {_depth(one)}", BOLD))
        told = [how(one.guide, one.outside)] if one.guide is not None else []
        lines += [_Line(text) for text in (*told, *(f"MIND: {fault}" for fault in one.faults))]
    lines += [_Line(f"{one.id}: {one.what}", BOLD) for one in more]
    lines += [_Line(""), *(_Line(text) for text in _care(layout, found))]
    lines = list(_broken(lines, WIDE))
    high = max(PITCH * (len(lines) + 1), ALONE)

    def draw(pen: Pen) -> None:
        _write_lines(pen, lines, (0.0, high))

    stencil = kit.stencil(draw, (-3.0 * AIR, 0.0, WIDE + 2.0 * AIR, high + AIR))
    return Picture("overview", "what the templates are for", "", stencil)


def _care(layout: Layout, found: Sequence[RouterTemplate]) -> Iterator[str]:
    faces = {(one.piece.id, one.face): one for one in found}
    told = [cautions.of_sheet(layout, one.piece, one.face) for one in faces.values()]
    every = {caution.danger: caution for some in told for caution in some}
    yield from cautions.lines(tuple(every.values()))


def how(guide: Guide, outside: bool) -> str:
    """What guides the router, and how the template's line follows from it."""
    if guide.bush is None:
        return f"bearing of the cutter's own {guide.cutter:g}: the template is at size"
    bush, way = guide.bush.outside, "smaller" if outside else "larger"
    sum_ = f"({bush:g} - {guide.cutter:g}) / 2 = {guide.off:.3f} {way} all round"
    reach = f"standing out {guide.bush.length:g} at most"
    return f"guide bush {bush:g}, {reach}, cutter {guide.cutter:g}: the template is {sum_}"


def step_words(k: int, step: Step, guide: Guide) -> str:
    """One step of the work."""
    packed = f" + {guide.packing:.2f} packing" if guide.packing else ""
    where = f"router on the {guide.sheet:g} mm template"
    deep = f"{step.end:.2f} deep"
    if step.wedged:
        where = f"router on the template wedged up as told below ({guide.sheet:g} mm thick)"
        deep = f"{step.end:.2f} under it"
    sums = f"set {step.setting:.2f} from base to tip ({deep}{packed} + {guide.sheet:g})"
    over = "stands over the template"
    if not step.on:
        where = "template off, router on the face, the bearing on the wall just cut"
        sums = f"set {step.setting:.2f} from base to tip"
        over = "finds no wall"
    done = guide.steps[k - 2].end if k > 1 else 0.0
    first = f"first pass down to {step.start:.2f}, or its bearing {over}; "
    if step.bored:
        first = f"bore out the waste to {step.start:.2f} first, where its bearing finds a hold; "
    elif step.start <= done + 1e-6:
        first = ""
    return f"{k}. {step.bit}, {where}: {first}{sums}; in passes of {step.once:.2f} at most"


def _told(layout: Layout, one: RouterTemplate) -> Iterator[_Line]:
    """All that stands under a template."""
    guide = one.guide
    assert guide is not None
    lies = f"on the {one.on}, drawn as seen from the {one.face}"
    yield _Line(f"{one.what}, {_depth(one)}; {lies}", BOLD)
    yield _Line(f"{how(guide, one.outside)}; sheet {guide.sheet:g} thick")
    for k, step in enumerate(guide.steps, 1):
        yield _Line(step_words(k, step, guide))
    held = f"held by {one.located.words}"
    if one.located.holes and one.located.off:
        held += f"; laid in any other way it misses a hole by {one.located.off:.2f}"
    yield _Line(held)
    if not one.outside:
        yield _Line(CORNER)
    yield from (_Line(note) for note in one.notes)
    yield from (_Line(f"MIND: {fault}", BOLD) for fault in one.faults)


def _depth(one: RouterTemplate) -> str:
    if one.outside:
        return f"through {one.piece.thickness:.2f} into the board under it, {one.depth:.2f}"
    if one.wedge is not None:
        falls = f"the floor falls to {one.wedge.deepest:.2f} on a wedge"
        return f"{one.depth:.2f} deep from the {one.face} with a level cut; {falls}"
    return f"{one.depth:.2f} deep from the {one.face}"


def _broken(lines: Sequence[_Line], room: float) -> Iterator[_Line]:
    for line in lines:
        for words in wrapped(line.words, room, SIZE, line.font) or [""]:
            yield _Line(words, line.font)


def _write_lines(pen: Pen, lines: Sequence[_Line], top_left: Point) -> None:
    x, y = top_left
    for k, line in enumerate(lines, 1):
        pen.text(line.words, (x, y - k * PITCH), SIZE, font=line.font)


def _template(layout: Layout, one: RouterTemplate, hand: str) -> Picture:
    assert one.sheet is not None and one.guide is not None
    line = as_seen(one.plan, one.face) if one.guide.off else None
    block, told = _block(layout, one, hand), tuple(_told(layout, one))
    about = f"{one.on} of the {one.piece.id}"
    return _picture(one.id, about, one.sheet, one.face, told, block, line)


def _fixture(layout: Layout, one: Fixture, hand: str) -> Picture:
    told = [_Line(one.what, BOLD), *(_Line(note) for note in one.notes)]
    told += [_Line(CORNER)] if one.on_body else []
    told += [_Line(f"MIND: {fault}", BOLD) for fault in one.faults]
    mark = f"{layout.name} rev {layout.revision}, {hand}"
    head = f"{one.id}: FRONT" if one.on_body else one.id
    block = (head, LARGE, BOLD), (mark, ENGRAVED, PLAIN)
    about = "lies on the front, turned over on the back" if one.on_body else "a sheet of its own"
    return _picture(one.id, about, one.piece, Face.FRONT, told, block if one.to_nut else ())


def _picture(
    name: str,
    about: str,
    piece: Workpiece,
    face: Face,
    told: Sequence[_Line],
    block: Block,
    line: Profile | None = None,
) -> Picture:
    """A sheet at full size: what is cut, what is engraved, what stands under it. line: the cut that
    an offset template guides."""
    layers = [layer for layer in cut_sheet(piece, face).layers if layer.name not in MARKS]
    shapes = [
        shape
        for layer in layers
        for item in layer.items
        for shape in (item.region.outer, *item.region.holes)
    ]
    x0, y0, x1, y1 = around(shape.box for shape in shapes)
    rim = as_seen(piece.skin.outline, face)
    axes = (x0, -2.0, x1, 2.0), (-2.0, y0, 2.0, y1)
    taken = [*axes, *(s.box for s in shapes if s.circle is not None or s.box != rim.box)]
    at = _room(rim, taken, *_extent(block)) if block else None
    if block and at is None:
        told = [*told, _Line(f"MIND: {BARE}", BOLD)]
    room = max(x1 - x0, WIDE)
    lines = list(_broken(told, room))
    foot = max(PITCH * (len(lines) + 1), LEAST_HIGH - (y1 - y0))
    box = x0 - AIR, y0 - foot - 2.0 * AIR, x0 + room + AIR, y1 + AIR

    def draw(pen: Pen) -> None:
        _axes(pen, (x0, y0, x1, y1))
        for shape in shapes:
            pen.shapes([shape], CUT)
            if shape.circle is not None:
                (x, y), radius = shape.circle
                pen.cross((x, y), min(radius + 2.0, 6.0))
                pen.text(f"{2.0 * radius:.2f}", (x + 0.71 * radius + 0.8, y + 0.71 * radius), 2.4)
        if line is not None:
            pen.shapes([line], DASHED)
        if at is not None:
            _engrave(pen, block, at)
        _write_lines(pen, lines, (x0, y0 - AIR))

    return Picture(name, f"router template {name}", about, kit.stencil(draw, box), (rim,))


def _axes(pen: Pen, box: Box) -> None:
    """Centreline and scale line, where they cross the sheet."""
    x0, y0, x1, y1 = box
    if y0 < 0.0 < y1:
        pen.lines([(x0, 0.0), (x1, 0.0)], AXIS)
    if x0 < 0.0 < x1:
        pen.lines([(0.0, y0), (0.0, y1)], AXIS)


def _block(layout: Layout, one: RouterTemplate, hand: str) -> Block:
    """What is engraved on a template."""
    guide = one.guide
    assert guide is not None
    first, *more = guide.steps
    level = [step for step in more if not step.wedged]
    lead = f"BUSH {guide.bush.outside:g}" if guide.bush else "BEARING"
    then = ", THEN AS ON PAPER" if level else ""
    packed = f" ON {guide.packing:.2f} PACKING" if guide.packing else ""
    flat = "LEVEL: " if one.wedge is not None else ""
    wedge = [f"THEN WEDGED: SET {step.setting:.2f}" for step in more if step.wedged]
    face = f"{one.face.upper()} UP" if one.piece is not layout.body else one.on.upper()
    face += ", THIS SIDE DOWN" if one.turned else ""
    return (
        (face, LARGE, BOLD),
        (f"{layout.name} rev {layout.revision}, {hand}", ENGRAVED, PLAIN),
        (one.id, ENGRAVED, PLAIN),
        (f"{lead}, CUTTER {guide.cutter:g}", ENGRAVED, PLAIN),
        (f"{flat}DEPTH {one.depth:.2f}, SET {first.setting:.2f}{packed}{then}", ENGRAVED, PLAIN),
        *((words, ENGRAVED, PLAIN) for words in wedge),
    )


def _extent(block: Block) -> Point:
    """Width and height of a block with the arrow over it, mm."""
    wide = max(width(words, size, font) for words, size, font in block)
    return wide, sum(1.35 * size for _, size, _ in block) + 8.0


def _engrave(pen: Pen, block: Block, at: Point) -> None:
    """The arrow to the nut and the block of lines."""
    (x, y), (wide, high) = at, _extent(block)
    pen.lines([(x, y + high - 3.0), (x + wide, y + high - 3.0)], Ink(0.5))
    tip = x + wide, y + high - 3.0
    pen.lines([(tip[0] - 5.0, tip[1] + 2.2), tip, (tip[0] - 5.0, tip[1] - 2.2)], Ink(0.5))
    pen.text("to the nut", (x, y + high - 7.0), 2.6)
    y += high - 8.0
    for words, size, font in block:
        y -= 1.35 * size
        pen.text(words, (x, y), size, font=font)


def _room(rim: Profile, taken: Sequence[Box], wide: float, high: float) -> Point | None:
    """The lower left corner of a place within `rim` that is clear of all boxes."""
    x0, y0, x1, y1 = rim.box
    air = 4.0
    xs = np.arange(x0 + air, x1 - air - wide, 12.0)
    ys = np.arange(y0 + air, y1 - air - high, 12.0)
    spots = [
        (float(x), float(y))
        for x in xs
        for y in ys
        if all(
            x + wide + air < b[0] or x - air > b[2] or y + high + air < b[1] or y - air > b[3]
            for b in taken
        )
    ]
    middle = np.array([(x0 + x1 - wide) / 2.0, (y0 + y1 - high) / 2.0])
    spots.sort(key=lambda p: float(np.hypot(*(np.array(p) - middle))))
    us, vs = np.meshgrid(np.linspace(-air, wide + air, 7), np.linspace(-air, high + air, 5))
    frame = np.stack([us.ravel(), vs.ravel()], axis=1)
    for spot in spots[:60]:
        if rim.segments.encloses(frame + spot).all():
            return spot
    return None
