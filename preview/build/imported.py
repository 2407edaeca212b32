"""Imported mesh: a file of triangles, scaled, turned, placed, shaded round over its gentle edges."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from preview.build.mesh import Floats, Indices, Part, turned
from preview.faults import UserError
from preview.script.models.set_pieces import ImportedMesh

METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}
SMALLEST, LARGEST = 0.05, 200.0
"""A mesh whose largest extent lies outside these, metres, is in another unit than the script says."""


def build_imported(name: str, model: ImportedMesh, folder: Path) -> list[Part]:
    """The mesh of `file`, which is relative to `folder`, with its own origin at `at`.

    UserError in words for a file that is missing, unreadable, empty, broken, or very likely in another unit.
    """
    path = (folder / model.file).expanduser()
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


def creased(name: str, material: str, vertices: Floats, faces: Indices, *, crease: float) -> Part:
    """A part whose normals are averaged over neighbours that bend less than `crease` radians; slivers left out."""
    _, same = np.unique(np.round(vertices / 1e-6), axis=0, return_inverse=True)
    corners = vertices[faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(cross, axis=1)
    kept = area > 1e-14
    faces, cross, area = faces[kept], cross[kept], area[kept]
    if len(faces) == 0:
        raise UserError(f"{name}: file: every face of the mesh is a sliver without area")
    unit = cross / area[:, None]
    # Corners in order of the point they share; each is compared with its neighbours 1, 2, 3 ... steps further on.
    point = same.reshape(-1)[faces].reshape(-1)
    order = np.argsort(point, kind="stable")
    sorted_point, owner = point[order], order // 3
    normals = cross[owner].copy()
    limit = np.cos(crease)
    step = 1
    while True:
        together = np.flatnonzero(sorted_point[step:] == sorted_point[:-step])
        if len(together) == 0:
            break
        first, second = owner[together], owner[together + step]
        near = np.sum(unit[first] * unit[second], axis=1) >= limit
        here, there = together[near], together[near] + step
        # Each index occurs once in `here` and once in `there`, so plain sums are right.
        normals[here] += cross[second[near]]
        normals[there] += cross[first[near]]
        step += 1
    by_corner = np.empty_like(normals)
    by_corner[order] = normals
    lengths = np.linalg.norm(by_corner, axis=1, keepdims=True)
    by_corner = np.where(lengths > 1e-14, by_corner / np.maximum(lengths, 1e-30), np.repeat(unit, 3, axis=0))
    count = len(faces)
    return Part(
        name,
        material,
        vertices[faces].reshape(-1, 3),
        np.arange(3 * count, dtype=np.int32).reshape(-1, 3),
        by_corner,
    )
