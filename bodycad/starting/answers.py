"""What `bodycad new` asks: the answers, each kind in one line of words, and what cannot be made."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from bodycad.errors import InputError

JOINTS: Mapping[str, str] = MappingProxyType(
    {
        "ferrules": "wood screws on single ferrules",
        "plate": "wood screws through a plate",
        "inserts": "machine screws through a plate into threaded inserts",
        "tenon": "a tenon glued into its mortise",
        "through": "the neck runs through the body as its core",
    }
)
BRIDGES: Mapping[str, str] = MappingProxyType(
    {
        "hardtail": "a fixed plate, strings through the body",
        "plate": "a fixed plate that holds the strings in its rear edge",
        "posts": "a bar with saddles on two posts, and a tailpiece on two more",
        "wrap": "one bar on two posts, bridge and anchor in one",
        "vibrato": "a vibrato that tips on a row of screws",
        "post-vibrato": "a vibrato that tips on two posts",
    }
)
PICKUPS: Mapping[str, str] = MappingProxyType(
    {
        "humbucker": "two coils",
        "small": "two coils in a small frame",
        "single": "one coil with a tab at each end",
        "soapbar": "one block without feet",
        "split": "a split pair of halves, for a four-string bass",
    }
)
MOUNTS: Mapping[str, str] = MappingProxyType(
    {
        "ring": "a ring on the front holds it and hides its route",
        "wood": "screws into the floor of its route",
        "ears": "ears of its cover, screwed to the front",
    }
)
SWITCHES: Mapping[str, str] = MappingProxyType(
    {
        "none": "no switch",
        "toggle": "a three-way toggle",
        "blade": "a blade switch",
    }
)
COUNTS = 4, 5, 6, 7, 8
GAUGES: Mapping[int, tuple[str, ...]] = MappingProxyType(
    {
        4: (".045w", ".065w", ".085w", ".105w"),
        5: (".045w", ".065w", ".085w", ".105w", ".130w"),
        6: (".010", ".013", ".017", ".026w", ".036w", ".046w"),
        7: (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w"),
        8: (".010", ".013", ".017", ".026w", ".036w", ".046w", ".059w", ".074w"),
    }
)
"""Usual sets, treble first (common practice, no source)."""
SCALES: Mapping[int, float] = MappingProxyType({4: 860.0, 5: 864.0, 6: 640.0, 7: 660.0, 8: 686.0})
PITCH: Mapping[int, float] = MappingProxyType({4: 19.0, 5: 17.5, 6: 10.5, 7: 10.5, 8: 10.5})
"""From string to string at the saddles, mm (common practice, no source)."""
NUT: Mapping[int, tuple[float, float]] = MappingProxyType(
    {4: (42.0, 32.5), 5: (47.0, 39.5), 6: (42.0, 35.0), 7: (48.0, 41.5), 8: (55.0, 48.0)}
)
"""Width of the nut and spread of the strings there, mm (common practice, no source)."""

REACH: Mapping[str, float] = MappingProxyType(
    {"humbucker": 23.3, "small": 20.6, "single": 10.0, "soapbar": 18.5, "split": 29.0}
)
"""From a pickup's middle to its edge along the strings, its ring or its route included, mm."""
FRONT = 16.5
"""Where a bridge ends toward the pickups, about, mm from the scale line."""

GAUGE = re.compile(r"([0-9]*\.[0-9]+|[0-9]+)w?")
"""A gauge as it stands in a script: it is put into the script's text."""


@dataclass(frozen=True)
class Answers:
    """What a maker wants; the words are those of the tables. pickups: from the neck to the
    bridge."""

    strings: int = 6
    gauges: tuple[str, ...] = ()
    scale: float = 0.0
    frets: int = 0
    joint: str = "ferrules"
    bridge: str = "hardtail"
    pickups: tuple[str, ...] = ("humbucker", "humbucker")
    mount: str = ""
    volumes: int = 1
    tones: int = 1
    switch: str = ""
    left_handed: bool = False

    @property
    def bass(self) -> bool:
        """Whether it is a bass: four or five strings."""
        return self.strings <= 5


def settled(given: Answers) -> Answers:
    """The answers with what was left open filled in. Raises InputError, in one line that says why,
    for what the kit cannot make."""
    from dataclasses import replace

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
    if not 1 <= given.volumes <= 3 or not 0 <= given.tones <= 2:
        allowed = "1 to 3 volumes and 0 to 2 tones"
        raise InputError("the controls", f"{given.volumes} and {given.tones}", allowed)
    several = len(given.pickups) > 1
    switch = given.switch or ("toggle" if several and given.volumes == 1 else "none")
    frets = given.frets or (20 if given.bass else 22)
    low, high = (760.0, 920.0) if given.bass else (590.0, 760.0)
    scale = given.scale or SCALES[count]
    if not low <= scale <= high:
        why = f"{low:g} to {high:g} mm with {count} strings"
        raise InputError("--scale", scale, why, "lengths are mm, or inches as 25.5in")
    if not 19 <= frets <= 24:
        raise InputError("--frets", frets, "19 to 24")
    made = replace(
        given,
        gauges=gauges,
        scale=scale,
        frets=frets,
        switch=switch,
        mount=given.mount or _usual_mount(given.pickups),
    )
    _possible(made)
    return made


def _usual_mount(pickups: tuple[str, ...]) -> str:
    return "ring" if all(one in ("humbucker", "small") for one in pickups) else "wood"


def _among(option: str, word: object, table: object) -> None:
    assert isinstance(table, (tuple, Mapping))
    if word not in table:
        raise InputError(option, word, ", ".join(map(str, table)))


def _possible(one: Answers) -> None:
    """Refuse what cannot be made of the parts at hand."""

    def refuse(option: str, word: object, allowed: str, remedy: str) -> None:
        raise InputError(option, word, allowed, remedy)

    if "split" in one.pickups and one.strings != 4:
        words = "a split pair serves four strings"
        refuse("--pickups", "split", "another kind", words)
    if "split" in one.pickups and len(one.pickups) > 2:
        words = "a split pair leaves no room for two more"
        refuse("--pickups", ",".join(one.pickups), "one or two kinds", words)
    if one.mount == "ring" and not set(one.pickups) <= {"humbucker", "small"}:
        refuse("--mount", "ring", "wood, or ears for soapbars", "only two-coil pickups have rings")
    if one.mount == "ears" and set(one.pickups) != {"soapbar"}:
        refuse("--mount", "ears", "ring or wood", "only soapbars have ears")
    if one.bass and one.bridge not in ("hardtail", "plate"):
        words = "the kit has no such bridge for a bass"
        refuse("--bridge", one.bridge, "hardtail or plate", words)
    if one.strings > 6 and one.bridge in ("posts", "wrap"):
        words = "bars on two posts are made for six strings"
        refuse("--bridge", one.bridge, "hardtail, plate, vibrato or post-vibrato", words)
    if one.strings > 7 and "vibrato" in one.bridge:
        words = "vibratos are made for six and seven strings"
        refuse("--bridge", one.bridge, "hardtail or plate", words)
    if "vibrato" in one.bridge and one.joint == "through":
        words = "spring cavity and pickups' routes would leave too little of the core"
        refuse("--joint", "through", "another joint, or a bridge without springs", words)
    if one.bridge in ("posts", "wrap") and one.mount != "ring":
        words = f"over its posts the strings stand too high for pickups by {one.mount}"
        refuse("--bridge", one.bridge, "humbuckers in rings, or hardtail or plate", words)
    if "vibrato" in one.bridge and one.mount == "wood":
        words = "its spring cavity leaves no wood for the screws of the pickups"
        pair = f"{one.bridge} with --mount {one.mount}"
        refuse("--bridge", pair, "--mount ring or ears, or --bridge hardtail or plate", words)
    if len(one.pickups) > 2 and (one.bass or one.joint == "through"):
        words = "no drill for wires comes past the middle one to the first"
        refuse("--pickups", ",".join(one.pickups), "one or two", words)
    if len(one.pickups) == 3:
        neck, middle, bridge = (REACH[kind] for kind in one.pickups)
        board = one.scale * 2.0 ** (-one.frets / 12.0) - 4.0
        room = (board - 4.5 - FRONT - neck - bridge) / 2.0 - middle - max(neck, bridge)
        if room < 1.0:
            words = "they do not fit between bridge and fretboard"
            refuse(
                "--pickups", ",".join(one.pickups), "two, or smaller ones, or fewer frets", words
            )
    if one.volumes + one.tones > 4:
        words = "the body has room for four in a row"
        refuse("the controls", f"{one.volumes + one.tones} pots", "at most 4", words)
    if one.volumes > len(one.pickups):
        words = "each volume wants a pickup of its own"
        refuse("the controls", f"{one.volumes} volumes", f"at most {len(one.pickups)}", words)
    if one.switch != "none" and len(one.pickups) == 1:
        refuse("--switch", one.switch, "none", "one pickup leaves nothing to choose")
