"""What every part answers: the wood it needs removed and the room it takes, once it has a place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol

from bodycad.errors import InputError
from bodycad.fasteners import HEAD_SHARE, PILOT_SHARE
from bodycad.layout.interface import Interface, Screw
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import HeadForm


class Part(Protocol):
    """A dataclass of sizes (see bodycad.units.Size for their origin) that answers three questions.

    Each answer is in the frame of a right-handed body; `part` is the id under which the part was
    placed, `thickness` that of the plain stock, mm. A part may answer more: `pieces`, `fitted`,
    `shared_sizes` and `with_screws`, see the functions below; `idle`, a property: the names of its
    sizes that play no part in it as it is, which nobody measures; and, where it hangs from a guard,
    `openings(part, place, piece)`: the voids that it cuts in `piece`, a workpiece of another part,
    in that piece's own frame (`piece.frame` turns the instrument's into it), none in any other. One
    whose height is set under the strings answers `under_strings`, see `layout.heights`."""

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """Every cut and hole the part needs, with ids beginning with `part`."""
        ...

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The solids the fitted part fills, with ids beginning with `part`."""
        ...

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """What the part needs to work in the body `piece`, which has the voids of all parts.

        On a body as built the part is as it really is and `piece` as it was really cut: what a
        record says of a cut is read from `piece`, not from the part's own sizes."""
        ...


def fitted(part: Any, name: str, drawn: Any, made: Made) -> Any:
    """`part` with the id `name` in the wood cut for `drawn`, which came out as `made`.

    A part whose fields also say how the wood is cut (a clearance, a depth, the wood to leave)
    answers it by a method `fitted(part, drawn, made)`; a part without one is fitted as it is."""
    own = getattr(part, "fitted", None)
    return part if own is None else own(name, drawn, made)


def own_pieces(part: Any, name: str, place: Place, piece: Workpiece) -> tuple[Workpiece, ...]:
    """The workpieces that `part` with the id `name` brings to the body `piece`.

    A part answers it by a method `pieces(part, place, piece)`; a part without one has none."""
    own = getattr(part, "pieces", None)
    return () if own is None else tuple(own(name, place, piece))


def shared_sizes(part: Any) -> Mapping[str, str]:
    """Sizes of the part that are sizes of the instrument too: the dotted path there by that here.

    A part answers it by a method `shared_sizes()`; a path that ends with a dot stands for all sizes
    below it. The sizes of a part without one are independent of the instrument's."""
    own = getattr(part, "shared_sizes", None)
    return {} if own is None else own()


def with_other_screws(part: Any, name: str, screws: Sequence[Any]) -> Any:
    """The neck `part` with the id `name`, held by other screws.

    A part answers it by a method `with_screws(screws)`: each screw has u and v (mm from the middle
    of the block's bridge-side end toward the nut and the bass), wood (left under its seat) and
    length (under its head). Raises InputError for a part without one."""
    own = getattr(part, "with_screws", None)
    if own is None:
        raise InputError(
            f"the part {name}, a {type(part).__name__}",
            "one without with_screws",
            "a part that takes other screws",
            "give it a method with_screws(screws) that returns it with screws at their u, v, wood "
            "and length",
        )
    return own(tuple(screws))


def wood_screws(
    part: str, piece: Workpiece, pilots: Iterable[str], z: float = 0.0, through: float = 0.0
) -> Iterator[Screw]:
    """A countersunk wood screw in each of those pilots of a body, numbered from 1.

    `z`: height of the face that holes drilled downward are screwed into, mm (`Place.z`). `through`:
    thickness of what it holds there, by which it is bought longer than it reaches."""
    for k, name in enumerate(pilots, 1):
        hole = piece.by_id[name].shape.hole if name in piece.by_id else None
        if hole is None:
            continue
        thread, head = hole.diameter / PILOT_SHARE, HEAD_SHARE * hole.diameter / PILOT_SHARE
        at, way, reach = hole.start, hole.direction, hole.shoulder
        if way[2] < 0.0 and (air := (z - at[2]) / way[2]):
            at, reach = (at[0] + air * way[0], at[1] + air * way[1], z), reach - air
        yield Screw(
            part=part,
            number=k,
            hole=name,
            at=at,
            way=way,
            flange=head,
            thread=thread,
            reach=reach,
            length=through + reach,
            head=HeadForm.COUNTERSUNK,
        )
