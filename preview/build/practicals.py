"""Practicals: sources that are seen in frame, each a body and the surface that glows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from preview.build.fire import fire_parts
from preview.build.mesh import Floats, Part, flat
from preview.build.rigging import bar, disc, rectangle, rod, sphere, together
from preview.build.solids import boxes, framed, round_bar, turned_on_lathe

Kind = Literal["bulb", "lantern", "street_lamp", "tube", "window", "candle", "fire"]

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
    """Bodies (`NAME.body`, a candle's `NAME.wick` too; none for a street lamp or a window) and `NAME.glow`.

    `at` (3,) m is the middle of what glows, of a window the middle of its opening, of a fire its foot. `size_m`:
    diameter of a bulb, a lantern's globe, a street lamp's glass; length of a tube; height of a flame, of a fire's
    flames; width and height of a window.
    `facing`: azimuth, radians, the way a tube runs or a window looks out; default north and south.
    """
    middle = np.asarray(at, dtype=float)
    if kind == "window":
        azimuth = np.pi if facing is None else facing
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        size = size_m if isinstance(size_m, tuple) else (size_m or 1.0, size_m or 1.0)
        return [], rectangle(f"{name}.glow", "glass", middle - BEHIND_OPENING * out, out, size)
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
    """A globe between a base and a cap that four bars join, with a bail to carry it by."""
    radius = 0.5 * diameter
    outer = 1.12 * radius + 0.006
    bottom, top = -1.06 * radius, 1.06 * radius
    base = [(0, -0.4), (1.05, -0.4), (1.05, -0.4), (1.1, -0.06), (1.1, 0), (1.1, 0), (0, 0)]
    cap = [(0, 0), (1.15, 0), (1.15, 0), (1.15, 0.06), (0.5, 0.5), (0.5, 0.5), (0.42, 0.72), (0, 0.72)]
    pieces = [
        turned_on_lathe("", "", np.array(profile) * [outer, radius], centre=middle + level * UP)
        for profile, level in ((base, bottom), (cap, top))
    ]
    thick = max(0.005, 0.06 * radius)
    for quarter in range(4):
        azimuth = (quarter + 0.5) * np.pi / 2
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        foot = middle + outer * out + bottom * UP
        pieces.append(bar(foot, foot + (top - bottom) * UP, wide=out, width=thick, depth=thick))
    swing = np.linspace(0.0, np.pi, 13)
    bail = middle + np.stack(
        [0.95 * outer * np.cos(swing), np.zeros(13), top + 0.1 * radius + 1.5 * radius * np.sin(swing)],
        axis=1,
    )
    pieces.append(round_bar("", "", bail, np.full(13, max(0.002, 0.02 * radius)), sides=6))
    return [together(f"{name}.body", "dark paint", pieces)], sphere(f"{name}.glow", "glass", middle, radius)


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
