"""`neck-place`: the pocket and its block against the neck that the instrument has."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, both_ways, failed, judge, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import Neck, necks, unasked
from bodycad.geometry.plane.segments import crossed
from bodycad.instrument.neck import board_half_width, heel_end_x, mouth_x
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Layout
from bodycad.words import Mount

PAGE = Page(
    asks="Does the pocket hold the instrument's own neck where its strings and scale want it: how "
    "far off along the strings, beside their middle line at the heel and at the nut, how much room "
    "is behind the heel's end, and does the block that the part was made for have the neck's own "
    "thickness, widths, length and truss rod? Is the heel as wide as the fretboard over it at both "
    "its ends, and does it taper the same way?",
    why="A pocket drawn for another scale, fret count or heel fits its own block and no other; "
    "half a degree of turn is 5 mm at the nut, and no saddle takes that up. A heel whose two "
    "widths were mixed up, or one misread, makes a pocket that fits no neck. A turned floor (a "
    "neck angle) also moves the frets toward the nut, by about 30 mm times its sine.",
    limits=(
        "neck-place.along",
        "neck-place.heel",
        "neck-place.nut",
        "neck-place.end",
        "neck-place.size",
        "neck-place.board",
        "neck-place.taper",
        "neck-place.fitted",
    ),
    cures="Place the joint where the text says (heel_end_x, or Seat(...).end with a neck angle), "
    "turn it straight, and give it the heel of the instrument's neck. Measure the "
    "heel's widths again: width_mouth toward the nut, width_end toward the bridge. A fitted neck "
    "that stands farther off than bridge and pickups should follow wants its pocket mended first.",
)


def neck_place(layout: Layout) -> Iterator[Finding]:
    """Each joint's place, turn, end and sizes against the instrument's neck."""
    yield from unasked(layout, "neck-place")
    for neck in necks(layout):
        seat = neck.seat(layout)
        yield _along(layout, neck, seat)
        yield from _aside(layout, neck, seat)
        yield _end(layout, neck)
        yield from _sizes(layout, neck, seat)
        yield from _beside_board(layout, neck)
        yield from _fitted(layout, neck)


def _fitted(layout: Layout, neck: Neck) -> Iterator[Finding]:
    """How far the fitted neck stands from its drawing, in words that tell the side."""
    own = layout.instrument.fitted
    if own is None:
        return
    told = []
    for off, (more, less), where in (
        (own.aside, ("bass", "treble"), "beside the drawn centreline at the saddles"),
        (own.aside_at_board, ("bass", "treble"), "at the fretboard's end"),
        (own.along, ("nut", "bridge"), "beside the drawn scale line"),
    ):
        way = f" toward the {more if off > 0.0 else less}" if off else ""
        told.append(f"{abs(off):.2f} mm{way} {where}")
    words = f"{neck.id}, as fitted, leads the strings {', '.join(told)}"
    worst = max(abs(own.aside), abs(own.aside_at_board), abs(own.along))
    cure = f"measure once more; then mend the pocket of {neck.id} before anything follows it"
    limit = layout.shop.limit("neck-place.fitted")
    yield judge((neck.joint.pocket, "fitted"), worst, limit, words, cure)


def _along(layout: Layout, neck: Neck, seat: Seat) -> Finding:
    """The block's bridge-side end to where the scale wants it."""
    (x, y, z), wanted = neck.end, seat.end[0]
    off, way = abs(x - wanted), "nut" if x > wanted else "bridge"
    words = f"the heel's end of {neck.id} lies {off:.2f} mm from where the scale wants it"
    words += f", toward the {way}" if off > 1e-9 else ""
    cure = f"place the heel's end of {neck.id} at x = {wanted:.2f} mm"
    subjects, at = (neck.joint.pocket, "scale"), ((x, y, z), (wanted, y, z))
    limit, of = layout.shop.limit("neck-place.along"), both_ways((x - wanted,))
    return judge(subjects, off, limit, words, cure, at=at, of=of)


def _aside(layout: Layout, neck: Neck, seat: Seat) -> Iterator[Finding]:
    """The middle line of the pocket or the block, whichever is farther off, beside the strings' own
    at the heel's end and, carried on, at the nut."""
    lines = [_middle(neck, k) for k in (0, 1)]
    turned = max((_turn(line) for line in lines), key=abs)
    if abs(turned) > 45.0:
        words = f"{neck.id} points {abs(turned):.0f} degrees away from the nut"
        subjects, cure = (neck.joint.pocket, "strings"), f"turn {neck.id} toward the nut, +x"
        yield failed("neck-place.ahead", subjects, words, cure)
        return
    for code, x, where, what in (
        ("neck-place.heel", neck.end[0], "at the heel's end", "move"),
        ("neck-place.nut", seat.nut[0], "at the nut", "turn"),
    ):
        each = [_y_at(line, x) for line in lines]
        y = max(each, key=abs)
        words = f"the pocket of {neck.id} puts the neck's middle {abs(y):.2f} mm beside the "
        words += f"strings' {where}; it is turned by {abs(turned):.2f} degrees"
        side = "bass" if (y < 0.0) != layout.left_handed else "treble"
        by = f"by {abs(y):.2f} mm toward the {side}"
        if what == "turn":  # as the script's own Place counts it
            by = f"by {turned if layout.left_handed else -turned:.2f} degrees"
        subjects, at = (neck.joint.pocket, "strings"), ((x, y, 0.0), (x, 0.0, 0.0))
        limit, cure = layout.shop.limit(code), f"{what} {neck.id} {by}"
        yield judge(subjects, abs(y), limit, words, cure, at=at, of=both_ways(each))


Line = tuple[tuple[float, float], tuple[float, float]]


def _middle(neck: Neck, k: int) -> Line:
    """Two plan points of the middle line between the straight sides of block (0) or pocket (1), at
    the heel's end and mouth; where a side is curved, of the stated axis."""
    outline = neck.outlines[k]
    treble, bass = neck.side(outline, -1.0), neck.side(outline, 1.0)
    halves = (0.0, 0.0)
    if treble is not None and bass is not None:
        halves = (treble[0] + bass[0]) / 2.0, (treble[1] + bass[1]) / 2.0
    return neck.place.point(0.0, halves[0]), neck.place.point(neck.length, halves[1])


def _turn(line: Line) -> float:
    (x0, y0), (x1, y1) = line
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def _y_at(line: Line, x: float) -> float:
    (x0, y0), (x1, y1) = line
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _end(layout: Layout, neck: Neck) -> Finding:
    """Room between the block's end and the pocket's, on lines at a quarter of the width each
    side."""
    block, socket = neck.outlines
    v = (block.box[3] - block.box[1]) / 4.0
    way, inside = np.array([(-1.0, 0.0)] * 2), neck.length / 2.0
    base = np.array([(inside, -v), (inside, v)])
    # From inside the block to its own end there, which may be slanted or round.
    ends = crossed(block.segments, base, way, 0.0, FAR + neck.length).min(axis=1, initial=np.inf)
    base[:, 0] -= np.where(np.isfinite(ends), ends, inside)
    room = crossed(socket.segments, base, way, -FAR, FAR)
    least = np.abs(room).min(axis=1, initial=FAR)
    gap, k = float(least.max()), int(least.argmax())
    here, there = neck.points(base[k, 0] - np.array([0.0, gap]), np.full(2, base[k, 1]))
    words = f"{gap:.2f} mm of room between the heel's end and the pocket's"
    cure = "give the pocket less end clearance"
    at = witness(here, there, -neck.depth)
    subjects = neck.joint.pocket, neck.joint.heel
    return judge(subjects, gap, layout.shop.limit("neck-place.end"), words, cure, at=at)


FAR = 50.0
"""Room behind a heel is not looked for farther than this, mm."""


def _slants(neck: Neck, own: float, wide: float) -> tuple[float, float]:
    """How far a bass corner lies ahead of the middle of a block's end, and of the instrument's, mm;
    a round end has none."""
    return neck.slant * wide, own * wide


def _sizes(layout: Layout, neck: Neck, seat: Seat) -> Iterator[Finding]:
    """What the part's block measures beside the instrument's neck, size by size."""
    joint, own = neck.joint, layout.instrument.neck
    board = layout.rooms_by_id[joint.board].shape.box
    rows = [
        ("thickness", "thick with its fretboard", seat.thickness, own.heel.thickness),
        ("board", "of fretboard thick", board[5] - board[2], own.board_thickness),
        ("length", "long", neck.length, own.heel.length),
        ("rod_width", "wide in its truss rod", joint.rod_width, own.heel.rod_width),
        ("rod_depth", "deep in its truss rod", joint.rod_depth, own.heel.rod_depth),
    ]
    if neck.widths is not None:
        (end, mouth), _ = neck.widths
        rows.append(("width_end", "wide at its end", end, own.heel.width_end))
        rows.append(("width_mouth", "wide at its mouth", mouth, own.heel.width_mouth))
    else:
        _, low, _, high = neck.outlines[0].box
        widest = max(own.heel.width_end, own.heel.width_mouth)
        rows.append(("width", "wide at most", high - low, widest))
    slant = math.tan(math.radians(own.heel.slant_deg))
    if slant or neck.slant:
        wide = own.heel.width_end / 2.0
        rows.append(("slant", "out of square at a corner of its end", *_slants(neck, slant, wide)))
    limit = layout.shop.limit("neck-place.size")
    for code, what, here, there in rows:
        off = abs(float(here or 0.0) - there)
        words = f"the heel of {neck.id} is {here:.2f} mm {what}, the instrument's {there:.2f}"
        cure = f"give {neck.id} the heel of the instrument's neck"
        subjects = joint.heel, "instrument"
        yield judge(subjects, off, limit, words, cure, code=f"neck-place.size.{code}")


def _beside_board(layout: Layout, neck: Neck) -> Iterator[Finding]:
    """The widths of the instrument's heel beside those of the fretboard over its two ends, and
    whether both taper the same way. A tenon may be narrower, but no wider."""
    own, subjects = layout.instrument.neck, (neck.joint.heel, neck.joint.board)
    heel, limit = own.heel, layout.shop.limit("neck-place.board")
    cure = "measure both widths again: width_mouth lies toward the nut, width_end toward the bridge"
    over = [2.0 * board_half_width(own, x) for x in (mouth_x(own), heel_end_x(own))]
    wide = [float(heel.width_mouth), float(heel.width_end)]
    for where, here, there in zip(("mouth", "end"), wide, over):
        words = f"the heel is {here:.2f} mm wide at its {where}, the fretboard over it {there:.2f}"
        off = max(here - there, 0.0 if neck.joint.mount is Mount.GLUE else there - here)
        yield judge(subjects, off, limit, words, cure, code=f"neck-place.board.{where}")
    more, taper = wide[1] - wide[0], over[1] - over[0]
    if abs(taper) > TAPERS:
        heels, boards = map(_grows, (more, taper))
        words = f"toward the bridge the heel {heels}, and the fretboard over it {boards}"
        alike = more if taper > 0.0 else -more
        yield judge(subjects, alike, layout.shop.limit("neck-place.taper"), words, cure)


def _grows(more: float) -> str:
    return f"{'widens' if more >= 0.0 else 'narrows'} by {abs(more):.2f} mm"


TAPERS = 0.5
"""A fretboard whose width over the heel differs by less than this (mm) says no way to taper."""
