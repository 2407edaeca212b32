"""Branches: the skeletons of trees, grown order by order from the trunk, several trees at once.

A tree is one unit high here. Each order of branching springs from the one before: its branches start at even
steps along the parent, turned by the golden angle or in whorls, leave it under an angle, and bend towards the light
or sag as they go. Sources of the scheme: Weber and Penn, Creation and Rendering of Realistic Trees, SIGGRAPH 1995
(orders of branching with lengths and angles given against the parent, radius as a power of length).
All numbers are float32, for there may be many of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from preview.build.mesh import Floats
from preview.build.tubes import across, unit

GOLDEN_ANGLE = np.pi * (3.0 - np.sqrt(5.0))
FINEST = 0.00012
"""Radius of the thinnest twig, against the tree's height: 1 mm on a tree of 8 m."""
RADIUS_POWER = 1.5
"""A branch's radius against its parent's is the ratio of their lengths to this power; Weber and Penn have 1.2 to 2."""


@dataclass(frozen=True)
class Trunk:
    """Lengths against the tree's height; `radius` at breast height, thicker at the root."""

    height: float
    radius: float
    tip: float
    """Radius at the top against that at breast height."""
    segments: int
    wander: float
    flare: float = 0.7
    """How much thicker the root is."""


@dataclass(frozen=True)
class Order:
    """One order of branching; pairs and triples hold values from the low end to the far end of `spring`."""

    children: int
    """On each branch of the order before."""
    spring: tuple[float, float]
    """Where on the parent the branches start, 0 its base, 1 its tip."""
    angle: tuple[float, float]
    """Away from the parent's direction, radians."""
    length: tuple[float, float, float]
    """Against the parent's."""
    segments: int
    lift: tuple[float, float]
    """How far a branch turns up (down, where negative) in its first and in its second half, about radians."""
    wander: float
    tip: float = 0.35
    """Radius at the tip against the base."""
    stout: float = 1.0
    """Radius at the base against what its length makes it."""
    flat: bool = False
    """Whether branches leave the parent to its two sides only, as on a fir bough."""
    whorl: int = 1
    """How many spring from one place, all round the parent."""


@dataclass(frozen=True)
class Limbs:
    """Branches of one order: points (trees, b, s + 1, 3), radii (trees, b, s + 1), lengths (trees, b); float32.

    `family` is how many in a row spring from one parent.
    """

    points: Floats
    radii: Floats
    lengths: Floats
    family: int


def even(random: np.random.Generator, *shape: int) -> Floats:
    """Float32 draws between 0 and 1."""
    return cast(Floats, random.random(shape, dtype=np.float32))


def bell(random: np.random.Generator, *shape: int) -> Floats:
    """Float32 draws of the normal distribution."""
    return cast(Floats, random.standard_normal(shape, dtype=np.float32))


def single(values: ArrayLike) -> Floats:
    """The same in float32."""
    return cast(Floats, np.asarray(values, np.float32))


def row(*values: float) -> Floats:
    """A vector or a colour in float32."""
    return cast(Floats, np.array(values, np.float32))


def grow(seed: tuple[int, ...], trunk: Trunk, orders: tuple[Order, ...], *, trees: int) -> list[Limbs]:
    """The trunks and then each order of branches of `trees` trees whose trunks start at the origin.

    Each order has draws of its own, so those before it are the same whichever follow.
    """
    grown = [_trunks(np.random.default_rng([*seed, 0]), trunk, trees)]
    for number, order in enumerate(orders, start=1):
        grown.append(_spring(np.random.default_rng([*seed, number]), grown[-1], order))
    return grown


def _trunks(random: np.random.Generator, trunk: Trunk, trees: int) -> Limbs:
    up = np.linspace(0.0, 1.0, trunk.segments + 1, dtype=np.float32) ** np.float32(1.15)
    points = np.zeros((trees, 1, len(up), 3), np.float32)
    points[..., 2] = trunk.height * up
    steps = np.sqrt(np.diff(up, prepend=np.float32(0.0)))[:, None]
    sway = bell(random, trees, 1, len(up), 2) * trunk.wander * trunk.height * steps
    # The root rises straight, so that its ring lies flat on the ground.
    sway[:, :, :3] = 0.0
    points[..., :2] = np.cumsum(sway, axis=2)
    thickness = (
        trunk.radius
        * (1.0 + (trunk.tip - 1.0) * up)
        * (1.0 + trunk.flare * np.exp(-36.0 * trunk.height * up))
    )
    radii = np.broadcast_to(thickness, points.shape[:-1])
    return Limbs(cast(Floats, points), single(radii), single(np.full((trees, 1), trunk.height)), 1)


def _spring(random: np.random.Generator, parents: Limbs, order: Order) -> Limbs:
    trees, count, knots, _ = parents.points.shape
    shape = (trees, count, order.children)
    number = np.arange(order.children)
    whorls = -(-order.children // order.whorl)
    within = even(random, *shape) if order.whorl == 1 else 0.5 + 0.15 * bell(random, *shape)
    share = single(np.clip((number // order.whorl + within) / whorls, 0.0, 1.0))
    where = (order.spring[0] + (order.spring[1] - order.spring[0]) * share) * (knots - 1)
    below = np.clip(where.astype(np.int64), 0, knots - 2)
    rest = single(where - below)[..., None]
    tree, parent = np.arange(trees)[:, None, None], np.arange(count)[None, :, None]
    low, high = parents.points[tree, parent, below], parents.points[tree, parent, below + 1]
    start = low + rest * (high - low)
    along = unit(high - low)

    first, second = across(along)
    turned = GOLDEN_ANGLE * (number // order.whorl) + 2.0 * np.pi * (number % order.whorl) / order.whorl
    turn = even(random, trees, count, 1) * (2.0 * np.pi) + single(turned)
    if order.flat:
        turn = single(np.pi * number) + 0.3 * bell(random, *shape)
    turn = single(turn + 0.3 * bell(random, *shape))[..., None]
    angle = order.angle[0] + (order.angle[1] - order.angle[0]) * share
    angle = single(angle * (1.0 + 0.15 * bell(random, *shape)))[..., None]
    heading = np.cos(angle) * along + np.sin(angle) * (np.cos(turn) * first + np.sin(turn) * second)

    against = single(np.interp(share, [0.0, 0.5, 1.0], order.length))
    against = against * np.clip(1.0 + 0.17 * bell(random, *shape), 0.6, 1.4)
    lengths = single(parents.lengths[..., None] * against)
    thick_low = parents.radii[tree, parent, below]
    here = thick_low + rest[..., 0] * (parents.radii[tree, parent, below + 1] - thick_low)
    # Never thicker than the parent is where it springs from.
    thickness = np.minimum(
        0.85 * here, order.stout * parents.radii[:, :, :1] * np.minimum(against, 1.0) ** RADIUS_POWER
    )
    thickness = single(np.maximum(thickness, FINEST))

    points = np.empty((*shape, order.segments + 1, 3), np.float32)
    points[..., 0, :] = start
    for segment in range(order.segments):
        heading = heading + order.wander * bell(random, *heading.shape)
        heading[..., 2] += order.lift[2 * segment // order.segments] * 2.0 / order.segments
        heading = unit(heading)
        points[..., segment + 1, :] = (
            points[..., segment, :] + (lengths / order.segments)[..., None] * heading
        )
    # Boughs that sag to the ground lie on it.
    np.maximum(points[..., 2], 0.008, out=points[..., 2])
    radii = thickness[..., None] * np.linspace(1.0, order.tip, order.segments + 1, dtype=np.float32)
    total = count * order.children
    return Limbs(
        cast(Floats, points.reshape(trees, total, order.segments + 1, 3)),
        single(np.maximum(radii, FINEST).reshape(trees, total, order.segments + 1)),
        lengths.reshape(trees, total),
        order.children,
    )
