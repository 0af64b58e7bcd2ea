"""How a first script wires what it places: from every pickup one way to the jack."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.starting.answers import Answers

PLACES = {1: ("bridge",), 2: ("neck", "bridge"), 3: ("neck", "middle", "bridge")}
"""Where so many pickups stand."""
JACK, SWITCH = "jack", "switch"
CABLE = 4.0
"""The bundle of the shielded cable to the jack, mm; other wires are as thin as a link's usual."""


def numbered(kind: str, count: int) -> list[str]:
    """The ids of so many parts of a kind."""
    return [kind] if count == 1 else [f"{kind}.{k}" for k in range(1, count + 1)]


def wiring(one: Answers) -> Iterator[tuple[str, str]]:
    """What feeds what (common practice, no source). One volume stands behind the switch, several
    before it, a pickup at each. A tone serves the volume of its number; a lone one serves all that
    meets at the switch, or lets the volumes meet itself; two beside one volume hang on the switch,
    each for a pickup."""
    volumes, tones = numbered("volume", one.volumes), numbered("tone", one.tones)
    pickups = [f"pickup.{place}" for place in PLACES[len(one.pickups)]]
    switched = one.switch != "none"
    if len(volumes) == 1:
        meet = SWITCH if switched else volumes[0]
        yield from ((pickup, meet) for pickup in pickups)
        if switched:
            yield SWITCH, volumes[0]
        yield from ((tone, meet if len(tones) > 1 else volumes[0]) for tone in tones)
        yield volumes[0], JACK
        return
    for k, pickup in enumerate(pickups):  # the last volume takes what is left
        yield pickup, volumes[min(k, len(volumes) - 1)]
    meet = SWITCH if switched else tones[0] if len(tones) == 1 else JACK
    yield from ((volume, meet) for volume in volumes)
    if len(tones) > 1:
        yield from zip(tones, volumes)
    elif tones and meet != tones[0]:
        yield tones[0], meet
    if meet != JACK:
        yield meet, JACK
