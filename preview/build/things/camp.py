"""Camp: wood laid for a fire in its ring of stones, rocks, driftwood, a string of bulbs on its poles."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import drawn, noise
from preview.build.fire import LOG_RADIUS, icosahedron, logs, rough_log
from preview.build.mesh import Floats, Indices, Part, smooth
from preview.build.rigging import rod
from preview.build.site import Site
from preview.build.solids import round_bar, turned_on_lathe
from preview.build.things.blocks import joined_as
from preview.build.things.sheets import merged
from preview.script.camp_plan import DROP, bulbs, wire
from preview.script.models.pieces.camp import Campfire, Driftwood, Rocks, StringOfBulbs

FACETS = 11
"""Planes that a rock is cut by."""
STONES = 13
"""In the ring of a fire."""


def build_campfire(name: str, model: Campfire, site: Site) -> list[Part]:
    """`NAME.logs`, `.ash`, `.stones`; all grows with its size."""
    size, at = model.size, np.array([*model.at, 0.0])
    drift = model.wood == "driftwood"
    wood = logs(
        seed=model.seed,
        count=11 if drift else 8,
        radius=LOG_RADIUS * (0.62 if drift else 1.0),
        length=0.78 if drift else 0.68,
    )
    parts = [
        replace(
            joined_as(f"{name}.logs", "weathered wood" if drift else "bark", [_scaled(wood, size, at)]),
            tint=wood.tint,
        ),
        replace(_scaled(_ash(model.seed), size, at), name=f"{name}.ash", material="ash"),
    ]
    if model.stones:
        turn, reach, across = drawn(3, np.arange(STONES), model.seed, 71)
        angle = 2.0 * np.pi * (np.arange(STONES) + 0.4 * (turn - 0.5)) / STONES
        away = 0.62 + 0.05 * (reach - 0.5)
        places = np.stack([away * np.cos(angle), away * np.sin(angle), np.zeros(STONES)], axis=1)
        part = rocks(places, 0.085 + 0.07 * across, seed=model.seed + 17)
        black = np.clip(
            1.25 - 1.8 * np.abs(np.hypot(part.vertices[:, 0], part.vertices[:, 1]) - 0.53) / 0.1, 0.0, 1.0
        )
        tint = part.tint
        assert tint is not None
        soot = np.asarray(tint * (1.0 - 0.7 * black[:, None]), np.float32)
        parts.append(replace(_scaled(part, size, at), name=f"{name}.stones", material="stone", tint=soot))
    return parts


def _scaled(part: Part, size: float, at: Floats) -> Part:
    return replace(part, vertices=part.vertices * size + at)


def _ash(seed: int) -> Part:
    """A low heap, its rim on the ground."""
    out = np.array([0.0, 0.12, 0.24, 0.34, 0.42, 0.47, 0.50])
    height = np.array([0.050, 0.046, 0.036, 0.022, 0.010, 0.002, -0.02])
    turn = np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)
    reach = out[:, None] * (1.0 + 0.10 * np.sin(3 * turn + seed) + 0.06 * np.sin(5 * turn + 2 * seed))
    x, y = reach * np.cos(turn), reach * np.sin(turn)
    rough = 0.012 * noise(x, y, 0.06, seed=seed % 9) * (height > 0)[:, None]
    points = np.stack([x, y, height[:, None] + rough], axis=-1).reshape(-1, 3)
    ring, step = np.meshgrid(np.arange(len(out) - 1), np.arange(40), indexing="ij")
    here, beside = (ring * 40 + step).ravel(), (ring * 40 + (step + 1) % 40).ravel()
    faces = np.concatenate(
        [np.stack([here, here + 40, beside + 40], 1), np.stack([here, beside + 40, beside], 1)]
    )
    edges = points[faces]
    area = np.linalg.norm(np.cross(edges[:, 1] - edges[:, 0], edges[:, 2] - edges[:, 0]), axis=1)
    return smooth("", "", points, faces[area > 1e-9].astype(np.int32))


def build_rocks(name: str, model: Rocks, site: Site) -> list[Part]:
    """`NAME`: closed stones, a little sunk."""
    out, turn, share = drawn(3, np.arange(model.count), model.seed, 41)
    reach = model.spread * np.sqrt(out)
    at = np.array(model.at)
    plan = at + reach[:, None] * np.stack([np.sin(2 * np.pi * turn), np.cos(2 * np.pi * turn)], axis=1)
    low, high = model.size
    # Few large ones, many small: about as many of each size as its inverse.
    across = low * (high / low) ** (share**1.6)
    ground = (
        site.ground(plan[:, 0], plan[:, 1]) - site.ground(at[:1], at[1:])[0] if model.count else np.zeros(0)
    )
    part = rocks(np.column_stack([plan, ground]), across / 2.0, seed=model.seed)
    return [replace(part, name=name, material=model.material, wet=model.wet)]


def rocks(places: Floats, radii: Floats, *, seed: int) -> Part:
    """Stones at places (n, 3) on the ground, about `radii` (n,) wide: hewn by chance planes, worn, lower than wide."""
    ways, faces = ball_of(3)
    count = len(places)
    number = np.arange(count)
    chance = np.stack([drawn(4, number, seed, 100 + plane) for plane in range(FACETS)], axis=2)
    z = 2.0 * chance[0] - 1.0
    round_about = 2.0 * np.pi * chance[1]
    flat_part = np.sqrt(1.0 - z * z)
    planes = np.stack([flat_part * np.cos(round_about), flat_part * np.sin(round_about), z], axis=-1)
    far = 0.62 + 0.36 * chance[2]
    facing = np.einsum("vi,rpi->rvp", ways, planes)
    reach = np.where(facing > 0.05, far[:, None] / np.maximum(facing, 0.05), 9.0)
    # A soft least: edges between planes are worn.
    radius = -np.log(np.exp(-14.0 * np.minimum(reach, 1.02)).sum(axis=2) + 1e-9) / 14.0
    wide = drawn(4, number, seed, 57)
    shape = np.stack([np.ones(count), 0.68 + 0.3 * wide[0], 0.48 + 0.34 * wide[1]], axis=1)
    points = ways * radius[..., None] * shape[:, None]
    shift = 10.0 * number[:, None]
    rough = 0.055 * noise(
        points[..., 0] + points[..., 2] + shift, points[..., 1] - 0.7 * points[..., 2], 0.42, seed=3
    )
    rough += 0.03 * noise(
        points[..., 0] - points[..., 2] + shift, points[..., 1] + points[..., 2], 0.16, seed=4
    )
    points = points * (1.0 + rough[..., None])
    # Wide enough across.
    points /= np.ptp(points[..., 0], axis=1)[:, None, None] / 2.0
    turn = 2.0 * np.pi * wide[2][:, None]
    x = points[..., 0] * np.cos(turn) - points[..., 1] * np.sin(turn)
    y = points[..., 0] * np.sin(turn) + points[..., 1] * np.cos(turn)
    lift = -points[..., 2].min(axis=1) * 0.72
    local = np.stack([x, y, points[..., 2] + lift[:, None]], axis=-1) * radii[:, None, None] + places[:, None]
    vertices = local.reshape(-1, 3)
    whole = (faces + len(ways) * number[:, None, None]).reshape(-1, 3).astype(np.int32)
    part = smooth("", "", vertices, whole)
    shade = (0.72 + 0.56 * wide[3])[:, None] * (1.0 + 0.35 * rough / 0.055 * 0.5)
    warm = 0.06 * (wide[0] - 0.5)[:, None]
    tint = np.stack([shade * (1.0 + warm), shade, shade * (1.0 - warm)], axis=-1).reshape(-1, 3)
    return replace(part, tint=tint.astype(np.float32))


@lru_cache(maxsize=4)
def ball_of(steps: int) -> tuple[Floats, Indices]:
    """Unit ways (n, 3) and faces (m, 3) of an icosahedron whose faces are each cut in four, `steps` times."""
    points, faces = icosahedron()
    for _ in range(steps):
        edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
        key = np.sort(edges, axis=1)
        unique, place = np.unique(key[:, 0].astype(np.int64) * len(points) + key[:, 1], return_inverse=True)
        a, b = unique // len(points), unique % len(points)
        middle = points[a] + points[b]
        middle /= np.linalg.norm(middle, axis=1, keepdims=True)
        new = (place.reshape(-1) + len(points)).reshape(3, -1)
        ab, bc, ca = new
        faces = np.concatenate(
            [
                np.stack([faces[:, 0], ab, ca], 1),
                np.stack([faces[:, 1], bc, ab], 1),
                np.stack([faces[:, 2], ca, bc], 1),
                np.stack([ab, bc, ca], 1),
            ]
        ).astype(np.int32)
        points = np.concatenate([points, middle])
    return points, faces


def build_driftwood(name: str, model: Driftwood, site: Site) -> list[Part]:
    """`NAME`: trunks with the stumps of their branches, lying."""
    pieces = []
    tints: list[NDArray[np.floating]] = []
    out, turn, long, heading, thick, tip = drawn(6, np.arange(model.count), model.seed, 91)
    for number in range(model.count):
        length = model.length[0] + (model.length[1] - model.length[0]) * long[number]
        radius = (0.028 + 0.022 * thick[number]) * (0.55 + 0.45 * length)
        reach = model.spread * np.sqrt(out[number]) if model.count > 1 else 0.0
        middle = np.array(
            [reach * np.sin(2 * np.pi * turn[number]), reach * np.cos(2 * np.pi * turn[number])]
        )
        way = np.array([np.sin(np.pi * heading[number]), np.cos(np.pi * heading[number])])
        raised = 0.25 * length * max(0.0, tip[number] - 0.6)
        start = np.array([*(middle - 0.5 * length * way), 0.72 * radius])
        end = np.array([*(middle + 0.5 * length * way), 0.72 * radius + raised])
        trunk = [rough_log(start, end, radius, seed=model.seed * 53 + number)]
        stumps = drawn(4, np.arange(3), model.seed, 200 + number)
        for share, side, size, rise in stumps.T:
            foot = start + (0.25 + 0.65 * share) * (end - start)
            aside = np.array([way[1], -way[0], 0.0]) * (1.0 if side > 0.5 else -1.0)
            head = foot + (0.15 + 0.45 * size) * radius * 6.0 * (
                aside + 0.6 * np.array([*way, 0.0]) + [0.0, 0.0, rise]
            )
            trunk.append(rough_log(foot, head, 0.42 * radius, seed=number * 7 + 3, sides=10))
        piece = merged(trunk)
        pieces.append(replace(piece, vertices=piece.vertices + np.array([*model.at, 0.0])))
        tints.append(np.full((len(piece.vertices), 3), 0.75 + 0.5 * thick[number]))
    whole = joined_as(name, model.material, pieces, wet=model.wet)
    return [replace(whole, tint=np.concatenate(tints).astype(np.float32))]


def build_string(name: str, model: StringOfBulbs, site: Site) -> list[Part]:
    """`NAME.wire`, `.holders`, `.poles`; the bulbs are the fixture's."""
    share = np.linspace(0.0, 1.0, 25)
    wires = []
    for span in range(len(model.along) - 1):
        line = wire(model, share, span)
        wires.append(round_bar("", "", line, np.full(len(line), 0.0045), sides=6))
    holder = turned_on_lathe(
        "", "", [(0.0, 0.02), (0.013, 0.02), (0.015, 0.022), (0.015, 0.055), (0.009, 0.062), (0.006, DROP + 0.004),
        (0.0, DROP + 0.004)],
        centre=np.zeros(3), sides=10,
    )  # fmt: skip
    places = bulbs(model)
    count = len(holder.vertices)
    holders = Part(
        f"{name}.holders",
        "black",
        (holder.vertices + places[:, None]).reshape(-1, 3),
        (holder.faces + count * np.arange(len(places))[:, None, None]).reshape(-1, 3).astype(np.int32),
        np.tile(holder.normals, (len(places), 1)),
    )
    parts = [joined_as(f"{name}.wire", "black", wires), holders]
    if model.poles:
        poles = []
        for x, y in model.along:
            foot, top = np.array([x, y, -0.3]), np.array([x, y, model.height + 0.06])
            poles.append(rod(foot, top, 0.035, sides=12))
        parts.append(joined_as(f"{name}.poles", model.material, poles))
    return parts
