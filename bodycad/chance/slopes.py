"""How every figure changes with every error: in closed form for gaps in the wood, else by building
the body with that error and checking it again, both ways, with the checks that can see it.

A figure is taken to change in proportion on either side of what is drawn, with a slope of its own
on each: so a distance that is the lesser of two, or that may not differ from nil, is not judged too
well by its mean slope.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.chance.built import as_built, differing, necks, right_handed
from bodycad.chance.concern import (
    Known,
    about,
    beyond,
    concern,
    drawn_answers,
    groups,
    of_the_neck,
    thin,
)
from bodycad.chance.draw import Rows
from bodycad.chance.match import pairs
from bodycad.chance.reads import stated, stated_names
from bodycad.chance.variables import Variable, combined
from bodycad.chance.witness import Contact, change
from bodycad.checks.finding import Finding
from bodycad.checks.owner import owner_of
from bodycad.checks.page import Check
from bodycad.checks.runner import answers
from bodycad.checks.table import ASKED
from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Shape, same
from bodycad.layout.layout import Layout

STEPS = (1.0, 0.5, 0.25, 0.125)
"""Parts of its reach by which an error is tried, until a body can be made with it."""
TIMES, LEVER = 20.0, 40.0
"""What has this many times the change of an error spare is tried with it one way only; mm at which
a tilt is felt."""
SAME = 1e-6
"""A figure that changes by less has not changed, mm."""
TOGETHER = ("shift", "depth", "tilt")
"""Kinds of which a body has many errors."""
TURNS = (0.618, -0.618, 0.382 / 2.0, -0.382 / 2.0)
"""Turns by which the parts of many errors on one body differ from one to the next."""
CLOSE = 0.005
"""A figure is that of the least of several where they are this near, mm."""


@dataclass(frozen=True, eq=False)
class Slopes:
    """The drawn findings with a failing limit and a figure, the variables, and how the margins
    change.

    A finding whose figure is the least of several has a row for each of them. `margins` (r,): what
    is spare in each row, its error bound taken off. `up`, `down` (v, r): change of the margin when
    the variable goes to plus and to minus its reach. `rows`: which rows are whose. `followed` (f,):
    whether every error that may concern it was tried and none makes it jump. `fixed`: findings
    without a figure that fail as drawn. `known`: the checks' answers that all this is of."""

    findings: tuple[Finding, ...]
    variables: tuple[Variable, ...]
    margins: np.ndarray
    up: np.ndarray
    down: np.ndarray
    rows: Rows
    followed: np.ndarray
    fixed: tuple[Finding, ...]
    known: Sequence[Known]


def margin(finding: Finding) -> float:
    """What is spare, the error bound taken off. Of a finding that has a margin."""
    assert finding.margin is not None
    return finding.margin - finding.bound


def _margins(finding: Finding, contacts: Sequence[Contact]) -> list[float]:
    """What is spare in each row of a finding."""
    least = margin(finding)
    if contacts:
        return [least + contact.more for contact in contacts]
    value, sign = finding.value or 0.0, -1.0 if finding.most else 1.0
    return [least + sign * (one - value) for one in _several(finding)] or [least]


def _several(finding: Finding) -> list[float]:
    """The figures of which a finding's is the least or the greatest; none where it has no such."""
    found = [] if finding.of is None else list(map(float, finding.of()))
    if not found:
        return found
    own = max(found) if finding.most is not finding.either else min(found)
    return found if abs(own - (finding.value or 0.0)) < CLOSE else []


def slopes(
    layout: Layout, variables: Sequence[Variable], checks: Sequence[Check] = ASKED
) -> Slopes:
    """The slopes of every finding of `checks` on a layout."""
    drawn = right_handed(layout)
    known = drawn_answers(layout, drawn, checks)
    each = [(one.findings[i], one.gaps.get(i, ())) for one in known for i in one.columns]
    findings = [f for f, _ in each]
    bare = (f for one in known for f in one.findings if f.margin is None)
    fixed = tuple(f for f in bare if f.status in ("fail", "error"))
    spare = [_margins(f, contacts) for f, contacts in each]
    rows = Rows.of([len(s) for s in spare], [f.either for f in findings])
    margins = np.array([m for s in spare for m in s])
    up = np.zeros((len(variables), len(margins)))
    down = np.zeros_like(up)
    for k, variable in enumerate(variables):
        for (f, contacts), start in zip(each if variable.kind != "size" else (), rows.starts):
            for r, contact in enumerate(contacts, start):
                up[k, r] = change(contact, variable, drawn) * (-1.0 if f.most else 1.0)
                down[k, r] = -up[k, r]
    concerns = [concern(variable, known, drawn, layout.left_handed) for variable in variables]
    _leave_out_unmoved(layout, drawn, known, variables, concerns)
    work = _Work(layout, drawn, known, findings, tuple(variables), concerns, rows, margins, {})
    for members in groups(variables, concerns):
        _try(work, members, 1.0, up, set().union(*(concerns[k] for k in members)))
        near = set()
        for k in members:
            for c in concerns[k]:
                its = rows.slice(c)
                down[k, its] = -up[k, its]
                by = float(np.abs(up[k, its]).max())
                if not _spare(findings[c], variables[k], by):
                    near.add(c)
        if near:
            _try(work, members, -1.0, down, near)
    followed = np.array(
        [bool(contacts) or not (beyond(f) or f.steps) for f, contacts in each], bool
    )
    some = tuple(findings), tuple(variables)
    return Slopes(*some, margins, up, down, rows, followed, fixed, known)


def _leave_out_unmoved(
    layout: Layout,
    drawn: Layout,
    known: Sequence[Known],
    variables: Sequence[Variable],
    concerns: Sequence[set[int]],
) -> None:
    """Take from `concerns` the findings that no error of some kinds moves: they stay as they are on
    four bodies which have all of those errors, more than whole, in uneven parts and either way.
    Errors that then share no finding are tried together."""
    some = [
        k
        for k, v in enumerate(variables)
        if v.kind in TOGETHER and concerns[k] and v.subject not in necks(drawn)
    ]
    asked, moved = set[int]().union(*(concerns[k] for k in some)), set[int]()
    if len(some) <= 2 * len(TURNS):
        return
    several = [variables[k] for k in some]
    each = ((one.findings[i], c) for one in known for i, c in one.columns.items())
    was = {c: _margins(f, ()) for f, c in each if c in asked}
    for turn in TURNS:
        turns = [(n + 1) * turn % 1.0 - 0.5 for n in range(len(some))]
        parts = [math.copysign(1.0 + abs(t), t) * v.reach for t, v in zip(turns, several)]
        try:
            built = as_built(layout, combined(several, parts))
        except ValueError:  # no body has all those errors
            return
        moved |= _moved(known, built, asked - moved, was)
    for k in some:
        concerns[k].intersection_update(moved)


def _moved(
    known: Sequence[Known], built: Layout, asked: set[int], was: Mapping[int, list[float]]
) -> set[int]:
    """Which of the findings in those columns have other figures on a built body than they `was`."""
    found = set[int]()
    for one in known:
        mine = {i: c for i, c in one.columns.items() if c in asked}
        if mine:
            rows = answers(one.check, built)
            pair, _ = pairs(one.findings, rows)
            for i, column in mine.items():
                other = rows[pair[i]] if i in pair else None
                if other is None or not _alike(was[column], other):
                    found.add(column)
    return found


def _alike(was: list[float], other: Finding) -> bool:
    """Whether a finding has the same figures."""
    if other.margin is None or (len(was) == 1 and abs(margin(other) - was[0]) > SAME):
        return False
    now = _margins(other, ())
    return len(was) == len(now) and bool(np.abs(np.subtract(was, now)).max() <= SAME)


@dataclass(frozen=True, eq=False)
class _Work:
    """The layout, its right-handed twin, its checks, the variables, what each concerns, and what a
    check says of the layout thinned out to some parts."""

    layout: Layout
    drawn: Layout
    known: Sequence[Known]
    findings: Sequence[Finding]
    variables: tuple[Variable, ...]
    concerns: Sequence[set[int]]
    rows: Rows
    margins: np.ndarray
    thinned: dict[tuple[str, frozenset[str]], set[object]]

    def as_whole(self, check: Check, keep: frozenset[str], findings: Sequence[Finding]) -> bool:
        """Whether a check says those findings of the layout with only some parts too."""
        key = check.name, keep
        if key not in self.thinned:
            few = remembered(self.layout, ("thinned", keep), lambda: thin(self.layout, keep))
            self.thinned[key] = set(map(_said, answers(check, few)))
        return self.thinned[key].issuperset(map(_said, findings))


def _spare(finding: Finding, variable: Variable, by: float) -> bool:
    """Whether so much is spare in a finding that an error, which changes it by `by` one way, need
    not be tried the other way too, but may be taken to change it as much."""
    reach = variable.reach if variable.unit == "mm" else LEVER * math.radians(variable.reach)
    return finding.unit == "mm" and margin(finding) > TIMES * max(abs(by), reach)


def _try(work: _Work, members: list[int], sign: float, table: np.ndarray, wanted: set[int]) -> None:
    """Fill the `wanted` columns of `table` with the changes of the margins that a group of errors
    concerns, each error at `sign` times its reach. Where they cannot be told apart after all, or no
    body can be made with all, each is tried alone."""
    own = {column: k for k in members for column in work.concerns[k] & wanted}
    several, theirs = [work.variables[k] for k in members], set[int]()
    theirs = theirs.union(*(work.concerns[k] for k in members))
    necked = any(v.kind == "shift" and v.subject in necks(work.drawn) for v in several)
    placed = {c for c in own if necked and of_the_neck(work.findings[c], work.drawn)}
    for share in STEPS:
        errors = combined(several, [sign * share * v.reach for v in several])
        try:
            built = as_built(work.layout, errors)
            apart = as_built(work.layout, replace(errors, carried=False)) if placed else built
        except ValueError:  # no part has that size: a smaller error may be possible
            if len(members) > 1:
                break
            continue
        found = _differences(work, built, set(own) - placed, several, theirs)
        if found is None:
            break
        found |= (_differences(work, apart, placed, several, theirs) if placed else {}) or {}
        for column, by in found.items():
            table[own[column], work.rows.slice(column)] = by / share
        return
    for k in members if len(members) > 1 else ():
        _try(work, [k], sign, table, wanted)


def _differences(
    work: _Work,
    built: Layout,
    wanted: set[int],
    several: Sequence[Variable],
    theirs: set[int],
) -> dict[int, np.ndarray | float] | None:
    """Change of the margins of the `wanted` columns on a built body; None when one has changed
    that is none of `theirs`, whom several errors were said to concern."""
    touched, found = tokens(work.layout, built), dict[int, np.ndarray | float]()
    moved = {owner for v in several for owner, _ in v.sizes}
    moved |= {owner for v in several if (owner := owner_of(v.subject, work.drawn))}
    asked = {
        one: mine
        for one in work.known
        if touched & one.reads
        and (mine := [one.findings[i] for i, c in one.columns.items() if c in wanted])
    }
    keep = about([f for mine in asked.values() for f in mine], moved, work.drawn)
    few = thin(built, keep)
    for one, mine in asked.items():
        rows = answers(one.check, few if work.as_whole(one.check, keep, mine) else built)
        same, _ = pairs(one.findings, rows)
        for i, column in one.columns.items():
            if i in same and rows[same[i]].margin is not None:
                by = margin(rows[same[i]]) - margin(one.findings[i])
                if column in wanted:
                    its = work.margins[work.rows.slice(column)]
                    found[column] = _each(its, rows[same[i]], i in one.gaps) if len(its) > 1 else by
                elif (
                    len(several) > 1 and abs(by) > SAME and not (column in theirs or i in one.gaps)
                ):
                    return None
    return found


def _each(was: np.ndarray, built: Finding, gap: bool) -> np.ndarray | float:
    """Change of what `was` spare in each row of a finding; of all alike where they cannot be told
    apart."""
    now = [] if gap else _margins(built, ())
    if len(now) != len(was):
        return margin(built) - float(was.max() if built.either else was.min())
    found: np.ndarray = np.array(now) - was
    return found


def _said(finding: Finding) -> object:
    """What of a finding must be the same."""
    return *finding.identity, finding.status, finding.value


def tokens(drawn: Layout, built: Layout) -> set[str]:
    """What a watching check would note where the two layouts differ (see `reads`)."""
    found = differing(drawn.instrument, built.instrument, "instrument")
    if built.skin is not drawn.skin or built.blank is not drawn.blank:
        found.add("skin")
    for one, two in zip(drawn.placed, built.placed):
        found |= differing(one.part, two.part, one.id)
        if one.place != two.place:
            found.add(f"place:{one.id}")
    was = remembered(drawn, ("stated names",), lambda: stated_names(drawn))
    now = stated_names(built)
    fewer = {(was.get(path) or now[path]).part for path in was.keys() ^ now.keys()}
    for path, record in was.items():
        other = now.get(path, record)
        found |= {
            f"{path}.{n}"
            for n in (stated(record) if other is not record or record.part in fewer else ())
            if record.part in fewer or not _equal(getattr(record, n), getattr(other, n))
        }
    found |= {
        f"void:{one.id}" for one, two in zip(drawn.voids, built.voids) if one.shape is not two.shape
    }
    found |= {f"piece:{p.id}" for p, q in zip(drawn.pieces[1:], built.pieces[1:]) if p is not q}
    return found | {
        f"room:{name}"
        for name, room in drawn.rooms_by_id.items()
        if (now_ := built.rooms_by_id.get(name)) is None or not same(room.shape, now_.shape)
    }


def _equal(one: object, two: object) -> bool:
    """Whether two fields of a record are equal in every number."""
    if isinstance(one, Profile) and isinstance(two, Profile):
        return one is two or np.array_equal(one.vertices, two.vertices)
    if isinstance(one, Shape) and isinstance(two, Shape):
        return same(one, two)
    return one == two
