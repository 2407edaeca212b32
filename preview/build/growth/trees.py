"""Trees and shrubs: a piece's plants as two parts, wood and leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from preview.build.growth.bark import Skin, finer, joined, ribbons, tubes
from preview.build.growth.branches import Limbs, grow, single
from preview.build.growth.leaves import foliage
from preview.build.growth.levels import FLAT, Level, detail_of, levels_of, shares
from preview.build.growth.species import SPECIES, Species
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.script.models.pieces.growth import Planted, Shrubs, Trees
from preview.script.places_of_trees import tree_stands

NARROW = 0.3
"""A leaf's width against its length below which single triangles do."""
VARIANTS = 6
"""Different plants grown for one piece; the rest are these again, turned and scaled."""


@dataclass(frozen=True)
class Planting:
    """n plants: feet (n, 3) m, heights (n,) m, which of the variants each is (n,), turn (n,) radians, girth (n,)."""

    feet: Floats
    heights: Floats
    which: NDArray[np.int64]
    turn: Floats
    girth: Floats

    def only(self, chosen: NDArray[np.bool_]) -> Planting:
        return Planting(
            self.feet[chosen], self.heights[chosen], self.which[chosen], self.turn[chosen], self.girth[chosen]
        )


def build_trees(name: str, model: Trees | Shrubs, site: Site) -> list[Part]:
    """`NAME.wood` and, where they have leaves, `NAME.leaves`: all plants of the piece, each on the ground at its foot.

    The same for the same seed. A plant's detail follows from how near a camera of any setup comes to it, never from
    the setup that is looked at: all levels of one plant share their branches, height and area of leaf.
    """
    stands = np.array(tree_stands(model)).reshape(-1, 3)
    if not len(stands):
        return []
    planting, levels = _planting(model, stands, site), levels_of(stands, site)
    species, share = SPECIES[model.kind], shares(site)
    leafed = species.foliage is not None and (model.season != "winter" or species.evergreen)
    orders = species.orders if leafed or species.sprays is None else (*species.orders, species.sprays)
    grown = _unit_high(
        grow((model.seed & 0xFFFFFFFF, 2), species.trunk, orders, trees=min(VARIANTS, len(stands)))
    )
    groves: dict[str, list[tuple[Skin, Planting]]] = {"wood": [], "leaves": []}
    for number in np.unique(levels).tolist():
        here = planting.only(levels == number)
        # Only what is planted at this level is drawn.
        used, which = np.unique(here.which, return_inverse=True)
        some = [_taken(limbs, used) for limbs in grown]
        detail = detail_of(number, float(share[number]))
        skins = _skins(model, species, some, detail, leafed=leafed, seed=(number, *used.tolist()))
        top = np.max([skin.vertices[..., 2].max(axis=1) for skin in skins.values()], axis=0)
        placed = Planting(here.feet, here.heights / top[which], which, here.turn, here.girth)
        for part, skin in skins.items():
            groves[part].append((skin, placed))
    materials = {"wood": species.bark_material, "leaves": species.leaf_material}
    return [_planted(f"{name}.{part}", materials[part], grove) for part, grove in groves.items() if grove]


def _planting(model: Planted, stands: Floats, site: Site) -> Planting:
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 3])
    count, variants = len(stands), min(VARIANTS, len(stands))
    which = np.concatenate([random.permutation(variants), random.integers(variants, size=count - variants)])
    feet = np.column_stack([stands[:, :2], site.ground(stands[:, 0], stands[:, 1])])
    # Plants differ a little in how wide they are for their height.
    return Planting(
        feet, stands[:, 2], which, 2.0 * np.pi * random.random(count), 0.88 + 0.24 * random.random(count)
    )


def _unit_high(grown: list[Limbs]) -> list[Limbs]:
    """The same branches stretched or shrunk so that the highest of each plant ends at 1; none gets thicker."""
    top = single(np.max([limbs.points[..., 2].max(axis=(1, 2)) for limbs in grown], axis=0))
    return [
        Limbs(
            limbs.points / top[:, None, None, None], limbs.radii, limbs.lengths / top[:, None], limbs.family
        )
        for limbs in grown
    ]


def _taken(limbs: Limbs, used: NDArray[np.int64]) -> Limbs:
    return Limbs(limbs.points[used], limbs.radii[used], limbs.lengths[used], limbs.family)


def _skins(
    model: Trees | Shrubs,
    species: Species,
    grown: list[Limbs],
    level: Level,
    *,
    leafed: bool,
    seed: tuple[int, ...],
) -> dict[str, Skin]:
    """Wood and leaves of the grown plants at a level."""
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 5, *seed])
    height_m = float(np.mean(model.height))
    drawn: list[Skin] = []
    for order, limbs in enumerate(grown):
        sides = level.sides[min(order + (species.thin if order else 0), len(level.sides) - 1)]
        if sides == FLAT:
            drawn_of_all = min(1.0, level.ribbons / limbs.lengths.shape[1])
            # Among leaves a few broad ribbons would be seen as what they are.
            if not leafed or drawn_of_all > 0.5:
                drawn.append(ribbons(random, limbs, species.bark, height_m, share=drawn_of_all))
        else:
            cut = level.rings[order] if order < len(level.rings) else 1
            # Bands of a hand's breadth want finer rings than furrows do.
            cut *= 2 if cut > 1 and order == 0 and species.bark == "white" else 1
            drawn.append(
                tubes(
                    random, finer(limbs, cut), sides, species.bark, height_m, relief=cut > 1 and sides >= 10
                )
            )
    skins = {"wood": joined(drawn)}
    if leafed and species.foliage is not None:
        kind = species.foliage
        skins["leaves"] = foliage(
            random,
            grown[len(species.orders)],
            kind,
            height_m=height_m,
            leaves=model.leaves,
            most=level.leaves,
            # A needle is thinner than any corner of it.
            corners=3 if kind.width < NARROW else level.corners,
            turning=model.season == "autumn" and not species.evergreen,
        )
    return skins


def _planted(name: str, material: str, grove: list[tuple[Skin, Planting]]) -> Part:
    """One part of all groves: skins planted."""
    vertices = sum(len(planting.which) * skin.vertices.shape[1] for skin, planting in grove)
    faces = sum(len(planting.which) * len(skin.faces) for skin, planting in grove)
    place, normal, tint = (np.empty((vertices, 3), np.float32) for _ in range(3))
    corners = np.empty((faces, 3), np.int32)
    first = first_face = 0
    for skin, planting in grove:
        count, size = len(planting.which), skin.vertices.shape[1]
        last, last_face = first + count * size, first_face + count * len(skin.faces)
        turning, stretch = _turning(planting)
        # Rows times the transpose: first stretched, then turned.
        moved = skin.vertices[planting.which] @ single(turning * stretch[:, None, :]).transpose(0, 2, 1)
        # Boughs lie on the ground, not in it.
        np.maximum(moved[..., 2], 0.0, out=moved[..., 2])
        moved += single(planting.feet)[:, None]
        place[first:last] = moved.reshape(-1, 3)
        # Normals take the inverse of the stretch.
        facing = skin.normals[planting.which] @ single(turning / stretch[:, None, :]).transpose(0, 2, 1)
        facing /= np.maximum(np.sqrt(np.einsum("nvi,nvi->nv", facing, facing)), 1e-20)[..., None]
        normal[first:last] = facing.reshape(-1, 3)
        tint[first:last] = skin.tint[planting.which].reshape(-1, 3)
        starts = np.int32(first) + np.int32(size) * np.arange(count, dtype=np.int32)
        corners[first_face:last_face] = (skin.faces[None] + starts[:, None, None]).reshape(-1, 3)
        first, first_face = last, last_face
    return Part(name, material, cast(Floats, place), corners, cast(Floats, normal), tint=tint)


def _turning(planting: Planting) -> tuple[Floats, Floats]:
    """Turns (n, 3, 3) about the vertical, and stretches (n, 3)."""
    turning = np.zeros((len(planting.turn), 3, 3))
    turning[:, 0, 0] = turning[:, 1, 1] = np.cos(planting.turn)
    turning[:, 1, 0] = np.sin(planting.turn)
    turning[:, 0, 1] = -turning[:, 1, 0]
    turning[:, 2, 2] = 1.0
    sideways = planting.heights * planting.girth
    return turning, np.stack([sideways, sideways, planting.heights], axis=1)
