"""Which of the holes that may be drilled are drilled: the fewest that join all links."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from bodycad.routing.sites import Site, Wanted
from bodycad.routing.worth import Lines, Task

GAIN, MOST = 9.0, 7.0
"""How much a score may gain when lines are made better, and the score at which all wood is thicker
than any check looks."""
FAILS = -3.0
"""Holes whose score may not become better than this fail a check for certain."""
EACH_WAY = 7
"""Of so many sites every way to join them is looked at; more are joined by the best holes first."""


@dataclass(frozen=True, eq=False)
class Option:
    """Lines of one task that join the same sites, the best first; the score of the best. done:
    whether they were made better; until then they are taken for as good as they may become."""

    sites: frozenset[str]
    task: Task
    lines: Lines
    score: float
    done: bool = False

    @property
    def length(self) -> float:
        return float(self.lines.length[0])

    @property
    def hope(self) -> float:
        """The score, or what it may become."""
        return self.score if self.done else min(self.score + GAIN, MOST)

    @property
    def sound(self) -> bool:
        """Whether it may still pass the checks."""
        return self.hope > FAILS


Parts = frozenset[frozenset[str]]
Cost = tuple[int, int, float, float]


def plan(
    sites: tuple[Site, ...], links: Sequence[Wanted], options: Sequence[Option]
) -> list[Option]:
    """The options of least cost that join what can be joined."""
    able = [one for one in options if one.sound]
    lost = apart(sites, links, [one.sites for one in able])
    can = [one for one in links if one not in lost]
    ends = {site.name for one in can for site in (one.one, one.two)}
    first = _alone(sites)
    return _cheapest(first, can, able) if len(ends) <= EACH_WAY else _greedy(first, can, able)


def apart(
    sites: tuple[Site, ...], links: Sequence[Wanted], joins: Sequence[frozenset[str]]
) -> list[Wanted]:
    """The links whose sites some holes, by the sites that each joins, do not join."""
    reach = _merged(_alone(sites), joins)
    return [one for one in links if not _together(reach, one)]


def _alone(sites: tuple[Site, ...]) -> Parts:
    return frozenset(frozenset({site.name}) for site in sites)


def _cheapest(first: Parts, links: Sequence[Wanted], able: Sequence[Option]) -> list[Option]:
    """The shortest way from all sites apart to every link joined: by how many holes would warn, how
    many there are, the least wood, and their length."""
    queue: list[tuple[Cost, int, Parts, tuple[int, ...]]] = [((0, 0, -math.inf, 0.0), 0, first, ())]
    seen, tick = set[Parts](), 0
    while queue:
        (warns, count, wood, length), _, parts, used = heapq.heappop(queue)
        if parts in seen:
            continue
        seen.add(parts)
        if all(_together(parts, one) for one in links):
            return [able[k] for k in used]
        for k, one in enumerate(able):
            merged = _merged(parts, [one.sites])
            if merged not in seen:
                tick += 1
                more = warns + (one.hope < 0.0), count + 1, max(wood, -one.hope)
                queued = (*more, length + one.length), tick, merged, (*used, k)
                heapq.heappush(queue, queued)
    raise AssertionError("what can be joined has a way")


def _greedy(first: Parts, links: Sequence[Wanted], able: Sequence[Option]) -> list[Option]:
    """The best hole that joins anything, again and again; then without those that no link needs."""
    parts, used = first, list[Option]()
    for one in sorted(able, key=lambda one: (-one.hope, one.length)):
        merged = _merged(parts, [one.sites])
        if merged != parts:
            parts, used = merged, [*used, one]
    for one in reversed(used):
        fewer = [other for other in used if other is not one]
        left = _merged(first, [other.sites for other in fewer])
        if all(_together(left, link) for link in links):
            used = fewer
    return used


def _merged(parts: Parts, joins: Sequence[frozenset[str]]) -> Parts:
    """Groups of sites, with those made one that share a member with one of `joins`."""
    for one in joins:
        met = [part for part in parts if part & one]
        parts = (parts - frozenset(met)) | {frozenset[str]().union(*met)}
    return parts


def _together(parts: Parts, one: Wanted) -> bool:
    return any({one.one.name, one.two.name} <= part for part in parts)
