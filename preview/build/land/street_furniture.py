"""Street furniture: what is let into a carriageway: covers, gullies by the kerb, repaired trenches, sealed cracks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.build.land.ribbon import Blocks, blocks, flat_on
from preview.build.mesh import Floats, Indices, Part

if TYPE_CHECKING:
    from preview.build.land.street import Road

COVER = 0.32
"""Radius of a manhole's cover with its frame, metres."""
COVERS_APART, GULLIES_APART, REPAIRS_APART = 38.0, 24.0, 17.0
"""Metres along the street. Common practice, no source."""
IRON = 0.3
"""Tint of worn cast iron on dull metal. From memory, by eye."""
MOST = 60
"""Of each kind on one street."""


def covers(road: Road, rng: np.random.Generator) -> list[Part | None]:
    """`NAME.manhole`: round covers with ribs in a ring, now in one lane, now in the other."""
    length, half = road.way.length, road.half
    if half < 1.0 or length < 3.0:
        return []
    count = min(MOST, max(1, int(length / COVERS_APART)))
    distance = (np.arange(count) + 0.3 + 0.4 * rng.random(count)) * length / count
    offset = half * np.where(rng.random(count) < 0.5, -0.45, 0.4)
    middles = road.way.plan(distance, offset)
    middles = middles[~road.in_other_carriageway(middles, COVER) & _off_crossings(road, distance, COVER)]
    if len(middles) == 0:
        return []
    vertices, faces = _cover()
    plan = (middles[:, None] + vertices[None, :, :2]).reshape(-1, 2)
    height = road.surface(plan[:, 0], plan[:, 1]) + np.tile(vertices[:, 2], len(middles))
    points = np.column_stack([plan, height])
    every = (
        (faces[None] + len(vertices) * np.arange(len(middles))[:, None, None]).reshape(-1, 3).astype(np.int32)
    )
    return [_faceted(f"{road.name}.manhole", points, every, road.model.wet)]


def _cover() -> tuple[Floats, Indices]:
    """A cover over the carriageway's surface: a frame, a groove, a plate with radial ribs. Points (n, 3), faces (m, 3)."""
    around = 48
    turn = 2.0 * np.pi * np.arange(around) / around
    # Ribs are two steps up and two down; the plate's rim and the frame are plain rings.
    rib = np.where(np.arange(around) % 4 < 2, 0.0065, 0.0035)
    rings = [
        (COVER, np.full(around, -0.02)),
        (COVER, np.full(around, 0.005)),
        (COVER - 0.04, np.full(around, 0.005)),
        (COVER - 0.042, np.full(around, 0.0025)),
        (COVER - 0.05, np.full(around, 0.0025)),
        (COVER - 0.052, np.full(around, 0.0065)),
        (COVER - 0.075, np.full(around, 0.0065)),
        (COVER - 0.08, rib),
        (0.2, rib),
        (0.198, np.full(around, 0.0035)),
        (0.17, np.full(around, 0.0035)),
        (0.165, np.full(around, 0.0065)),
        (0.06, np.full(around, 0.0065)),
    ]
    points = np.concatenate(
        [np.column_stack([radius * np.cos(turn), radius * np.sin(turn), height]) for radius, height in rings]
        + [np.array([[0.0, 0.0, 0.0065]])]
    )
    step = np.arange(around)
    after = (step + 1) % around
    faces = []
    for ring in range(len(rings) - 1):
        outer, inner = ring * around, (ring + 1) * around
        faces += [
            np.stack([outer + step, outer + after, inner + after], axis=1),
            np.stack([outer + step, inner + after, inner + step], axis=1),
        ]
    last = (len(rings) - 1) * around
    faces.append(np.stack([last + step, last + after, np.full(around, len(points) - 1)], axis=1))
    return points, np.concatenate(faces).astype(np.int32)


def gullies(road: Road) -> list[Part | None]:
    """`NAME.gully`: gratings in the gutters over dark pits."""
    length, half = road.way.length, road.half
    if half < 1.0 or length < 3.0:
        return []
    count = min(MOST, max(1, int(length / GULLIES_APART)))
    bars, pits = [], []
    for side in (-1.0, 1.0):
        middle = (np.arange(count) + (0.35 if side < 0 else 0.65)) * length / count
        offset = np.full(count, side * (half - 0.02 - 0.21))
        plan = road.way.plan(middle, offset)
        some = ~road.in_other_carriageway(plan, 0.3) & _off_crossings(road, middle, 0.3)
        for place in middle[some]:
            low, high = sorted((side * (half - 0.02), side * (half - 0.44)))
            pits.append((place - 0.222, place + 0.222, low + 0.008, high - 0.008))
            bars += [
                (place - 0.23, place + 0.23, low, low + 0.03),
                (place - 0.23, place + 0.23, high - 0.03, high),
            ]
            for edge in np.linspace(place - 0.23, place + 0.23 - 0.026, 9):
                bars.append((edge, edge + 0.026, low + 0.03, high - 0.03))
    if not pits:
        return []
    wet = road.model.wet
    return [
        blocks(
            f"{road.name}.gully",
            "black",
            road.way,
            _of(pits),
            lambda x, y: road.surface(x, y) + 0.001,
            deep=0.03,
            wet=wet,
        ),
        blocks(
            f"{road.name}.gully",
            "metal",
            road.way,
            _of(bars, IRON),
            lambda x, y: road.surface(x, y) + 0.012,
            deep=0.03,
            wet=wet,
        ),
    ]


def repairs(road: Road, rng: np.random.Generator) -> list[Part | None]:
    """`NAME.repairs`: trenches that were filled with newer asphalt, and cracks sealed with tar."""
    length, half = road.way.length, road.half
    if half < 1.2 or length < 6.0:
        return []
    count = min(MOST, max(1, int(length / REPAIRS_APART)))
    found: list[Part | None] = []
    start = (np.arange(count) + 0.6 * rng.random(count)) * length / count
    long, wide = 0.7 + 2.6 * rng.random(count) ** 2, 0.5 + 0.7 * rng.random(count)
    middle = (rng.random(count) - 0.5) * (road.model.width - wide - 0.5)
    shade = np.where(rng.random(count) < 0.75, 0.55 + 0.2 * rng.random(count), 1.25)
    end = np.minimum(start + long, length - 0.05)
    filled = Blocks(start, end, middle - wide / 2, middle + wide / 2, np.repeat(shade[:, None], 3, axis=1))
    filled = filled.chosen(
        _off_crossings(road, 0.5 * (start + end), 1.8)
        & (end - start > 0.3)
        & ~road.in_other_carriageway(filled.middles(road.way), 1.5)
    )
    if road.is_bent:
        filled = filled.shortened(0.45)
    found.append(
        blocks(
            f"{road.name}.repairs", road.model.material, road.way, filled, lambda x, y: road.surface(x, y) + 0.0045,
            deep=0.03, chamfer=0.0 if road.is_bent else 0.003, wet=road.model.wet,
        )
    )  # fmt: skip
    found.append(_cracks(road, rng, count))
    return found


def _cracks(road: Road, rng: np.random.Generator, count: int) -> Part | None:
    """Wandering ribbons of tar, as wide as a hand's back."""
    steps = 26
    s0 = rng.random(count) * max(road.way.length - 7.0, 0.1)
    u0 = (rng.random(count) - 0.5) * (road.model.width - 1.0)
    drift = (rng.random(count) - 0.5) * 0.16
    walk = np.cumsum(0.06 * rng.standard_normal((count, steps)), axis=1)
    s = s0[:, None] + np.arange(steps) * 0.24
    u = u0[:, None] + drift[:, None] * np.arange(steps) + walk
    half = 0.018 + 0.012 * rng.random((count, steps))
    half[:, [0, -1]] = 0.004
    inside = (s < road.way.length).all(axis=1) & (np.abs(u) + half < road.half - 0.05).all(axis=1)
    # What was painted since covers them.
    inside &= _off_crossings(road, s.ravel(), 0.1).reshape(s.shape).all(axis=1)
    s, u, half = s[inside], u[inside], half[inside]
    if len(s) == 0:
        return None
    left, right = road.way.plan(s, u - half), road.way.plan(s, u + half)
    plan = np.stack([left, right], axis=2)
    middle = 0.5 * (left + right).reshape(-1, 2)
    apart = ~road.in_other_carriageway(middle).reshape(len(s), steps).any(axis=1)
    plan = plan[apart].reshape(-1, 2)
    if len(plan) == 0:
        return None
    base = (2 * steps * np.arange(apart.sum())[:, None] + 2 * np.arange(steps - 1)).ravel()
    faces = np.concatenate(
        [np.stack([base, base + 1, base + 3], axis=1), np.stack([base, base + 3, base + 2], axis=1)]
    ).astype(np.int32)
    height = road.surface(plan[:, 0], plan[:, 1]) + 0.006
    tint = np.full((len(plan), 3), 0.4)
    return flat_on(
        f"{road.name}.repairs", road.model.material, plan, faces, height, wet=road.model.wet, tint=tint
    )


def _of(rows: list[tuple[float, float, float, float]], shade: float = 1.0) -> Blocks:
    start, end, left, right = np.array(rows).T
    return Blocks(start, end, left, right, np.full((len(rows), 3), shade))


def _off_crossings(road: Road, distance: Floats, margin: float) -> NDArray[np.bool_]:
    """Which distances (n,) along the street lie clear of its crossings."""
    clear = np.ones(len(distance), bool)
    for crossing in road.model.crossings:
        clear &= np.abs(distance - crossing) > 1.5 + margin
    return clear


def _faceted(name: str, points: Floats, faces: Indices, wet: float) -> Part:
    corners = points[faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    cross /= np.maximum(np.linalg.norm(cross, axis=1, keepdims=True), 1e-30)
    flat = np.arange(3 * len(faces), dtype=np.int32).reshape(-1, 3)
    tint = np.full((3 * len(faces), 3), IRON, np.float32)
    return Part(name, "metal", corners.reshape(-1, 3), flat, np.repeat(cross, 3, axis=0), wet, tint)
