"""The plan of props: how large each is, what it is made of, where its seat or top is; shared by builders and places."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PropSize:
    """Width, depth, height in metres, typical, from memory; `seat`: how high one sits; `material`: its usual one."""

    width: float
    depth: float
    height: float
    material: str
    seat: float | None = None


PROPS = {
    "crate": PropSize(0.60, 0.40, 0.30, "wood"),
    "pallet": PropSize(1.20, 0.80, 0.144, "weathered wood"),
    "barrel": PropSize(0.60, 0.60, 0.90, "weathered wood"),
    "bench": PropSize(1.60, 0.62, 0.84, "weathered wood", 0.44),
    "table": PropSize(0.80, 0.80, 0.74, "wood"),
    "chair": PropSize(0.44, 0.50, 0.88, "wood", 0.45),
    "bin": PropSize(0.52, 0.52, 0.92, "dark paint"),
    "bollard": PropSize(0.20, 0.20, 1.00, "black paint"),
    "signpost": PropSize(1.50, 0.10, 2.60, "white paint"),
    "ladder": PropSize(0.40, 0.75, 3.00, "wood"),
    "sacks": PropSize(1.10, 0.70, 0.55, "canvas"),
    "candle": PropSize(0.07, 0.07, 0.16, "plaster"),
}
"""A pallet of 1200 by 800 by 144 mm is that of EN 13698-1, from memory."""
CANDLE_FLAME = 0.020
"""From the top of a candle's wax up to the middle of its flame, metres: with `practical: {kind: candle}`."""

BOX = (0.90, 0.90, 2.40)
"""A telephone box: width, depth, height, metres. From memory, typical."""
BOX_LAMP = 2.08
"""Height of the middle of its lamp."""
COUNTER = 0.85
"""Height of a stall's table, metres."""
