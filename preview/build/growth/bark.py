"""Bark: the skin of trunks and branches, furrowed where it is seen near, tinted by its kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from preview.build.growth.branches import Limbs, bell, even, row, single
from preview.build.mesh import Floats, Indices
from preview.build.tubes import across, tube_faces, unit

Kind = Literal["furrowed", "smooth", "white", "flaking", "bleached"]


@dataclass(frozen=True)
class Skin:
    """Triangles of several trees that share their faces.

    vertices, normals, tint (trees, n, 3) float32: tint as of `Part`; faces (m, 3) int32 into n.
    """

    vertices: Floats
    normals: Floats
    tint: Floats
    faces: Indices


def joined(skins: list[Skin]) -> Skin:
    """One skin from several of the same trees."""
    starts = np.cumsum([0] + [skin.vertices.shape[1] for skin in skins])
    return Skin(
        np.concatenate([skin.vertices for skin in skins], axis=1),
        np.concatenate([skin.normals for skin in skins], axis=1),
        np.concatenate([skin.tint for skin in skins], axis=1),
        np.concatenate(
            [skin.faces + np.int32(start) for skin, start in zip(skins, starts, strict=False)]
        ).astype(np.int32),
    )


def finer(limbs: Limbs, times: int) -> Limbs:
    """The same limbs with `times` as many segments, rounded through their points: Catmull and Rom's curve."""
    if times == 1:
        return limbs
    points = limbs.points
    before = np.concatenate([2.0 * points[..., :1, :] - points[..., 1:2, :], points[..., :-2, :]], axis=-2)
    after = np.concatenate([points[..., 2:, :], 2.0 * points[..., -1:, :] - points[..., -2:-1, :]], axis=-2)
    low, high = points[..., :-1, :], points[..., 1:, :]
    t = (np.arange(times, dtype=np.float32) / times)[:, None]
    p0, p1, p2, p3 = (each[..., None, :] for each in (before, low, high, after))
    curve = p1 + 0.5 * t * (
        p2 - p0 + t * (2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3 + t * (3.0 * (p1 - p2) + p3 - p0))
    )
    *leading, segments, _, _ = curve.shape
    fine = np.concatenate([curve.reshape(*leading, segments * times, 3), points[..., -1:, :]], axis=-2)
    thin = limbs.radii[..., :-1, None] + t[:, 0] * np.diff(limbs.radii, axis=-1)[..., None]
    radii = np.concatenate([thin.reshape(*leading, segments * times), limbs.radii[..., -1:]], axis=-1)
    return Limbs(single(fine), single(radii), limbs.lengths, limbs.family)


def tubes(
    random: np.random.Generator, limbs: Limbs, sides: int, kind: Kind, height_m: float, *, relief: bool
) -> Skin:
    """Round skins of limbs on trees of `height_m` metres, furrowed where `relief` is wanted."""
    points, radii = limbs.points, limbs.radii
    trees, count, rings, _ = points.shape
    along = unit(np.gradient(points, axis=-2))
    chord = unit(points[..., -1, :] - points[..., 0, :])
    reference = across(chord)[0][..., None, :]
    first = unit(reference - np.einsum("...i,...i->...", reference, along)[..., None] * along)
    second = np.cross(along, first)
    turn = single(2.0 * np.pi * np.arange(sides) / sides)
    outward = first[..., None, :] * np.cos(turn)[:, None] + second[..., None, :] * np.sin(turn)[:, None]
    furrow = _furrows(random, (trees, count, rings, sides), turn, kind) if relief else None
    # A tube of few sides is made as much wider as a round one hides: by the ratio of their girths.
    radii = radii * float(np.pi / (sides * np.sin(np.pi / sides)))
    reach = radii[..., None] * (1.0 if furrow is None else 1.0 + DEPTH[kind] * furrow)
    vertices = single(points[..., None, :] + reach[..., None] * outward)
    normals = single(outward)
    if furrow is not None:
        round_about = np.roll(vertices, -1, axis=-2) - np.roll(vertices, 1, axis=-2)
        normals = unit(np.cross(round_about, np.gradient(vertices, axis=-3)))
    tint = _tints(random, vertices, radii, furrow, kind, height_m)
    shape = (trees, count * rings * sides, 3)
    return Skin(
        vertices.reshape(shape),
        single(normals).reshape(shape),
        tint.reshape(shape),
        tube_faces(count, rings, sides),
    )


def ribbons(random: np.random.Generator, limbs: Limbs, kind: Kind, height_m: float, *, share: float) -> Skin:
    """Twigs as flat strips, of a `share` of the limbs, made so much wider that they hide as much as all the round ones."""
    trees, count = limbs.lengths.shape
    segments = limbs.points.shape[2] - 1
    kept = np.linspace(0, count - 1, max(1, round(share * count))).astype(np.int64)
    knots = np.linspace(0, segments, min(segments, BENDS) + 1).round().astype(np.int64)
    points, radii = limbs.points[:, kept][:, :, knots], limbs.radii[:, kept][:, :, knots]
    run = unit(np.gradient(points, axis=-2))
    level, leaning = across(unit(points[..., -1, :] - points[..., 0, :]))
    turn = 2.0 * np.pi * even(random, trees, len(kept), 1)
    side = (np.cos(turn) * level + np.sin(turn) * leaning)[..., None, :]
    # Over the ways it may be turned, a strip of width w hides 2 w / pi in the mean; a tube hides its diameter.
    half = single(0.5 * np.pi * radii * (count / len(kept)))[..., None]
    vertices = np.stack([points + half * side, points - half * side], axis=-2)
    normal = unit(np.cross(run, side))
    tint = _tints(random, vertices, radii, None, kind, height_m)
    shape = (trees, 2 * len(kept) * len(knots), 3)
    first = 2 * np.arange(len(kept) * len(knots), dtype=np.int32).reshape(len(kept), -1)[:, :-1, None]
    two = np.array([[0, 1, 3], [0, 3, 2]], np.int32)
    faces = first[..., None] + two
    return Skin(
        single(vertices).reshape(shape),
        single(np.repeat(normal[..., None, :], 2, axis=-2)).reshape(shape),
        tint.reshape(shape),
        faces.reshape(-1, 3),
    )


BENDS = 2
"""Segments of a ribbon at the most."""
DEPTH: dict[Kind, float] = {
    "furrowed": 0.075,
    "smooth": 0.02,
    "white": 0.018,
    "flaking": 0.05,
    "bleached": 0.05,
}
"""Depth of the relief against the radius."""


def _furrows(random: np.random.Generator, shape: tuple[int, ...], turn: Floats, kind: Kind) -> Floats:
    """Height of the bark (trees, limbs, rings, sides) between -1 and 1: long ridges that part and meet."""
    trees, count, rings, sides = shape
    ring = single(np.arange(rings))[:, None]
    height = single(np.zeros(shape))
    for number, strength in ((max(3, sides // 5), 1.0), (max(4, sides // 3), 0.7)):
        wander = sum(
            2.2
            * bell(random, trees, count, 1, 1)
            / (wave + 1)
            * np.sin(ring * (0.25 + 0.35 * wave) + 7.0 * even(random, trees, count, 1, 1))
            for wave in range(3)
        )
        height += strength * np.abs(np.sin(0.5 * number * turn + wander))
    height = 1.25 * height - 0.9 + 0.35 * bell(random, *shape)
    return single(np.clip(height, -1.0, 1.0))


def _tints(
    random: np.random.Generator,
    vertices: Floats,
    radii: Floats,
    furrow: Floats | None,
    kind: Kind,
    height_m: float,
) -> Floats:
    """Tints of vertices (trees, limbs, rings, sides, 3), whose limbs have radii (trees, limbs, rings)."""
    shape = vertices.shape[:-1]
    shade = 1.0 + 0.1 * bell(random, *shape)
    if furrow is not None:
        shade = shade * (0.95 + 0.4 * furrow)
    above_m = vertices[..., 2] * height_m
    # Splashed and grown over near the ground.
    shade = shade * (0.65 + 0.35 * np.clip(above_m / 0.6, 0.0, 1.0))
    thick = np.clip((radii[..., None] * height_m - 0.008) / 0.03, 0.0, 1.0)[..., None]
    shade = np.clip(shade, 0.15, 1.8)[..., None]
    plain = row(1.0, 1.0, 1.0)
    if kind == "white":
        # Dark bands that lie level: each covers a stretch of the ring; more and blacker near the ground.
        marks = np.repeat(even(random, *shape[:-1], -(-shape[-1] // 4)), 4, axis=-1)[..., : shape[-1]]
        dark = marks > 0.87 - 0.3 * np.exp(-above_m / 0.7)
        white = np.where(dark[..., None], row(0.16, 0.15, 0.15), plain)
        colour = thick * white + (1.0 - thick) * row(0.21, 0.16, 0.15)
    elif kind == "flaking":
        up = np.clip((vertices[..., 2] - 0.3) / 0.3, 0.0, 1.0)[..., None]
        colour = (1.0 - up) * plain + up * row(2.6, 1.55, 1.0)
    elif kind == "bleached":
        colour = np.broadcast_to(row(1.6, 1.75, 2.0), (*shape, 3))
    else:
        colour = np.broadcast_to(plain * (0.85 if kind == "smooth" else 1.0), (*shape, 3))
    return cast(Floats, np.asarray(colour * shade, np.float32))
