"""Mesh notes: what was taken for granted of the files of meshes: their unit, which way is up, what their colours are."""

from __future__ import annotations

from collections.abc import Iterator

from preview.script.models.pieces.imported import ImportedMesh
from preview.script.scene import Scene


def mesh_notes(scene: Scene) -> Iterator[str]:
    """A sentence each, of files that were found sound."""
    meshes = [(name, piece) for name, piece in scene.set if isinstance(piece, ImportedMesh)]
    if not meshes:
        return
    # Heavy: only for scripts that import a mesh.
    from preview.build.imported.facts import facts_of

    for name, mesh in meshes:
        for sentence in facts_of(mesh, scene.path.parent).said:
            yield f"{name}: {sentence}"
