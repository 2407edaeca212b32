"""Imported mesh: a file of triangles, scaled, turned, placed, shaded round over its gentle edges."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from preview.build.mesh import Floats, Indices, Part, turned
from preview.build.site import Site
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh

METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}
SMALLEST, LARGEST = 0.05, 200.0
"""A mesh whose largest extent lies outside these, metres, is in another unit than the script says."""


def build_imported(name: str, model: ImportedMesh, site: Site) -> list[Part]:
    """The mesh of `file`, which is relative to the script, with its own origin at `at`.

    UserError in words for a file that is missing, unreadable, empty, broken, or very likely in another unit.
    """
    path = (site.folder / model.file).expanduser()
    vertices, faces = read_mesh(name, path)
    factor = METRES[model.scale] if isinstance(model.scale, str) else float(model.scale)
    check_unit(name, path, vertices, factor)
    points = vertices * factor
    if model.up == "y":
        points = points[:, [0, 2, 1]] * [1.0, -1.0, 1.0]
    placed = turned(points, model.turn, np.array([*model.at, model.height]))
    return [creased(name, model.material, placed, faces, crease=model.smooth)]


def read_mesh(name: str, path: Path) -> tuple[Floats, Indices]:
    """Vertices (n, 3) in the file's unit and faces (m, 3) of every mesh in a file, put in their places."""
    if not path.is_file():
        raise UserError(f"{name}: file: there is no file {path}")
    # Heavy: only scripts that import a mesh pay for it.
    import trimesh

    try:
        read = trimesh.load_scene(path, process=False)
        meshes = [geometry for geometry in read.dump() if isinstance(geometry, trimesh.Trimesh)]
    except Exception as problem:  # the readers of a dozen formats raise a dozen kinds of error
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        raise UserError(f"{name}: file: {path.name} cannot be read as a mesh ({reason})") from problem
    counts = np.cumsum([0] + [len(mesh.vertices) for mesh in meshes])
    faces = np.concatenate(
        [np.zeros((0, 3), dtype=np.int64), *(mesh.faces + n for mesh, n in zip(meshes, counts, strict=False))]
    )
    if len(faces) == 0:
        raise UserError(f"{name}: file: {path.name} holds no faces, so there is nothing for light to fall on")
    vertices = np.concatenate([np.asarray(mesh.vertices, dtype=float) for mesh in meshes])
    if not np.all(np.isfinite(vertices[faces])):
        raise UserError(
            f"{name}: file: {path.name} holds points that are not finite numbers; export it again"
        )
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise UserError(
            f"{name}: file: {path.name} has faces that name points it does not hold; export it again"
        )
    used, renumbered = np.unique(faces, return_inverse=True)
    return vertices[used], renumbered.reshape(-1, 3).astype(np.int32)


def check_unit(name: str, path: Path, vertices: Floats, factor: float) -> None:
    """UserError where the mesh would be smaller than a matchbox or larger than a street."""
    largest = float(np.ptp(vertices, axis=0).max())
    size = largest * factor
    if SMALLEST <= size <= LARGEST:
        return
    if largest <= 0.0:
        raise UserError(f"{name}: file: all points of {path.name} are one point")
    fitting = [unit for unit, metres in METRES.items() if 0.2 <= largest * metres <= 40.0]
    likely = min(fitting, key=lambda unit: abs(np.log(largest * METRES[unit] / 3.0)), default=None)
    advice = (
        f"if the file is in {likely}, write `scale: {likely}`, which makes it {largest * METRES[likely]:.3g} m"
        if likely
        else f"give `scale` as a factor; the file's own largest extent is {largest:.3g}"
    )
    shown = f"{size:.3g} m" if size >= 1 else f"{size * 100:.3g} cm"
    raise UserError(
        f"{name}: scale: {path.name} would be {shown} at its largest, surely in the wrong unit; {advice}"
    )


CORNERS = 1 << 18
"""Corners of a mesh that are worked on at a time, so that a large one takes little more memory than itself."""


def creased(name: str, material: str, vertices: Floats, faces: Indices, *, crease: float) -> Part:
    """A part whose normals are averaged over neighbours that bend less than `crease` radians; slivers left out."""
    _, same = np.unique(np.round(vertices / 1e-6), axis=0, return_inverse=True)
    cross = np.empty((len(faces), 3))
    for some in _runs(len(faces)):
        first, second, third = (vertices[faces[some, corner]] for corner in range(3))
        cross[some] = np.cross(second - first, third - first)
    area = np.linalg.norm(cross, axis=1)
    kept = area > 1e-14
    if not kept.all():
        faces, cross, area = faces[kept], cross[kept], area[kept]
    if len(faces) == 0:
        raise UserError(f"{name}: file: every face of the mesh is a sliver without area")
    normals = _averaged(cross, cross / area[:, None], same.reshape(-1)[faces].reshape(-1), np.cos(crease))
    return Part(
        name,
        material,
        vertices[faces.reshape(-1)],
        np.arange(3 * len(faces), dtype=np.int32).reshape(-1, 3),
        normals,
    )


def _averaged(cross: Floats, unit: Floats, point: np.ndarray, limit: float) -> Floats:
    """Unit normals (3 m, 3) of the corners of m faces, each of which is at the `point` (3 m,) of that number.

    cross (m, 3): normals as long as twice the area; unit (m, 3). Averaged where the cosine is no less than `limit`.
    """
    # Corners in order of the point they share; each is compared with its neighbours 1, 2, 3 ... steps further on.
    order = np.argsort(point, kind="stable").astype(np.int32)
    sorted_point, owner = point[order], order // np.int32(3)
    normals = cross[owner]
    step = 1
    while True:
        together = np.flatnonzero(sorted_point[step:] == sorted_point[:-step])
        if len(together) == 0:
            break
        near = np.empty(len(together), bool)
        for some in _runs(len(together)):
            here = together[some]
            near[some] = np.sum(unit[owner[here]] * unit[owner[here + step]], axis=1) >= limit
        together = together[near]
        # Each corner is named once as the first and once as the second of two, so plain sums are right.
        for own, other in ((0, step), (step, 0)):
            for some in _runs(len(together)):
                normals[together[some] + own] += cross[owner[together[some] + other]]
        step += 1
    answer = np.empty_like(normals)
    for some in _runs(len(order)):
        lengths = np.linalg.norm(normals[some], axis=1, keepdims=True)
        rounded = normals[some] / np.maximum(lengths, 1e-30)
        answer[order[some]] = np.where(lengths > 1e-14, rounded, unit[owner[some]])
    return answer


def _runs(count: int) -> Iterator[slice]:
    """Slices of so many corners, one after another."""
    return (slice(start, start + CORNERS) for start in range(0, count, CORNERS))
