"""Fire: a wood fire on the ground: tongues of flame over logs that lean together, and the coals between them.

Everything grows with the height of the flames, so what is said here is for flames one metre high.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from preview.build.chance import drawn, noise
from preview.build.mesh import Floats, Indices, Part, smooth
from preview.build.rigging import together
from preview.build.solids import round_bar
from preview.build.things.sheets import merged

TONGUES = (
    (0.020, 0.3, 1.000, 0.1195, 0.4, 0.20),
    (0.085, 1.2, 0.800, 0.0950, 2.0, 0.62),
    (0.090, 3.3, 0.700, 0.0928, 4.6, 0.05),
    (0.090, 5.2, 0.860, 0.0939, 5.6, 0.42),
    (0.165, 0.4, 0.520, 0.0800, 1.1, 0.80),
    (0.175, 2.2, 0.430, 0.0779, 2.9, 0.30),
    (0.180, 4.1, 0.470, 0.0779, 3.6, 0.55),
    (0.170, 5.9, 0.560, 0.0779, 0.2, 0.12),
    (0.245, 1.6, 0.280, 0.0619, 2.4, 0.90),
    (0.250, 3.4, 0.240, 0.0597, 4.0, 0.35),
    (0.250, 5.0, 0.300, 0.0619, 5.2, 0.70),
)
"""Of each: distance and bearing of its foot (rad), height, widest radius, the way it leans (rad), the phase of its curl.
Our own."""
FOOT = 0.045
"""Where flames start above the ground."""
LOGS = 8
LOG_LENGTH, LOG_RADIUS = 0.68, 0.052
LEAN = 0.62
"""Radians that a log rises from the ground."""

FACE = 0.236
"""m2 that the flames cover, seen level from any side, on the mean; for flames one metre high."""
LOWER, UPPER = (0.242, 0.233), (0.62, 0.1443)
"""Height of the middle and radius of the two balls that shine for the flames: their faces are together `FACE`."""
COALS = 90
EMBERS = 0.006
"""Luminance of coals against that of flames. From memory, typical: 40 to 60 cd/m2, soot of 1150 K."""


def fire_parts(name: str, foot: Floats, height: float) -> tuple[list[Part], Part]:
    """`NAME.body`, the logs, and `NAME.glow`, the flames, `height` m high above `foot` (3,)."""
    flames = [_tongue(*tongue) for tongue in TONGUES]
    glow = together(f"{name}.glow", "glass", [_placed(flame, foot, height) for flame in flames])
    return [replace(_placed(logs(seed=1), foot, height), name=f"{name}.body", material="bark")], glow


def embers_part(name: str, foot: Floats, height: float) -> Part:
    """`NAME.embers`: coals that glow between the logs' feet."""
    lumps = []
    for number, (out, turn, size, tall, lift) in enumerate(drawn(5, np.arange(COALS), 3).T):
        reach = 0.24 * np.sqrt(out)
        at = np.array(
            [
                reach * np.cos(2 * np.pi * turn),
                reach * np.sin(2 * np.pi * turn),
                0.012 + 0.035 * lift * (1 - out),
            ]
        )
        lumps.append(_lump(at, 0.014 + 0.020 * size, 0.7 + 0.5 * tall, number))
    return replace(_placed(merged(lumps), foot, height), name=f"{name}.embers", material="glass")


def _placed(part: Part, foot: Floats, height: float) -> Part:
    return replace(part, vertices=part.vertices * height + foot)


def _lump(at: Floats, radius: float, tall: float, number: int) -> Part:
    """A coal: a ball of a few facets, each corner its own way out."""
    vertices, faces = icosahedron()
    wobble = 0.75 + 0.5 * drawn(1, np.arange(len(vertices)), number, 11)[0]
    return smooth("", "", vertices * wobble[:, None] * [radius, radius, radius * tall] + at, faces)


@cache
def icosahedron() -> tuple[Floats, Indices]:
    """Corners (12, 3) on the unit ball and faces (20, 3)."""
    golden = (1.0 + 5.0**0.5) / 2.0
    corners = np.array(
        [[a * s, b * t, 0.0] for a, b in ((1.0, golden),) for s in (-1, 1) for t in (-1, 1)]
        + [[0.0, a * s, b * t] for a, b in ((1.0, golden),) for s in (-1, 1) for t in (-1, 1)]
        + [[b * t, 0.0, a * s] for a, b in ((1.0, golden),) for s in (-1, 1) for t in (-1, 1)]
    )
    corners /= np.linalg.norm(corners, axis=1, keepdims=True)
    near = np.linalg.norm(corners[:, None] - corners[None], axis=2)
    side = near[near > 1e-6].min() * 1.01
    faces = []
    for a in range(12):
        for b in range(a + 1, 12):
            for c in range(b + 1, 12):
                if max(near[a, b], near[b, c], near[a, c]) < side:
                    outward = np.cross(corners[b] - corners[a], corners[c] - corners[a]) @ corners[a] > 0
                    faces.append((a, b, c) if outward else (a, c, b))
    return corners, np.array(faces, dtype=np.int32)


def axis_of(tongue: tuple[float, float, float, float, float, float], up: Floats) -> Floats:
    """Points (n, 3) of a tongue's middle at shares `up` (n,) of its height: bent, and curling towards its tip."""
    away, bearing, height, _, lean, phase = tongue
    aside = 0.13 * up**1.6
    curl = 0.055 * up * np.sin(2.0 * np.pi * (1.35 * up + phase))
    inwards = away * (1.0 - 0.70 * up**0.8)
    x = inwards * np.sin(bearing) + (aside * np.sin(lean) + curl * np.cos(lean)) * height
    y = inwards * np.cos(bearing) + (aside * np.cos(lean) - curl * np.sin(lean)) * height
    return np.stack([x, y, FOOT + up * (height - FOOT)], axis=-1)


def girth_of(up: Floats, phase: float) -> Floats:
    """Radius of a tongue against its widest, by the share of its height: widest a quarter up, drawn out to a point."""
    swell = np.sin(np.pi * np.clip(up, 0.0, 1.0) ** 0.50) ** 0.9 * (1.0 - 0.30 * up)
    waist = 1.0 + 0.16 * np.sin(2.0 * np.pi * (1.9 * up + phase)) * up
    return np.asarray(np.maximum(swell, 0.0) * waist + 0.30 * (1.0 - up) ** 4)


def _tongue(away: float, bearing: float, height: float, radius: float, lean: float, phase: float) -> Part:
    up = np.linspace(0.0, 1.0, 22)
    path = axis_of((away, bearing, height, radius, lean, phase), up)
    return round_bar("", "", path, radius * girth_of(up, phase), sides=16)


@cache
def flame_cores() -> tuple[Floats, Floats, Floats]:
    """Middles (n, 3), widths (n,) and strengths (n,) of the blobs of soot that are seen through each other as flames."""
    up = np.linspace(0.03, 0.97, 30)
    middles, widths, strengths = [], [], []
    for tongue in TONGUES:
        girth = np.maximum(tongue[3] * girth_of(up, tongue[5]), 0.008)
        middles.append(axis_of(tongue, up))
        widths.append(0.50 * girth)
        strengths.append(girth * (1.0 - 0.90 * up**0.8) * (0.55 + 0.45 * np.clip(up / 0.15, 0.0, 1.0)))
    return np.concatenate(middles), np.concatenate(widths), np.concatenate(strengths)


def logs(*, seed: int, count: int = LOGS, length: float = LOG_LENGTH, radius: float = LOG_RADIUS) -> Part:
    """Logs whose feet lie outside and whose charred heads lean together over the middle; a tint tells how charred."""
    chance = drawn(6, np.arange(count), seed, 5).T
    whole = []
    for number, (turn, lift, thick, long, tilt, roll) in enumerate(chance):
        bearing = 2.0 * np.pi * (number + 0.6 * (turn - 0.5)) / count
        out = np.array([np.sin(bearing), np.cos(bearing), 0.0])
        aside = np.array([np.cos(bearing), -np.sin(bearing), 0.0])
        wide = radius * (0.75 + 0.5 * thick)
        rise = LEAN * (0.75 + 0.5 * tilt)
        foot = 0.44 * out * (length / LOG_LENGTH) + np.array([0.0, 0.0, 1.16 * wide])
        along = -np.cos(rise) * out + np.array([0.0, 0.0, np.sin(rise)]) + 0.22 * (roll - 0.5) * aside
        along /= np.linalg.norm(along)
        head = foot + length * (0.8 + 0.3 * long) * along + np.array([0.0, 0.0, 0.02 * lift])
        whole.append(rough_log(foot, head, wide, seed=seed * 31 + number))
    part = merged(whole)
    # The lowest lies on the ground.
    part = replace(part, vertices=part.vertices - [0.0, 0.0, float(part.vertices[:, 2].min()) - 0.004])
    reach = np.linalg.norm(part.vertices - [0.0, 0.0, 0.20], axis=1)
    char = np.clip((0.46 - reach) / 0.22, 0.0, 1.0)[:, None]
    return replace(part, tint=np.asarray(1.0 + char * (np.array([0.16, 0.17, 0.20]) - 1.0), np.float32))


def rough_log(start: Floats, end: Floats, radius: float, *, seed: int, sides: int = 18) -> Part:
    """A log with a furrowed side and ragged ends, closed; a tenth thinner at its end."""
    rings = max(9, min(40, int(np.linalg.norm(end - start) / (0.9 * radius))))
    share = np.linspace(0.0, 1.0, rings)
    path = start + share[:, None] * (end - start)
    bend = 0.18 * radius * np.sin(np.pi * share * 1.3 + seed)
    path = path + bend[:, None] * np.array([np.sin(seed), np.cos(seed), 0.0])
    bar = round_bar("", "", path, radius * (1.0 - 0.10 * share), sides=sides)
    axis = (end - start) / np.linalg.norm(end - start)
    along = (bar.vertices - start) @ axis
    away = bar.vertices - start - along[:, None] * axis
    far = np.linalg.norm(away, axis=1, keepdims=True)
    turn = np.arctan2(away @ _square(axis), away @ np.cross(axis, _square(axis))) * radius
    rough = noise(along * 0.35, turn, 0.55 * radius, seed=seed % 7) + 0.5 * noise(
        along, turn, 0.25 * radius, seed=seed % 5 + 1
    )
    vertices = (
        bar.vertices
        + np.where(far > 1e-9, away / np.maximum(far, 1e-9), 0.0)
        * (0.16 * radius * rough * (far[:, 0] > 0.2 * radius))[:, None]
    )
    return smooth("", "", *_one_skin(vertices, bar.faces))


def _square(axis: Floats) -> Floats:
    helper = np.array([0.0, 0.0, 1.0]) if abs(axis[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    side = np.cross(axis, helper)
    return np.asarray(side / np.linalg.norm(side))


def _one_skin(vertices: Floats, faces: Indices) -> tuple[Floats, Indices]:
    """Vertices of one place shared, so that the skin stays closed wherever it is moved."""
    _, first, place = np.unique(np.round(vertices, 6), axis=0, return_index=True, return_inverse=True)
    joined = place.reshape(-1)[faces]
    a, b, c = joined.T
    return vertices[first], joined[(a != b) & (b != c) & (a != c)].astype(np.int32)
