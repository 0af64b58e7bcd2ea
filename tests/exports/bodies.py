"""Bodies for the tests of files: the sample with other voids, and one as crowded as a real
instrument."""

from dataclasses import replace

from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.layout.layout import Placed
from bodycad.layout.void import Void, from_back, from_front
from tests import sample

T = sample.THICKNESS


def design_of(*voids, **changes):
    """The sample body with other voids."""
    return replace(sample.design(), parts=(Placed("p", sample.Loose(tuple(voids))),), **changes)


def layout_of(*voids, **changes):
    return design_of(*voids, **changes).layout()


def pocket(name, shape, depth=10.0, operation="POCKET", face="front", opens=()):
    made = from_front(shape, depth) if face == "front" else from_back(shape, depth, T)
    return Void(name, "p", face, operation, made, frozenset({face, *opens}))


def hole(name, x, y, diameter=8.0, depth=10.0, face="front", operation="BORE", tip=180.0):
    start, down = ((x, y, 0.0), (0, 0, -1)) if face == "front" else ((x, y, -T), (0, 0, 1))
    return Void(
        name, "p", face, operation, bore(start, down, diameter, depth, tip), frozenset({face})
    )


def crowded():
    """About fifty cuts, set close, of every kind."""
    voids = [
        pocket("pickup.0.route", rectangle(38, 72, 4, 60, 0), 19),
        pocket("pickup.1.route", rectangle(20, 72, 4, 108, 0), 19),
    ]
    voids += [
        pocket("neck.pocket", rectangle(80, 56, 5, 170, 0), 16, opens=("edge",)),
        pocket("control.cavity", rectangle(130, 60, 12, -62, -92), 37, face="back"),
        pocket("control.ear", rectangle(40, 80, 12, -62, -92), 37, face="back"),
        pocket("control.recess", rectangle(146, 96, 18, -62, -92), 3, "RECESS", "back"),
    ]
    for k in range(6):
        voids += [
            hole(f"bridge.string.{k + 1}", -18, -26.25 + 10.5 * k, 3.2, T),
            hole(f"bridge.ferrule.{k + 1}", -18, -26.25 + 10.5 * k, 8, 10, "back"),
        ]
    voids += [
        hole(f"bridge.screw.{k + 1}", 20, -20 + 10 * k, 2.4, 20, "front", "PILOT", 118)
        for k in range(5)
    ]
    for k, (x, y) in enumerate([(150, 19), (150, -19), (190, 19), (190, -19)]):
        voids += [
            hole(f"neck.bolt.{k + 1}.clearance", x, y, 4.5, T),
            hole(f"neck.bolt.{k + 1}.seat", x, y, 14, 6, "back"),
        ]
    for k, (x, y) in enumerate((x, y) for x in (45, 75, 100, 115) for y in (-43, 43)):
        voids.append(hole(f"pickup.{k // 4}.screw.{k % 4}", x, y, 2.4, 15, "front", "PILOT", 118))
    voids += [
        hole(f"control.{k}.shaft", x, y, 9.5, 10)
        for k, (x, y) in enumerate([(-30, -80), (-65, -90), (-100, -85), (-20, -110)])
    ]
    voids += [
        hole(f"control.cover.{k}", x, y, 2.4, 14, "back", "PILOT", 118)
        for k, (x, y) in enumerate([(-128, -60), (3, -60), (-128, -124), (3, -124)])
    ]
    far = frozenset()
    wire = bore((60, -20, -12), (-100, -40, -8), 6.35, 100)
    voids += [
        Void("wire.pickup.0.control", "p", "front", "CHANNEL", wire, far),
        Void(
            "bridge.ground",
            "p",
            "front",
            "CHANNEL",
            bore((-18, -5, 0), (-60, -80, -30), 3.2, 90),
            far,
        ),
        Void("jack.bore", "p", "edge", "BORE", bore((-200, -90, -22), (1, 0, 0), 22.2, 80), far),
        Void(
            "strap.0.screw",
            "p",
            "edge",
            "PILOT",
            bore((-200, 0, -22), (1, 0, -0.1), 3.2, 25, 118),
            far,
        ),
        Void(
            "strap.1.screw",
            "p",
            "edge",
            "PILOT",
            bore((150, 150, -22), (-0.2, -1, 0), 3.2, 25, 118),
            far,
        ),
    ]
    return design_of(*voids)
