"""The loads that a screwed neck joint is asked to hold, and what each screw carries of them.

The neck's block is a rigid plate, its screws are equal springs. There are two kinds of load:

- One that tips the block out of the pocket about an edge of the floor that it rests on. The screws
  lengthen in proportion to their distances from that edge, so a screw at the distance a carries
  M a / sum(a^2). Screws at or beyond the edge carry nothing.
- One in the plane of the floor. Each screw carries its share F / n, and of the moment about the
  group's middle M r / sum(r^2), square to its own way r from there; the two add as vectors.

Source: the elastic bolt group of machine design: Shigley's Mechanical Engineering Design, "Shear
Joints with Eccentric Loading"; for tipping about an edge, Bhandari, Design of Machine Elements,
"Eccentric load perpendicular to axis of bolts". Screws that are tight, friction and the pocket's
walls hold more than this: they are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.checks.rules.screw_figures import Screws
from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.near import remembered
from bodycad.fasteners import Insert, lag_withdrawal, screw_slip, screw_withdrawal
from bodycad.geometry.plane.boolean import intersection
from bodycad.instrument.load import joint_lever, total_tension
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.wood import AIR_DRY, Species, species

NECK_SPECIES = "maple, sugar"
"""The neck's wood where the joint does not name it (common practice, no source)."""
HELD = 1e6
"""Times a load that are stated where the load is nothing."""


@dataclass(frozen=True)
class Load:
    """One load of a neck joint.

    name: "pull", "push", "side", "twist.bass" or "twist.treble". words: what happens to the neck.
    limit: the name of its limit in the shop. moment: N mm about the edge that the block tips over;
    of a sideways load, about the bridge-side end. edge: (a, b, c) where a screw at (u, v) is
    a u + b v + c from that edge, mm; None for a sideways load. force: N, of a sideways load."""

    name: str
    words: str
    limit: str
    moment: float
    edge: tuple[float, float, float] | None = None
    force: float = 0.0

    def carried(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """N that each screw carries, for groups of screws (..., n) at (u, v); inf where nothing
        holds the load."""
        if self.edge is None:
            return sheared(self.force, self.moment, u, v)
        a, b, c = self.edge
        return tipped(self.moment, a * u + b * v + c)

    def times(self, screws: Group) -> np.ndarray:
        """How many times the load a group (..., n) holds until its first screw gives way: draws out
        of the neck, or slips sideways."""
        strength = screws.slips if self.edge is None else screws.holds
        carried = self.carried(screws.u, screws.v)
        loaded = np.maximum(carried, 1e-12)
        return np.asarray(np.minimum((strength / loaded).min(axis=-1), HELD))


@dataclass(frozen=True, eq=False)
class Group:
    """Groups of screws (..., n): their places (mm), the N at which each draws out of the neck and
    the N at which each begins to stay bent sideways."""

    u: np.ndarray
    v: np.ndarray
    holds: np.ndarray
    slips: np.ndarray


def tipped(moment: float, levers: np.ndarray) -> np.ndarray:
    """N on each screw of groups (..., n), `levers` mm from the edge that a moment (N mm) tips a
    rigid plate over."""
    arms = np.maximum(levers, 0.0)
    square = (arms * arms).sum(axis=-1, keepdims=True)
    if moment <= 0.0:
        return np.zeros_like(arms)
    return np.where(square > 0.0, moment * arms / np.where(square > 0.0, square, 1.0), np.inf)


def sheared(force: float, moment: float, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """N across each screw of groups (..., n) at (u, v): a force (N) along v, with a moment (N mm)
    about u = 0, in the plane of the plate."""
    count = u.shape[-1]
    middle = u.mean(axis=-1, keepdims=True)
    along, aside = u - middle, v - v.mean(axis=-1, keepdims=True)
    polar = (along * along + aside * aside).sum(axis=-1, keepdims=True)
    share = (moment - force * middle) / np.where(polar > 0.0, polar, 1.0)
    carried = np.hypot(share * aside, force / count + share * along)
    return np.where((polar > 0.0) | (force <= 0.0), carried, np.inf)


def loads(layout: Layout, neck: Neck) -> tuple[Load, ...]:
    """Every load that the joint of a neck is asked to hold: the strings' pull, and what the shop
    assumes of a push, a knock sideways and a twist.

    The strings' pull would hold against the push; it is left out of it, for a neck is also pushed
    with its strings off."""
    return remembered(layout, ("loads", neck.id), lambda: _loads(layout, neck))


def _loads(layout: Layout, neck: Neck) -> tuple[Load, ...]:
    shop, (u0, v0, u1, v1) = layout.shop, floor_box(layout, neck)
    slant = neck.slant
    # A slanted end is tipped over its own line, by the part of the moment that turns about it.
    square = 1.0 / math.hypot(1.0, slant)
    end = (square, slant * square, -u0 * square if not slant else 0.0)
    nut = float(neck.uv(np.array([[layout.instrument.neck.centre_scale, 0.0]]))[0, 0])
    push, side, twist = shop.neck_push, shop.neck_side, 1000.0 * shop.neck_twist
    pull = total_tension(layout.instrument) * max(pull_lever(layout, neck), 0.0)
    twisted = f"twisted by {shop.neck_twist:g} N m toward the"
    return (
        Load("pull", "pulled up by the strings", "joint-load", pull * square, end),
        Load(
            "push",
            f"pushed back by {push:g} N at the nut",
            "joint-load.push",
            push * max(nut - u1, 0.0),
            (-1.0, 0.0, u1),
        ),
        Load(
            "side",
            f"knocked aside by {side:g} N at the nut",
            "joint-load.side.open" if neck.joint.open else "joint-load.side",
            side * nut,
            force=side,
        ),
        Load("twist.bass", f"{twisted} bass", "joint-load.twist", twist, (0.0, -1.0, v1)),
        Load("twist.treble", f"{twisted} treble", "joint-load.twist", twist, (0.0, 1.0, -v0)),
    )


def floor_box(layout: Layout, neck: Neck) -> tuple[float, float, float, float]:
    """Low and high (u, v) of the floor that a neck's block rests on, mm: its plan, as far as the
    body reaches."""
    block, skin = neck.block.profile, layout.skin
    if float(skin.inset(block.segments.a).min()) >= 0.0:
        return neck.outlines[0].box
    found = intersection(block, skin.outline)
    if not found:
        return neck.outlines[0].box
    corners = neck.uv(np.vstack([region.outer.segments.a for region in found]))
    (u0, v0), (u1, v1) = corners.min(axis=0), corners.max(axis=0)
    return float(u0), float(v0), float(u1), float(v1)


def pull_lever(layout: Layout, neck: Neck) -> float:
    """mm from the pocket floor at the heel's bridge-side end, the edge that the strings tip the
    block over, up to the strings."""
    x, _, z = neck.end
    return joint_lever(layout.instrument, neck.depth, x, z, neck.angle_deg)


def own_group(layout: Layout, neck: Neck) -> Group:
    """The screws of a neck that the strings' pull goes through, as they are."""
    return remembered(layout, ("loaded screws", neck.id), lambda: _own_group(layout, neck))


def _own_group(layout: Layout, neck: Neck) -> Group:
    screws = [screw for screw in neck.screws if screw.loaded]
    at = np.array([screw.at[:2] for screw in screws]).reshape(-1, 2)
    u, v = neck.uv(at).T
    rows = []
    for screw in screws:
        one = Screws(neck, np.array([screw.at]), screw.way, screw.reach, screw.flange, screw.thread)
        grip = float(one.grip[0]) if screw.grip is None else min(float(one.grip[0]), screw.grip)
        rows.append(strengths(layout, neck, screw.thread, grip, screw.insert))
    holds, slips = np.array(rows).reshape(-1, 2).T
    return Group(u, v, holds, slips)


def strengths(
    layout: Layout, neck: Neck, thread: float, grip: float, insert: Insert | None = None
) -> tuple[float, float]:
    """N at which a screw, or the insert that it bites, draws out of the neck, and at which it
    begins to stay bent sideways in neck or body, by its thread's diameter and its length in the
    neck, mm."""
    wood = neck_species(neck.joint)[0].gravity_at(AIR_DRY)
    body = layout.blank.species.gravity_at(AIR_DRY)
    grip = max(grip, 0.0)
    if insert is not None:
        slips = screw_slip(wood, insert.outside, insert.length), screw_slip(body, thread)
        held = lag_withdrawal(wood, insert.outside, insert.length) if grip > 0.0 else 0.0
        return held, min(slips)
    slips = screw_slip(wood, thread, grip), screw_slip(body, thread)
    return screw_withdrawal(wood, thread, grip), min(slips)


def neck_species(joint: Joint) -> tuple[Species, bool]:
    """The neck's wood and whether it is only assumed (`NECK_SPECIES`)."""
    if isinstance(joint.species, Species):
        return joint.species, False
    return species(NECK_SPECIES), True
