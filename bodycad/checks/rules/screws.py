"""`pilot-tip`, `post-web`, `glue-joint`: holes that take a screw or a post, in the wood round them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bodycad.checks.finding import Finding, advise, judge, judge_gap, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.wood.inwood import face_wood
from bodycad.checks.wood.near import REACH, ball_bounds, side_gap, voids_near
from bodycad.fasteners import PILOT_SHARE
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import Gap, at_least, gap
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity
from bodycad.parts.pickup import Humbucker

END = 2.0
"""Length of a pilot's end that `pilot-tip` judges, mm; the rest is judged as a wall."""
FAR = 8.0
"""Pilots more than so many screw diameters from the edge are not listed."""
ROW_JUDGED = (Hardtail, Humbucker, Cavity)
"""Parts whose own checks judge their screws against their own cuts (ferrule-wall, ring-cover,
cover-fit)."""

TIP_PAGE = Page(
    asks="How much wood is round the end of each screw's pilot, to any void and any face, and how many screw diameters is it from the body's edge?",
    why="A tip that comes out shows, shorts or lifts the finish; a screw nearer than three or four diameters to an edge splits it.",
    limits=("pilot-tip", "pilot-tip.edge"),
    cures="Use a shorter screw, drill the pilot less deep, or move it inward.",
)
WEB_PAGE = Page(
    asks="How much wood stands before each bridge or pivot post, on the side the strings pull to?",
    why="The strings lean on the post day and night; a thin web toward the pickup's route cracks and the post tips.",
    limits=("post-web",),
    cures="Move the pickup or its route away from the posts, or use a shorter route there.",
)
GLUE_PAGE = Page(
    asks="Does a glue joint of the blank run through a post, a neck screw or a row of holes?",
    why="A press-fitted or loaded hole on the line wedges the joint open. Through one hole of a row is noted only; through a post or along a row it warns.",
    limits=("glue-joint",),
    cures="Move the joint in the blank, or choose boards whose joint misses the holes.",
)


def pilot_tip(layout: Layout) -> Iterator[Finding]:
    """The nearest void or face to the end of each pilot, and its distance from the edge in screw
    diameters."""
    pilots = [v for v in layout.voids if v.operation == "PILOT" and v.shape.hole]
    if not pilots:
        yield skip("pilot-tip", "this design has no pilots for screws")
        return
    far = 0
    for void in pilots:
        end = replace(void, shape=_end(void.shape))
        found = min(_round_end(layout, void, end), key=lambda f: f[0].distance, default=None)
        if found is None or found[0].distance > REACH:
            far += 1
        else:
            near, what = found
            yield judge_gap(
                (void.id, what),
                near,
                layout.shop.limit("pilot-tip"),
                f"{near.distance:.2f} mm of wood from the end of {void.id} to {what}",
                f"drill {void.id} less deep, use a shorter screw or move it",
            )
        yield from _from_edge(layout, void)
    yield passed(
        "pilot-tip", (), f"{far} of {len(pilots)} pilots end over {REACH:g} mm from everything"
    )


def _end(shape: Bore) -> Bore:
    kept = min(END, shape.length)
    start = tuple(s + (shape.length - kept) * d for s, d in zip(shape.start, shape.direction))
    return replace(shape, start=start, length=kept)


def _round_end(layout: Layout, void: Void, end: Void) -> Iterator[tuple[Gap, str]]:
    kinds = {p.id: p.part for p in layout.placed}
    own = isinstance(kinds.get(void.part), ROW_JUDGED)
    for other in voids_near(layout.body, end, REACH):
        if other is void or layout.meant(void, other) or (own and other.part == void.part):
            continue
        if at_least(end.shape, other.shape) <= REACH:
            yield gap(end.shape, other.shape), other.id
    for face in ("front", "back"):
        if face not in void.opens:
            near, what = face_wood(end, layout.body, face)
            yield near, f"the plain {face}" if what == face else what
    if "edge" not in void.opens:
        side = side_gap(end, layout.body)
        if side is not None:
            yield side, "edge"


def _from_edge(layout: Layout, void: Void) -> Iterator[Finding]:
    screw = void.shape.diameter / PILOT_SHARE
    if "edge" in void.opens:
        near, what = min(
            (
                (gap, f"the plain {face}" if what == face else what)
                for face in ("front", "back")
                for gap, what in [face_wood(void, layout.body, face)]
            ),
            key=lambda f: f[0].distance,
        )
    elif ball_bounds(layout.body)[void.id]["edge"] + void.shape.radius > FAR * screw:
        return
    else:
        near, what = edge_gap(void.shape, layout.skin), "edge"
    value = (near.distance + void.shape.radius) / screw
    if value > FAR:
        return
    yield judge(
        (void.id, what),
        value,
        layout.shop.limit("pilot-tip.edge"),
        f"the axis of {void.id} is {value:.1f} diameters of its screw (about {screw:.1f} mm) from {what}",
        f"move {void.id} away from {what}, or use a thinner screw",
        at=near.at,
        bound=near.bound / screw,
        unit="diameters",
    )


def post_web(layout: Layout) -> Iterator[Finding]:
    """Wood from each post's hole to the voids ahead of it, toward the nut."""
    posts = [v for v in layout.voids if v.operation == "POST"]
    if not posts:
        yield skip("post-web", "this design has no bridge or pivot posts")
    for post in posts:
        middle = (post.shape.box[0] + post.shape.box[3]) / 2.0
        ahead = []
        for other in voids_near(layout.body, post, 2.0 * REACH):
            if other is not post and not layout.meant(post, other):
                found = gap(post.shape, other.shape)
                if found.distance <= 0.0 or found.at[1][0] > middle:
                    ahead.append((found, other.id))
        if not ahead:
            yield passed(
                "post-web",
                (post.id,),
                f"no void within {2.0 * REACH:g} mm before {post.id}, toward the nut",
            )
            continue
        found, what = min(ahead, key=lambda f: f[0].distance)
        yield judge_gap(
            (post.id, what),
            found,
            layout.shop.limit("post-web"),
            f"{found.distance:.2f} mm of wood before {post.id}, toward the nut, to {what}",
            f"move {what} away from {post.id}",
        )


def glue_joint(layout: Layout) -> Iterator[Finding]:
    """Each joint line against the holes it comes nearest to, part by part."""
    joints = layout.blank.joints
    if not joints:
        yield skip("glue-joint", "the blank is one piece")
        return
    for y in joints:
        rows: dict[str, list[tuple[float, Void]]] = {}
        for void in layout.voids:
            if (
                void.shape.hole
                and void.operation in ("BORE", "PILOT", "POST")
                and "edge" not in void.opens
            ):
                spare = abs(void.shape.start[1] - y) - void.shape.radius
                rows.setdefault(void.part, []).append((spare, void))
        near = {part: row for part, row in rows.items() if min(s for s, _ in row) <= REACH}
        for part, row in near.items():
            yield _on_line(layout, y, part, row)
        yield passed(
            "glue-joint",
            (),
            f"the joint at y = {y:+.1f} mm passes holes of {len(near)} of {len(rows)} parts within {REACH:g} mm",
        )


def _on_line(layout: Layout, y: float, part: str, row: list[tuple[float, Void]]) -> Finding:
    spare, void = min(row, key=lambda f: (f[0], f[1].id))
    x, at_y = void.shape.start[:2]
    # A counterbore and the hole in it are one place.
    places = {(round(v.shape.start[0], 3), round(v.shape.start[1], 3)) for s, v in row if s < 0.0}
    post = any(s < 0.0 and (v.operation == "POST" or ".bolt." in v.id) for s, v in row)
    text = (
        f"the joint at y = {y:+.1f} mm runs through {len(places)} hole{'s' if len(places) != 1 else ''} of {part}, first of all {void.id}"
        if places
        else f"the joint at y = {y:+.1f} mm passes {spare:.2f} mm from {void.id}"
    )
    at = ((x, at_y, 0.0), (x, y, 0.0))
    if len(places) == 1 and not post:
        return Finding(
            "glue-joint",
            "pass",
            (void.id, "joint"),
            f"{text}; a single one is noted, no more",
            spare,
            unit="mm",
            at=at,
        )
    return advise(
        (void.id, "joint"),
        spare,
        layout.shop.limit("glue-joint"),
        text,
        f"move the joint {abs(spare) + 1.0:.1f} mm or more away from {part}",
        at=at,
    )
