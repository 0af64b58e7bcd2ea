"""The bench body of `tests.strangers` with neck, pickup and bridge of a maker's own classes."""

from __future__ import annotations

from bodycad import Channel, Design, Place, Placed
from tests.strangers.bench import HEEL_X, quoin, skin
from tests.strangers.bridges import Comb
from tests.strangers.necks import OwnNeck, Stud, Tongue
from tests.strangers.pickups import Slab

STUDS = (
    Stud(60.0, 16.0, 9.0, 35.0),
    Stud(14.0, 16.0, 9.0, 35.0),
    Stud(14.0, -16.0, 10.0, 34.0),
    Stud(48.0, -12.0, 11.0, 33.0),
)


def design(slot: float = 17.0, heel_drop: float = 11.0, pickup_x: float = 50.0) -> Design:
    swap = {
        "neck": Placed("neck", OwnNeck(Tongue(), STUDS, slot), Place(HEEL_X)),
        "pickup": Placed("pickup", Slab(), Place(pickup_x)),
        "bridge": Placed("bridge", Comb(), Place(-17.0)),
        "wire.pickup": Placed(
            "wire.pickup",
            Channel((34.0, -26.0, -11.0), (-24.0, -78.0, -36.0), ("pickup.well", "control.cavity")),
        ),
    }
    return quoin(swap=swap, skin=skin(heel_drop))
