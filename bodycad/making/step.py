"""What the cut order is made of: set-ups, their steps, and where to stop and measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bodycad.checks.order.jobs import Hold, Job, Work
from bodycad.checks.order.rules import Why
from bodycad.layout.workpiece import Workpiece
from bodycad.making.rest import Rest
from bodycad.making.room import Off
from bodycad.safety import Danger
from bodycad.words import Face


@dataclass(frozen=True)
class Run:
    """One tool's part in a step: the tool in words, from which depth to which, mm, of a drill at
    its full diameter and, where it has a point, at its tip; and where each pass ends; rest: it
    takes what a larger one left."""

    tool: str
    start: float
    depth: float
    passes: tuple[float, ...] = ()
    rest: bool = False
    tip: float | None = None


@dataclass(frozen=True)
class Minutes:
    """A part of the time estimate: what for, with its arithmetic, and how long."""

    words: str
    minutes: float


@dataclass(frozen=True)
class Stop:
    """A figure to measure before the work goes on: what, how, what the layout says, mm. off: the
    body in which the figure is more by so much, where the layout can tell. names: the sizes that
    the value is entered as. parameter: a design's parameter of that meaning, where it has one of
    that name."""

    what: str
    how: str
    expected: float | None
    off: Off | None = None
    names: tuple[str, ...] = ()
    parameter: str = ""


@dataclass(frozen=True, eq=False)
class Step:
    """One step: its number from 1, the jobs that it holds in their order, what it does in words.

    ids: what it cuts, or for what it is done. runs: tools; none where it is done by hand or at the
    bench. after: the numbers of steps that must come before, with the reasons. dangers: the
    cautions that stand at it; notes: what of this design must be minded there. stops: where to stop
    and measure behind it. time: its part of the estimate."""

    number: int
    jobs: tuple[Job, ...]
    words: str
    ids: tuple[str, ...]
    runs: tuple[Run, ...]
    by_hand: bool
    after: tuple[tuple[int, Why], ...]
    dangers: tuple[Danger, ...]
    notes: tuple[str, ...]
    stops: tuple[Stop, ...]
    time: tuple[Minutes, ...]
    rest: Rest | None = None

    @property
    def work(self) -> Work:
        """What is done."""
        return self.jobs[0].work

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return sum(one.minutes for one in self.time)


@dataclass(frozen=True, eq=False)
class SetUp:
    """One clamping of one workpiece: its number from 1, how it is held, which face is up, and its
    steps; `minutes` to set it up."""

    number: int
    piece: Workpiece
    hold: Hold
    face: Face | None
    steps: tuple[Step, ...]
    minutes: float

    @property
    def whole(self) -> float:
        """Minutes of the set-up and all its steps."""
        return self.minutes + sum(step.minutes for step in self.steps)


@dataclass(frozen=True, eq=False)
class CutOrder:
    """The order of work of a layout."""

    set_ups: tuple[SetUp, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every step in order."""
        return tuple(step for one in self.set_ups for step in one.steps)

    @property
    def minutes(self) -> float:
        """The whole estimate."""
        return sum(one.whole for one in self.set_ups)


def spans(numbers: Sequence[int]) -> str:
    """Numbers of steps, runs of them from the first to the last."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    texts = [f"{one[0]}-{one[-1]}" if len(one) > 1 else str(one[0]) for one in found]
    return f"step{'s' if len(numbers) > 1 else ''} {', '.join(texts)}"
