"""Leaves: bent blades on twigs, in clumps, shaded partly as the soft body that they make together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from preview.build.growth.bark import Skin
from preview.build.growth.branches import Limbs, bell, even, row, single
from preview.build.mesh import Floats, Indices
from preview.build.tubes import across, unit


@dataclass(frozen=True)
class Foliage:
    """Of one kind of plant. Lengths in metres are a real leaf's; others are against the plant's height."""

    area: float
    """Of all leaves, one side, against the square of the plant's height."""
    length_m: float
    width: float
    """Against the leaf's length."""
    spread: float
    """How far leaves stand off their twig."""
    fan: float
    """How far a leaf turns away from its twig's direction, radians."""
    hang: float
    """How much leaves droop: 0 none, 1 half down."""
    tilt: float
    """How far leaves lie from face up, radians."""
    shade: float = 0.35
    """How round the crown is shaded: 0 each leaf by itself, 1 as one smooth body."""
    first: float = 0.1
    """Where on the twig the leaves start."""
    autumn: float = 0.55
    """How far they turn in autumn: 0.3 yellow, 0.6 orange, 1 brown; 0 not at all."""


OUTLINES: dict[int, Floats] = {
    6: np.array([[0, 0], [0.3, 0.44], [0.68, 0.4], [1, 0], [0.68, -0.4], [0.3, -0.44]]),
    4: np.array([[0, 0], [0.42, 0.5], [1, 0], [0.42, -0.5]]),
    3: np.array([[0, 0], [0.8, 0.55], [1, -0.45]]),
}
"""Outlines of a leaf by its corners: along and across, against its length and its width."""
CUP = 0.22
"""How far a leaf's sides rise over its midrib, against half its width; times two."""
CURL = 0.16
"""How far its tip bends down, against its length."""


@lru_cache
def blade_area(corners: int, width: float) -> float:
    """Area of a bent blade of length 1 and that width, m2."""
    ahead, aside, up = np.eye(3)[:, None]
    one = np.ones(1)
    bent, _ = blades(0.0 * ahead, ahead, aside, one, width * one, -up, corners=corners, shade=0.0)
    fan = bent[0][blade_faces(1, corners)].astype(np.float64)
    return float(0.5 * np.linalg.norm(np.cross(fan[:, 1] - fan[:, 0], fan[:, 2] - fan[:, 0]), axis=1).sum())


def blade_faces(count: int, corners: int = 4) -> Indices:
    """Faces (count * (corners - 2), 3) of blades, each a fan from its base."""
    fan = np.array([[0, corner, corner + 1] for corner in range(1, corners - 1)], np.int32)
    starts = corners * np.arange(count, dtype=np.int32)[:, None, None]
    return np.asarray((fan + starts).reshape(-1, 3), dtype=np.int32)


def blades(
    base: Floats,
    axis: Floats,
    side: Floats,
    length: Floats,
    width: Floats,
    outward: Floats,
    *,
    corners: int,
    shade: float,
) -> tuple[Floats, Floats]:
    """Bent blades that turn their faces to `outward`: base, unit axis, side and outward (..., 3); sizes (...,) m.

    Returns corners (..., corners, 3) and shading normals of the same shape, each mixed from its blade and `outward`.
    """
    normal = np.cross(side, axis)
    over = np.where(np.einsum("...i,...i->...", normal, outward) < 0.0, np.float32(-1.0), np.float32(1.0))[
        ..., None
    ]
    normal, side = normal * over, side * over
    along, sideways = single(OUTLINES[corners]).T[:, :, None]
    run, reach = (axis * length[..., None])[..., None, :], (side * width[..., None])[..., None, :]
    rise = normal[..., None, :] * (CUP * width)[..., None, None]
    fall = normal[..., None, :] * (CURL * length)[..., None, None]
    vertices = base[..., None, :] + along * run + sideways * reach + np.abs(sideways) * rise - along**2 * fall
    # The two halves look towards each other over the midrib, and the tip looks ahead.
    own = (
        normal[..., None, :] - 0.5 * sideways * side[..., None, :] + 0.3 * (along - 0.4) * axis[..., None, :]
    )
    return single(vertices), unit(single(shade * outward[..., None, :] + (1.0 - shade) * own))


def foliage(
    random: np.random.Generator,
    twigs: Limbs,
    kind: Foliage,
    *,
    height_m: float,
    leaves: float,
    most: int,
    corners: int,
    turning: bool,
) -> Skin:
    """Leaves on the twigs of trees of about `height_m` metres, `most` a tree: as many as there are, or larger ones.

    All of them together have the same area however many there are. `turning`: in their autumn colours.
    """
    trees, count, knots, _ = twigs.points.shape
    area = kind.area * leaves
    one = blade_area(corners, kind.width)
    real = kind.length_m**2 * one / height_m**2
    number = max(1, min(most, round(area / real)))
    shape = (trees, number)
    twig = _shared_out(random, twigs.lengths, number)
    place = 1.0 - even(random, *shape) ** 1.2
    where = (kind.first + (1.02 - kind.first) * place) * (knots - 1)
    below = np.clip(where.astype(np.int64), 0, knots - 2)
    tree = np.arange(trees)[:, None]
    low, high = twigs.points[tree, twig, below], twigs.points[tree, twig, below + 1]
    along = unit(high - low)
    size = 0.7 + 0.6 * even(random, *shape)
    # The mean of the squares of the sizes is 1.03.
    length = single(size * np.sqrt(area / (1.03 * number * one)))
    base = low + single(where - below)[..., None] * (high - low)
    base = base + (kind.spread * bell(random, *base.shape))

    first, second = across(along)
    turn = 2.0 * np.pi * even(random, *shape)[..., None]
    fan = (kind.fan * (0.6 + 0.8 * even(random, *shape)))[..., None]
    axis = np.cos(fan) * along + np.sin(fan) * (np.cos(turn) * first + np.sin(turn) * second)
    axis[..., 2] -= kind.hang
    axis = unit(axis)
    level, leaning = across(axis)
    tilt = (kind.tilt * bell(random, *shape))[..., None]
    side = np.cos(tilt) * level + np.sin(tilt) * leaning

    low_crown, high_crown = base.min(axis=1, keepdims=True), base.max(axis=1, keepdims=True)
    middle, half = 0.5 * (low_crown + high_crown), 0.5 * (high_crown - low_crown)
    middle[..., 2] -= 0.3 * half[..., 2]
    clumps = twigs.points.reshape(trees, count // twigs.family, -1, 3).mean(axis=2)
    clump = twig // twigs.family
    from_middle = (base - middle) / half
    outward = unit(unit(from_middle) + 1.2 * unit(base - clumps[tree, clump] + row(0.0, 0.0, 0.01)))
    vertices, normals = blades(
        base, axis, side, length, single(kind.width * length), outward, corners=corners, shade=kind.shade
    )
    # No leaf sinks into the ground.
    np.maximum(vertices[..., 2], 0.0005, out=vertices[..., 2])
    out = np.sqrt(np.einsum("...i,...i->...", from_middle, from_middle))
    tint = _tints(random, out, place, clump, clumps.shape[1], turning=kind.autumn if turning else 0.0)
    return Skin(
        vertices.reshape(trees, -1, 3),
        normals.reshape(trees, -1, 3),
        np.repeat(tint, corners, axis=1),
        blade_faces(number, corners),
    )


def _shared_out(random: np.random.Generator, lengths: Floats, number: int) -> NDArray[np.int64]:
    """Which twig each of `number` leaves a tree is on (trees, number): long twigs have more, none misses its share."""
    trees, count = lengths.shape
    reached = np.cumsum(lengths / lengths.sum(axis=1, keepdims=True), axis=1, dtype=np.float64)
    draws = (np.arange(number) + even(random, trees, number)) / number
    tree = np.arange(trees)[:, None]
    twig = (
        np.searchsorted((reached + tree).ravel(), (draws + tree).ravel()).reshape(trees, number)
        - count * tree
    )
    return np.asarray(np.clip(twig, 0, count - 1), np.int64)


TURNING = np.array([0.0, 0.3, 0.5, 0.75, 1.0])
TURNED = np.array([[1.0, 1.0, 1.0], [2.4, 1.9, 0.8], [4.2, 2.6, 0.8], [4.2, 1.5, 0.5], [1.9, 1.0, 0.6]])
"""Tints of leaves from green over yellow and orange to brown; from memory."""


def _tints(
    random: np.random.Generator,
    out: Floats,
    place: Floats,
    clump: NDArray[np.int64],
    clumps: int,
    *,
    turning: float,
) -> Floats:
    """Tints (trees, n, 3): lighter out on the crown and at the twigs' ends, each leaf and clump a little its own."""
    trees, number = out.shape
    tree = np.arange(trees)[:, None]
    clump_own = bell(random, trees, clumps)[tree, clump]
    light = 0.5 + 0.5 * np.clip(out, 0.0, 1.1) + 0.3 * place**4
    light = light * np.exp(0.13 * bell(random, trees, number) + 0.09 * clump_own)
    hue = np.clip(
        0.13 * bell(random, trees, number) + 0.07 * clump_own + 0.06 * bell(random, trees, 1), -0.3, 0.3
    )
    tint = np.stack([light * (1.0 + hue), light, light * (1.0 - 0.8 * hue)], axis=-1)
    if turning > 0.0:
        own = (
            0.12 * bell(random, trees, number)
            + 0.12 * clump_own
            + 0.1 * bell(random, trees, 1)
            + 0.15 * (out - 0.7)
        )
        far = np.clip(turning + own, 0.0, 1.0)
        tint = tint * np.stack([np.interp(far, TURNING, TURNED[:, axis]) for axis in range(3)], axis=-1)
    return cast(Floats, np.asarray(tint, np.float32))
