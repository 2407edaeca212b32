"""Branches: the wood of trees, grown order by order from the trunk, several trees at once.

A tree is one unit high here. Each order of branching springs from the one before: its branches start at even
steps along the parent, turned by the golden angle, leave it under an angle and bend towards the light or
sag as they go. Source of the scheme: Weber and Penn, Creation and Rendering of Realistic Trees,
SIGGRAPH 1995 (levels of branching with lengths and angles given against the parent).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.tubes import Surface, across, joined, tubes, unit

GOLDEN_ANGLE = np.pi * (3.0 - np.sqrt(5.0))


@dataclass(frozen=True)
class Trunk:
    """Lengths against the tree's height; `radius` at breast height, thicker at the root."""

    height: float
    radius: float
    tip: float
    """Radius at the top against that at breast height."""
    segments: int
    sides: int
    wander: float


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
    sides: int
    """Of the tubes; 0 where the branch bears leaves and is too thin to draw."""
    lift: float
    """How far a branch turns up along its length (down, where negative), about radians."""
    wander: float
    radius: float
    """At the base, against the parent's radius there."""
    tip: float = 0.35
    """Radius at the tip against the base."""
    flat: bool = False
    """Whether branches leave the parent to its two sides only, as on a fir bough."""


@dataclass(frozen=True)
class Limbs:
    """Branches of one order: points (trees, b, s + 1, 3), radii (trees, b, s + 1), lengths (trees, b)."""

    points: Floats
    radii: Floats
    lengths: Floats


def grow(random: np.random.Generator, trunk: Trunk, orders: tuple[Order, ...], *, trees: int) -> list[Limbs]:
    """The trunks and then each order of branches of `trees` trees whose trunks start at the origin."""
    grown = [_trunks(random, trunk, trees)]
    for order in orders:
        grown.append(_spring(random, grown[-1], order))
    return grown


def wood(grown: list[Limbs], trunk: Trunk, orders: tuple[Order, ...]) -> Surface:
    """The tubes of all orders that are thick enough to draw."""
    sides = [trunk.sides, *(order.sides for order in orders)]
    return joined(
        [tubes(limbs.points, limbs.radii, count) for limbs, count in zip(grown, sides, strict=True) if count]
    )


def _trunks(random: np.random.Generator, trunk: Trunk, trees: int) -> Limbs:
    up = np.linspace(0.0, 1.0, trunk.segments + 1) ** 1.3
    points = np.zeros((trees, 1, len(up), 3))
    points[..., 2] = trunk.height * up
    steps = np.diff(up, prepend=0.0)[:, None]
    sway = random.standard_normal((trees, 1, len(up), 2)) * trunk.wander * trunk.height * np.sqrt(steps)
    # The root rises straight, so that its ring lies flat on the ground.
    sway[:, :, 1] = 0.0
    points[..., :2] = np.cumsum(sway, axis=2)
    thickness = trunk.radius * (1.0 + (trunk.tip - 1.0) * up) * (1.0 + 0.7 * np.exp(-30.0 * up))
    radii = np.broadcast_to(thickness, points.shape[:-1])
    return Limbs(points, radii, np.full((trees, 1), trunk.height))


def _spring(random: np.random.Generator, parents: Limbs, order: Order) -> Limbs:
    trees, count, knots, _ = parents.points.shape
    shape = (trees, count, order.children)
    share = (np.arange(order.children) + random.random(shape)) / order.children
    where = (order.spring[0] + (order.spring[1] - order.spring[0]) * share) * (knots - 1)
    below = np.minimum(where.astype(np.int64), knots - 2)
    rest = (where - below)[..., None]
    tree, parent = np.arange(trees)[:, None, None], np.arange(count)[None, :, None]
    low, high = parents.points[tree, parent, below], parents.points[tree, parent, below + 1]
    start = low + rest * (high - low)
    along = unit(high - low)

    first, second = across(along)
    turn = random.random((trees, count, 1)) * 2.0 * np.pi + GOLDEN_ANGLE * np.arange(order.children)
    if order.flat:
        turn = np.pi * np.arange(order.children) + 0.5 * random.standard_normal(shape)
    turn = (turn + 0.35 * random.standard_normal(shape))[..., None]
    angle = order.angle[0] + (order.angle[1] - order.angle[0]) * share
    angle = (angle * (1.0 + 0.15 * random.standard_normal(shape)))[..., None]
    heading = np.cos(angle) * along + np.sin(angle) * (np.cos(turn) * first + np.sin(turn) * second)

    lengths = parents.lengths[..., None] * np.interp(share, [0.0, 0.5, 1.0], order.length)
    lengths = lengths * np.clip(1.0 + 0.17 * random.standard_normal(shape), 0.6, 1.4)
    thickness_low = parents.radii[tree, parent, below]
    thickness = thickness_low + rest[..., 0] * (parents.radii[tree, parent, below + 1] - thickness_low)
    # A short branch is never as thick as a long one that springs from the same place.
    thickness = np.minimum(order.radius * thickness, 0.035 * lengths + 0.0006)

    points = np.empty((*shape, order.segments + 1, 3))
    points[..., 0, :] = start
    for segment in range(order.segments):
        heading = heading + order.wander * random.standard_normal(heading.shape)
        heading[..., 2] += order.lift / order.segments
        heading = unit(heading)
        points[..., segment + 1, :] = (
            points[..., segment, :] + (lengths / order.segments)[..., None] * heading
        )
    # Boughs that sag to the ground lie on it.
    np.maximum(points[..., 2], 0.012, out=points[..., 2])
    radii = thickness[..., None] * np.linspace(1.0, order.tip, order.segments + 1)
    total = count * order.children
    return Limbs(
        points.reshape(trees, total, order.segments + 1, 3),
        radii.reshape(trees, total, order.segments + 1),
        lengths.reshape(trees, total),
    )
