"""The plan of vehicles: how large they are, where their lamps, seats and tops lie; shared by builders and places.

Local metres: x to the right of who sits in it, y ahead, z up, the middle of the plan at 0. Sizes are typical of each class,
from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from preview.script.models.pieces.vehicles import Bicycle, Boat, Car, Parked, Pickup, Tractor, Van

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Lamp:
    """Of the right side; the left is its mirror. `at`: the middle of what shines; `size`: width and height, metres."""

    at: Point
    size: tuple[float, float]


@dataclass(frozen=True)
class Sizes:
    """Metres, as long as it usually is."""

    length: float
    width: float
    height: float
    lamps: dict[str, Lamp] = field(default_factory=dict)
    """`head` looks ahead, all others look behind."""
    seat: Point | None = None
    """Of the right front seat, its middle, on the cushion."""
    tops: dict[str, Point] = field(default_factory=dict)
    """Places on top of it: roof, bonnet and so on."""


CAR_LAMPS = {
    "head": Lamp((0.645, 2.009, 0.678), (0.085, 0.085)),
    "tail": Lamp((0.61, -2.105, 0.83), (0.10, 0.06)),
    "brake": Lamp((0.50, -2.152, 0.832), (0.07, 0.06)),
}
SIZES: dict[str, Sizes] = {
    "saloon": Sizes(
        4.55, 1.80, 1.44, CAR_LAMPS, (0.37, -0.22, 0.50),
        {"roof": (0.0, -0.3, 1.44), "bonnet": (0.0, 1.6, 0.90), "boot": (0.0, -1.95, 1.0)},
    ),
    "estate": Sizes(
        4.60, 1.80, 1.47,
        {
            "head": Lamp((0.645, 2.030, 0.676), (0.085, 0.085)),
            "tail": Lamp((0.722, -2.097, 0.80), (0.07, 0.07)),
            "brake": Lamp((0.742, -2.044, 0.925), (0.08, 0.06)),
        },
        (0.37, -0.22, 0.50), {"roof": (0.0, -0.4, 1.47), "bonnet": (0.0, 1.6, 0.90)},
    ),
    "van": Sizes(
        4.95, 1.92, 1.96,
        {
            "head": Lamp((0.612, 2.288, 0.765), (0.085, 0.085)),
            "tail": Lamp((0.836, -2.255, 0.95), (0.06, 0.06)),
            "brake": Lamp((0.834, -2.263, 1.13), (0.06, 0.06)),
        },
        (0.42, 0.55, 0.86), {"roof": (0.0, -0.2, 1.96), "bonnet": (0.0, 2.1, 1.0)},
    ),
    "pick-up": Sizes(
        5.20, 1.86, 1.76,
        {
            "head": Lamp((0.63, 2.400, 0.875), (0.10, 0.10)),
            "tail": Lamp((0.815, -2.374, 0.80), (0.04, 0.06)),
            "brake": Lamp((0.812, -2.366, 0.91), (0.04, 0.06)),
        },
        (0.40, 0.12, 0.80), {"roof": (0.0, 0.2, 1.76), "bonnet": (0.0, 1.8, 1.1), "bed": (0.0, -1.7, 0.78)},
    ),
    "tractor": Sizes(
        3.60, 1.90, 2.55,
        {"head": Lamp((0.40, 1.735, 1.16), (0.13, 0.13)), "tail": Lamp((0.80, -1.305, 1.52), (0.10, 0.06))},
        (0.0, -0.78, 1.12), {"roof": (0.0, -0.70, 2.55), "bonnet": (0.0, 0.9, 1.42)},
    ),
    "bicycle": Sizes(
        1.787, 0.61, 1.016,
        {"head": Lamp((0.0, 0.514, 0.86), (0.06, 0.06)), "tail": Lamp((0.0, -0.874, 0.64), (0.04, 0.04))},
        (0.0, -0.26, 0.93), {"saddle": (0.0, -0.26, 0.93)},
    ),
    "boat": Sizes(
        4.40, 1.57, 0.79, {}, (0.0, -0.18, 0.36),
        {"bow": (0.0, 2.14, 0.80), "stern": (0.0, -2.05, 0.62), "gunwale": (0.74, 0.0, 0.55)},
    ),
}  # fmt: skip


def kind_of(piece: Parked) -> str:
    """Which of SIZES a piece is."""
    if isinstance(piece, Car):
        return piece.kind
    kinds = {Van: "van", Pickup: "pick-up", Tractor: "tractor", Bicycle: "bicycle", Boat: "boat"}
    return kinds[type(piece)]


def scale_of(piece: Parked) -> float:
    """How many times its usual size it is."""
    return 1.0 if piece.length is None else piece.length / SIZES[kind_of(piece)].length
