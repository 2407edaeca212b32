"""Kept set: a scene's set and cast as triangles, built once and kept under the digest of all that they are built from.

What a builder may ask is in the key: pieces and figures as they were read, the places that they name, where the cameras
stand, the bytes of the files they are made of, the program itself. Levels, colours, lenses and fixtures are not.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import surfaces_of
from preview.build.world import World, split
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.scene import Scene
from preview.trace.digest import digest, program_digest
from preview.trace.geometry import Geometry
from preview.trace.store import AnyStore, Store
from preview.trace.store_place import NO_BOUND

KIND = "set"
MOST = 0.25
"""Share of the store that sets may take together: layers, which take longer to make, have the rest."""
READERS = ("trimesh", "fast-simplification", "pillow")
"""Another version of these may read another set from the same files."""

Pair = tuple[Geometry, Geometry]
Files = list[tuple[str, str | None]]
"""Paths with the digest of what is there; None for nothing that can be read."""


def set_of(scene: Scene, store: AnyStore | None = None) -> Pair:
    """What of a scene's set and cast stops light, and its panes; from the store, or built and kept there.

    Raises UserError for a mesh file that will not do.
    """
    if not isinstance(store, Store) or store.most_bytes >= NO_BOUND:
        return built(scene)
    files = list(_named(scene))
    key = _key(scene, files)
    arrays = store.load(key)
    if arrays is not None:
        told = json.loads(arrays["told"].tobytes())
        if all(_digest_of(Path(name)) == kept for name, kept in told["beside"]):
            return _restored(arrays, told["solid"], "solid"), _restored(arrays, told["panes"], "panes")
    pair = built(scene)
    _keep(store, key, pair, _beside(scene), f"{scene.path.stem} {scene.setup}: set")
    # A file that was written to in the meantime may not be what was built.
    if list(_named(scene)) != files:
        store.remove(key)
    return pair


def built(scene: Scene) -> Pair:
    """What of a scene's set and cast stops light, and its panes, built anew."""
    # Heavy, and idle where the set is kept.
    from preview.build.assemble import assemble

    return geometries_of(assemble(scene))


def geometries_of(world: World) -> Pair:
    """What of a world stops light, and its panes."""
    solid, panes = split(world)
    return Geometry(solid, surfaces_of(solid)), Geometry(panes, surfaces_of(panes))


def _key(scene: Scene, files: Files) -> str:
    pieces = [(name, type(piece).__name__, piece.model_dump_json()) for name, piece in scene.set]
    figures = [figure.model_dump_json() for figure in scene.cast]
    texts = [text for _, _, text in pieces] + figures
    places = sorted({name for text in texts for name in _places(json.loads(text))})
    anchors = [(name, scene.anchors[name]) for name in places if name in scene.anchors]
    readers = [(name, version(name)) for name in READERS] if files else []
    # What a mesh names is looked for beside it, so there its folder counts.
    folder = str(scene.path.parent.resolve()) if any(_meshes(scene)) else ""
    return digest(
        KIND,
        program_digest(),
        readers,
        pieces,
        figures,
        anchors,
        scene.eyes,
        [kept for _, kept in files],
        folder,
    )


def _places(dumped: Any) -> Iterator[str]:
    """Names of places in a dumped model, wherever they stand in it."""
    if isinstance(dumped, dict):
        if isinstance(dumped.get("of"), str):
            yield dumped["of"]
        for value in dumped.values():
            yield from _places(value)
    elif isinstance(dumped, list):
        for value in dumped:
            yield from _places(value)


def _meshes(scene: Scene) -> Iterator[ImportedMesh]:
    return (piece for _, piece in scene.set if isinstance(piece, ImportedMesh))


def _named(scene: Scene) -> Iterator[tuple[str, str | None]]:
    """Every file that is named by a word of the set, such as a mesh or a picture of heights."""
    words: dict[str, None] = {}
    for _, piece in scene.set:
        words |= dict.fromkeys(_words(piece.model_dump()))
    for word in words:
        path = (scene.path.parent / word).expanduser()
        try:
            there = path.is_file()
        except (OSError, ValueError):  # no name that a file could have
            continue
        if there:
            yield str(path), _digest_of(path)


def _words(dumped: Any) -> Iterator[str]:
    if isinstance(dumped, str):
        yield dumped
    elif isinstance(dumped, dict):
        for value in dumped.values():
            yield from _words(value)
    elif isinstance(dumped, list | tuple):
        for value in dumped:
            yield from _words(value)


def _beside(scene: Scene) -> Files:
    """What the meshes of a set that was built have asked for beside themselves."""
    meshes = list(_meshes(scene))
    if not meshes:
        return []
    from preview.build.imported.facts import facts_of

    asked = [path.resolve() for mesh in meshes for path in facts_of(mesh, scene.path.parent).asked]
    return [(str(path), _digest_of(path)) for path in dict.fromkeys(asked)]


def _digest_of(path: Path) -> str | None:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def _keep(store: Store, key: str, pair: Pair, beside: Files, label: str) -> None:
    """Keeps a set where it takes no more than its share, at the cost of those that were used longest ago."""
    told: dict[str, Any] = {"beside": beside}
    arrays: dict[str, NDArray[Any]] = {}
    for name, geometry in zip(("solid", "panes"), pair, strict=True):
        world = geometry.world
        told[name] = {
            "names": world.names,
            "materials": world.materials,
            "wets": world.wets,
            "content": geometry.content,
        }
        if len(world.faces):
            # As they lie in memory.
            arrays |= {
                f"{name}.vertices": world.vertices.T,
                f"{name}.normals": world.normals.T,
                f"{name}.faces": world.faces.T,
                f"{name}.part_of_face": world.part_of_face,
            }
            if world.tint is not None:
                arrays[f"{name}.tint"] = world.tint.T
    arrays["told"] = np.frombuffer(json.dumps(told).encode(), np.uint8)
    most = MOST * store.most_bytes
    if sum(array.nbytes for array in arrays.values()) > most:
        return
    store.put(key, arrays, kind=KIND, label=label)
    taken = 0
    for entry in store.entries():
        taken += entry.bytes if entry.kind == KIND else 0
        if entry.kind == KIND and taken > most and entry.key != key:
            store.remove(entry.key)


def _restored(arrays: Mapping[str, NDArray[Any]], told: dict[str, Any], name: str) -> Geometry:
    """A geometry from the store's arrays: the same to the bit as it was built."""
    tint = arrays.get(f"{name}.tint")
    if f"{name}.faces" in arrays:
        vertices, normals, faces = (arrays[f"{name}.{part}"].T for part in ("vertices", "normals", "faces"))
        part_of_face = arrays[f"{name}.part_of_face"]
    else:
        vertices, normals = np.zeros((0, 3), np.float32), np.zeros((0, 3), np.float32)
        faces, part_of_face = np.zeros((0, 3), np.int32), np.zeros(0, np.int32)
    world = World(
        vertices,
        normals,
        faces,
        part_of_face,
        tuple(told["names"]),
        tuple(told["materials"]),
        tuple(told["wets"]),
        None if tint is None else tint.T,
    )
    return Geometry(world, surfaces_of(world), content=told["content"])
