"""Hedge: a clipped row of leaves round a twiggy core that light does not pass."""

from __future__ import annotations

import numpy as np

from preview.build.leaves import blade_faces, blades, shaded
from preview.build.mesh import Floats, Part, smooth
from preview.build.site import Site
from preview.build.tubes import unit
from preview.script.models.pieces.growth import Hedge

MOST_LEAVES = 12000
LEAF = 0.075
"""Length of a leaf, metres; a long hedge has larger ones, so that there are not too many."""
COVER = 1.3
"""Area of leaves against the area of the hedge's faces."""


def build_hedge(name: str, model: Hedge, site: Site) -> list[Part]:
    """`NAME.core` and `NAME.leaves`, standing on z = 0; the same for the same seed.

    Leaves reach the model's height and thickness give or take a few centimetres; the core fills what is
    inside them.
    """
    path = np.array(model.along, dtype=np.float64)
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    path = path[np.concatenate([[True], steps > 1e-6])]
    if len(path) < 2:
        return []
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 3])
    spine = _Spine(path, random)
    return [_core(f"{name}.core", spine, model, random), _leaves(f"{name}.leaves", spine, model, random)]


class _Spine:
    """The hedge's path by distance travelled, with how its top and faces swell along it."""

    def __init__(self, path: Floats, random: np.random.Generator) -> None:
        runs = unit(np.diff(path, axis=0))
        left = np.stack([-runs[:, 1], runs[:, 0]], axis=1)
        # At a corner the hedge's faces meet on the line that halves the angle, but no spike runs out of a sharp one.
        mitre = unit(np.concatenate([left[:1], left[:-1] + left[1:], left[-1:]]))
        reach = np.einsum("ij,ij->i", mitre, np.concatenate([left, left[-1:]]))
        self.left = mitre / np.maximum(reach, 0.5)[:, None]
        self.path = path
        self.travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        self.length = float(self.travelled[-1])
        # Swellings of a metre and of a few decimetres, as the shears leave them.
        self.waves = 2.0 * np.pi / (0.35 + 1.6 * random.random((3, 6)))
        self.phases = 2.0 * np.pi * random.random((3, 6))

    def at(self, distance: Floats) -> tuple[Floats, Floats]:
        """Plan points (n, 2) and the way to the left (n, 2), longer in corners."""
        return tuple(  # type: ignore[return-value]
            np.stack([np.interp(distance, self.travelled, values[:, axis]) for axis in range(2)], axis=1)
            for values in (self.path, self.left)
        )

    def swell(self, face: int, distance: Floats) -> Floats:
        """Between -1 and 1, mostly within a half: of the left face (0), the top (1), the right face (2)."""
        return np.asarray(
            np.sin(distance[:, None] * self.waves[face] + self.phases[face]).mean(axis=1), dtype=np.float64
        )


def _core(name: str, spine: _Spine, model: Hedge, random: np.random.Generator) -> Part:
    """A rough closed body, inset by the depth of the leaves."""
    inset = min(0.08, 0.2 * model.thickness, 0.2 * model.height)
    stations = np.union1d(
        np.linspace(0.0, spine.length, max(3, min(400, int(spine.length / 0.35)) + 1)), spine.travelled
    )
    middle, left = spine.at(stations)
    half, top = 0.5 * model.thickness - inset, model.height - inset
    outline = np.array(
        [[-1.0, 0.0], [-1.0, 0.5], [-0.9, 0.93], [0.0, 1.0], [0.9, 0.93], [1.0, 0.5], [1.0, 0.0]]
    )
    rough = 1.0 + 0.06 * random.standard_normal((len(stations), len(outline), 2))
    rough = np.minimum(rough, 1.08)
    sideways = outline[:, 0] * half * rough[..., 0]
    rings = np.empty((len(stations), len(outline), 3))
    rings[..., :2] = middle[:, None] + left[:, None] * sideways[..., None]
    rings[..., 2] = outline[:, 1] * top * rough[..., 1] + 0.1 * model.height * (
        spine.swell(1, stations)[:, None] * outline[:, 1]
    )
    sides = len(outline)
    ring = sides * np.arange(len(stations) - 1)[:, None]
    here = ring + np.arange(sides - 1)
    faces = np.stack(
        [
            np.stack([here, here + sides, here + sides + 1], axis=-1),
            np.stack([here, here + sides + 1, here + 1], axis=-1),
        ],
        axis=2,
    ).reshape(-1, 3)
    fan = np.array([[0, corner, corner + 1] for corner in range(1, sides - 1)])
    last = sides * (len(stations) - 1)
    faces = np.concatenate([faces, fan, last + fan[:, ::-1]]).astype(np.int32)
    return smooth(name, "dark leaves", rings.reshape(-1, 3), faces)


def _leaves(name: str, spine: _Spine, model: Hedge, random: np.random.Generator) -> Part:
    """Leaves over both faces, the top and the two ends."""
    half = 0.5 * model.thickness
    areas = np.array(
        [spine.length * model.height, spine.length * model.thickness, spine.length * model.height]
        + [model.thickness * model.height] * 2
    )
    wanted = COVER * areas.sum() / (0.5 * 0.6 * LEAF**2)
    size = LEAF * np.sqrt(max(1.0, wanted / MOST_LEAVES))
    count = int(min(wanted, MOST_LEAVES))
    face = random.choice(5, size=count, p=areas / areas.sum())
    draw = random.random((count, 2))
    distance = np.where(face < 3, draw[:, 0] * spine.length, np.where(face == 3, 0.0, spine.length))
    # Across the hedge from -1 (right) to 1 (left), and up from 0 to 1.
    sideways = np.select(
        [face == 0, face == 2, face == 1], [1.0, -1.0, 2.0 * draw[:, 1] - 1.0], 2.0 * draw[:, 0] - 1.0
    )
    up = np.where(face == 1, 1.0, draw[:, 1])
    # Shoulders are rounded: leaves near the top of a face stand a little further in.
    shoulder = 1.0 - 0.12 * np.clip((up - 0.8) / 0.2, 0.0, 1.0) ** 2
    swell = np.where(sideways > 0, spine.swell(0, distance + 3.0 * up), spine.swell(2, distance + 3.0 * up))
    # Depth within the leaves: most at the surface, some shoots beyond the shears.
    depth = 0.06 * random.random(count) - 0.02 * random.random(count) ** 3
    shoots = (random.random(count) < 0.03) & (face == 1)
    high = model.height * (1.0 + 0.1 * spine.swell(1, distance)) - np.where(shoots, -0.06, depth)
    middle, left = spine.at(distance)
    along = unit(np.stack([left[:, 1], -left[:, 0]], axis=1))
    out = np.zeros((count, 3))
    out[:, :2] = left * (sideways * np.where(face == 1, 0.35, 1.0))[:, None]
    out[:, 2] = np.where(face == 1, 1.0, 0.25 * up)
    ends = np.where(face == 3, -1.0, np.where(face == 4, 1.0, 0.0))
    out[:, :2] = np.where(ends[:, None] != 0.0, along * ends[:, None] + 0.3 * out[:, :2], out[:, :2])
    out = unit(out)
    base = np.empty((count, 3))
    across_by = sideways * shoulder * (half * (1.0 + 0.12 * swell)) - np.sign(sideways) * np.where(
        face == 1, 0.0, depth
    )
    base[:, :2] = middle + left * across_by[:, None] + along * (ends * (0.05 - depth))[:, None]
    base[:, 2] = np.maximum(up * high, 0.4 * size)

    # Leaves look outwards on the whole and point upwards on the whole.
    normal = unit(out + 0.75 * random.standard_normal((count, 3)))
    axis = np.array([0.0, 0.0, 0.5]) + 0.5 * out + 0.7 * random.standard_normal((count, 3))
    axis = unit(axis - np.einsum("ij,ij->i", axis, normal)[:, None] * normal)
    side = np.cross(axis, normal)
    length = size * (0.5 + random.random(count))
    corners, normal = blades(base, axis, side, length, 0.6 * length)
    over, normals = shaded(normal, out, 0.45)
    corners = np.where(over[:, None, None], corners[:, [0, 3, 2, 1]], corners)
    vertices = corners.reshape(-1, 3)
    np.maximum(vertices[:, 2], 0.0, out=vertices[:, 2])
    return Part(name, "leaves", vertices, blade_faces(count), np.repeat(normals, 4, axis=0))
