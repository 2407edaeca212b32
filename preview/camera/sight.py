"""Sight: what the lens sees of given places past everything that stands before them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.view import View

Floats = NDArray[np.float64]

SEE_THROUGH = frozenset({"glass", "window glass"})
"""Materials that hide nothing."""
PASSES = 8
"""Surfaces that one line of sight may go through."""
FREE, OWN = -1, -2


class Caster(Protocol):
    """Whatever answers with the nearest triangle along rays, like preview.trace.rays.Rays."""

    def hit(self, origins: NDArray[np.float32], directions: NDArray[np.float32]) -> Any:
        """With `distance` (n,) m, inf for none, and `face` (n,) int, -1 for none."""
        ...


def blockers(
    start: Floats,
    targets: Floats,
    world: World,
    rays: Caster,
    *,
    own: Callable[[str], bool] = lambda name: False,
    through_own: bool = False,
) -> NDArray[np.int64]:
    """What stands between `start` (3,) and each of targets (n, 3): the index of its part, FREE, or OWN.

    `own` tells by its name whether a part belongs to the target itself: one that hides itself gets OWN, or, with
    `through_own`, is looked through. Glass is looked through. Whatever lies within 2 cm of a target (and 0.1 mm
    a metre) does not hide it.
    """
    see_through = np.array([m in SEE_THROUGH for m in world.materials] + [False])
    is_own = np.array([own(n) for n in world.names] + [False])
    away = targets - start
    length = np.linalg.norm(away, axis=1)
    directions = (away / np.maximum(length, 1e-9)[:, None]).astype(np.float32)
    reach = length - (0.02 + 1e-4 * length)
    found = np.full(len(targets), FREE, np.int64)
    travelled = np.zeros(len(targets))
    looking = np.flatnonzero(reach > 0)
    for _ in range(PASSES):
        if not len(looking):
            break
        origins = (start + travelled[looking, None] * directions[looking]).astype(np.float32)
        hit = rays.hit(origins, directions[looking])
        travelled[looking] += hit.distance
        part = np.where(hit.face >= 0, world.part_of_face[hit.face] if len(world.faces) else -1, -1)
        stopped = (hit.face >= 0) & (travelled[looking] < reach[looking])
        passed = stopped & (see_through[part] | (is_own[part] & through_own))
        found[looking[stopped & ~passed]] = np.where(is_own[part], OWN, part)[stopped & ~passed]
        travelled[looking[passed]] += 1e-3
        looking = looking[passed]
    return found


@dataclass(frozen=True)
class Joined:
    """Two casters as one: the faces of `second` follow the `faces_of_first` of `first`."""

    first: Caster
    second: Caster
    faces_of_first: int

    def hit(self, origins: NDArray[np.float32], directions: NDArray[np.float32]) -> Met:
        one, two = self.first.hit(origins, directions), self.second.hit(origins, directions)
        nearer = two.distance < one.distance
        second_face = np.where(two.face >= 0, two.face + self.faces_of_first, -1)
        return Met(np.where(nearer, two.distance, one.distance), np.where(nearer, second_face, one.face))


@dataclass(frozen=True)
class Met:
    """`distance` (n,) m, inf for nothing; `face` (n,), -1 for nothing."""

    distance: NDArray[np.float32]
    face: NDArray[np.int32]


def ground_under(
    point: Floats, world: World, rays: Caster, *, own: Callable[[str], bool] = lambda name: False
) -> float:
    """Height of what lies straight under a point (3,), past its own parts; 0 m when nothing does."""
    at = point.astype(np.float64).copy()
    down = np.array([[0.0, 0.0, -1.0]], np.float32)
    for _ in range(64):
        hit = rays.hit(at[None].astype(np.float32), down)
        if hit.face[0] < 0:
            return 0.0
        at[2] -= float(hit.distance[0])
        if not own(world.names[world.part_of_face[hit.face[0]]]):
            return float(at[2])
        at[2] -= 1e-3
    return 0.0


def samples(view: View, triangles: Floats, count: int = 240) -> tuple[Floats, NDArray[np.bool_]]:
    """Places on triangles (m, 3, 3), all in frame, spread evenly over the area they fill in the frame.

    Returns points (n, 3) and which of them are spread by area; the rest are corners, which catch what is too
    thin to have any.
    """
    uv, _ = view.project(triangles.reshape(-1, 3))
    uv = uv.reshape(-1, 3, 2)
    one, two = uv[:, 1] - uv[:, 0], uv[:, 2] - uv[:, 0]
    area = 0.5 * np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    corners = np.unique(triangles.reshape(-1, 3), axis=0)
    corners = corners[np.linspace(0, len(corners) - 1, min(len(corners), count // 2)).astype(int)]
    if area.sum() <= 1e-12:
        return corners, np.zeros(len(corners), bool)
    # One stratum of equal area a sample; the place in its triangle from the additive recurrence of the plastic
    # number. Source: Roberts 2018, extremelearning.com.au, the unreasonable effectiveness of quasirandom sequences.
    steps = np.arange(count)
    chosen = np.searchsorted(np.cumsum(area) / area.sum(), (steps + 0.5) / count).clip(max=len(area) - 1)
    a, b = (0.5 + steps * 0.7548776662) % 1.0, (0.5 + steps * 0.5698402910) % 1.0
    folded = a + b > 1.0
    a, b = np.where(folded, 1.0 - a, a)[:, None], np.where(folded, 1.0 - b, b)[:, None]
    picked = triangles[chosen]
    spread = picked[:, 0] + a * (picked[:, 1] - picked[:, 0]) + b * (picked[:, 2] - picked[:, 0])
    return np.concatenate([spread, corners]), np.arange(count + len(corners)) < count
