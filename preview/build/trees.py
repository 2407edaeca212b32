"""Trees: a piece's trees as two parts, wood and leaves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from preview.build.branches import Order, Trunk, grow, wood
from preview.build.leaves import Foliage, foliage
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.build.tubes import Surface
from preview.script.models.pieces.growth import Trees
from preview.script.places_of_trees import tree_stands

VARIANTS = 5
"""Different trees grown for one piece; the rest are these again, turned and scaled."""

FEW = 8
"""The trees of a piece of no more than this stand near and alone: more leaves, and smaller."""

MANY = 40
"""A piece of more trees than this is a distant stand, built of lighter trees."""


@dataclass(frozen=True)
class Species:
    trunk: Trunk
    orders: tuple[Order, ...]
    foliage: Foliage | None = None
    leaf_material: str = "leaves"
    bark_material: str = "bark"


NEAR = {
    "broadleaf": Species(
        Trunk(0.56, 0.026, 0.45, 9, 8, 0.035),
        (
            Order(11, (0.38, 1.0), (1.35, 0.3), (0.72, 0.84, 0.7), 5, 5, 0.5, 0.12, 0.62),
            Order(6, (0.3, 1.0), (0.95, 0.5), (0.46, 0.44, 0.36), 3, 3, 0.2, 0.16, 0.6),
            Order(5, (0.2, 1.0), (1.0, 0.4), (0.5, 0.5, 0.5), 2, 0, 0.1, 0.2, 0.6),
        ),
        Foliage(8, 0.033, 0.7, 0.011, 1.0, 0.25, 0.6),
    ),
    "pear": Species(
        Trunk(0.3, 0.028, 0.75, 5, 8, 0.03),
        (
            Order(7, (0.55, 1.0), (0.95, 0.45), (1.35, 1.6, 1.6), 5, 5, 0.6, 0.1, 0.6),
            Order(9, (0.22, 1.0), (0.9, 0.5), (0.4, 0.38, 0.26), 3, 3, 0.3, 0.16, 0.5),
            Order(5, (0.15, 1.0), (1.0, 0.4), (0.5, 0.5, 0.5), 2, 0, 0.1, 0.2, 0.6),
        ),
        Foliage(8, 0.032, 0.55, 0.010, 1.0, 0.2, 0.55),
    ),
    "conifer": Species(
        Trunk(0.98, 0.017, 0.08, 8, 7, 0.006),
        (
            Order(80, (0.07, 0.97), (1.8, 0.7), (0.24, 0.15, 0.015), 3, 3, -0.2, 0.05, 0.4),
            Order(12, (0.05, 1.0), (0.85, 0.5), (0.4, 0.36, 0.2), 2, 0, -0.5, 0.1, 0.5, flat=True),
        ),
        Foliage(3, 0.056, 0.2, 0.003, 0.35, 0.4, 0.45, first=0.0, smallest=0.4),
        "dark leaves",
        "dark bark",
    ),
    "bare": Species(
        Trunk(0.6, 0.024, 0.4, 8, 8, 0.03),
        (
            Order(10, (0.34, 1.0), (1.25, 0.35), (0.66, 0.74, 0.6), 6, 5, 0.6, 0.12, 0.62),
            Order(6, (0.25, 1.0), (0.9, 0.5), (0.5, 0.5, 0.42), 4, 3, 0.3, 0.16, 0.6),
            Order(5, (0.2, 1.0), (0.85, 0.5), (0.5, 0.48, 0.4), 1, 3, 0.2, 0.16, 0.62),
            Order(2, (0.3, 1.0), (0.8, 0.45), (0.7, 0.6, 0.55), 1, 3, 0.1, 0.1, 0.7, 0.3),
        ),
    ),
}

FAR = {
    "broadleaf": replace(
        NEAR["broadleaf"],
        trunk=Trunk(0.56, 0.026, 0.45, 5, 5, 0.035),
        orders=(
            Order(8, (0.38, 1.0), (1.35, 0.3), (0.72, 0.84, 0.7), 3, 3, 0.5, 0.12, 0.62),
            Order(7, (0.25, 1.0), (1.0, 0.5), (0.5, 0.46, 0.38), 2, 0, 0.25, 0.16, 0.6),
        ),
        foliage=Foliage(26, 0.045, 0.7, 0.026, 1.0, 0.25, 0.6),
    ),
    "pear": replace(
        NEAR["pear"],
        trunk=Trunk(0.3, 0.028, 0.75, 3, 5, 0.03),
        orders=(
            Order(6, (0.55, 1.0), (0.95, 0.45), (1.35, 1.6, 1.6), 3, 3, 0.6, 0.1, 0.6),
            Order(8, (0.2, 1.0), (0.9, 0.5), (0.4, 0.38, 0.28), 2, 0, 0.35, 0.16, 0.5),
        ),
        foliage=Foliage(18, 0.042, 0.6, 0.018, 1.0, 0.2, 0.55),
    ),
    "conifer": replace(
        NEAR["conifer"],
        # Thin and short enough to be lost among its boughs: at a distance nothing else would be as even and bright.
        trunk=Trunk(0.93, 0.009, 0.04, 3, 4, 0.006),
        orders=(Order(92, (0.05, 1.0), (1.85, 0.4), (0.29, 0.185, 0.055), 2, 0, -0.3, 0.05, 0.4),),
        foliage=Foliage(27, 0.036, 0.26, 0.006, 0.6, 0.4, 0.5, first=0.0, smallest=0.65),
    ),
    "bare": replace(
        NEAR["bare"],
        trunk=Trunk(0.6, 0.024, 0.4, 5, 4, 0.03),
        orders=(
            Order(8, (0.34, 1.0), (1.25, 0.35), (0.66, 0.74, 0.6), 3, 3, 0.6, 0.12, 0.62),
            Order(6, (0.25, 1.0), (0.9, 0.5), (0.5, 0.5, 0.42), 2, 3, 0.3, 0.16, 0.6),
            Order(3, (0.2, 1.0), (0.85, 0.5), (0.7, 0.6, 0.5), 1, 3, 0.2, 0.16, 0.7, 0.3),
        ),
    ),
}


def build_trees(name: str, model: Trees, site: Site) -> list[Part]:
    """`NAME.wood` and, but for bare trees, `NAME.leaves`: all trees of the piece, standing on z = 0.

    The same for the same seed. A near tree has 4,000 to 7,000 triangles with `leaves: 1`; where the piece has
    more than 40 trees each has 1,600 to 5,500, with leaves the larger.
    """
    stands = np.array(tree_stands(model)).reshape(-1, 3)
    if not len(stands):
        return []
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 2])
    species = (FAR if len(stands) > MANY else NEAR)[model.kind]
    trees = min(VARIANTS, len(stands))
    grown = grow(random, species.trunk, species.orders, trees=trees)
    surfaces = [wood(grown, species.trunk, species.orders)]
    names = [("wood", species.bark_material)]
    if species.foliage is not None:
        kind = _leafed(species.foliage, model.leaves, few=len(stands) <= FEW)
        surfaces.append(foliage(random, grown[-1], kind))
        names.append(("leaves", species.leaf_material))
    # Trees differ a little in how wide they are for their height.
    which = np.concatenate([random.permutation(trees), random.integers(trees, size=len(stands) - trees)])
    turn = 2.0 * np.pi * random.random(len(stands))
    girth = 0.88 + 0.24 * random.random(len(stands))
    top = np.max([surface.vertices[..., 2].max(axis=1) for surface in surfaces], axis=0)
    return [
        _planted(f"{name}.{part}", material, surface, stands, which, turn, girth, 1.0 / top)
        for (part, material), surface in zip(names, surfaces, strict=True)
    ]


def _leafed(kind: Foliage, leaves: float, *, few: bool) -> Foliage:
    """The foliage with `leaves` times its leaves; near trees have twice as many, of less than half the area."""
    number, size = (2.0, 0.76) if few else (1.0, 1.0)
    return replace(kind, per_twig=max(1, round(number * leaves * kind.per_twig)), length=size * kind.length)


def _planted(
    name: str,
    material: str,
    surface: Surface,
    stands: Floats,
    which: np.ndarray,
    turn: Floats,
    girth: Floats,
    scale: Floats,
) -> Part:
    """Trees `which` (n,) of the surface at stands (n, 3), turned by `turn` and scaled to their heights."""
    upright = stands[:, 2] * scale[which]
    sideways = upright * girth
    turning = np.zeros((len(stands), 3, 3))
    turning[:, 0, 0] = turning[:, 1, 1] = np.cos(turn)
    turning[:, 1, 0] = np.sin(turn)
    turning[:, 0, 1] = -turning[:, 1, 0]
    turning[:, 2, 2] = 1.0
    stretch = np.stack([sideways, sideways, upright], axis=1)
    # Rows times the transpose: first stretched, then turned.
    vertices = surface.vertices[which] @ (turning * stretch[:, None, :]).transpose(0, 2, 1)
    vertices[..., :2] += stands[:, None, :2]
    np.maximum(vertices[..., 2], 0.0, out=vertices[..., 2])
    # Normals take the inverse of the stretch.
    normals = surface.normals[which] @ (turning / stretch[:, None, :]).transpose(0, 2, 1)
    normals /= np.maximum(np.sqrt(np.einsum("nvi,nvi->nv", normals, normals)), 1e-30)[..., None]
    starts = surface.vertices.shape[1] * np.arange(len(stands), dtype=np.int32)
    faces = surface.faces[None] + starts[:, None, None]
    return Part(name, material, vertices.reshape(-1, 3), faces.reshape(-1, 3), normals.reshape(-1, 3))
