"""What a part needs to work: plain frozen records in the frame of the instrument.

A check asks for records of one kind and judges what they say; it never asks of which class a part
is. Each record names its part (`part`) and the voids and rooms that it speaks of, by id. Lengths
are mm, angles degrees. A field declares what it holds, so that a record can be mirrored and moved
without knowing its kind: see `record`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from bodycad.declare import Count, CutId, Spot, Text, between, mm, over
from bodycad.errors import InputError, number
from bodycad.fasteners import Insert
from bodycad.geometry.plane.profile import Plan
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.record import Interface as Interface
from bodycad.layout.record import point, room, shape, void, way
from bodycad.wood import Species, species
from bodycad.words import Face, FitKind, Grain, HeadForm, HideKind, Mount, RoomKind, SweepKind, Wire

Size = Annotated[float, mm(0.0, 3000.0)]
Number = Annotated[int, between(1, 1000)]
Proud = Annotated[float, mm(0.0, 100.0)]


@dataclass(frozen=True, kw_only=True, eq=False)
class Saddle(Interface):
    """Where one string bears at the bridge.

    id: the saddle's name in findings. at: where the string leaves it, in the middle of its travel
    along the string and at its lowest. along: unit way of travel in plan, toward the nut. ahead,
    behind: travel from `at` toward the nut and away from it. low, high: least and greatest height
    of the string's point over the instrument's z = 0. string: the number of the string it serves,
    None where its position says so. bar: the room that goes up and down with it, a bar on posts,
    drawn where the saddle is lowest."""

    id: CutId
    at: Point3 = point()
    along: Point3 = way()
    ahead: Size
    behind: Size
    low: Spot
    high: Spot
    string: Number | None = None
    bar: CutId | None = room(default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        number(self._thing("high"), self.high, low=self.low)


@dataclass(frozen=True, kw_only=True, eq=False)
class StringHole(Interface):
    """A hole through the body that one string passes, and the seat that holds its ball end.

    hole: the void. seat: the void of its ferrule, None where the ball bears on bare wood. at: the
    mouth of the hole under the saddles. string: the string it serves, None where position says so.
    rise: how far the ferrule reaches out of the seat's floor; flange: its widest diameter; proud:
    how far it is meant to stand out of the shaped face."""

    hole: CutId = void()
    seat: CutId | None = void(default=None)
    at: Point3 = point()
    string: Number | None = None
    rise: Spot | None = None
    flange: Size = 0.0
    proud: Proud = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Anchor(Interface):
    """What holds string ends otherwise than by holes through the body: a bar, a tailpiece, the
    bridge's own edge.

    at: the points where the ends are held, one a string, or the two ends of a bar; where a string
    lies round a bar, the place behind that it bends round. strings: how many strings it holds.
    posts: voids of the posts that carry it. passes: diameter of the hole that each string goes
    through, None where it lies in a slot. string: the number of the string that it holds, where it
    holds one; None where its position says so."""

    at: tuple[Point3, ...] = point()
    strings: Number
    posts: tuple[CutId, ...] = void(default=())
    passes: Size | None = None
    string: Number | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if len(self.at) not in (2, self.strings):
            raise InputError(self._thing("at"), self.at, "one point a string, or a bar's two ends")
        if self.string is not None and self.strings != 1:
            raise InputError(self._thing("string"), self.string, "None for several strings")


@dataclass(frozen=True, kw_only=True, eq=False)
class Poles(Interface):
    """The sensing points of one row of poles, at rest: a pickup of two coils states two.

    points: where the poles end under the strings, one a string or one a course, in any order; or
    the two ends of a bar across the strings (bar=True). Where a string has a pair of poles, the
    point is between them. strings: the numbers of the strings that they serve, in the order of the
    points (of a bar, all that it runs under); empty where their position says so."""

    points: tuple[Point3, ...] = point()
    bar: bool = False
    strings: tuple[Number, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.points or (self.bar and len(self.points) != 2):
            allowed = "the two ends of the bar" if self.bar else "one point a string"
            raise InputError(self._thing("points"), self.points, allowed)
        if self.strings and not self.bar and len(self.strings) != len(self.points):
            allowed = f"one for each of the {len(self.points)} points, or none"
            raise InputError(self._thing("strings"), self.strings, allowed)


@dataclass(frozen=True, kw_only=True, eq=False)
class Sprung(Interface):
    """A solid whose height is set by screws that draw it against springs: a pickup.

    room: the solid at rest. at: where the head of each screw bears. reach: from there to the tip.
    press: height of the face of the solid that the springs press. holes: the screws' pilots in the
    floor that the springs stand on, one each; none where the screws hang from a sheet on the front
    and the springs press the solid down from under it. thread: outside diameter of the screws';
    bite: height of the lowest face of the solid that they are threaded through, where they hang.
    travel: how far the solid must still go down from rest. free, flat: a spring's length unloaded
    and pressed flat."""

    room: CutId = room()
    at: Annotated[tuple[Point3, ...], Count(1)] = point()
    reach: Size
    press: Spot
    holes: tuple[CutId, ...] = void(default=())
    thread: Annotated[float, over(100.0)]
    bite: Spot = 0.0
    travel: Size
    free: Size
    flat: Size

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.holes and len(self.holes) != len(self.at):
            allowed = f"one for each of the {len(self.at)} screws, or none"
            raise InputError(self._thing("holes"), self.holes, allowed)
        number(self._thing("flat"), self.flat, high=self.free)


@dataclass(frozen=True, kw_only=True, eq=False)
class Fit(Interface):
    """A solid that must enter a void.

    kind: which check asks. name: the solid's word in findings ("body", "feet", "cover"). room: the
    solid at rest. outer: the void it enters, whose floor counts too. below: how far down it must
    still go from rest, None where the floor below is not asked. hangs: True where the solid hangs
    from the ceiling of `outer`, however deep that is cut. plate: the room of the guard that the
    solid hangs from in the air of `outer`, None where it hangs from no guard. masked: True where
    the outer void is kept free of finish."""

    kind: FitKind
    name: Text
    plate: CutId | None = room(default=None)
    room: CutId = room()
    outer: CutId = void()
    below: Spot | None = None
    hangs: bool = False
    masked: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Hides(Interface):
    """A rim that must cover voids.

    kind: "on" lies on the face like a pickup's ring, "in" is let in like a cavity's cover. name:
    the rim's word in findings. rim: its outline in plan. room: the part that has the rim. face:
    where it lies. voids: what it must hide. recess: the void it is let into (kind "in"). screws:
    the pilots of its own screws, which stand in the wood that is left."""

    kind: HideKind
    name: Text
    rim: Plan = shape()
    room: CutId = room()
    face: Face
    voids: Annotated[tuple[CutId, ...], Count(1)] = void()
    recess: CutId | None = void(default=None)
    screws: tuple[CutId, ...] = void(default=())


@dataclass(frozen=True, kw_only=True, eq=False)
class Land(Interface):
    """A flat that a part wants.

    name: its subject in findings. On the front or back: `plan` is its outline. On the edge: a disc
    of `diameter` about `at`, or a plate `width` along the edge and `height` upright; `inward` is
    the unit way into the wood. flat: True where the edge itself must be flat under it (a jack's
    lip), not only free of edge treatment, or as round as a plate that is bent: its middle stands
    off its ends by `bow` mm. carved: True where the
    part may enter through a contour on purpose, because its seat is judged at its own depth."""

    name: Text
    face: Face
    plan: Plan | None = shape(default=None)
    at: Point3 | None = point(default=None)
    inward: Point3 | None = way(default=None)
    diameter: Size = 0.0
    width: Size = 0.0
    height: Size = 0.0
    bow: Spot = 0.0
    flat: bool = False
    carved: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.face is not Face.EDGE:
            self._needed("plan", f"the outline of what lies on the {self.face}")
            return
        self._needed("at", "the point of the edge that it lies on")
        self._needed("inward", "the unit way into the wood")
        if not (self.width > 0.0 and self.height > 0.0):
            number(self._thing("diameter"), self.diameter, above=0.0)

    @property
    def across(self) -> float:
        """How wide it lies along the edge, mm."""
        return self.diameter or self.width


@dataclass(frozen=True, kw_only=True, eq=False)
class Screw(Interface):
    """A screw, what it goes through and what it bites.

    number: its number in the part, from 1. hole: the void it passes or bites in the body. seat: the
    void of its counterbore. at: the middle of its seat. way: unit way from head to tip. clamps: the
    void whose floor it pulls on. flange: diameter of the head or ferrule on its seat. thread:
    outside diameter of the thread. reach: from the seat to the tip. head: its form. length: as it
    is bought, under a flat head, over all with a countersunk one. rise: how far head and ferrule
    stand out from the seat; proud: how far they are meant to stand out of the shaped face. bites:
    id of the room that the thread holds in, None where it holds in the body. pilot: diameter of the
    hole in what it bites. grip: length of thread there, None where the thread is as long as what
    stands there. loaded: True where the strings' pull goes through it. free: the hole in a cover or
    guard that it passes without biting. insert: the threaded insert in what it bites that a machine
    screw holds in, None for a wood screw."""

    number: Number
    hole: CutId = void()
    seat: CutId | None = void(default=None)
    at: Point3 = point()
    way: Point3 = way()
    flange: Size = 0.0
    thread: Annotated[float, over(100.0)]
    reach: Size
    length: Size | None = None
    clamps: CutId | None = void(default=None)
    bites: CutId | None = room(default=None)
    pilot: Size | None = None
    grip: Size | None = None
    loaded: bool = False
    free: CutId | None = void(default=None)
    head: HeadForm | None = None
    rise: Spot | None = None
    proud: Proud = 0.0
    insert: Insert | None = None

    @property
    def bitten(self) -> bool:
        """Whether a hole is drilled for it in what it bites: it states its diameter."""
        return self.bites is not None and bool(self.pilot)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bush(Interface):
    """A threaded bush that clamps wood between a shoulder and its nut.

    hole: the void it passes. under: the void whose ceiling is the wood's lower face; None where the
    hole is in a guard, which the bush clamps from face to face. at: its axis in the face. clamps:
    the thickest wood or guard it holds, nut and washer counted. washer: radius from the axis within
    which that counts. diameter: outside of its thread, mm, for which the hole must
    leave play; `complete` fails where it is left out."""

    hole: CutId = void()
    under: CutId | None = void(default=None)
    at: Point3 = point()
    clamps: Spot
    washer: Size
    diameter: Size | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Sweep(Interface):
    """A room that moves.

    kind: "plug" goes in through `bore` and needs air in `within`; "block" swings in `within`;
    "hand" is a knob, which needs room for fingers; "tool" is one that turns the truss rod from the
    body's side, brought in through `within` with the strings aside; "wrench" holds a nut inside,
    with air in `within`; "grip" is what a hand holds of a plug, outside the body and in the cup
    `within`. room: what it sweeps. bore: the void that leads it in. into: the void that `bore` must
    open into."""

    kind: SweepKind
    room: CutId = room()
    within: tuple[CutId, ...] = void(default=())
    bore: CutId | None = void(default=None)
    into: CutId | None = void(default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.kind is SweepKind.PLUG:
            self._needed("bore", "the id of the void that leads the plug in")
            self._needed("into", "the id of the void that the bore must open into")


@dataclass(frozen=True, kw_only=True, eq=False)
class Post(Interface):
    """A post that stands in wood and leans with the strings.

    hole: its void. pull: unit way. pivot: where what it carries tips on it, held by springs against
    the strings; None where it does not. springs: how far under the pivot they pull, mm."""

    hole: CutId = void()
    pull: Point3 = way()
    pivot: Point3 | None = point(default=None)
    springs: Size | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.pivot is not None:
            self._needed("springs", "how far under the pivot they pull, mm")
            number(self._thing("springs"), self.springs, above=0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Terminal(Interface):
    """Where the wires of a part end.

    kind: what the wire is for. voids: any of which will do (none for metal on the face). under: the
    room whose underside a ground hole must come out at. linked: True where the part needs a
    connection to something."""

    kind: Wire
    voids: tuple[CutId, ...] = void(default=())
    under: CutId | None = room(default=None)
    linked: bool = True


@dataclass(frozen=True, kw_only=True, eq=False)
class Way(Interface):
    """A drilled way for wires. hole: its void. kind: what runs in it. through: voids in turn."""

    hole: CutId = void()
    kind: Wire
    through: tuple[CutId, ...] = void()


@dataclass(frozen=True, kw_only=True, eq=False)
class Joint(Interface):
    """A neck that sits in a pocket of the body. The shapes of pocket and block say how deep, how
    tilted, how wide and how long they are; the record says what shapes cannot.

    mount: what holds it. pocket: the void, a prism. heel, board: rooms of the block under the
    fretboard (a prism) and of the fretboard over it, as thick as they are; how far the board runs
    on past the block, and where block and pocket belong, the instrument's neck says. end: the
    middle of the block's bridge-side end on the pocket's floor, the pivot that the strings turn it
    about. ahead: unit way toward the nut, in plan. rod_width, rod_depth: the truss rod's channel in
    the middle of the block, from the fretboard's underside. masked: the pocket is kept free of
    finish. species (or its name), grain: the neck's wood. glue: area of the glue faces, mm2, for a
    glued neck. shim_mouth, shim_end: how thick a full-size shim under the block is at its mouth and
    at its bridge-side end. open: the sides, treble or bass, on which the pocket is meant to have no
    wall at its mouth's end. tongue, slot: what of a tenon runs on past the block under the front,
    and the void that holds it."""

    mount: Mount
    pocket: CutId = void()
    heel: CutId = room()
    board: CutId = room()
    end: Point3 = point()
    ahead: Point3 = way()
    rod_width: Size = 0.0
    rod_depth: Size = 0.0
    masked: bool = False
    species: Species | Text | None = None
    grain: Grain = Grain.TANGENTIAL
    glue: Annotated[float, between(0.0, 1e6, "mm2")] = 0.0
    shim_mouth: Size = 0.0
    shim_end: Size = 0.0
    open: Annotated[tuple[Literal["treble", "bass"], ...], Count(0, 2)] = ()
    tongue: CutId | None = room(default=None)
    slot: CutId | None = void(default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))


@dataclass(frozen=True, kw_only=True, eq=False)
class Core(Interface):
    """A neck that runs through the body, which is its core with a wing glued to each side.

    board: room of the fretboard over the body, a prism whose underside says how high and how tilted
    the neck lies. width: of the core, over its glue lines. end: the middle of the fretboard's
    underside where the neck leaves the body. species (or its name): the core's wood."""

    board: CutId = room()
    width: Annotated[float, over(500.0)]
    end: Point3 = point()
    species: Species | Text | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))


@dataclass(frozen=True, kw_only=True, eq=False)
class Mass(Interface):
    """Kilograms at a point; without a point, in the middle of the part's rooms or voids."""

    kg: Annotated[float, between(0.0, 50.0, "kg")]
    at: Point3 | None = point(default=None)


@dataclass(frozen=True, kw_only=True, eq=False)
class Hardware(Interface):
    """A thing to buy for a part, or to have on hand, as the list of parts names it.

    what: plain words in the singular, without sizes ("string ferrule"). count: how many; 0 where
    the rooms are no thing to buy (air for wires or fingers). fills: the kinds of the part's rooms
    that it is, each said by one record of the part only. sizes: what to look for when it is bought,
    as rows ("hole", 7.9) in mm; a size keeps its origin. Screws, their inserts and springs are
    counted from `Screw` and `Sprung`, wires from the links, the neck and the strings from the
    instrument, sheets from their workpieces: no such thing is stated here as well.

    Raises InputError for a kind of room that is counted from something else."""

    what: Text
    count: Annotated[int, between(0, 1000)] = 1
    fills: Annotated[tuple[RoomKind, ...], Count(0, 20)] = ()
    sizes: Annotated[tuple[tuple[Text, Size], ...], Count(0, 20)] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        for kind in self.fills:
            if kind in COUNTED_ELSEWHERE:
                allowed = ", ".join(k for k in RoomKind if k not in COUNTED_ELSEWHERE)
                remedy = "screws are counted from Screw, the neck from the instrument"
                raise InputError(self._thing("fills"), kind, allowed, remedy)


COUNTED_ELSEWHERE = frozenset(map(RoomKind, ("screw", "neck", "board", "plug", "swing", "tool")))
"""Rooms of no hardware, or of what another record counts: screws and inserts, the neck, what moves
and what only passes."""

KINDS: tuple[type[Interface], ...] = (
    Saddle,
    StringHole,
    Anchor,
    Poles,
    Sprung,
    Fit,
    Hides,
    Land,
    Screw,
    Bush,
    Sweep,
    Post,
    Terminal,
    Way,
    Joint,
    Core,
    Mass,
    Hardware,
)
"""Every kind of record that a part may state."""


def known(record: object, part: str, voids: frozenset[str], rooms: frozenset[str]) -> Interface:
    """`record` when it is of KINDS, stated for `part` and of known ids; else InputError."""
    if not isinstance(record, KINDS):
        allowed = ", ".join(kind.__name__ for kind in KINDS)
        raise InputError(f"an interface of {part}", record, allowed)
    what = f"a {type(record).__name__} of {part}"
    if record.part != part:
        raise InputError(f"the part of {what}", record.part, repr(part), "pass on the given id")
    for holds, ids in (("void", voids), ("room", rooms)):
        for name in record.names(holds):
            if name not in ids:
                near = ", ".join(sorted(i for i in ids if i.startswith(part))) or "none yet"
                raise InputError(f"the {holds} of {what}", name, f"the id of a {holds}", near)
    return record
