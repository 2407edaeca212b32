"""Hedge: a clipped row of leaves round a dark twiggy core that light does not pass."""

from __future__ import annotations

from typing import cast

import numpy as np

from preview.build.growth.branches import bell, even, row, single
from preview.build.growth.leaves import TURNED, TURNING, blade_area, blade_faces, blades
from preview.build.mesh import Floats, Part, smooth
from preview.build.site import Site
from preview.build.tubes import unit
from preview.script.models.pieces.growth import Hedge

MOST_LEAVES = 160_000
LEAF = 0.04
"""Length of a leaf, metres, and its width against that: privet or box; from memory."""
WIDTH = 0.55
FINE = 0.0042
"""A leaf's length against its distance from the nearest camera, where a real leaf would be finer."""
LARGEST = 0.16
COVER = 2.3
"""Area of leaves against the area of the hedge's faces."""
DEPTH = 0.1
"""Metres of leaves over the core."""
STEP = 0.5
"""Metres of hedge that share a size of leaf."""
BATTER = 0.06
"""How much narrower a hedge is clipped at its top, of its thickness on each side."""


def build_hedge(name: str, model: Hedge, site: Site) -> list[Part]:
    """`NAME.core` and `NAME.leaves`, as on ground of height 0; the same for the same seed.

    Leaves reach the model's height and thickness give or take a few centimetres; the core fills what is inside them.
    Leaves are larger and fewer where no camera of any setup comes near.
    """
    path = np.array(model.along, dtype=np.float64)
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    path = path[np.concatenate([[True], steps > 1e-6])]
    if len(path) < 2:
        return []
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 3])
    shape = _Shape(path, model, random)
    return [_core(f"{name}.core", shape, model), _leaves(f"{name}.leaves", shape, model, site, random)]


class _Shape:
    """What the shears left: points on and in the hedge by distance along it, place round its section, and depth."""

    def __init__(self, path: Floats, model: Hedge, random: np.random.Generator) -> None:
        runs = unit(np.diff(path, axis=0))
        left = np.stack([-runs[:, 1], runs[:, 0]], axis=1)
        # At a corner the hedge's faces meet on the line that halves the angle, but no spike runs out of a sharp one.
        mitre = unit(np.concatenate([left[:1], left[:-1] + left[1:], left[-1:]]))
        reach = np.einsum("ij,ij->i", mitre, np.concatenate([left, left[-1:]]))
        self.left = mitre / np.maximum(reach, 0.5)[:, None]
        self.path = path
        self.travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        self.length = float(self.travelled[-1])
        self.half, self.height = 0.5 * model.thickness, model.height
        self.round = min(0.16, 0.45 * self.half, 0.3 * self.height)
        side, top = self.height - self.round, 2.0 * (self.half - self.round)
        self.perimeter = 2.0 * side + top + np.pi * self.round
        # Lumps of a decimetre to a metre: each plant has a shape of its own.
        self.waves = 2.0 * np.pi * bell(random, 10, 3) / (0.35 + 1.1 * even(random, 10, 1))
        self.phases = 2.0 * np.pi * even(random, 10)
        self.strength = min(0.05, 0.08 * self.half)

    def at(self, distance: Floats) -> tuple[Floats, Floats]:
        """Plan points (n, 2) and the way to the left (n, 2), longer in corners."""
        return tuple(  # type: ignore[return-value]
            np.stack([np.interp(distance, self.travelled, values[:, axis]) for axis in range(2)], axis=1)
            for values in (self.path, self.left)
        )

    def section(self, around: Floats) -> tuple[Floats, Floats]:
        """Across and up (n, 2) of places round the section, 0 at the left foot to 1 at the right; and the way out."""
        side, turn = self.height - self.round, 0.5 * np.pi * self.round
        run = np.asarray(around) * self.perimeter
        right = run > 0.5 * self.perimeter
        run = np.where(right, self.perimeter - run, run)
        angle = np.clip((run - side) / self.round, 0.0, 0.5 * np.pi)
        over = np.maximum(run - side - turn, 0.0)
        across = self.half - self.round + self.round * np.cos(angle) - over
        up = np.minimum(run, side) + self.round * np.sin(angle)
        across = across * (1.0 - 2.0 * BATTER * up / self.height)
        sign = np.where(right, -1.0, 1.0)
        return np.stack([across * sign, up], axis=1), np.stack([np.cos(angle) * sign, np.sin(angle)], axis=1)

    def placed(
        self, distance: Floats, across_up: Floats, out: Floats, ahead: Floats
    ) -> tuple[Floats, Floats]:
        """Points (n, 3) and unit ways out (n, 3); `ahead` (n,): how far out looks along."""
        middle, left = self.at(distance)
        along = unit(np.stack([left[:, 1], -left[:, 0]], axis=1))
        points = np.column_stack([middle + left * across_up[:, :1], across_up[:, 1]])
        ways = unit(np.column_stack([left * out[:, :1] + along * ahead[:, None], out[:, 1]]))
        lump = np.sin(points @ self.waves.T + self.phases).mean(axis=1)
        # The foot keeps its place.
        points += ways * (2.2 * self.strength * lump * np.clip(points[:, 2] / 0.2, 0.2, 1.0))[:, None]
        return points, ways


def _core(name: str, shape: _Shape, model: Hedge) -> Part:
    """A rough closed body, inset by the depth of the leaves, its foot a little in the ground."""
    inset = min(DEPTH, 0.3 * model.thickness, 0.25 * model.height)
    count = max(4, min(1200, int(shape.length / 0.3) + 1))
    shrunk = np.clip(np.linspace(0.0, shape.length, count), 0.6 * inset, shape.length - 0.6 * inset)
    stations = np.union1d(shrunk, shape.travelled[1:-1])
    around = np.linspace(0.0, 1.0, 17)
    section, out = shape.section(around)
    section = np.column_stack([section[:, 0] - inset * out[:, 0], section[:, 1] - inset * out[:, 1]])
    section[[0, -1], 1] = -0.08
    rings, sides = len(stations), len(around)
    tile = np.tile(section, (rings, 1))
    points, _ = shape.placed(
        np.repeat(stations, sides), tile, np.tile(out, (rings, 1)), np.zeros(rings * sides)
    )
    side = np.arange(sides)
    here = sides * np.arange(rings - 1)[:, None] + side
    beside = sides * np.arange(rings - 1)[:, None] + (side + 1) % sides
    faces = np.stack([here, beside + sides, here + sides, here, beside, beside + sides], axis=-1).reshape(
        -1, 3
    )
    fan = np.array([[0, corner, corner + 1] for corner in range(1, sides - 1)])
    faces = np.concatenate([faces, fan[:, ::-1], sides * (rings - 1) + fan]).astype(np.int32)
    body = smooth(name, "dark leaves", points, faces)
    tint = np.full((len(points), 3), 0.4, np.float32)
    return Part(body.name, body.material, body.vertices, body.faces, body.normals, tint=tint)


def _leaves(name: str, shape: _Shape, model: Hedge, site: Site, random: np.random.Generator) -> Part:
    """Leaves over both faces, the top and the two ends."""
    distance, around, size, end = _strewn(shape, model, site, random)
    count = len(distance)
    section, out = shape.section(around)
    # Leaves of the ends fill the section.
    fill = np.where(end != 0.0, np.sqrt(even(random, count)), 1.0)
    heart = np.array([0.0, 0.5 * shape.height])
    section = np.where((end != 0.0)[:, None], heart + fill[:, None] * (section - heart), section)
    out = np.where((end != 0.0)[:, None], out * (fill**6)[:, None], out)
    points, ways = shape.placed(distance, section, out, end)
    # Most leaves are at the face that the shears left, the rest behind; some shoots stand beyond it.
    depth = (DEPTH * 1.1) * even(random, count) ** 1.7 - 0.012
    shoots = (even(random, count) < 0.035) & (ways[:, 2] > 0.5)
    depth = np.where(shoots, -0.09 * even(random, count), depth)
    points -= ways * depth[:, None]
    foot = even(random, count) * 0.05
    points[:, 2] = np.maximum(points[:, 2], foot)

    # Leaves look outwards on the whole and point upwards on the whole.
    ways32 = single(ways)
    normal = unit(ways32 + 0.55 * bell(random, count, 3))
    axis = row(0.0, 0.0, 0.5) + 0.35 * ways32 + 0.6 * bell(random, count, 3)
    axis = unit(axis - np.einsum("ij,ij->i", axis, normal)[:, None] * normal)
    side = np.cross(axis, normal)
    length = single(size * (0.7 + 0.6 * even(random, count)))
    corners = 4
    vertices, normals = blades(
        single(points), axis, side, length, WIDTH * length, ways32, corners=corners, shade=0.3
    )
    tint = _tints(
        random, distance, np.clip(depth / DEPTH, -0.5, 1.0), shape.length, autumn=model.season == "autumn"
    )
    return Part(
        name,
        "leaves",
        vertices.reshape(-1, 3),
        blade_faces(count, corners),
        normals.reshape(-1, 3),
        tint=np.repeat(tint, corners, axis=0),
    )


def _strewn(
    shape: _Shape, model: Hedge, site: Site, random: np.random.Generator
) -> tuple[Floats, Floats, Floats, Floats]:
    """Of each leaf: distance along, place round the section, size (n,) m; -1 or 1 on the first or last end, else 0."""
    edges = np.linspace(0.0, shape.length, max(2, int(np.ceil(shape.length / STEP)) + 1))
    middle = 0.5 * (edges[1:] + edges[:-1])
    # The two ends come last.
    centre = np.concatenate([shape.at(middle)[0], shape.path[[0, -1]]])
    areas = np.concatenate([np.diff(edges) * shape.perimeter, np.full(2, model.thickness * model.height)])
    size = np.full(len(areas), LEAF)
    if len(site.eyes):
        away = np.linalg.norm(centre[:, None] - site.eyes[None, :, :2], axis=2).min(axis=1)
        size = np.clip(FINE * away, LEAF, LARGEST)
    wanted = COVER * areas / (blade_area(4, WIDTH) * size**2)
    larger = max(1.0, float(wanted.sum()) / MOST_LEAVES)
    size, wanted = size * larger**0.5, wanted / larger
    numbers = np.floor(wanted + even(random, len(wanted))).astype(np.int64)
    stretch = np.repeat(np.arange(len(numbers)), numbers)
    first, last = stretch == len(middle), stretch == len(middle) + 1
    inner = np.minimum(stretch, len(middle) - 1)
    distance = edges[inner] + even(random, len(stretch)) * (edges[inner + 1] - edges[inner])
    distance = np.where(first, 0.0, np.where(last, shape.length, distance))
    end = np.where(first, -1.0, np.where(last, 1.0, 0.0))
    return distance, even(random, len(stretch)), size[stretch], end


def _tints(
    random: np.random.Generator, distance: Floats, depth: Floats, length: float, *, autumn: bool
) -> Floats:
    """Tints (n, 3): young leaves light at the face, old ones dark behind it; each plant of the row a little its own."""
    count = len(distance)
    plant = (distance / 0.55 + 0.4 * bell(random, count)).astype(np.int64)
    own = bell(random, int(length / 0.55) + 8)[np.clip(plant, 0, int(length / 0.55) + 7)]
    light = (1.15 - 0.75 * depth) * np.exp(0.15 * bell(random, count) + 0.1 * own)
    hue = np.clip(0.12 * bell(random, count) + 0.08 * own, -0.3, 0.3)
    tint = np.stack([light * (1.0 + hue), light, light * (1.0 - hue)], axis=1)
    if autumn:
        far = np.clip(0.8 + 0.12 * bell(random, count) + 0.1 * own, 0.0, 1.0)
        tint = tint * np.stack([np.interp(far, TURNING, TURNED[:, axis]) for axis in range(3)], axis=1)
    return cast(Floats, np.asarray(tint, np.float32))
