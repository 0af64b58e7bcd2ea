"""What a part needs to work: plain frozen records in the frame of the instrument.

A check asks for records of one kind and judges what they say; it never asks of which class a part
is. Each record names its part (`part`) and the voids and rooms that it speaks of, by id. Lengths
are mm, angles degrees. A field declares what it holds, so that a record can be mirrored and moved
without knowing its kind: see `record`.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.errors import InputError, number
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.record import Interface as Interface
from bodycad.layout.record import chosen, point, room, shape, void, way
from bodycad.wood import Species, species
from bodycad.words import Face, FitKind, Grain, HeadForm, HideKind, Mount, SweepKind, Wire, word


def _sunk(one: Interface, rise: float | None, proud: float) -> None:
    """Raises InputError where what `one` states of a head or a ferrule cannot be."""
    if rise is not None:
        number(f"the rise of {one.part}'s {type(one).__name__}", rise)
    number(f"the proud of {one.part}'s {type(one).__name__}", proud, low=0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Saddle(Interface):
    """Where one string bears at the bridge.

    id: the saddle's name in findings. at: where the string leaves it, in the middle of its travel
    along the string and at its lowest. along: unit way of travel in plan, toward the nut. ahead,
    behind: travel from `at` toward the nut and away from it. low, high: least and greatest height
    of the string's point over the instrument's z = 0. string: the number of the string it serves,
    None where its position says so."""

    id: str
    at: Point3 = point()
    along: Point3 = way()
    ahead: float
    behind: float
    low: float
    high: float
    string: int | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        number(self._thing("ahead"), self.ahead, low=0.0)
        number(self._thing("behind"), self.behind, low=0.0)
        number(self._thing("high"), self.high, low=number(self._thing("low"), self.low))


@dataclass(frozen=True, kw_only=True, eq=False)
class StringHole(Interface):
    """A hole through the body that one string passes, and the seat that holds its ball end.

    hole: the void. seat: the void of its ferrule, None where the ball bears on bare wood. at: the
    mouth of the hole under the saddles. string: the string it serves, None where position says so.
    rise: how far the ferrule reaches out of the seat's floor; flange: its widest diameter; proud:
    how far it is meant to stand out of the shaped face."""

    hole: str = void()
    seat: str | None = void(default=None)
    at: Point3 = point()
    string: int | None = None
    rise: float | None = None
    flange: float = 0.0
    proud: float = 0.0

    def __post_init__(self) -> None:
        super().__post_init__()
        _sunk(self, self.rise, self.proud)


@dataclass(frozen=True, kw_only=True, eq=False)
class Anchor(Interface):
    """What holds string ends otherwise than by holes through the body: a bar, a tailpiece, the
    bridge's own edge.

    at: the points where the ends are held, one a string, or the two ends of a bar. strings: how
    many strings it holds. posts: voids of the posts that carry it."""

    at: tuple[Point3, ...] = point()
    strings: int
    posts: tuple[str, ...] = void(default=())

    def __post_init__(self) -> None:
        super().__post_init__()
        number(self._thing("strings"), self.strings, low=1)
        if len(self.at) not in (2, self.strings):
            raise InputError(self._thing("at"), self.at, "one point a string, or a bar's two ends")


@dataclass(frozen=True, kw_only=True, eq=False)
class Poles(Interface):
    """The sensing points of one row of poles, at rest: a pickup of two coils states two.

    points: where the poles end under the strings, one a string, in any order; or the two ends of a
    bar across the strings (bar=True)."""

    points: tuple[Point3, ...] = point()
    bar: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.points or (self.bar and len(self.points) != 2):
            allowed = "the two ends of the bar" if self.bar else "one point a string"
            raise InputError(self._thing("points"), self.points, allowed)


@dataclass(frozen=True, kw_only=True, eq=False)
class Fit(Interface):
    """A solid that must enter a void.

    kind: which check asks. name: the solid's word in findings ("body", "feet", "cover"). room: the
    solid at rest. outer: the void it enters, whose floor counts too. below: how far down it must
    still go from rest, None where the floor below is not asked. hangs: True where the solid hangs
    from the ceiling of `outer`, however deep that is cut. masked: True where the outer void is
    kept free of finish."""

    kind: FitKind = chosen(FitKind)
    name: str
    room: str = room()
    outer: str = void()
    below: float | None = None
    hangs: bool = False
    masked: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Hides(Interface):
    """A rim that must cover voids.

    kind: "on" lies on the face like a pickup's ring, "in" is let in like a cavity's cover. name:
    the rim's word in findings. rim: its outline in plan. room: the part that has the rim. face:
    where it lies. voids: what it must hide. recess: the void it is let into (kind "in"). screws:
    the pilots of its own screws, which stand in the wood that is left."""

    kind: HideKind = chosen(HideKind)
    name: str
    rim: Profile = shape()
    room: str = room()
    face: Face = chosen(Face)
    voids: tuple[str, ...] = void()
    recess: str | None = void(default=None)
    screws: tuple[str, ...] = void(default=())

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.voids:
            raise InputError(self._thing("voids"), self.voids, "the ids of what the rim must hide")


@dataclass(frozen=True, kw_only=True, eq=False)
class Land(Interface):
    """A flat that a part wants.

    name: its subject in findings. On the front or back: `plan` is its outline. On the edge: a disc
    of `diameter` about `at`, `inward` the unit way into the wood. flat: True where the edge itself
    must be flat under it (a jack's lip), not only free of edge treatment. carved: True where the
    part may enter through a contour on purpose, because its seat is judged at its own depth."""

    name: str
    face: Face = chosen(Face)
    plan: Profile | None = shape(default=None)
    at: Point3 | None = point(default=None)
    inward: Point3 | None = way(default=None)
    diameter: float = 0.0
    flat: bool = False
    carved: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.face is not Face.EDGE:
            self._needed("plan", f"the outline of what lies on the {self.face}")
            return
        self._needed("at", "the point of the edge that it lies on")
        self._needed("inward", "the unit way into the wood")
        number(self._thing("diameter"), self.diameter, above=0.0)


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
    guard that it passes without biting."""

    number: int
    hole: str = void()
    seat: str | None = void(default=None)
    at: Point3 = point()
    way: Point3 = way()
    flange: float = 0.0
    thread: float
    reach: float
    length: float | None = None
    clamps: str | None = void(default=None)
    bites: str | None = room(default=None)
    pilot: float | None = None
    grip: float | None = None
    loaded: bool = False
    free: str | None = void(default=None)
    head: HeadForm | None = None
    rise: float | None = None
    proud: float = 0.0

    def __post_init__(self) -> None:
        super().__post_init__()
        _sunk(self, self.rise, self.proud)
        if self.head is not None:
            head = word(HeadForm, self.head, self._thing("the head"))
            object.__setattr__(self, "head", head)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bush(Interface):
    """A threaded bush that clamps wood between a shoulder and its nut.

    hole: the void it passes. under: the void whose ceiling is the wood's lower face. at: its axis
    in the face. clamps: the thickest wood it holds, nut and washer counted. washer: radius from the
    axis within which the wood counts. diameter: outside of its thread, mm, for which the hole must
    leave play; `complete` fails where it is left out."""

    hole: str = void()
    under: str = void()
    at: Point3 = point()
    clamps: float
    washer: float
    diameter: float | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Sweep(Interface):
    """A room that moves.

    kind: "plug" goes in through `bore` and needs air in `within`; "block" swings in `within`;
    "hand" is a knob, which needs room for fingers. room: what it sweeps. bore: the void that leads
    it in. into: the void that `bore` must open into."""

    kind: SweepKind = chosen(SweepKind)
    room: str = room()
    within: tuple[str, ...] = void(default=())
    bore: str | None = void(default=None)
    into: str | None = void(default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.kind is SweepKind.PLUG:
            self._needed("bore", "the id of the void that leads the plug in")
            self._needed("into", "the id of the void that the bore must open into")


@dataclass(frozen=True, kw_only=True, eq=False)
class Post(Interface):
    """A post that stands in wood and leans with the strings. hole: its void. pull: unit way."""

    hole: str = void()
    pull: Point3 = way()


@dataclass(frozen=True, kw_only=True, eq=False)
class Terminal(Interface):
    """Where the wires of a part end.

    kind: what the wire is for. voids: any of which will do (none for metal on the face). under: the
    room whose underside a ground hole must come out at. linked: True where the part needs a
    connection to something."""

    kind: Wire = chosen(Wire)
    voids: tuple[str, ...] = void(default=())
    under: str | None = room(default=None)
    linked: bool = True


@dataclass(frozen=True, kw_only=True, eq=False)
class Way(Interface):
    """A drilled way for wires. hole: its void. kind: what runs in it. through: voids in turn."""

    hole: str = void()
    kind: Wire = chosen(Wire)
    through: tuple[str, ...] = void()


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
    glued neck."""

    mount: Mount = chosen(Mount)
    pocket: str = void()
    heel: str = room()
    board: str = room()
    end: Point3 = point()
    ahead: Point3 = way()
    rod_width: float = 0.0
    rod_depth: float = 0.0
    masked: bool = False
    species: Species | str | None = None
    grain: Grain = chosen(Grain, default=Grain.TANGENTIAL)
    glue: float = 0.0

    def __post_init__(self) -> None:
        super().__post_init__()
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))


@dataclass(frozen=True, kw_only=True, eq=False)
class Mass(Interface):
    """Kilograms at a point; without a point, in the middle of the part's rooms or voids."""

    kg: float
    at: Point3 | None = point(default=None)


KINDS: tuple[type[Interface], ...] = (
    Saddle,
    StringHole,
    Anchor,
    Poles,
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
    Mass,
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
