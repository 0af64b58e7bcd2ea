"""Which findings an error can change, so that errors that share none are tried on one body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.chance.built import necks
from bodycad.chance.reads import SIZES_OF, watched
from bodycad.chance.variables import Variable
from bodycad.chance.witness import Contact, as_gap, outside
from bodycad.checks.finding import Finding
from bodycad.checks.owner import owner_of
from bodycad.checks.page import Check
from bodycad.checks.runner import answers
from bodycad.checks.wood.near import remembered
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.interface import Saddle
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY

FAR = 25.0
"""A margin of more than this (mm) is not followed through the errors of the cutting: no tolerance
of a shop uses it up."""


NEAR = 15.0
"""A figure that is taken farther from a contour than this (mm) in plan does not hang on it."""


@dataclass(frozen=True, eq=False)
class Known:
    """One check on the drawn layout: its findings in its own order; the column of each that has a
    margin; the contacts of those that are gaps in the wood; what it reads, and whose (placed parts
    and the instrument)."""

    check: Check
    findings: list[Finding]
    columns: dict[int, int]
    gaps: dict[int, tuple[Contact, ...]]
    reads: frozenset[str]
    owners: frozenset[str]


def drawn_answers(layout: Layout, drawn: Layout, checks: Sequence[Check]) -> list[Known]:
    """Every check on the layout. `drawn` is its right-handed twin."""
    known, count = [], 0
    for check in checks:
        rows, seen = looked(layout, check)
        judged = (i for i, f in enumerate(rows) if f.margin is not None)
        columns = {i: k for k, i in enumerate(judged, count)}
        count += len(columns)
        found = ((i, as_gap(rows[i], drawn, layout.left_handed)) for i in columns)
        gaps = {i: contacts for i, contacts in found if contacts}
        names = {t.partition(":")[2] or t for t in seen}
        owners = {owner for t in names if (owner := owner_of(t, drawn))}
        if any(t.startswith(f"{SIZES_OF}.") for t in seen):
            owners.add(SIZES_OF)
        known.append(Known(check, rows, columns, gaps, seen, frozenset(owners)))
    return known


def looked(layout: Layout, check: Check) -> tuple[list[Finding], frozenset[str]]:
    """A check's findings on a layout, and what it reads of it (see `reads`)."""
    seen = set[str]()
    rows = answers(check, watched(layout, seen.add))
    return rows, frozenset(seen)


def beyond(finding: Finding) -> bool:
    """Whether no tolerance of a shop uses a finding's margin up."""
    return finding.unit == "mm" and (finding.margin or 0.0) > FAR


def concern(
    variable: Variable, known: Sequence[Known], drawn: Layout, flipped: bool = False
) -> set[int]:
    """Columns of the findings that an error may change and that have to be checked again for it.

    An error of the cutting concerns a finding on a void that is moved, deepened or tilted, on one
    that it opens into, or on what is fitted in either; a figure that is taken nowhere (without
    `at`) does not depend on where a cut lies, but may on its depth. A size concerns a finding on
    its part. The stock, the instrument and the neck, which carries the strings, concern all. Sizes
    change no cut, so a gap in the wood depends on none."""
    found: set[int] = set()
    if variable.kind == "size":
        owners = {owner for owner, _ in variable.sizes}
        parts = owners | _hung(owners, drawn)
        whole = SIZES_OF in owners or bool(owners & set(necks(drawn)))
        bears = _bears(owners, drawn)
        for one in (one for one in known if one.owners & owners):
            for i, column in one.columns.items():
                f = one.findings[i]
                hangs = whole or _on(f, set(), parts, drawn, True) or (bears and _strung(f, drawn))
                if hangs and not _of_wood(f, drawn):
                    found.add(column)
        return found
    shift = variable.kind == "shift"
    whole = variable.kind == "thickness" or (shift and variable.subject in necks(drawn))
    own = [v for v in drawn.voids if variable.subject in (v.id, v.part)]
    near = own + [w for v in own for w in drawn.voids if drawn.meant(v, w)]
    ids, parts = {v.id for v in near}, {v.part for v in near}
    parts |= _hung({v.part for v in own}, drawn)
    bears = shift and _bears({variable.subject}, drawn)
    for one in known:
        for i, column in one.columns.items():
            f = one.findings[i]
            if i in one.gaps or beyond(f):
                continue
            if variable.kind == "carve":
                if _near(f, variable.subject, drawn, flipped):
                    found.add(column)
                continue
            whose = _subjects(f, drawn).owners - {None}
            placed = f.at is not None or not whose
            placed = placed or (variable.kind == "depth" and len(whose) == 1)
            strung = bears and _strung(f, drawn)
            if whole or strung or (placed and _on(f, ids, parts, drawn, shift)):
                found.add(column)
    return found


def _bears(moved: set[str], drawn: Layout) -> bool:
    """Whether one of those parts bears strings."""
    return any(saddle.part in moved for saddle in drawn.stated(Saddle))


def _strung(finding: Finding, drawn: Layout) -> bool:
    """Whether a finding is on something that is neither a part's nor bounds the wood: it may be a
    string."""

    def find() -> bool:
        bare = (s for s in finding.subjects if owner_of(s, drawn) is None)
        return any(outside(s, drawn) is None for s in bare)

    return remembered(drawn, ("strung", finding.subjects), find)


def _of_wood(finding: Finding, drawn: Layout) -> bool:
    """Whether a finding is on a distance between cuts of the body, or of one to its outside: no
    size of a part changes those."""
    own, two = drawn.body.by_id, finding.subjects
    cuts = all(s in own or outside(s, drawn) is not None for s in two)
    return finding.between is not None and finding.piece == BODY and len(two) == 2 and cuts


def _near(finding: Finding, contour: str, drawn: Layout, flipped: bool) -> bool:
    """Whether a finding is on a contour, on the whole body, or taken where the contour's carving
    may reach; one that is faired is not."""
    if faired(finding, drawn):
        return False
    owners = _subjects(finding, drawn).owners
    if contour in finding.subjects or (finding.at is None and owners <= {None}):
        return True
    if finding.at is None:
        return False
    plan = next(c.carve.plan for c in drawn.skin.contours if c.id == contour)
    spots = np.array([p[:2] for p in finding.at]) * (1.0, -1.0 if flipped else 1.0)
    return float(plan.signed_distance(spots).min()) < NEAR


def faired(finding: Finding, drawn: Layout) -> bool:
    """Whether a finding is on contours alone: where a shaped surface ends, it is faired by eye."""
    surfaces = (isinstance(outside(s, drawn), Contour) for s in finding.subjects)
    return bool(finding.subjects) and all(surfaces)


def of_the_neck(finding: Finding, drawn: Layout) -> bool:
    """Whether a finding holds a neck's own cuts and fitted parts against something that is neither
    the body's nor another part's: against the place that the template should have."""
    owners = {s: owner_of(s, drawn) for s in finding.subjects}
    beside = [s for s, owner in owners.items() if owner is None]
    own = set(owners.values()) - {None}
    away = bool(beside) and all(outside(s, drawn) is None for s in beside)
    return away and bool(own) and own <= set(necks(drawn))


def thin(layout: Layout, keep: frozenset[str]) -> Layout:
    """A layout without its connections and without the placed parts that are not to be kept; their
    cuts and rooms stay."""
    return layout.with_parts(tuple(p for p in layout.placed if p.id in keep), ())


def about(findings: Sequence[Finding], moved: set[str], drawn: Layout) -> frozenset[str]:
    """The placed parts that those findings are about, with those that are moved and what hangs in
    either."""
    found = {owner for f in findings for owner in _subjects(f, drawn).owners}
    keep = {owner for owner in found if owner} | moved
    return frozenset(keep | _hung(keep, drawn))


def _on(finding: Finding, ids: set[str], parts: set[str], drawn: Layout, moved: bool) -> bool:
    """Whether a finding is on one of those voids, or on what is fitted in those parts; or on the
    whole body."""
    its = _subjects(finding, drawn)
    if its.voids & ids:
        return True
    if moved or not its.voids:
        owners = its.owners if moved else its.beside
        return bool(owners & parts) or owners <= {None}
    return False


@dataclass(frozen=True)
class _Subjects:
    """Those of a finding's subjects that are voids; the placed parts that its subjects belong to,
    and those that its subjects beside voids do."""

    voids: frozenset[str]
    owners: frozenset[str | None]
    beside: frozenset[str | None]


def _subjects(finding: Finding, drawn: Layout) -> _Subjects:
    def find() -> _Subjects:
        owners = {s: owner_of(s, drawn) for s in finding.subjects}
        voids = frozenset(s for s in owners if s in drawn.by_id)
        beside = frozenset(owner for s, owner in owners.items() if s not in voids)
        return _Subjects(voids, frozenset(owners.values()), beside)

    return remembered(drawn, ("subjects", finding.subjects), find)


def _hung(parts: set[str], drawn: Layout) -> set[str]:
    """Parts that state something of a void or room of one of those parts, as a control does of its
    cavity, and parts of whose void or room one of those states something."""

    def find() -> frozenset[tuple[str, str]]:
        return frozenset(
            (record.part, owner)
            for record in drawn.interfaces
            for name in (*record.names("void"), *record.names("room"))
            if (owner := owner_of(name, drawn)) and owner != record.part
        )

    pairs = remembered(drawn, ("who speaks of whom",), find)
    return {a for a, b in pairs if b in parts} | {b for a, b in pairs if a in parts}


def groups(variables: Sequence[Variable], concerns: Sequence[set[int]]) -> list[list[int]]:
    """Indices of variables in groups of one kind (and axis) that concern no finding together; those
    that concern none at all are left out."""
    found: list[tuple[tuple[str, int], set[int], list[int]]] = []
    for k, (one, columns) in enumerate(zip(variables, concerns)):
        if not columns or not one.reach:
            continue
        key = (one.kind, one.axis)
        for its_key, taken, members in found:
            if its_key == key and not taken & columns:
                taken |= columns
                members.append(k)
                break
        else:
            found.append((key, set(columns), [k]))
    return [members for _, _, members in found]
