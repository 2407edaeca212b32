"""Leaves: small bent blades on twigs, shaded as one soft crown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.branches import Limbs
from preview.build.mesh import Floats, Indices
from preview.build.tubes import Surface, across, unit


@dataclass(frozen=True)
class Foliage:
    """Sizes against the tree's height."""

    per_twig: int
    length: float
    width: float
    """Against the leaf's length."""
    spread: float
    """How far leaves stand off their twig."""
    fan: float
    """How far a leaf turns away from its twig's direction, radians."""
    hang: float
    """How much leaves droop: 0 none, 1 half down."""
    shade: float
    """How round the crown is shaded: 0 each leaf by itself, 1 as one smooth body."""
    first: float = 0.1
    """Where on the twig the leaves start."""
    smallest: float = 0.6
    """How small the leaves of the shortest twigs are, against `length`."""


def blades(base: Floats, axis: Floats, side: Floats, length: Floats, width: Floats) -> tuple[Floats, Floats]:
    """Bent blades: base (..., 3), unit axis and side; length and width (...,) m.

    Returns corners (..., 4, 3), in the order base, one side, tip, other side, and the blade's unit normal.
    """
    normal = np.cross(side, axis)
    run, reach = axis * length[..., None], side * (0.5 * width)[..., None]
    belly = base + 0.45 * run + normal * (0.14 * length)[..., None]
    return np.stack([base, belly + reach, base + run, belly - reach], axis=-2), normal


def blade_faces(count: int) -> Indices:
    """Faces (2 count, 3) of blades of four corners."""
    corners = np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32)
    starts = 4 * np.arange(count, dtype=np.int32)[:, None, None]
    return np.asarray((corners + starts).reshape(-1, 3), dtype=np.int32)


def shaded(normal: Floats, outward: Floats, shade: float) -> tuple[Floats, Floats]:
    """Which blades (...,) must turn over to face out, and shading normals (..., 3) mixed from both."""
    over = np.einsum("...i,...i->...", normal, outward) < 0.0
    facing = np.where(over[..., None], -normal, normal)
    return over, unit(shade * outward + (1.0 - shade) * facing)


def foliage(random: np.random.Generator, twigs: Limbs, kind: Foliage) -> Surface:
    """Leaves on every twig: vertices (trees, 4 n, 3), normals that point out of the crown."""
    trees, count, knots, _ = twigs.points.shape
    shape = (trees, count, kind.per_twig)
    where = (
        kind.first + (1.02 - kind.first) * (np.arange(kind.per_twig) + random.random(shape)) / kind.per_twig
    )
    where = where * (knots - 1)
    below = np.minimum(where.astype(np.int64), knots - 2)
    tree, twig = np.arange(trees)[:, None, None], np.arange(count)[None, :, None]
    low, high = twigs.points[tree, twig, below], twigs.points[tree, twig, below + 1]
    along = unit(high - low)
    base = low + (where - below)[..., None] * (high - low)
    base = base + kind.spread * random.standard_normal(base.shape)

    first, second = across(along)
    turn = 2.0 * np.pi * random.random(shape)[..., None]
    fan = (kind.fan * (0.6 + 0.8 * random.random(shape)))[..., None]
    axis = np.cos(fan) * along + np.sin(fan) * (np.cos(turn) * first + np.sin(turn) * second)
    axis[..., 2] -= kind.hang
    axis = unit(axis)
    # Leaves lie face up on the whole, so their sides lie level on the whole.
    level, leaning = across(axis)
    tilt = (0.7 * random.standard_normal(shape))[..., None]
    side = np.cos(tilt) * level + np.sin(tilt) * leaning
    # A short twig bears small leaves.
    vigour = np.clip(twigs.lengths / twigs.lengths.mean(axis=1, keepdims=True), kind.smallest, 1.25)[
        ..., None
    ]
    length = kind.length * vigour * (0.65 + 0.7 * random.random(shape))

    low_crown, high_crown = base.min(axis=(1, 2), keepdims=True), base.max(axis=(1, 2), keepdims=True)
    middle, half = 0.5 * (low_crown + high_crown), 0.5 * (high_crown - low_crown)
    middle[..., 2] -= 0.3 * half[..., 2]
    clump = base.mean(axis=2, keepdims=True)
    outward = unit(unit((base - middle) / half) + 0.5 * unit(base - clump))
    corners, normal = blades(base, axis, side, length, kind.width * length)
    over, normals = shaded(normal, outward, kind.shade)
    corners = np.where(over[..., None, None], corners[..., [0, 3, 2, 1], :], corners)
    # No leaf sinks into the ground.
    np.maximum(corners[..., 2], 0.002, out=corners[..., 2])
    total = count * kind.per_twig
    return Surface(
        corners.reshape(trees, 4 * total, 3),
        np.repeat(normals.reshape(trees, total, 3), 4, axis=1),
        blade_faces(total),
    )
