"""Practicals: sources that are seen in frame, each a body and the surface that glows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from preview.build.fire import fire_parts
from preview.build.mesh import Floats, Part, flat
from preview.build.rigging import disc, rectangle, rod, sphere, together
from preview.build.solids import boxes, framed, round_bar, turned_on_lathe

Kind = Literal[
    "bulb",
    "lantern",
    "street_lamp",
    "tube",
    "window",
    "candle",
    "fire",
    "headlamp",
    "main_beam",
    "tail_lamp",
    "brake_lamp",
]

TUBE_DIAMETER = {1.5: 0.026, np.inf: 0.038}
"""By the longest tube that has it, metres: T8, T12 (IEC 60081 gives the diameters; the split is from memory)."""
BEHIND_OPENING = 0.02
"""How far a lit window's glow lies behind the place that names the window, metres."""

UP = np.array([0.0, 0.0, 1.0])


def practical_parts(
    name: str,
    *,
    kind: Kind,
    at: ArrayLike,
    size_m: float | tuple[float, float] | None = None,
    facing: float | None = None,
) -> tuple[list[Part], Part]:
    """Bodies (`NAME.body`, a candle's `NAME.wick` too; none for what belongs to the set) and `NAME.glow`.

    `at` (3,) m is the middle of what glows, of a window the middle of its opening, of a fire its foot. `size_m`:
    diameter of a bulb, a lantern's globe, a street lamp's glass; length of a tube; height of a flame, of a fire's
    flames; width and height of a window.
    `facing`: azimuth, radians, the way a tube runs, or a window or a vehicle's lamp looks; default north and south.
    """
    middle = np.asarray(at, dtype=float)
    if kind == "window":
        azimuth = np.pi if facing is None else facing
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        size = size_m if isinstance(size_m, tuple) else (size_m or 1.0, size_m or 1.0)
        return [], rectangle(f"{name}.glow", "glass", middle - BEHIND_OPENING * out, out, size)
    if kind in ("headlamp", "main_beam", "tail_lamp", "brake_lamp"):
        azimuth = np.pi if facing is None else facing
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        if kind in ("headlamp", "main_beam"):
            across = size_m[0] if isinstance(size_m, tuple) else (size_m or 0.12)
            return [], disc(f"{name}.glow", "glass", middle, out, across)
        size = size_m if isinstance(size_m, tuple) else (size_m or 0.1, size_m or 0.1)
        return [], rectangle(f"{name}.glow", "glass", middle, out, size)
    if isinstance(size_m, tuple):
        raise ValueError(f"a {kind} has one size")
    if kind == "tube":
        return _tube(name, middle, size_m or 1.2, facing or 0.0)
    makers: dict[str, tuple[Callable[[str, Floats, float], tuple[list[Part], Part]], float]] = {
        "bulb": (_bulb, 0.06),
        "lantern": (_lantern, 0.16),
        "street_lamp": (_street_lamp, 0.25),
        "candle": (_candle, 0.03),
        "fire": (fire_parts, 0.6),
    }
    maker, usual = makers[kind]
    return maker(name, middle, size_m or usual)


def string_glow(name: str, bulbs: Floats, diameter: float) -> Part:
    """`NAME.glow`: a globe at each of the places (n, 3)."""
    radius = 0.5 * diameter
    one = sphere("", "", np.zeros(3), radius)
    count = len(one.vertices)
    return Part(
        f"{name}.glow",
        "glass",
        (one.vertices + bulbs[:, None]).reshape(-1, 3),
        (one.faces + count * np.arange(len(bulbs))[:, None, None]).reshape(-1, 3).astype(np.int32),
        np.tile(one.normals, (len(bulbs), 1)),
    )


def tube_diameter(length: float) -> float:
    """Diameter of a fluorescent tube of this length, both in metres."""
    return next(diameter for longest, diameter in TUBE_DIAMETER.items() if length <= longest + 0.01)


def _bulb(name: str, middle: Floats, diameter: float) -> tuple[list[Part], Part]:
    """A globe under its holder and a short flex."""
    radius = 0.5 * diameter
    collar = float(np.clip(0.55 * radius, 0.012, 0.03))
    # The holder starts where the globe is as wide as the collar.
    start = middle[2] + np.sqrt(radius**2 - min(collar, 0.9 * radius) ** 2)
    profile = [(0, 0), (collar, 0), (collar, 0), (collar, 0.05), (0.4 * collar, 0.065), (0, 0.065)]
    holder = turned_on_lathe("", "", profile, centre=[*middle[:2], start], sides=16)
    flex = rod([*middle[:2], start + 0.06], [*middle[:2], start + 0.2], 0.004, sides=6)
    return [together(f"{name}.body", "black", [holder, flex])], sphere(
        f"{name}.glow", "glass", middle, radius
    )


def _lantern(name: str, middle: Floats, diameter: float) -> tuple[list[Part], Part]:
    """A storm lantern: tank and burner below the globe, a hood above, a tube at each side, a guard of wire, a bail."""
    r = 0.5 * diameter
    tank = [
        (0.0, -2.05), (0.98, -2.05), (1.02, -2.0), (1.02, -1.72), (1.02, -1.72), (0.96, -1.62), (0.62, -1.42),
        (0.62, -1.42), (0.60, -1.30),
        (0.78, -1.26), (0.78, -1.12), (0.78, -1.12), (0.66, -1.10), (0.50, -1.04), (0.0, -1.04),
    ]  # fmt: skip
    hood = [
        (0.0, 1.04), (0.56, 1.04), (0.74, 1.07), (0.74, 1.07), (0.74, 1.14), (0.66, 1.20), (0.52, 1.52), (0.52,
        1.52), (0.60, 1.56), (0.60, 1.66),
        (0.44, 1.74), (0.30, 1.98), (0.12, 2.06), (0.0, 2.07),
    ]  # fmt: skip
    pieces = [
        turned_on_lathe("", "", np.array(profile) * r, centre=middle, sides=28) for profile in (tank, hood)
    ]
    thick = 0.075 * r + 0.001
    for side in (-1.0, 1.0):
        tube = np.array([
            [0.80, -1.60], [1.10, -1.58], [1.28, -1.42], [1.34, -1.1], [1.34, 0.0], [1.34, 1.05], [1.22, 1.42],
            [0.95, 1.62], [0.50, 1.64],
        ]) * r  # fmt: skip
        path = middle + np.stack([side * tube[:, 0], np.zeros(len(tube)), tube[:, 1]], axis=1)
        pieces.append(round_bar("", "", path, np.full(len(tube), thick), sides=8))
    wire = max(0.0012, 0.018 * r)
    # Two bows of wire cross before the globe and behind it.
    bow = np.linspace(-0.42 * np.pi, 0.42 * np.pi, 13)
    for azimuth in np.pi / 4.0 + np.pi / 2.0 * np.arange(4):
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        path = middle + 1.10 * r * (np.cos(bow)[:, None] * out + np.sin(bow)[:, None] * UP)
        pieces.append(round_bar("", "", path, np.full(13, wire), sides=6))
    swing = np.linspace(0.0, np.pi, 17)
    bail = middle + np.stack(
        [1.36 * r * np.cos(swing), 0.25 * r * np.sin(swing), 0.9 * r + 2.1 * r * np.sin(swing) ** 0.8], axis=1
    )
    pieces.append(round_bar("", "", bail, np.full(17, 1.2 * wire), sides=6))
    return [together(f"{name}.body", "dark paint", pieces)], sphere(f"{name}.glow", "glass", middle, r)


def _street_lamp(name: str, middle: Floats, diameter: float) -> tuple[list[Part], Part]:
    """The glass alone; hood and post belong to the set."""
    return [], disc(f"{name}.glow", "glass", middle, -UP, diameter)


def _tube(name: str, middle: Floats, length: float, azimuth: float) -> tuple[list[Part], Part]:
    """A tube between two end caps under a thin fitting."""
    along = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
    aside = np.cross(along, UP)
    radius = 0.5 * tube_diameter(length)
    half = 0.5 * length
    ends = np.stack([middle - half * along, middle + half * along])
    glow = round_bar(f"{name}.glow", "glass", ends, [radius, radius], sides=20)
    gap = radius + 0.025
    blocks = [boxes([-0.03, -half - 0.03, gap], [0.03, half + 0.03, gap + 0.045])]
    for side in (-1.0, 1.0):
        near, far = sorted((side * half + side * 0.001, side * (half + 0.03)))
        blocks.append(boxes([-1.2 * radius, near, -1.2 * radius], [1.2 * radius, far, gap]))
    body = flat(f"{name}.body", "white paint", framed(np.concatenate(blocks), middle, aside, along, UP))
    return [body], glow


def _candle(name: str, middle: Floats, height: float) -> tuple[list[Part], Part]:
    """A flame over its wick and a stick of wax."""
    width = height / 3.0
    under = middle - 0.5 * height * UP
    wick = rod(under - 0.008 * UP, under, 0.001, sides=6)
    wax = turned_on_lathe(
        f"{name}.body",
        "plaster",
        [(0, -0.15), (0.011, -0.15), (0.011, -0.15), (0.011, -0.001), (0.008, 0.0), (0, -0.002)],
        centre=under - 0.006 * UP,
        sides=16,
    )
    bodies = [wax, together(f"{name}.wick", "black", [wick])]
    return bodies, sphere(f"{name}.glow", "glass", middle, 0.5 * width, height=height)
