"""`propose`: the holes that give every link and every ground its way.

Each pair of sites gets lines from the one's air into the other; `worth` ranks them and moves them
to where they leave more wood. Of the holes found, the fewest that join all links are taken, and of
as few those whose least wood is most; each is then judged by the checks, on the body with all
before it. No chance is in it: equal layouts get equal holes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.checks.rules.wires import wire_path
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Layout, Link, Placed
from bodycad.layout.void import Void
from bodycad.parts.channel import Channel
from bodycad.routing.judged import judged, with_hole, without_ways, worst
from bodycad.routing.plan import MOST, Option, apart, plan
from bodycad.routing.sites import Site, Wanted, joined, ungrounded, wanted
from bodycad.routing.worth import Lines, Task, better, spots, spread_pairs, under, worth
from bodycad.shop import Shop
from bodycad.tools import Drill

MANY, KEPT = 80, 3
"""How many lines are looked at between two pockets, and how many of them are made better."""
TRIED = 5
"""How many kinds of ground ways are made better."""
NEAREST = 3
"""Into how many of the sites about it a ground way is tried."""
LONG_DRILL = 100.0
"""A drill that reaches no farther (mm) is not tried for a way where a longer one is on hand."""
GROUND = 3.0
"""The least diameter of a ground wire's hole, mm (common practice, no source)."""
TRIES = 6
"""How often another plan is made after the checks refused a hole of one."""
COMMON = 3
"""How many joined sets are followed at most between the same two pockets."""


@dataclass(frozen=True, eq=False)
class Proposed:
    """A hole to place, the id to place it under, and what the checks find of it, the worst
    first."""

    id: str
    channel: Channel
    findings: tuple[Finding, ...]

    @property
    def placed(self) -> Placed:
        """The hole as a placed part."""
        return Placed(self.id, self.channel)


@dataclass(frozen=True, eq=False)
class Missing:
    """A connection for which no hole was found: the parts that it joins, the part whose end cannot
    be reached, and why."""

    names: tuple[str, ...]
    end: str
    why: str


@dataclass(frozen=True, eq=False)
class Proposal:
    """Holes for a layout and the connections that none serves."""

    holes: tuple[Proposed, ...]
    missing: tuple[Missing, ...]


@dataclass(frozen=True, eq=False)
class Routed:
    """What was found for a layout; `after` is the layout with it."""

    layout: Layout
    found: Proposal
    after: Layout

    @property
    def exit_status(self) -> int:
        """0 where every link and every ground has a way, 1 where one has none."""
        return 1 if self.found.missing else 0


def routed(layout: Layout, afresh: bool = False) -> Routed:
    """What `propose` finds for a body of either hand. afresh: as if it had no drilled ways of its
    own."""
    right = layout.mirrored() if layout.left_handed else layout
    right = without_ways(right) if afresh else right
    found = propose(right)
    after = right
    for hole in found.holes:
        after = with_hole(after, hole.placed)
    return Routed(layout, found, after.mirrored() if layout.left_handed else after)


def propose(layout: Layout) -> Proposal:
    """Holes for every link without a way and every metal part without a ground. The layout is that
    of a right-handed body (`Layout.mirrored` makes one of it)."""
    found = _in_turn(layout, (_wires, _grounds))
    if not (found.missing and found.holes):
        return found
    other = _in_turn(layout, (_grounds, _wires))
    return other if len(other.missing) < len(found.missing) else found


Made = tuple[tuple[Proposed, ...], Layout, tuple[Missing, ...]]
"""Holes, the layout with them, and what has none."""


def _in_turn(layout: Layout, steps: Sequence[Callable[[Layout], Made]]) -> Proposal:
    """What some steps find, each on the layout with all holes before it."""
    holes: tuple[Proposed, ...] = ()
    missing: tuple[Missing, ...] = ()
    for step in steps:
        made, layout, lost = step(layout)
        holes, missing = (*holes, *made), (*missing, *lost)
    return Proposal(holes, missing)


def _drills(shop: Shop, least: float) -> tuple[Drill, ...]:
    """The drills for a hole of `least` mm or more, the slimmest first, each longer than those
    before it."""
    found: list[Drill] = []
    for drill in sorted(shop.drills, key=lambda d: (d.diameter, -d.reach)):
        longer = not found or drill.reach > found[-1].reach
        if drill.diameter >= least - 1e-9 and longer:
            found.append(drill)
    far = [d for d in found if d.reach > LONG_DRILL]
    return tuple(far or found)


def _wires(layout: Layout) -> Made:
    """Holes for the links."""
    shop = layout.shop
    spare = shop.limit("wire-path.bundle").warn
    sites = joined(layout, layout.links, spare)
    asked = list(wanted(layout, sites))
    if not asked:
        return (), layout, ()
    homeless = [link for link in asked if isinstance(link, Link)]
    links = [one for one in asked if isinstance(one, Wanted)]
    least = max((one.link.bundle for one in links), default=0.0) + spare
    drills = _drills(shop, least)
    why = f"no drill on hand makes a hole of {least:g} mm"
    best: Made = (), layout, tuple(_lost(one.link, one.link.one, why) for one in links)
    rank = len(best[2]) + 1, True
    for drill in drills if links else ():
        found = _with_drill(layout, sites, links, drill)
        own = len(found[2]), _crowded(found[1])
        if own < rank:
            best, rank = found, own
        if rank == (0, False):
            break
    return best[0], best[1], best[2] + _homeless(homeless)


def _with_drill(layout: Layout, sites: tuple[Site, ...], links: list[Wanted], drill: Drill) -> Made:
    """Holes of one size for the links: without a warning where there are such."""
    options = list(_options(layout, sites, links, drill))
    for strict in (True, False):
        made, body, lost, options = _placed(layout, sites, links, options, strict)
        if not lost:
            break
    return made, body, lost


def _crowded(layout: Layout) -> bool:
    """Whether more bundles share a hole than it should hold."""
    bad = ("warn", "fail")
    return any(f.code == "wire-path.shared" and f.status in bad for f in wire_path(layout))


def _homeless(links: Sequence[Link]) -> tuple[Missing, ...]:
    why = "it has no cut that a drill can begin or end in"
    return tuple(_lost(link, link.one, why) for link in links)


def _lost(link: Link, end: str, why: str) -> Missing:
    return Missing((link.one, link.two), end, why)


def _options(
    layout: Layout, sites: tuple[Site, ...], links: list[Wanted], drill: Drill
) -> Iterator[Option]:
    """The holes that may join sites that some link wants, either way round."""
    ends = {name for one in links for name in (one.one.name, one.two.name)}
    radius = drill.diameter / 2.0
    near = {v.id: spots(v, radius) for site in sites for v in site.main}
    for k, one in enumerate(sites):
        for two in sites[k + 1 :]:
            if not {one.name, two.name} & ends:
                continue
            found: list[Option] = []
            for entry, target in ((one, two), (two, one)):
                if target.name in ends:
                    found += _between(layout, sites, entry, target, drill, near)
            yield from _best_of(found)


def _best_of(found: list[Option]) -> list[Option]:
    """The best option for each set of sites."""
    best: dict[frozenset[str], Option] = {}
    for one in found:
        if one.sites not in best or one.score > best[one.sites].score:
            best[one.sites] = one
    some = sorted(best.values(), key=lambda one: -one.score)[:COMMON]
    return some


def _between(
    layout: Layout,
    sites: tuple[Site, ...],
    entry: Site,
    target: Site,
    drill: Drill,
    near: Mapping[str, np.ndarray],
) -> Iterator[Option]:
    """Lines from the air of one site into another, by what they run through on the way."""
    others = [site for site in sites if site not in (entry, target)]
    for start in (v for v in entry.main if v.opens):
        for end in target.main:
            via = tuple(site.main[0] for site in others)
            task = Task(layout, start, end, drill.diameter / 2.0, drill.reach, via)
            lines = spread_pairs(near[start.id], near[end.id], MANY)
            yield from _sorted(task, lines, {entry.name, target.name}, others)


def _sorted(task: Task, lines: Lines, names: set[str], others: Sequence[Site]) -> Iterator[Option]:
    """The lines of a task by the sites that they join."""
    if not len(lines):
        return
    found = worth(task, lines)
    for row in np.unique(found.through, axis=0):
        rows = np.flatnonzero((found.through == row).all(axis=1))
        rows = rows[np.argsort(-found.score[rows], kind="stable")][:KEPT]
        joins = frozenset(names | {site.name for site, k in zip(others, row) if k})
        own = replace(task, via=tuple(v for v, k in zip(task.via, row) if k))
        yield Option(joins, own, lines.take(rows), float(found.score[rows[0]]))


def _improved(option: Option, rounds: int, first: float) -> Option:
    """The option with its lines moved to where they leave more wood and still open as they did."""
    lines, found = better(option.task, option.lines, rounds, first)
    score = np.where(found.through.all(axis=1), found.score, -math.inf)
    order = np.argsort(-score, kind="stable")
    return replace(option, lines=lines.take(order), score=float(score[order[0]]), done=True)


def _placed(
    layout: Layout,
    sites: tuple[Site, ...],
    links: list[Wanted],
    options: list[Option],
    strict: bool,
) -> tuple[tuple[Proposed, ...], Layout, tuple[Missing, ...], list[Option]]:
    """The fewest holes that join all links, each as the checks let it pass, and all options as they
    are then. strict: without a warning."""
    why: dict[frozenset[str], str] = {}
    able = options
    for _ in range(TRIES):
        chosen, able = _followed(sites, links, able)
        made, joins, body, refused = [], [], layout, None
        for option in chosen:
            hole, words = _hole(body, option, "wire", strict)
            if hole is None:
                refused, why[option.sites] = option, words
                break
            made.append(hole)
            joins.append(option.sites)
            body = with_hole(body, hole.placed)
        if refused is None:
            break
        able = [one for one in able if one is not refused]
    missing = tuple(_why(one, able, why) for one in apart(sites, links, joins))
    better_known = {(one.sites, one.task.entry, one.task.target): one for one in able}
    again = [better_known.get((o.sites, o.task.entry, o.task.target), o) for o in options]
    return tuple(made), body, missing, again


def _followed(
    sites: tuple[Site, ...], links: list[Wanted], options: list[Option]
) -> tuple[list[Option], list[Option]]:
    """The plan whose options were all made better, and all options as they are then."""
    while True:
        chosen = plan(sites, links, options)
        if all(one.done for one in chosen):
            return chosen, options
        fresh = {id(one) for one in chosen if not one.done}
        options = [_improved(one, 6, 4.0) if id(one) in fresh else one for one in options]


def _why(one: Wanted, options: list[Option], why: dict[frozenset[str], str]) -> Missing:
    """Which end of a link has no hole, and what the best that was tried came to."""
    for site, name in ((one.one, one.link.one), (one.two, one.link.two)):
        if any(site.name in option.sites and option.sound for option in options):
            continue
        said = [words for joins, words in why.items() if site.name in joins]
        tried = [option for option in options if site.name in option.sites]
        best = max(tried, key=lambda option: option.score, default=None)
        if said or best is None:
            words = said[0] if said else f"no straight line leads into {site.name} from any pocket"
        else:
            words = _hole(best.task.layout, best, "wire", strict=True)[1]
        return _lost(one.link, name, words)
    return _lost(one.link, one.link.one, f"no holes join {one.one.name} and {one.two.name}")


def _hole(
    layout: Layout, option: Option, kind: Literal["wire", "ground"], strict: bool
) -> tuple[Proposed | None, str]:
    """The best line of an option as a part that the checks let pass (strict: without a warning),
    and else what they say."""
    task = replace(option.task, layout=layout)
    option = _improved(replace(option, task=task), 4, 2.0)
    name = _name(layout, kind)
    words, warned = "", None
    for k in range(len(option.lines)):
        channel = _channel(option, k, kind)
        if channel is None:
            continue
        found = judged(with_hole(layout, Placed(name, channel)), name)
        status = worst(found)
        if status in ("pass", "skip"):
            return Proposed(name, channel, found), ""
        if status == "warn" and not strict:
            warned = warned or Proposed(name, channel, found)
        words = words or found[0].text
    return (warned, "") if warned else (None, words or "no line opens whole into its ends")


def _name(layout: Layout, stem: str) -> str:
    taken, k = {one.id for one in layout.placed}, 1
    while f"{stem}.{k}" in taken:
        k += 1
    return f"{stem}.{k}"


def _channel(option: Option, k: int, kind: str) -> Channel | None:
    """A line as a channel, its ends to 0.1 mm; None where it is no longer than it is wide."""
    task = option.task
    a, b = (tuple(round(float(c), 1) for c in row[k]) for row in (option.lines.a, option.lines.b))
    if math.dist(a, b) <= 2.0 * task.radius + 0.1:
        return None
    middle = {v.id: _middle(v) for v in task.via}
    via = sorted(middle, key=lambda one: math.dist(a[:2], middle[one]))
    first = (task.entry.id,) if task.entry is not None else ()
    through = (*first, *via, task.target.id)
    face = "" if task.entry is not None else task.face
    return Channel(a, b, through, 2.0 * task.radius, face, kind)  # type: ignore[arg-type]


def _middle(void: Void) -> tuple[float, float]:
    x0, y0, _, x1, y1, _ = void.shape.box
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def _grounds(layout: Layout) -> Made:
    """A hole from each metal part to a cavity that signal wires end in."""
    made: list[Proposed] = []
    missing: list[Missing] = []
    for metal in ungrounded(layout):
        hole, words = _ground(layout, metal)
        if hole is None:
            missing.append(Missing((metal.part,), metal.part, words))
            continue
        made.append(hole)
        layout = with_hole(layout, hole.placed)
    return tuple(made), layout, tuple(missing)


def _ground(layout: Layout, metal: Terminal) -> tuple[Proposed | None, str]:
    """The hole from one metal part into a cavity, without a warning where there is such a one."""
    sites = [site for site in joined(layout, (), 0.0) if site.signal]
    said = "no cavity with signal wires is there"
    for drill in _drills(layout.shop, GROUND):
        found: list[Option] = []
        for site in _nearest(layout, metal, sites):
            found += _ground_options(layout, metal, site, drill)
        found = sorted(found, key=lambda one: -one.score)[:TRIED]
        found = [_improved(one, 6, 4.0) for one in found]
        found.sort(key=lambda one: (-min(one.score, MOST), one.length))
        for strict in (True, False):
            for option in found:
                hole, words = _hole(layout, option, "ground", strict)
                if hole is not None:
                    return hole, ""
                said = words
    return None, said


def _nearest(layout: Layout, metal: Terminal, sites: Sequence[Site]) -> list[Site]:
    """The sites nearest to a metal part in plan."""
    if metal.under is not None:
        box = layout.rooms_by_id[metal.under].shape.box
    else:
        box = layout.by_id[metal.voids[0]].shape.box
    spot = (box[0] + box[3]) / 2.0, (box[1] + box[4]) / 2.0
    return sorted(sites, key=lambda s: math.dist(spot, _middle(s.main[0])))[:NEAREST]


def _ground_options(layout: Layout, metal: Terminal, site: Site, drill: Drill) -> Iterator[Option]:
    reach, radius = drill.reach, drill.diameter / 2.0
    for end in site.main:
        if metal.under is not None:
            room = layout.rooms_by_id[metal.under].shape
            task = Task(layout, None, end, radius, reach, under=room)
            lines = spread_pairs(under(task), spots(end, radius), MANY)
            yield from _sorted(task, lines, {site.name}, ())
        for name in metal.voids:
            void = layout.by_id[name]
            for start, stop in ((void, end), (end, void)):
                if start.opens:
                    task = Task(layout, start, stop, radius, reach)
                    lines = spread_pairs(spots(start, radius), spots(stop, radius), MANY)
                    yield from _sorted(task, lines, {site.name}, ())
