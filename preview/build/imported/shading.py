"""Shading: round where neighbours bend little, hard elsewhere, whichever way a scan's faces wind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats

Indices = NDArray[np.int32]

TOGETHER = 1e-6
"""Metres within which points are one."""
SLIVER = 1e-14
"""Twice the area, square metres, of a face that no light falls on."""
CORNERS = 1 << 18
"""Corners of a mesh that are worked on at a time, so that a large one takes little more memory than itself."""
DENSE = 300_000
"""Faces from which a mesh is a scan, of which none is seen alone."""
AGAINST = 0.5
"""Cosine from which two faces that share a point are taken for one surface of which one winds against the other."""
_MIX = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], np.uint64)


@dataclass(frozen=True)
class Shaded:
    """faces (m, 3) of k vertices, each the `source` (k,) of the mesh that was given, with its normal (k, 3) unit."""

    source: Indices
    faces: Indices
    normals: Floats


def shaded(vertices: Floats, faces: Indices, *, crease: float, alike: bool) -> Shaded:
    """Normals averaged over the faces about a point that bend less than `crease` radians; slivers are left out.

    `alike`: vertices in one place are so in all else, and become one.

    A face that winds against its neighbours counts as if it did not. Where all faces about a point bend little, they share
    their vertex; elsewhere each corner gets its own. In a mesh of more than DENSE faces, each is held against the mean of
    its point alone: shared if it bends less, else flat.
    """
    cross = np.empty((len(faces), 3))
    for some in _runs(len(faces)):
        first, second, third = (vertices[faces[some, corner]] for corner in range(3))
        cross[some] = np.cross(second - first, third - first)
    area = np.sqrt(np.einsum("ij,ij->i", cross, cross))
    kept = area > SLIVER
    if not kept.all():
        faces, cross, area = faces[kept], cross[kept], area[kept]
    unit = cross / area[:, None]
    same = together(vertices)
    if alike:
        _, one = np.unique(same, return_index=True)
        faces = np.take(one.astype(np.int32)[same], faces)
    point = same[faces.reshape(-1)]
    mean = np.empty((int(same.max(initial=-1)) + 1, 3))
    for axis in range(3):
        mean[:, axis] = np.bincount(point, np.repeat(cross[:, axis], 3), minlength=len(mean))
    mean /= np.maximum(np.sqrt(np.einsum("ij,ij->i", mean, mean)), 1e-30)[:, None]
    dense = len(faces) > DENSE
    # Within half the crease of the mean, all are within the crease of one another.
    limit = np.cos(crease if dense else crease / 2.0)
    bent = np.empty((len(faces), 3), bool)
    for some in _runs(len(faces)):
        for corner in range(3):
            along = np.einsum("ij,ij->i", unit[some], mean[same[faces[some, corner]]])
            bent[some, corner] = (np.abs(along) if dense else along) < limit
    alone = bent.reshape(-1)
    if not dense:
        rough = np.zeros(len(mean), bool)
        rough[point[alone]] = True
        alone = rough[point]
    corners = np.flatnonzero(alone)
    # Calm corners keep their vertices; each of the others follows with its own.
    calm = np.zeros(len(vertices), bool)
    calm[faces.reshape(-1)[~alone]] = True
    place = np.cumsum(calm, dtype=np.int32) - np.int32(1)
    own = place[faces.reshape(-1)]
    count = int(calm.sum())
    own[corners] = count + np.arange(len(corners), dtype=np.int32)
    source = np.concatenate([np.flatnonzero(calm), faces.reshape(-1)[corners]]).astype(np.int32)
    normals = np.empty((len(source), 3))
    normals[:count] = mean[same[source[:count]]]
    owner = (corners // 3).astype(np.int32)
    normals[count:] = (
        unit[owner] if dense else _averaged(cross, unit, point[corners], owner, float(np.cos(crease)))
    )
    return Shaded(source, own.reshape(-1, 3).astype(np.int32), normals)


def together(vertices: Floats) -> Indices:
    """A number (n,) for each vertex, the same for those in one place."""
    grid = np.rint(vertices / TOGETHER).astype(np.int64).view(np.uint64)
    # One number for three: that two places share it is out of the question below a thousand million of them.
    mixed = (grid * _MIX).sum(axis=1, dtype=np.uint64)
    _, number = np.unique(mixed, return_inverse=True)
    return number.reshape(-1).astype(np.int32)


def _averaged(cross: Floats, unit: Floats, point: Indices, owner: Indices, limit: float) -> Floats:
    """Unit normals (k, 3) of corners, each at the `point` (k,) of that number and of the face `owner` (k,).

    cross (m, 3): normals as long as twice the area; unit (m, 3). Averaged where the cosine is no less than `limit`.
    """
    # Corners in order of the point they share; each is compared with its neighbours 1, 2, 3 ... steps further on.
    order = np.argsort(point, kind="stable").astype(np.int32)
    sorted_point, owner = point[order], owner[order]
    normals = cross[owner]
    step = 1
    while True:
        pairs = np.flatnonzero(sorted_point[step:] == sorted_point[:-step])
        if len(pairs) == 0:
            break
        for some in _runs(len(pairs)):
            here = pairs[some]
            first, second = owner[here], owner[here + step]
            cosine = np.einsum("ij,ij->i", unit[first], unit[second])
            way = np.where(cosine >= limit, 1.0, -1.0)
            near = np.flatnonzero((cosine >= limit) | (-cosine >= max(limit, AGAINST)))
            here, first, second, way = here[near], first[near], second[near], way[near, None]
            # Each corner is named once as the first and once as the second of two, so plain sums are right.
            normals[here] += way * cross[second]
            normals[here + step] += way * cross[first]
        step += 1
    answer = np.empty_like(normals)
    for some in _runs(len(order)):
        lengths = np.sqrt(np.einsum("ij,ij->i", normals[some], normals[some]))[:, None]
        rounded = normals[some] / np.maximum(lengths, 1e-30)
        answer[order[some]] = np.where(lengths > SLIVER, rounded, unit[owner[some]])
    return answer


def _runs(count: int) -> Iterator[slice]:
    """Slices of so many corners, one after another."""
    return (slice(start, start + CORNERS) for start in range(0, count, CORNERS))
