"""`post-web`: what the strings press on the wall of each post's hole.

A rigid post in a hole L deep and d wide, pulled with F at the height e over the mouth, presses its
wall in proportion to the depth: the pressures add up to F and turn about the mouth as F e does. So
the greatest, at the mouth, is F / (d L) (4 + 6 e / L): elementary, computed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, passed, witness
from bodycad.checks.rules.behind import strings_behind
from bodycad.checks.rules.loads import HELD
from bodycad.checks.strings_served import running
from bodycad.geometry.solids.bore import Bore
from bodycad.instrument.load import string_tensions
from bodycad.layout.interface import Anchor, Post
from bodycad.layout.layout import Layout
from bodycad.wood import AIR_DRY, pressing_law
from bodycad.words import Face

SLENDER = 5.0
"""A post is rigid in so many diameters of its hole; what is deeper bends with it and holds nothing
(common practice, no source)."""
AHEAD = 1.0
"""So far (mm) before its hole it is looked whether wood stands there."""
Pull = tuple[np.ndarray, float]
"""The N (x, y) of a string, and the height at which it pulls."""


def post_crush(layout: Layout) -> Iterator[Finding]:
    """Each post's pull against what the wood before it bears."""
    pulls, carriers, wood = _pulls(layout), _carriers(layout), layout.blank.species
    bears = pressing_law(wood.gravity_at(AIR_DRY))
    for post in layout.stated(Post):
        hole = layout.by_id[post.hole].shape.hole
        if hole is not None:
            carried = [(part, posts) for part, posts in carriers.items() if post in posts]
            own = [(f / len(posts), z) for part, posts in carried for f, z in pulls[part]]
            mouth = _mouth(layout, post, hole)
            force, over = _leans(post, own, mouth)
            if force <= 0.0:
                words = f"no string pulls on {post.hole} toward its side"
                yield passed("post-web.crush", (post.hole,), words)
                continue
            foot = min(hole.start[2], hole.start[2] + hole.shoulder * hole.direction[2])
            deep = min(mouth - foot, SLENDER * hole.diameter)
            stress = force * (4.0 + 6.0 * over / deep) / (hole.diameter * deep) if deep > 0 else 0
            times = min(bears / stress, HELD) if stress else 0.0
            words = f"{force:.0f} N at {over:.1f} mm over its mouth press {post.hole}, of which "
            words += f"{max(deep, 0.0):.1f} mm hold, with {stress:.1f} MPa: {wood.name} bears "
            words += f"about {bears:.0f} along the grain (a law of specific gravity, from memory)"
            limit, (x, y, _) = layout.shop.limit("post-web.crush"), hole.start
            at = witness((x, y, mouth + over), (x, y, mouth))
            cure = f"use a longer or a wider post or bush in {post.hole}"
            yield judge((post.hole,), times, limit, words, cure, unit="times", at=at)


def _carriers(layout: Layout) -> dict[str, list[Post]]:
    """The posts that carry each part: those that its anchor names, or else its own."""
    posts = {post.hole: post for post in layout.stated(Post)}
    found = defaultdict[str, list[Post]](list)
    for post in posts.values():
        found[post.part].append(post)
    for anchor in layout.stated(Anchor):
        if named := [posts[name] for name in anchor.posts if name in posts]:
            found[anchor.part] = named
    return found


def _pulls(layout: Layout) -> defaultdict[str, list[Pull]]:
    """What each string pulls on the parts that carry its saddle and hold its end: toward the nut at
    the saddle, and from there toward the end where another part holds that."""
    found = defaultdict[str, list[Pull]](list)
    tensions, lines = string_tensions(layout.instrument), running(layout)
    for row in strings_behind(layout):
        tension, start, end = tensions[row.number - 1], np.array(row.start), np.array(row.end)
        front = np.array(lines[row.number].nut) - start[:2]
        found[row.saddle.part].append((tension * front / np.hypot(*front), row.start[2]))
        if row.holder != row.saddle.part:
            back = tension * ((end - start) / np.linalg.norm(end - start))[:2]
            found[row.saddle.part].append((back, row.start[2]))
            found[row.holder].append((-back, row.end[2]))
    return found


def _leans(post: Post, pulls: list[Pull], mouth: float) -> tuple[float, float]:
    """N that a post takes along its pull, and how high over its mouth (mm). Where what
    it carries tips on it, springs under the pivot pull the same way as the strings over it and hold
    the balance, so that both lean on it at the pivot."""
    way = np.array(post.pull[:2])
    rows = [(float(force @ way), z) for force, z in pulls]
    force, moment = sum(f for f, _ in rows), sum(f * (z - mouth) for f, z in rows)
    if post.pivot is not None and post.springs is not None:
        over = post.pivot[2]
        force += max(sum(f * (z - over) for f, z in rows) / post.springs, 0.0)
        moment = force * (over - mouth)
    return force, max(moment / force, 0.0) if force > 0.0 else 0.0


def _mouth(layout: Layout, post: Post, hole: Bore) -> float:
    """How high wood stands before a post: up to the shaped front, or to the floor of what is cut
    there."""
    x, y = np.array(hole.start[:2]) + (hole.radius + AHEAD) * np.array(post.pull[:2])
    spot = np.array([[x, y]])
    mouth = min(hole.start[2], float(layout.skin.height(Face.FRONT, spot)[0]))
    columns = [one.shape.column(spot) for one in layout.voids if one.id != post.hole]
    cuts = sorted(((float(high[0]), float(low[0])) for low, high in columns), reverse=True)
    for high, low in cuts:
        if low < mouth <= high:
            mouth = low
    return mouth
