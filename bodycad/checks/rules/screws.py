"""`pilot-tip`, `post-web`, `glue-joint`: holes of screws and posts, in the wood round them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from bodycad.checks.finding import Finding, advise, judge, judge_gap, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, blank_name, of_each
from bodycad.checks.wood.inwood import face_wood
from bodycad.checks.wood.near import REACH, ball_bounds, side_gap, voids_near
from bodycad.fasteners import PILOT_SHARE
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.profile import Profile, trusted
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Hides, Post, Screw, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.words import SIDES, Face, Operation

END = 2.0
"""Length of a pilot's end at full diameter that `pilot-tip` judges with the drill's point, mm; the
rest is judged as a wall."""
PUSHED = 45.0
"""A post pushes on the wood within so many degrees of its pull (common practice, no source)."""
FAR = 8.0
"""Pilots more than so many screw diameters from the edge are not listed."""
HOLES = (Operation.BORE, Operation.PILOT, Operation.POST)
"""What is drilled, but for ways for wires."""
Row = tuple[float, Void, Point3]
"""A hole near a glue line: mm between them, the void, where it is drilled."""
TIP_PAGE = Page(
    asks="How much wood is round the end of each screw's pilot, to any void and any face, and how "
    "many screw diameters is it from the body's edge?",
    why="A tip that comes out shows, shorts or lifts the finish; a screw nearer than three or four "
    "diameters to an edge splits it.",
    limits=("pilot-tip", "pilot-tip.edge"),
    cures="Use a shorter screw, drill the pilot less deep, or move it inward.",
)
WEB_PAGE = Page(
    asks="How much wood stands before each bridge or pivot post, on the side the strings pull to, "
    "and does the wall of its hole bear what they pull?",
    why="The strings lean on the post day and night; a thin web toward the pickup's route cracks "
    "and the post tips. A short post presses the mouth of its hole until it is oval. That is "
    "advice from a simple model, no promise: a rigid post, pressure that falls evenly from the "
    "mouth, the posts of one part sharing alike, each string at its pitch without friction. It "
    "counts no more than five diameters of depth, only along the strings, and for a plate that "
    "tips on its posts the springs' pull too.",
    limits=("post-web", "post-web.crush"),
    cures="Move the pickup or its route away from the posts, or use a shorter route there. Use "
    "longer or wider bushes.",
)
GLUE_PAGE = Page(
    asks="Does a glue joint of the blank run through a post, a neck screw or a row of holes, and "
    "how wide is the narrowest board of which a workpiece is glued, as far as its outline reaches?",
    why="A press-fitted or loaded hole on the line wedges the joint open. Through one hole of a "
    "row is noted only; through a post or along a row it warns. A strip cannot be clamped straight "
    "and planed true like a board, and a joint just inside the outline leaves a splinter there.",
    limits=("glue-joint", "glue-joint.board"),
    cures="Move the joint in the blank, or choose boards whose joint misses the holes.",
)


def pilot_tip(layout: Layout) -> Iterator[Finding]:
    """The nearest void or face to the end of each pilot, and its distance from the edge in screw
    diameters."""
    cuts = [v for v in layout.voids if v.operation is Operation.PILOT]
    pilots = [(v, v.shape.hole) for v in cuts if v.shape.hole]
    if not pilots:
        yield skip("pilot-tip", "this design has no pilots for screws")
        return
    far, elsewhere = 0, _judged_elsewhere(layout)
    for void, shape in pilots:
        around = _round_end(layout.body, void, end_of(void), elsewhere[void.id])
        found = min(around, key=lambda f: f[0].distance, default=None)
        if found is None or found[0].distance > REACH:
            far += 1
        else:
            near, what = found
            words = f"{near.distance:.2f} mm of wood from the end of {void.id} to {what}"
            cure = f"drill {void.id} less deep, use a shorter screw or move it"
            yield judge_gap((void.id, what), near, layout.shop.limit("pilot-tip"), words, cure)
        yield from _from_edge(layout, void, shape)
    code = "pilot-tip.far"
    yield passed(code, (), f"{far} of {len(pilots)} pilots end over {REACH:g} mm from everything")


def _judged_elsewhere(layout: Layout) -> defaultdict[str, set[str]]:
    """The voids, for each pilot by id, against which other checks judge it: those that its own rim
    hides (`ring-cover`, `cover-fit`), and all cuts of a part with string holes (`ferrule-wall`)."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for hides in layout.stated(Hides):
        for pilot in hides.screws:
            found[pilot] |= {*hides.voids}
    strung = {hole.part for hole in layout.stated(StringHole)}
    for screw in layout.stated(Screw):
        if screw.part in strung:
            found[screw.hole] |= {void.id for void in layout.voids_of(screw.part)}
    return found


def end_of(void: Void) -> Void:
    """The end of a hole: its last END mm at full diameter, and its point."""
    hole = void.shape.hole
    assert hole is not None
    kept = min(END + hole.tip, hole.length)
    moved = hole.moved(*((hole.length - kept) * d for d in hole.direction))
    return replace(void, shape=replace(moved, length=kept))


def _round_end(
    piece: Workpiece, void: Void, end: Void, elsewhere: set[str]
) -> Iterator[tuple[Gap, str]]:
    for other in voids_near(piece, end, REACH):
        if other is void or piece.meant(void, other) or other.id in elsewhere:
            continue
        if at_least(end.shape, other.shape) <= REACH:
            yield gap(end.shape, other.shape), other.id
    yield from to_faces(piece, end, (face for face in SIDES if face not in void.opens))
    if Face.EDGE not in void.opens and (side := side_gap(end, piece)) is not None:
        yield side, piece.edge


def to_faces(piece: Workpiece, void: Void, faces: Iterable[Face]) -> Iterator[tuple[Gap, str]]:
    """Wood from a void to each of `faces`, and what is there."""
    for face in faces:
        near, what = face_wood(void, piece, face)
        yield near, f"the plain {face}" if what == face else what


def _from_edge(layout: Layout, void: Void, shape: Bore) -> Iterator[Finding]:
    screw = shape.diameter / PILOT_SHARE
    if Face.EDGE in void.opens:
        near, what = min(to_faces(layout.body, void, SIDES), key=lambda f: f[0].distance)
    elif ball_bounds(layout.body)[void.id]["edge"] + shape.radius > FAR * screw:
        return
    else:
        near, what = edge_gap(shape, layout.skin), "edge"
    value = (near.distance + shape.radius) / screw
    if value > FAR:
        return
    subjects, limit = (void.id, what), layout.shop.limit("pilot-tip.edge")
    away = f"{value:.1f} diameters of its screw (about {screw:.1f} mm) from {what}"
    words = f"the axis of {void.id} is {away}"
    cure = f"move {void.id} away from {what}, or use a thinner screw"
    yield judge(
        subjects, value, limit, words, cure, at=near.at, bound=near.bound / screw, unit="diameters"
    )


def post_web(layout: Layout) -> Iterator[Finding]:
    """Wood from each post's hole to the voids ahead of it, at its own heights: the way it is
    pulled, toward the nut where it states none."""
    pulls = {one.hole: one.pull for one in layout.stated(Post)}
    posts = [v for v in layout.voids if v.operation is Operation.POST or v.id in pulls]
    if not posts:
        yield skip("post-web", "this design has no bridge or pivot posts")
    for post in posts:
        wedge = _pushed(post, pulls.get(post.id, (1.0, 0.0, 0.0)))
        ahead = [
            (found, other.id)
            for other in voids_near(layout.body, post, 2.0 * REACH)
            if other is not post and not layout.meant(post, other)
            if other.low < post.high and other.high > post.low
            for found in _to(post, other, wedge)
        ]
        if not ahead:
            words = f"no void within {2.0 * REACH:g} mm before {post.id}, the way it is pulled"
            yield passed("post-web", (post.id,), words)
            continue
        found, what = min(ahead, key=lambda f: f[0].distance)
        limit = layout.shop.limit("post-web")
        words = f"{found.distance:.2f} mm of wood before {post.id}, the way it is pulled, to {what}"
        yield judge_gap((post.id, what), found, limit, words, f"move {what} away from {post.id}")


def _pushed(post: Void, pull: Point3) -> Profile:
    """Plan of the wood that a post pushes on: from its axis within PUSHED of its pull."""
    x0, y0, _, x1, y1, _ = post.shape.box
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    long = math.hypot(x1 - x0, y1 - y0) + 2.0 * REACH
    size, aside = math.hypot(*pull[:2]), math.tan(math.radians(PUSHED))
    ax, ay = pull[0] / size * long, pull[1] / size * long
    far = ((x + ax - k * aside * ay, y + ay + k * aside * ax) for k in (-1.0, 1.0))
    return trusted(((x, y), *far))


def _to(post: Void, other: Void, wedge: Profile) -> Iterator[Gap]:
    """From a post to what of a void lies in its wedge, the whole of a bore that does; to any that
    cuts the post itself."""
    found = gap(post.shape, other.shape)
    if found.distance <= 0.0 or wedge.contains(*found.at[1][:2]):
        yield found
    elif other.shape.prism is not None:
        yield from (gap(post.shape, part) for part in other.shape.prism.within(wedge))
    elif intersection(other.shape.plan, wedge):
        yield found


def glue_joint(layout: Layout) -> Iterator[Finding]:
    """Each joint line against the holes it comes nearest to, part by part, and the narrowest board
    of each workpiece."""
    joints = layout.blank.joints
    if not joints:
        yield skip("glue-joint", "the blank is one piece")
    loaded = {v.id for v in layout.voids if v.operation is Operation.POST}
    loaded |= {post.hole for post in layout.stated(Post)}
    for screw in layout.stated(Screw):
        loaded |= {screw.hole, screw.seat or screw.hole} if screw.loaded else set()
    for k, y in enumerate(joints, 1):
        line = "joint" if len(joints) == 1 else f"joint.{k}"
        rows: dict[str, list[Row]] = {}
        for void in layout.voids:
            shape = void.shape.hole
            if shape and void.operation in HOLES and Face.EDGE not in void.opens:
                spare = abs(shape.start[1] - y) - shape.radius
                rows.setdefault(void.part, []).append((spare, void, shape.start))
        near = [row for row in rows.values() if min(row, key=_spare)[0] <= REACH]
        for row in near:
            yield _on_line(layout, y, line, row, loaded)
        parts = f"{len(near)} of {len(rows)} parts within {REACH:g} mm"
        words = f"the joint at y = {y:+.1f} mm passes holes of {parts}"
        yield passed("glue-joint.far", (line,), words)
    yield from of_each(layout, _boards)


def _boards(piece: Workpiece, shop: Shop) -> Answers:
    """The narrowest board of a workpiece that is glued of several, between its joints and the
    farthest that its outline reaches."""
    x0, y0, x1, y1 = piece.skin.outline.box
    joints = sorted(y for y in piece.blank.joints if y0 < y < y1) if piece.blank else []
    if joints:
        wide, low, high = min((b - a, a, b) for a, b in pairwise((y0, *joints, y1)))
        subjects = blank_name(piece), "board"
        words = f"the board from y = {low:+.1f} to {high:+.1f} mm is {wide:.1f} mm wide"
        limit, x = shop.limit("glue-joint.board"), (x0 + x1) / 2.0
        at = (x, low, 0.0), (x, high, 0.0)
        yield judge(subjects, wide, limit, words, "move or leave out a joint", at=at)
    return len(joints)


def _spare(row: Row) -> tuple[float, str]:
    return row[0], row[1].id


def _on_line(layout: Layout, y: float, line: str, row: list[Row], loaded: set[str]) -> Finding:
    spare, void, (x, at_y, _) = min(row, key=_spare)
    # A counterbore and the hole in it are one place.
    cut = [(v.id, start) for s, v, start in row if s < 0.0]
    places = {(round(start[0], 3), round(start[1], 3)) for _, start in cut}
    post = any(name in loaded for name, _ in cut)
    holes = f"{len(places)} hole{'s' if len(places) != 1 else ''} of {void.part}"
    through, past = f"runs through {holes}, first of all", f"passes {spare:.2f} mm from"
    text = f"the joint at y = {y:+.1f} mm {through if places else past} {void.id}"
    at = ((x, at_y, 0.0), (x, y, 0.0))
    if len(places) == 1 and not post:
        words = f"{text}; a single one is noted, no more"
        return Finding("glue-joint", "pass", (void.id, line), words, spare, unit="mm", at=at)
    cure = f"move the joint {abs(spare) + 1.0:.1f} mm or more away from {void.part}"
    return advise((void.id, line), spare, layout.shop.limit("glue-joint"), text, cure, at=at)
