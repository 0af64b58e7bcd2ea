"""A second opinion on an order of work: walk its steps as a maker would, with the wood in mind.

Written from the rules in words, not from the package's own rules: what is already gone and what
still stands is kept as state, and each step says what it needs of it. Common practice, no source.
"""

from __future__ import annotations

import numpy as np

from bodycad.checks.order.jobs import Hold, Work
from bodycad.geometry.plane.profile import flatten
from bodycad.layout.interface import Anchor, Fit, Joint, Poles, Post, Saddle, StringHole
from bodycad.words import EdgeForm, Face, FitKind

BEARING = 5.0


def complaints(layout, steps):
    """What a maker who follows the steps would find missing, in words."""
    yield from _Walk(layout).complaints(steps)


def everything(layout):
    """The ids of all that is drawn: a list, so that each stands there once."""
    for piece in layout.pieces:
        yield from ((piece.id, void.id) for void in piece.voids)
        yield from ((piece.id, contour.id) for contour in piece.skin.contours)
        yield from ((piece.id, f"outline {face}") for face in piece.outline_cuts)
        for face in ("front", "back"):
            count = len(piece.skin.runs(face)) or (1 if piece.skin.edge(face).drop else 0)
            yield from ((piece.id, f"edge {face}") for _ in range(count))


class _Walk:
    def __init__(self, layout):
        self.layout = layout
        self.done, self.carved, self.routed, self.drilled = set(), [], [], []
        self.planed, self.pinned, self.free = set(), set(), set()
        self.bound, self.edged = set(), []

    def complaints(self, steps):
        for step in steps:
            yield from self.before(step)
            self.do(step)

    def before(self, step):
        work, piece, layout = step.work, step.piece, self.layout
        if work is Work.PLANE and piece.blank.joints and f"{piece.id}:glue-up" not in self.done:
            yield f"{step.name}: the blank is not glued up"
        if work is Work.PINS and piece.id not in self.planed:
            yield f"{step.name}: the blank is not planed"
        if step.hold is Hold.FLAT:
            if piece.id in self.free:
                yield f"{step.name}: the piece has no waste and no pins any more"
            if piece.blank and piece.blank.pins and piece.id not in self.pinned:
                yield f"{step.name}: no pins"
            if piece.blank and piece.id not in self.planed:
                yield f"{step.name}: not planed"
        if step.hold in (Hold.EDGE, Hold.ANGLE, Hold.FREE) and piece.id not in self.free:
            yield f"{step.name}: waste stands in the way"
        if work is Work.FIT:
            if piece.blank and piece.blank.pins and piece.id not in self.pinned:
                yield f"{step.name}: no pins"
            for joint in layout.stated(Joint):
                own = (v for v in layout.voids_of(joint.part) if v.shape.hole is None)
                if any(v.id not in self.done for v in own if v.face == "front"):
                    yield f"{step.name}: there is no pocket to fit the neck into"
                ahead = piece.blank.x1 - layout.rooms_by_id[joint.heel].shape.box[3]
                if ahead > 0.5 and f"{joint.part}:waste" not in self.done:
                    yield f"{step.name}: the neck lies on the waste"
        if work is Work.TEST and set(step.ids) & self.done:
            yield f"{step.name}: too late, it is cut"
        if work is Work.VOID:
            yield from self.void(step)
        if work is Work.HEEL and set(step.ids) - self.done:
            yield f"{step.name}: no holes to mark the neck through"
        if work is Work.MEET:
            yield from self.meet(step)
        if work is Work.CONTOUR:
            yield from self.contour(step)
        if work is Work.EDGE:
            yield from self.edge(step)
        if work is Work.LEDGE and step.edge.follows:
            late = [c for c in self.rim(piece, step.face) if c not in self.carved]
            yield from (f"{step.name}: {c.id} is not carved" for c in late)
        if work is Work.OUTLINE and piece is not layout.body:
            fits = [f for f in layout.stated(Fit) if f.kind is FitKind.COVER]
            if any(f.outer not in self.done for f in fits if f.part == piece.part):
                yield f"{step.name}: no recess yet to fit it to"
        if work is Work.CONTOUR:
            halves = [n for n in self.halves(piece, step.face, step.contour) if n not in self.done]
            yield from (f"{step.name}: {n} is still to do" for n in halves)
        if work is Work.GLUE_NECK:
            left = {n for p, n in everything(layout) if p == "body" and not n.startswith("outl")}
            left = {name for name in left if not name.startswith("edge")} - self.done
            yield from (f"{step.name}: {name} is still to do" for name in sorted(left))
            if "body" not in self.free:
                yield f"{step.name}: the body is not out of its blank"
        if work is Work.BINDING and step.name.removesuffix(":binding") not in self.done:
            yield f"{step.name}: no ledge to glue it into"
        if ":assembly" in self.done:
            yield f"{step.name}: after the assembly"

    def void(self, step):
        void, piece, layout = step.void, step.piece, self.layout
        kinds = Saddle, StringHole, Anchor, Poles
        line = {one.part for kind in kinds for one in layout.stated(kind)}
        line |= {layout.by_id[post.hole].part for post in layout.stated(Post)}
        fit = any(one in self.done for one in self.fits())
        if piece is layout.body and void.part in line and not fit:
            yield f"{step.name}: the neck is not fitted"
        plan = np.vstack([flatten(void.shape.plan, 0.2), [void.shape.plan.centroid]])
        if void.shape.upright and void.face != "edge":
            for contour in self.carved_of(piece, void.face):
                if self.deep(piece, contour, plan) > 0.06:
                    yield f"{step.name}: the face over it is carved"
        hole = void.shape.hole
        if hole and void.shape.upright:
            for other in self.drilled:
                one = other.shape.hole
                same = other.face is void.face and other in piece.voids and one.upright
                apart = np.hypot(*np.subtract(one.start, hole.start)[:2])
                if same and apart < 0.4 and one.diameter < hole.diameter - 0.1:
                    yield f"{step.name}: its point finds the hole {other.id}"
            start = self.down(piece, void, hole.start[2])
            for other in self.routed:
                same = other in piece.voids and other.face is void.face and start < 0.01
                if same and self.holds(other, hole.start[:2]):
                    yield f"{step.name}: the face it starts on is routed away"
            if start > 0.1 and void.face in ("front", "back"):
                over = [v for v in piece.voids if v.shape.hole is None and v.face is void.face]
                over = [v for v in over if self.holds(v, hole.start[:2])]
                reach = [v for v in over if self.deepest(piece, v) < start + 0.04]
                if any(v.id not in self.done for v in reach):
                    yield f"{step.name}: the floor that it starts on is not cut"
        if not void.shape.upright or void.face == "edge":
            for other in piece.voids:
                told = other.id in void.meets or void.id in other.meets
                if told and other.shape.upright and other.face != "edge":
                    if other.id not in self.done:
                        yield f"{step.name}: {other.id} is not open yet"
                elif told and other.shape.hole and hole and other.id not in self.done:
                    wider = other.shape.hole.diameter > hole.diameter + 0.1
                    yield from [f"{step.name}: the wider {other.id} comes first"] * wider
        if hole is None and void.shape.upright:
            for other in self.routed:
                if other in piece.voids and other.face is void.face:
                    shallow = self.deepest(piece, void) < self.deepest(piece, other) - 0.1
                    rim = other.shape.plan.vertices[:, :2]
                    if shallow and (void.shape.plan.signed_distance(rim) < 0.01).all():
                        yield f"{step.name}: the deeper {other.id} in it is cut already"
        if void.face == "edge":
            for face in ("front", "back"):
                edges = [e for p, f, e in self.edged if p is piece and f == face]
                form = piece.skin.edge(face).form
                if form in (None, EdgeForm.STRAIGHT):
                    continue
                in_way = any(self.in_way(piece, face, v) for v in self.group(piece, void))
                if in_way and not edges:
                    yield f"{step.name}: the {face}'s edge bit would drop into it"
                if not in_way and edges:
                    yield f"{step.name}: the {face}'s edge is rounded where the drill starts"

    def meet(self, step):
        void, piece = step.void, step.piece
        if void.id not in self.done:
            yield f"{step.name}: there is no first half to meet"
        plan = flatten(void.shape.plan, 0.2)
        if any(self.deep(piece, c, plan) > 0.06 for c in self.carved_of(piece, step.face)):
            yield f"{step.name}: the face over it is carved"
        for other in piece.voids if void.shape.hole else ():
            one = other.shape.hole
            if one and one.upright and other.face is step.face and other.id not in self.done:
                apart = np.hypot(*np.subtract(one.start, void.shape.hole.start)[:2])
                wider = one.diameter > void.shape.hole.diameter + 0.1
                if apart < 0.4 and wider:
                    yield f"{step.name}: its point will be missed by {other.id}"

    def contour(self, step):
        for face in ("front", "back"):
            form = step.piece.skin.edge(face).form
            if form in (None, EdgeForm.STRAIGHT):
                continue
            done = any(p is step.piece and f == face for p, f, _ in self.edged)
            bound = step.piece.skin.edge(step.face).form is EdgeForm.STRAIGHT
            crossed = step.contour in self.rim(step.piece, face)
            if not done and face == step.face and crossed:
                yield f"{step.name}: the router of the {face}'s edge has nothing to ride on"
            if not done and face != step.face and not bound:
                yield f"{step.name}: the work no longer lies flat for the {face}'s edge"

    def edge(self, step):
        other = step.face.opposite
        if step.piece.skin.edge(other).form is EdgeForm.STRAIGHT and other not in self.bound:
            yield f"{step.name}: the strip on the {other} is not glued"

    def do(self, step):
        self.done.add(step.name)
        if step.work in (Work.VOID, Work.CONTOUR):
            self.done.add(step.ids[0])
        if step.work is Work.PLANE:
            self.planed.add(step.piece.id)
        if step.work is Work.PINS:
            self.pinned.add(step.piece.id)
        if step.work is Work.OUTLINE and step.face is step.piece.faces[-1]:
            self.free.add(step.piece.id)
        if step.work is Work.CONTOUR:
            self.carved.append(step.contour)
        if step.work is Work.EDGE:
            self.edged.append((step.piece, step.face, step.edge))
        if step.work is Work.BINDING:
            self.bound.add(step.face)
        if step.work is Work.VOID:
            (self.drilled if step.void.shape.hole else self.routed).append(step.void)

    def halves(self, piece, face, contour):
        """Deep holes through the board whose far mouth the contour lowers."""
        for void in piece.voids:
            hole = void.shape.hole
            if hole and hole.upright and {"front", "back"} <= void.opens and void.face != face:
                deep = self.deep(piece, contour, flatten(void.shape.plan, 0.2))
                if piece.thickness > 10.0 * hole.diameter and deep > 0.06:
                    yield f"{void.id}:meet"

    def fits(self):
        return [f"{p.id}:fit" for p in self.layout.placed]

    def carved_of(self, piece, face):
        return [c for c in self.carved if c in piece.skin.contours and c.face == face]

    def deep(self, piece, contour, points):
        height = contour.carve.height(points, contour.face)
        gone = -height if contour.face == "front" else height + piece.thickness
        return float(np.nan_to_num(gone, nan=-1.0).max())

    def down(self, piece, void, z):
        return -z if void.face == "front" else z + piece.thickness

    def deepest(self, piece, void):
        return -void.low if void.face == "front" else void.high + piece.thickness

    def holds(self, void, spot):
        return bool(void.shape.plan.segments.encloses(np.array([spot]))[0])

    def rim(self, piece, face):
        rim = flatten(piece.skin.outline, 0.05)
        own = (c for c in piece.skin.contours if c.face == face)
        return [c for c in own if self.deep(piece, c, rim) > 0.06]

    def group(self, piece, void):
        return [v for v in piece.voids if v.part == void.part and v.face is Face.EDGE]

    def in_way(self, piece, face, void):
        drop = piece.skin.edge(face).drop
        near, far = self.level(piece, face, void)
        return near < drop + BEARING and far > drop

    def level(self, piece, face, void):
        if face == "front":
            return -void.high, -void.low
        return void.low + piece.thickness, void.high + piece.thickness
