"""Where the instrument wants its neck and its strings: scale, fret law, heel and actions alone.

x = 0 is the saddle line, +x toward the nut, y = 0 the centreline, z = 0 the plain front. The neck
lies along the centreline, its last fret where the scale puts it, and rests on the pocket's floor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from tests.oracle.judge.solids import Block, Section, Solid
from tests.oracle.judge.wood import Wood

TREBLE_BACK, BASS_BACK = 1.6, 4.8
"""How far behind the scale line the outer saddles end up, mm: common practice, no source."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """An instrument's plain numbers, mm, and what follows from them."""

    scale: float
    last_fret: float
    board_end: float
    heel_end: float
    mouth: float
    heel: Any
    shaft: float
    board: float
    nut_width: float
    last_width: float
    nuts: tuple[float, ...]
    bridges: tuple[float, ...]
    actions: tuple[float, ...]
    nut_action: float
    fret: float

    def half_board(self, x: float) -> float:
        share = (self.scale - x) / (self.scale - self.last_fret)
        return (self.nut_width + (self.last_width - self.nut_width) * share) / 2.0

    @cached_property
    def block(self) -> np.ndarray:
        """The plan of the block under the board: tapered, its far corners rounded."""
        end, mouth = self.heel.width_end / 2.0, self.heel.width_mouth / 2.0
        x0, x1, r = self.heel_end, self.mouth, float(self.heel.corner)
        plan = shapely.Polygon([(x0, -end), (x1, -mouth), (x1, mouth), (x0, end)])
        if r:
            soft = plan.buffer(-r, quad_segs=16).buffer(r, quad_segs=16)
            plan = soft.union(plan.intersection(shapely.box(x0 + 2 * r, -200, x1, 200)))
        return np.array(shapely.orient_polygons(plan).exterior.coords)[:-1]

    def fingerboard(self, to: float) -> np.ndarray:
        """The plan of the board from its end to x = `to`."""
        x0 = self.board_end
        a, b = self.half_board(x0), self.half_board(to)
        return np.array([(x0, -a), (to, -b), (to, b), (x0, a)])

    def set_back(self, k: int) -> float:
        share = k / max(len(self.nuts) - 1, 1)
        return TREBLE_BACK + (BASS_BACK - TREBLE_BACK) * share


def wanted(raw: Any) -> Wanted:
    """The numbers of an instrument with straight frets."""
    neck = raw.neck
    scale = float(neck.scale)
    last = scale * 2.0 ** (-neck.frets / 12.0)
    end = last - neck.overhang
    heel_end = end + neck.heel.board_overlap
    gauges = [float(s.gauge) for s in raw.strings]
    count = len(gauges)
    if raw.equal == "gaps":
        air = (raw.neck.nut_spread - sum((a + b) / 2 for a, b in zip(gauges, gauges[1:]))) / (
            count - 1
        )
        nuts = [-neck.nut_spread / 2.0]
        for a, b in zip(gauges, gauges[1:]):
            nuts.append(nuts[-1] + air + (a + b) / 2.0)
    else:
        nuts = list(np.linspace(-neck.nut_spread / 2.0, neck.nut_spread / 2.0, count))
    bridges = np.linspace(-raw.bridge_spread / 2.0, raw.bridge_spread / 2.0, count)
    actions = np.linspace(raw.action12_treble, raw.action12_bass, count)
    return Wanted(
        scale,
        last,
        float(end),
        float(heel_end),
        float(heel_end + neck.heel.length),
        neck.heel,
        float(neck.heel.thickness - neck.board_thickness),
        float(neck.board_thickness),
        float(neck.nut_width),
        float(neck.width_at_last_fret),
        tuple(nuts),
        tuple(bridges.tolist()),
        tuple(actions.tolist()),
        float(raw.nut_action),
        float(raw.fret_height),
    )


class Seated:
    """The wanted neck on the floor of a pocket, leaned with it as one piece, and slid along it to
    where the strings pass the scale line over x = 0."""

    def __init__(self, want: Wanted, pocket: Block) -> None:
        self.want, self.pocket = want, pocket
        self.lean = math.atan(pocket.slope[0])
        self.at_zero = float(pocket.floor(np.array([[0.0, 0.0]]))[0])

    @cached_property
    def matrix(self) -> np.ndarray:
        """(3, 4): from the neck's own x, y and height over its underside to the body's frame."""
        want, c, s = self.want, math.cos(self.lean), math.sin(self.lean)
        over = self.crown + want.actions[0] + want.actions[-1] - want.nut_action
        # The neck's x = 0 lies `slid` along the floor from the floor's own point over x = 0.
        slid = over * s / c
        return np.array(
            [[c, 0.0, -s, slid * c], [0.0, 1.0, 0.0, 0.0], [s, 0.0, c, self.at_zero + slid * s]]
        )

    def point(self, x: float, y: float, height: float) -> np.ndarray:
        """A point of the neck in the body's frame."""
        found: np.ndarray = self.matrix @ np.array([x, y, height, 1.0])
        return found

    def floor(self, x: float) -> float:
        """Height of the underside over x on the body."""
        return self.at_zero + math.tan(self.lean) * x

    def under_board(self, x: float) -> float:
        """Height of the board's underside over x on the body."""
        return self.floor(x) + self.want.shaft / math.cos(self.lean)

    @property
    def crown(self) -> float:
        """Height of the frets' crowns over the underside."""
        return self.want.shaft + self.want.board + self.want.fret

    def _leaned(self, rim: np.ndarray, low: float, high: float, inward: float) -> Solid:
        plan = Section([rim]).offset(-inward)
        made = plan.extrude(high - low - 2 * inward).translate((0.0, 0.0, low + inward))
        return made.transform(self.matrix)

    def block(self, inward: float = 0.0) -> Solid:
        return self._leaned(self.want.block, 0.0, self.want.shaft, inward)

    def board(self, inward: float = 0.0) -> Solid:
        low = self.want.shaft
        rim = self.want.fingerboard(self.want.mouth + 80.0)
        return self._leaned(rim, low, low + self.want.board, inward)


@dataclass(frozen=True, eq=False)
class Strung:
    """One string as it will run: from its slot in the nut to the saddle that bears it."""

    number: int
    nut: np.ndarray
    end: np.ndarray
    pressed_from: np.ndarray

    def line(self, pressed: bool, x: np.ndarray) -> np.ndarray:
        """Points (m, 3) at those x."""
        a, b = self.end, self.pressed_from if pressed else self.nut
        return a + ((np.asarray(x, float) - a[0]) / (b[0] - a[0]))[:, None] * (b - a)

    def y_at(self, x: float) -> float:
        return float(self.line(False, np.array([x]))[0, 1])


def strung(want: Wanted, seated: Seated, saddles: list[Any]) -> list[Strung]:
    """The strings over the saddles, treble first; at the height that the actions want."""
    found = []
    for k, saddle in enumerate(saddles):
        x = -want.set_back(k)
        ux, uy = float(saddle.along[0]), float(saddle.along[1])
        step = 0.0 if abs(ux) < 1e-6 else (x - saddle.at[0]) / ux
        step = min(max(step, -saddle.behind), saddle.ahead)
        here = np.array([saddle.at[0] + step * ux, saddle.at[1] + step * uy])
        found.append(string(want, seated, k, here))
    return found


def string(want: Wanted, seated: Seated, k: int, here: np.ndarray) -> Strung:
    """The string of that number less one, from its slot in the nut over `here` (x, y)."""
    nut = seated.point(want.scale, want.nuts[k], seated.crown + want.nut_action)
    # A second point of the string's own line: over the saddle line of the neck's frame.
    over = want.nut_action + 2.0 * (want.actions[k] - want.nut_action)
    line = seated.point(0.0, want.bridges[k], seated.crown + over)
    share = (here[0] - nut[0]) / (line[0] - nut[0])
    end = np.array([*here, nut[2] + share * (line[2] - nut[2])])
    fret = seated.point(want.last_fret, 0.0, seated.crown)
    fret[1] = nut[1] + (here[1] - nut[1]) * (nut[0] - fret[0]) / (nut[0] - here[0])
    return Strung(k + 1, nut, end, fret)


def joint_pocket(layout: Any, wood: Wood) -> tuple[Any, Block] | None:
    """The record of the neck joint, and its pocket."""
    for record in layout.interfaces:
        if type(record).__name__ == "Joint" and record.pocket in wood.cuts:
            pocket = wood.cuts[record.pocket].shape
            assert isinstance(pocket, Block)
            return record, pocket
    return None
