"""Levels: in how much detail each plant is built, by how near a camera of any setup comes to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.build.site import Site
from preview.script.models.pieces.growth import Planted
from preview.script.places_of_trees import tree_stands


@dataclass(frozen=True)
class Level:
    """Of plants up to `within` metres from the nearest camera.

    `leaves` at the most on one, of `corners` corners; `sides` of the tubes of each order of its wood, the trunk first,
    FLAT where ribbons stand for it, of which an order has `ribbons` at the most; `rings`: into how many each segment of the
    trunk and of the first order is cut.
    """

    within: float
    leaves: int
    corners: int
    sides: tuple[int, int, int, int, int]
    ribbons: int
    rings: tuple[int, int] = (1, 1)


FLAT = 1
LEVELS = (
    Level(7.0, 28000, 6, (26, 12, 6, 3, FLAT), 6000, (5, 2)),
    Level(16.0, 34000, 4, (14, 7, 4, FLAT, FLAT), 5000, (2, 1)),
    Level(30.0, 20000, 3, (8, 5, 3, FLAT, FLAT), 3000),
    Level(50.0, 8000, 3, (6, 4, 3, FLAT, FLAT), 1200),
    Level(90.0, 3000, 3, (5, 3, FLAT, FLAT, FLAT), 400),
    Level(np.inf, 1000, 3, (4, FLAT, FLAT, FLAT, FLAT), 120),
)
NEAR = 2
"""How many levels, the first, are near."""
MOST = 1_300_000
"""Triangles of all plants of a scene, about; where there would be more, each has fewer and larger leaves."""
MOST_SHARE = 2.0
"""How many times the usual number of leaves and twigs a far plant may have, where there is room for them."""
WOOD = (16000, 8000, 4500, 2000, 900, 300)
"""Triangles of the wood of a plant of each level, about."""


def levels_of(stands: Floats, site: Site) -> NDArray[np.int64]:
    """The number of each plant's level (n,): plan places (n, 2 or more). Nobody looks: all are near."""
    if not len(site.eyes):
        return np.zeros(len(stands), np.int64)
    away = np.linalg.norm(stands[:, None, :2] - site.eyes[None, :, :2], axis=2).min(axis=1)
    return np.searchsorted([level.within for level in LEVELS], away, side="right").astype(np.int64)


def shares(site: Site) -> Floats:
    """How many leaves and twigs plants of each level (levels,) may have, against the usual, so that all of the scene's stay
    within MOST triangles: where few are near, those far off are the finer."""
    each = np.array([level.leaves * (level.corners - 2) for level in LEVELS]) + np.array(WOOD)
    wanted = np.zeros(len(LEVELS))
    for _, piece in site.scene.set:
        if isinstance(piece, Planted):
            levels = levels_of(np.array(tree_stands(piece)).reshape(-1, 3), site)
            wanted += each * np.bincount(levels, minlength=len(LEVELS))
    near, far = float(wanted[:NEAR].sum()), float(wanted[NEAR:].sum())
    if near + far > MOST:
        return np.full(len(LEVELS), MOST / (near + far))
    far_share = min(MOST_SHARE, (MOST - near) / max(far, 1.0))
    return np.where(np.arange(len(LEVELS)) < NEAR, 1.0, far_share)


def detail_of(number: int, share: float) -> Level:
    """The level, with such a share of its leaves and ribbons; wood is as plain as the level's that has so few leaves."""
    level = LEVELS[number]
    plainer = min(number + max(0, round(-np.log2(max(share, 1e-3)))), len(LEVELS) - 1)
    return replace(
        level,
        leaves=max(60, round(share * level.leaves)),
        ribbons=max(20, round(share * level.ribbons)),
        sides=LEVELS[plainer].sides,
        rings=LEVELS[plainer].rings,
    )
