"""A body as it is built: cut as drawn but for the shop's errors, the parts as they really are.

A part that turns out larger than its number does not make its route larger: the route was cut to
the number. So the voids are those of the drawn parts, moved, deepened and tilted by the errors,
while rooms and interfaces are those of the real parts in the body so cut (see `parts.part`).
Workpieces beside the body move with their part and have no errors of their own, and what hangs from
a guard moves with it.

Frame: the instrument's, as everywhere. The neck carries the strings, so an error in the place of
its pocket is everything else displaced the other way; but where the neck itself is held against its
place, it is displaced.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any

import numpy as np

from bodycad.chance.reads import SIZES_OF, watched
from bodycad.checks.wood.ends import ends_in_air
from bodycad.checks.wood.near import remembered
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Contour
from bodycad.geometry.solids.solid import Shape, same
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.interface import Core, Interface, Joint
from bodycad.layout.layout import Layout, Placed, drilled, opened
from bodycad.layout.made import Made
from bodycad.layout.void import Room, Void
from bodycad.parts.part import fitted, own_pieces
from bodycad.units import SPOT, Size, is_spot

Shift = tuple[float, float]


@dataclass(frozen=True)
class Errors:
    """What one body has otherwise than drawn.

    `sizes`: by (owner, dotted path of the size) what it is more, mm or degrees. `shifts`: by part,
    where its cuts came to lie beside their place, mm in x and y. `deeper`: by void, mm. `thicker`:
    the stock, mm. `tilts`: by void, degrees about the two axes across a bore, at its start.
    `carved`: by contour, where it came to lie, mm in x and y, and how much deeper. `carried`:
    whether a neck that is shifted takes the strings with it; else it is shifted beside them.
    `strayed`: by void, where it came to lie beside its part's other cuts. Given for a right-handed
    body."""

    sizes: Mapping[tuple[str, str], float] = field(default_factory=dict)
    shifts: Mapping[str, Shift] = field(default_factory=dict)
    deeper: Mapping[str, float] = field(default_factory=dict)
    thicker: float = 0.0
    tilts: Mapping[str, Shift] = field(default_factory=dict)
    carved: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    carried: bool = True
    strayed: Mapping[str, Shift] = field(default_factory=dict)


def as_built(layout: Layout, errors: Errors) -> Layout:
    """The layout of the body with those errors. Raises InputError when a part cannot have such a
    size."""
    drawn = right_handed(layout)
    built = _built(drawn, errors)
    return _left(layout, drawn, built) if layout.left_handed else built


def right_handed(layout: Layout) -> Layout:
    """The layout itself, or its right-handed twin."""
    return remembered(layout, ("right-handed",), layout.mirrored) if layout.left_handed else layout


def _left(layout: Layout, drawn: Layout, built: Layout) -> Layout:
    """The left-handed twin of a built body; what is as drawn is the drawn layout's own, with all
    that it has worked out."""
    whole = built.mirrored()
    four = layout, drawn, built, whole
    rooms = {r.id: (r, mine) for r, mine in zip(drawn.rooms, layout.rooms)}
    stated = {id(d): mine for d, mine in zip(drawn.interfaces, layout.interfaces)}
    skin, blank, instrument = _own_where_as_drawn(*((x.skin, x.blank, x.instrument) for x in four))
    voids = _own_where_as_drawn(*(x.voids for x in four))
    body = replace(whole.body, skin=skin, blank=blank, voids=tuple(voids))
    return replace(
        whole,
        pieces=(body, *_own_where_as_drawn(*(x.pieces[1:] for x in four))),
        instrument=instrument,
        interfaces=tuple(stated.get(id(b), w) for b, w in zip(built.interfaces, whole.interfaces)),
        rooms=tuple(
            rooms[b.id][1] if b.id in rooms and same(rooms[b.id][0].shape, b.shape) else w
            for b, w in zip(built.rooms, whole.rooms)
        ),
    )


def _own_where_as_drawn(*rows: Iterable[Any]) -> list[Any]:
    """Of layout, drawn, built and mirrored things: the layout's where the built is the drawn."""
    return [mine if b is d else whole for mine, d, b, whole in zip(*rows)]


def _built(drawn: Layout, errors: Errors) -> Layout:
    """The right-handed body with those errors."""
    instrument = changed(drawn.instrument, _own(errors.sizes, SIZES_OF))
    made = Made(errors.deeper, errors.thicker)
    carriers = necks(drawn) if errors.carried else ()
    by_neck = (errors.shifts[part] for part in carriers if part in errors.shifts)
    sx, sy = strings = next(by_neck, (0.0, 0.0))
    still = not any(strings)
    placed, rooms = [], list[Room]()
    own = ((p.id, errors.shifts.get(p.id, (0.0, 0.0))) for p in drawn.placed)
    shifts = {name: (x - sx, y - sy) for name, (x, y) in own}
    hosts = _hosts(drawn)
    alike = not (errors.deeper or errors.thicker or sx or sy)
    sized = {owner for owner, _ in errors.sizes}
    theirs = _of_each(drawn)
    for one in drawn.placed:
        dx, dy = shifts[hosts.get(one.id, one.id)]
        if alike and one.id not in sized and not (dx or dy):
            placed.append(one)
            rooms += theirs[one.id][0]
            continue
        part = fitted(changed(one.part, _own(errors.sizes, one.id)), one.id, one.part, made)
        part = one.part if part == one.part else part
        place = one.place
        spot = replace(place, x=place.x + dx, y=place.y + dy) if dx or dy else place
        placed.append(Placed(one.id, part, spot))
        if part is one.part and not errors.thicker:
            fresh: Iterable[Room] = theirs[one.id][0]
        else:
            fresh = part.rooms(one.id, one.place, drawn.thickness + errors.thicker)
            fresh = _own_where_alike(theirs[one.id][0], fresh)
        rooms += [r.moved(dx, dy) for r in fresh] if dx or dy else fresh
    voids = drawn.voids
    if not alike or errors.tilts or errors.strayed or any(map(any, shifts.values())):
        voids = tuple(
            _cut(v, drawn, errors, made, shifts[v.part]) if v.part in shifts else v for v in voids
        )
    skin = drawn.skin
    if not still or errors.thicker:
        skin = skin.moved(-sx, -sy, errors.thicker)
    if errors.carved:
        skin = replace(skin, contours=tuple(_carved(c, errors) for c in skin.contours))
    blank = drawn.blank if still else _blank(drawn.blank, -sx, -sy)
    body, as_drawn = drawn.body, skin is drawn.skin and blank is drawn.blank
    if not as_drawn or any(a is not b for a, b in zip(voids, drawn.voids)):
        neck = body.neck if still or body.neck is None else body.neck.moved(-sx, -sy)
        body = replace(body, voids=voids, skin=skin, blank=blank, neck=neck)
    cut = {
        piece.id: drilled(opened(piece, drawn.placed), drawn.shop)
        for one, real in zip(drawn.placed, placed, strict=True)
        if errors.thicker
        or differing(one.part, real.part, one.id) & _reads_of_pieces(drawn)[one.id]
        for piece in own_pieces(real.part, one.id, one.place, body)
    }
    more = (
        cut.get(p.id, p).moved(*shifts[p.part]) if p.part in shifts else p for p in drawn.pieces[1:]
    )
    other = {f"void:{b.id}" for a, b in zip(drawn.voids, body.voids) if a is not b}
    stated: list[Interface] = []
    for one, real in zip(drawn.placed, placed, strict=True):
        same = real.part is one.part and real.place is one.place and body.skin is drawn.skin
        if same and not other & _reads_of_the_wood(drawn)[one.id]:
            stated += theirs[one.id][1]
        else:
            stated += real.part.interfaces(one.id, real.place, body)
    return replace(
        drawn,
        pieces=(body, *more),
        placed=tuple(placed),
        rooms=tuple(rooms),
        interfaces=tuple(stated),
        instrument=instrument,
    )


def _hosts(drawn: Layout) -> Mapping[str, str]:
    """The part from whose guard each part hangs: it goes where that goes."""
    return {
        void.part: piece.part
        for piece in drawn.pieces[1:]
        for void in piece.voids
        if piece.part and void.part != piece.part
    }


def _own_where_alike(drawn: Sequence[Room], fresh: Iterable[Room]) -> list[Room]:
    """Rooms, those of the drawn body in place of their equals: what was worked out of them
    holds."""
    was = {room.id: room for room in drawn}
    return [
        own
        if (own := was.get(room.id)) and own.kind is room.kind and same(own.shape, room.shape)
        else room
        for room in fresh
    ]


def _of_each(drawn: Layout) -> Mapping[str, tuple[list[Room], list[Interface]]]:
    """The rooms and the records of each placed part of the drawn body, by its id."""

    def find() -> dict[str, tuple[list[Room], list[Interface]]]:
        return {
            one.id: (
                [room for room in drawn.rooms if room.part == one.id],
                [record for record in drawn.interfaces if record.part == one.id],
            )
            for one in drawn.placed
        }

    return remembered(drawn, ("rooms and records",), find)


def _carved(contour: Contour, errors: Errors) -> Contour:
    """A contour as it is carved."""
    x, y, deeper = errors.carved.get(contour.id, (0.0, 0.0, 0.0))
    still = not (x or y or deeper)
    return contour if still else contour.moved(x, y, -deeper if contour.face == "front" else deeper)


def _reads_of_the_wood(drawn: Layout) -> Mapping[str, set[str]]:
    """What each part looks at in the drawn body when it is asked what it states, by its id."""

    def find() -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        for one in drawn.placed:
            seen = found[one.id] = set()
            one.part.interfaces(one.id, one.place, watched(drawn, seen.add).body)
        return found

    return remembered(drawn, ("reads of the wood",), find)


def _reads_of_pieces(drawn: Layout) -> Mapping[str, set[str]]:
    """Which of its sizes each part looks at when it is asked for its own workpieces, by its id."""

    def find() -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        for one in drawn.placed:
            seen = found[one.id] = set()
            part = watched(replace(drawn, placed=(one,)), seen.add).placed[0].part
            own_pieces(part, one.id, one.place, drawn.body)
        return found

    return remembered(drawn, ("reads of pieces",), find)


def necks(layout: Layout) -> list[str]:
    """The placed parts that hold a neck, and with it the strings."""
    return [one.part for kind in (Joint, Core) for one in layout.stated(kind)]


def _own(sizes: Mapping[tuple[str, str], float], owner: str) -> dict[str, float]:
    return {path: more for (name, path), more in sizes.items() if name == owner}


def changed(thing: Any, more: Mapping[str, float]) -> Any:
    """A dataclass with the sizes at dotted paths larger by `more`; items of a tuple count from 1,
    of a place in a part they are u and v."""
    if not more:
        return thing
    here = {head: _grown(getattr(thing, head), rest) for head, rest in _by_head(more).items()}
    return replace(thing, **here)


def _by_head(more: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """Dotted paths by their first name."""
    here: dict[str, dict[str, float]] = {}
    for path, by in more.items():
        head, _, rest = path.partition(".")
        here.setdefault(head, {})[rest] = by
    return here


def _grown(value: Any, rest: dict[str, float]) -> Any:
    if "" in rest:
        more = float(value) + rest[""]
        if isinstance(value, Size):  # its origin says what is only guessed
            return Size(more, value.origin, value.tolerance, value.claim)
        return more
    if isinstance(value, tuple):
        here = _by_head(rest)
        names = SPOT if is_spot(value) else [str(k) for k in range(1, len(value) + 1)]
        return tuple(_grown(v, here[k]) if k in here else v for k, v in zip(names, value))
    return changed(value, rest)


def _cut(void: Void, layout: Layout, errors: Errors, made: Made, shift: Shift) -> Void:
    """A void as it is cut."""
    shape = void.shape
    deeper = errors.deeper.get(void.id, 0.0)
    if (errors.thicker or errors.deeper) and shape.hole and ends_in_air(void, layout):
        # Drilled until it opens: the stock's thickness and the depth of what it opens into do not
        # stop it short.
        deeper = errors.thicker * (void.face != "edge") + sum(
            abs(made.depth(v.id)) for v in layout.voids if layout.meant(v, void)
        )
        deeper = max(deeper, 0.0)
    shape = shape.deepened(deeper, void.face)
    tilt = errors.tilts.get(void.id)
    if tilt is not None and shape.hole:
        shape = tilted(shape.hole, *tilt)
    (x, y), (dx, dy) = shift, errors.strayed.get(void.id, (0.0, 0.0))
    shape = shape.moved(x + dx, y + dy, -errors.thicker if void.face == "back" else 0.0)
    return void if shape is void.shape else replace(void, shape=shape)


def tilted(shape: Bore, about_u: float, about_v: float) -> Bore:
    """A bore turned at its start by small angles in degrees about the two axes across it."""
    u, v, d = shape.axes
    turn = math.radians(1.0) * (about_u * u + about_v * v)
    angle = float(np.linalg.norm(turn))
    if angle == 0.0:
        return shape
    axis = turn / angle
    new = d * math.cos(angle) + np.cross(axis, d) * math.sin(angle)
    x, y, z = (new / np.linalg.norm(new)).tolist()
    return replace(shape, direction=(x, y, z))


def _blank(blank: Blank, dx: float, dy: float) -> Blank:
    joints = tuple(y + dy for y in blank.joints)
    pins = tuple(Pin(p.x + dx, p.y + dy, p.diameter) for p in blank.pins)
    x0, x1, y0, y1 = blank.x0 + dx, blank.x1 + dx, blank.y0 + dy, blank.y1 + dy
    return replace(blank, x0=x0, x1=x1, y0=y0, y1=y1, joints=joints, pins=pins)


def differing(one: Any, two: Any, name: str) -> set[str]:
    """Dotted paths at which two dataclasses of one kind differ."""
    if one is two:
        return set()
    found: set[str] = set()
    for spec in fields(one):
        a, b, path = getattr(one, spec.name), getattr(two, spec.name), f"{name}.{spec.name}"
        if a is b:
            continue
        if is_dataclass(a) and type(a) is type(b) and not isinstance(a, Shape):
            found |= differing(a, b, path)
        elif isinstance(a, tuple) and isinstance(b, tuple) and len(a) == len(b):
            for k, (x, y) in enumerate(zip(a, b), 1):
                if is_dataclass(x) and type(x) is type(y):
                    found |= differing(x, y, f"{path}.{k}")
                elif x is not y and x != y:
                    found.add(path)
        elif a != b:
            found.add(path)
    return found
