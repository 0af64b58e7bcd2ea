"""Neck and strings, put where scale and heel want them.

Ruined is: the block or the whole fretboard in wood (by more than TOUCH on every side); a pocket
with more side play than LOOSE, or whose end stands more than SHORT from the block; a block of
whose underside less than SEATED rests on the floor; a floor that rolls the neck by more than ROLL;
a string that runs within MARGIN of the board's edge, whose saddle is off its line by more than
ASIDE, cannot be moved to where the note is true (by more than SLACK), or cannot be set to the
height that the actions want (by more than SLACK); a string in wood, open or pressed at the last
fret; a string whose hole through the body lies ahead of its saddle, or aside of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from tests.oracle.judge.ruin import Ruin, ruin
from tests.oracle.judge.scene import TOUCH, Scene

LOOSE, SHORT, SEATED, ROLL = 1.2, 2.0, 0.7, 0.5
MARGIN, ASIDE, SLACK = 1.5, 2.0, 0.5
OVERLAP = 2.0
"""mm3 of overlap."""


def ruins(scene: Scene) -> Iterator[Ruin]:
    if scene.seated is None or scene.pocket is None:
        yield ruin("neck.none", ("neck",), 0.0, "no pocket for a neck")
        return
    yield from _seat(scene)
    yield from _strings(scene)


def _seat(scene: Scene) -> Iterator[Ruin]:
    want, seat, pocket, joint = scene.want, scene.seated, scene.pocket, scene.joint
    name = joint.pocket
    block = scene.wood.shared(seat.block(TOUCH))
    if block > OVERLAP:
        yield ruin("neck.block-in-wood", (name, joint.heel), block, "mm3")
    left = sum((seat.block(TOUCH) ^ s).volume() for cut, s in scene.left if cut == name)
    if left > OVERLAP:
        yield ruin("neck.block-in-corner", (name, joint.heel), left, "mm3 that no cutter reaches")
    board = scene.wood.shared(seat.board(TOUCH))
    if board > OVERLAP:
        yield ruin("neck.board-in-wood", (name, joint.board), board, "mm3")
    plan, own = shapely.Polygon(pocket.rim), shapely.Polygon(want.block)
    for x in np.linspace(want.heel_end + want.heel.corner + 8.0, want.mouth - 1.0, 7):
        across = shapely.LineString([(x, -150.0), (x, 150.0)])
        play = plan.intersection(across).length - own.intersection(across).length
        if play > LOOSE:
            yield ruin("neck.loose", (name, joint.heel), play, f"mm of side play at x {x:.1f}")
            break
    along = shapely.LineString([(want.heel_end - 60.0, 0.0), (want.heel_end + 5.0, 0.0)])
    gap = plan.intersection(along).length - 5.0
    if gap > SHORT:
        yield ruin("neck.short", (name, joint.heel), gap, "mm between the block's end and its seat")
    spots = _grid(own, 2.5)
    under = np.column_stack([spots, pocket.floor(spots) - 0.05])
    rests = float(scene.wood.is_wood(under).mean())
    if rests < SEATED:
        yield ruin("neck.unseated", (name, joint.heel), rests, "of the underside on wood")
    roll = abs(pocket.slope[1]) * want.heel.width_end
    if roll > ROLL:
        yield ruin("neck.rolled", (name, joint.heel), roll, "mm across")


def _grid(plan: shapely.Polygon, spacing: float) -> np.ndarray:
    x0, y0, x1, y1 = plan.bounds
    xs, ys = np.arange(x0 + 0.3, x1, spacing), np.arange(y0 + 0.3, y1, spacing)
    spots = np.stack(np.meshgrid(xs, ys), -1).reshape(-1, 2)
    return spots[shapely.contains_xy(plan, *spots.T)]


def _strings(scene: Scene) -> Iterator[Ruin]:
    want = scene.want
    if len(scene.saddles) != len(want.nuts):
        yield ruin("string.saddles", ("strings",), len(scene.saddles), "saddles")
        return
    last = want.half_board(want.last_fret)
    for k, (string, saddle) in enumerate(zip(scene.strings, scene.saddles)):
        name = saddle.id
        who = (name, f"string.{k + 1}", saddle.part)
        margin = min(want.half_board(x) - abs(string.y_at(x)) for x in (want.scale, want.last_fret))
        if margin < MARGIN:
            yield ruin("string.off-board", (*who, "strings"), margin, f"mm of {last:.1f}")
        aside = abs(string.end[1] - want.bridges[k])
        if aside > ASIDE:
            yield ruin("string.aside", who, aside, "mm from its line at the saddle")
        away = abs(string.end[0] + want.set_back(k))
        if away > SLACK:
            yield ruin("string.out-of-tune", who, away, "mm beyond the saddle's travel")
        z = string.end[2]
        beyond = max(saddle.low - z, z - saddle.high)
        if beyond > SLACK:
            yield ruin("string.height", (*who, scene.joint.pocket), beyond, "mm beyond the travel")
        xs = np.linspace(string.end[0] + 1.0, want.mouth + 60.0, 160)
        for pressed in (False, True):
            path = string.line(pressed, xs if not pressed else xs[xs < want.last_fret])
            hit = scene.wood.is_wood(path - [0.0, 0.0, 0.5])
            if hit.any():
                yield ruin("string.in-wood", who, float(hit.sum()), "samples")
                break
    holes = sorted(scene.records("StringHole"), key=lambda h: h.at[1])
    if len(holes) == len(scene.strings):
        for hole, string in zip(holes, scene.strings):
            ahead = hole.at[0] - string.end[0]
            if ahead > -2.0:
                yield ruin("string.hole-ahead", (hole.hole, hole.part), ahead, "mm from the saddle")
            aside = abs(hole.at[1] - string.end[1])
            if aside > 4.0:
                yield ruin("string.hole-aside", (hole.hole, hole.part), aside, "mm")
