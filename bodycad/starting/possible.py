"""Which answers go together, and what a refusal offers: answers that are not refused again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from bodycad.errors import InputError
from bodycad.starting.answers import (
    BRIDGES,
    COUNTS,
    FRONT,
    GAUGE,
    GAUGES,
    JOINTS,
    MOUNTS,
    PICKUPS,
    REACH,
    SCALES,
    SWITCHES,
    Answers,
)

WORDS: Mapping[str, tuple[Any, ...]] = MappingProxyType(
    {
        "joint": tuple(JOINTS),
        "bridge": tuple(BRIDGES),
        "mount": tuple(MOUNTS),
        "volumes": (1, 2, 3),
        "tones": (0, 1, 2),
        "switch": tuple(SWITCHES),
        "frets": tuple(range(19, 25)),
    }
)
"""What each answer may be that a refusal asks to change; pickups are a list."""
MOST = 3
"""So many answers may have to change before all go together."""


@dataclass(frozen=True)
class Clash:
    """Answers that do not go together: the `options` of which one must change, the likeliest
    first, and why."""

    options: tuple[str, ...]
    why: str


def settled(given: Answers) -> Answers:
    """The answers with what was left open filled in. Raises InputError, in one line that says why
    and names what can be made instead, for what the kit cannot make."""
    count = given.strings
    _among("--strings", count, COUNTS)
    gauges = given.gauges or GAUGES[count]
    if len(gauges) != count:
        allowed = f"{count} gauges, treble first"
        raise InputError("--gauges", ",".join(gauges), allowed, "give one for each string")
    for gauge in gauges:
        if not GAUGE.fullmatch(gauge):
            raise InputError("--gauges", gauge, "inches such as .010, or .026w for a wound string")
    for option, word, table in (
        ("--joint", given.joint, JOINTS),
        ("--bridge", given.bridge, BRIDGES),
        *(("--pickups", one, PICKUPS) for one in given.pickups),
        *((("--mount", given.mount, MOUNTS),) if given.mount else ()),
        *((("--switch", given.switch, SWITCHES),) if given.switch else ()),
    ):
        _among(option, word, table)
    if not 1 <= len(given.pickups) <= 3:
        raise InputError("--pickups", ",".join(given.pickups), "one to three kinds, neck first")
    _among("--volumes", given.volumes, WORDS["volumes"])
    _among("--tones", given.tones, WORDS["tones"])
    low, high = (760.0, 920.0) if given.bass else (590.0, 760.0)
    if given.scale and not low <= given.scale <= high:
        why = f"{low:g} to {high:g} mm with {count} strings"
        raise InputError("--scale", given.scale, why, "lengths are mm, or inches as 25.5in")
    if given.frets and given.frets not in WORDS["frets"]:
        raise InputError("--frets", given.frets, "19 to 24")
    made = _filled(given)
    if (found := clash(made)) is not None:
        raise _refused(given, found)
    return made


def _among(option: str, word: object, table: object) -> None:
    assert isinstance(table, (tuple, Mapping))
    if word not in table:
        raise InputError(option, word, ", ".join(map(str, table)))


def _filled(given: Answers) -> Answers:
    """The answers with what was left open as usual; the mount as all else lets it be."""
    count, several = given.strings, len(given.pickups) > 1
    made = replace(
        given,
        gauges=given.gauges or GAUGES[count],
        scale=given.scale or SCALES[count],
        frets=given.frets or (20 if given.bass else 22),
        switch=given.switch or ("toggle" if several and given.volumes == 1 else "none"),
    )
    if given.mount:
        return made
    usual = "ring" if set(given.pickups) <= {"humbucker", "small"} else "wood"
    ways = [replace(made, mount=mount) for mount in (usual, *MOUNTS)]
    return next((way for way in ways if clash(way) is None), ways[0])


def clash(one: Answers) -> Clash | None:
    """What cannot be made of the parts at hand, the first of it."""
    return next(_clashes(one), None)


def _clashes(one: Answers) -> Iterator[Clash]:
    kinds, vibrato = set(one.pickups), "vibrato" in one.bridge
    if "split" in kinds and one.strings != 4:
        yield Clash(("pickups",), "a split pair serves four strings")
    if "split" in kinds and len(one.pickups) > 2:
        yield Clash(("pickups",), "a split pair leaves no room for two more")
    if one.mount == "ring" and not kinds <= {"humbucker", "small"}:
        yield Clash(("mount", "pickups"), "only two-coil pickups have rings")
    if one.mount == "ears" and kinds != {"soapbar"}:
        yield Clash(("mount", "pickups"), "only soapbars have ears")
    if one.bass and one.bridge not in ("hardtail", "plate"):
        yield Clash(("bridge",), "the kit has no such bridge for a bass")
    if one.strings > 6 and one.bridge in ("posts", "wrap"):
        yield Clash(("bridge",), "bars on two posts are made for six strings")
    if one.strings > 7 and vibrato:
        yield Clash(("bridge",), "vibratos are made for six and seven strings")
    if vibrato and one.joint == "through":
        words = "spring cavity and pickups' routes would leave too little of the core"
        yield Clash(("joint", "bridge"), words)
    if one.bridge in ("posts", "wrap") and one.mount != "ring":
        words = f"over its posts the strings stand too high for pickups by {one.mount}"
        yield Clash(("mount", "pickups", "bridge"), words)
    if vibrato and one.mount == "wood":
        words = "a vibrato's spring cavity leaves no wood for the screws of the pickups"
        yield Clash(("mount", "pickups", "bridge"), words)
    if len(one.pickups) > 2 and (one.bass or one.joint == "through"):
        words = "no drill for wires comes past the middle one to the first"
        yield Clash(("pickups", "joint"), words)
    if len(one.pickups) == 3 and _room(one) < 1.0:
        yield Clash(("pickups", "frets"), "they do not fit between bridge and fretboard")
    if one.volumes + one.tones > 4:
        yield Clash(("tones", "volumes"), "the body has room for four pots in a row")
    if one.volumes > len(one.pickups):
        yield Clash(("volumes", "pickups"), "each volume wants a pickup of its own")
    if one.switch != "none" and len(one.pickups) == 1:
        yield Clash(("switch", "pickups"), "one pickup leaves nothing to choose")


def _room(one: Answers) -> float:
    """What three pickups leave between one and the next, mm."""
    neck, middle, bridge = (REACH[kind] for kind in one.pickups)
    board = one.scale * float(2.0 ** (-one.frets / 12.0)) - 4.0
    return (board - 4.5 - FRONT - neck - bridge) / 2.0 - middle - max(neck, bridge)


def _changed(given: Answers, options: tuple[str, ...]) -> Iterator[tuple[str, Any, Answers]]:
    """Every answer that may stand in the place of one of these, and the answers with it. A mount
    that nobody asked for goes with the pickups."""
    for option in options:
        if option == "mount" and not given.mount:
            continue
        now = getattr(given, option)
        for word in _lists(given.pickups) if option == "pickups" else WORDS[option]:
            if word != now:
                made: dict[str, Any] = {option: word}
                yield option, word, replace(given, **made)


def _lists(pickups: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """Pickups instead of these: some of these, one more, or any of one kind."""
    some = pickups[:1] + pickups[-1:], pickups[-1:], (*pickups, pickups[-1])[:3]
    alike = ((kind,) * count for count in (1, 2, 3) for kind in PICKUPS)
    return tuple(dict.fromkeys((*some, *alike)))


def _within(given: Answers, most: int) -> bool:
    """Whether some change of so many answers at most makes them go together."""
    found = clash(_filled(given))
    if found is None or not most:
        return found is None
    return any(_within(other, most - 1) for *_, other in _changed(given, found.options))


def cures(given: Answers) -> dict[str, list[Any]]:
    """By option, the first steps of every shortest way to answers that go together: who takes one
    is never asked for the same option again, for then there were a shorter way."""
    found = clash(_filled(given))
    steps: dict[str, list[Any]] = {}
    for more in range(MOST if found else 0):
        for option, word, other in _changed(given, found.options if found else ()):
            if _within(other, more):
                steps.setdefault(option, []).append(word)
        if steps:
            break
    if "pickups" in steps:  # as many as now, or nearly
        apart = [abs(len(word) - len(given.pickups)) for word in steps["pickups"]]
        kept = zip(steps["pickups"], apart)
        steps["pickups"] = [word for word, far in kept if far == min(apart)]
    return steps


def _refused(given: Answers, found: Clash) -> InputError:
    """The error that names what stands in the way, why, and every cure."""
    steps = cures(given)
    option, *others = steps or found.options
    more = [f"--{name} {listed(steps[name])}" for name in others if name in steps]
    remedy = f"{found.why}; or take {', or '.join(more)}" if more else found.why
    now = getattr(_filled(given), option)
    return InputError(f"--{option}", written(now), listed(steps.get(option, ["another"])), remedy)


def written(word: Any) -> Any:
    """An answer as an option has it."""
    return ",".join(word) if isinstance(word, tuple) else word


def listed(words: list[Any]) -> str:
    """Answers to choose from."""
    return " or ".join(str(written(word)) for word in words)
