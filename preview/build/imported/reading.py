"""Reading: the chunks of a mesh file, each with its names and its colours, through trimesh's readers."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.imported.colours import from_linear, from_screen
from preview.build.imported.header import GLTF, Header, is_readable
from preview.build.mesh import Floats
from preview.faults import UserError

Faces = NDArray[np.int32]
Colours = NDArray[np.float32]


@dataclass(frozen=True)
class Chunk:
    """What a file holds under one name and of one material: vertices (n, 3) in its unit, faces (m, 3).

    `names`: what it goes by, the nearest first: object, group or node with those above it, mesh, material. `colour` (n, 3):
    reflectance, linear Rec.709, or None; `picture` and `uv` (n, 2), from the lower left: the texture on it, or None.
    """

    names: tuple[str, ...]
    vertices: Floats
    faces: Faces
    colour: Colours | None = None
    picture: Any = None
    uv: Floats | None = None


def chunks_of(path: Path, header: Header, files: Beside) -> list[Chunk]:
    """All that has faces in a file, its nodes in their places; `files`: what hands over those that it names.

    UserError in words for a file that trimesh cannot read.
    """
    # Heavy: only scripts that import a mesh pay for it.
    import trimesh

    logging.getLogger("trimesh").setLevel(logging.CRITICAL)
    resolver: Any = files
    coloured = files.coloured
    more: dict[str, Any] = {"split_objects": True, "split_groups": True} if header.suffix == ".obj" else {}
    try:
        with path.open("rb") as file:
            read = trimesh.load_scene(
                file, file_type=header.suffix[1:], resolver=resolver, process=False, **more
            )
        found = list(_found(read, path, header, coloured=coloured))
    except (MemoryError, UserError):
        raise
    except Exception as problem:  # the readers of a dozen formats raise a dozen kinds of error
        reason = str(problem).strip().splitlines()[0] if str(problem).strip() else type(problem).__name__
        raise UserError(f"{path.name} cannot be read as a mesh ({reason})") from problem
    if coloured and files.missing:
        few = ", ".join(files.missing[:3]) + (" …" if len(files.missing) > 3 else "")
        raise UserError(
            f"{path.name} names the texture {few}, which is not beside it; put it there, or write `colours: no`"
        )
    if not found:
        raise UserError(f"{path.name} holds no faces, so there is nothing for light to fall on")
    return found


class Beside:
    """Hands a reader the files that a mesh names, and notes which it asked for and which pictures are missing.

    `coloured`: with its textures, which must be there.

    For a list of materials that is missing, one of their bare names is made up: faces are still told apart by them.
    """

    def __init__(self, path: Path, coloured: bool) -> None:
        self.path, self.coloured = path, coloured
        self.missing: list[str] = []
        self.asked: list[Path] = []
        """In their order, whether they are there or not."""
        self.file_name = path.name

    def get(self, name: str) -> bytes:
        beside = self.path.parent / name.strip().replace("\\", "/")
        self.asked.append(beside)
        if is_readable(beside):
            return beside.read_bytes()
        if name.lower().endswith(".mtl"):
            names = dict.fromkeys(
                re.findall(rb"^usemtl[ \t]+(.+?)\s*$", self.path.read_bytes(), re.MULTILINE)
            )
            return b"\n".join(b"newmtl " + one for one in names)
        self.missing.append(name)
        raise FileNotFoundError(name)

    __getitem__ = get

    def keys(self) -> list[str]:
        return []

    def namespaced(self, namespace: str) -> Beside:
        return self


def _found(scene: Any, path: Path, header: Header, *, coloured: bool) -> Iterator[Chunk]:
    import trimesh

    groups = _names_in_obj(path) if header.suffix == ".obj" else {}
    parents = scene.graph.transforms.parents
    for node in scene.graph.nodes_geometry:
        transform, geometry_name = scene.graph[node]
        mesh = scene.geometry[geometry_name]
        if not isinstance(mesh, trimesh.Trimesh) or len(mesh.faces) == 0:
            continue
        above, up = [str(node)], node
        while (up := parents.get(up)) is not None and up != scene.graph.base_frame:
            above.append(str(up))
        material = getattr(getattr(mesh.visual, "material", None), "name", None)
        own = groups.get(str(geometry_name), (*above, str(geometry_name)) if header.suffix in GLTF else ())
        names = tuple(dict.fromkeys(name for name in (*own, material) if name))
        vertices = np.asarray(mesh.vertices, dtype=np.float64)
        if not np.array_equal(transform, np.eye(4)):
            vertices = vertices @ transform[:3, :3].T + transform[:3, 3]
        faces = np.asarray(mesh.faces)
        if faces.min() < 0 or faces.max() >= len(vertices):
            raise UserError(f"{path.name} has faces that name points it does not hold; export it again")
        chunk = Chunk(names, vertices, faces.astype(np.int32))
        yield _coloured(chunk, mesh, linear=header.suffix in GLTF) if coloured else chunk


def _names_in_obj(path: Path) -> dict[str, tuple[str, ...]]:
    """For what trimesh calls each chunk of an OBJ file: its group, object and material."""
    joined: dict[str, tuple[str, ...]] = {}
    now: dict[str, str | None] = {"o": None, "g": None, "usemtl": None}
    for kind, name in re.findall(rb"^(o|g|usemtl)[ \t]+(.+?)\s*$", path.read_bytes(), re.MULTILINE):
        now[kind.decode()] = name.decode("utf-8", "replace")
        for parts in (("o", "g", "usemtl"), ("o", "g")):
            given = [value for key in parts if (value := now[key]) is not None]
            if given:
                order = [now[key] for key in ("g", "o", "usemtl") if now[key] is not None]
                joined.setdefault("_".join(given), tuple(str(one) for one in order))
    return joined


def _coloured(chunk: Chunk, mesh: Any, *, linear: bool) -> Chunk:
    """With what the file says of its colours. By the standard those of glTF are linear but for textures; of others, as seen
    on a screen."""
    visual = mesh.visual
    decode = from_linear if linear else from_screen
    if visual.kind == "vertex":
        return _with(chunk, decode(np.asarray(visual.vertex_colors)[:, :3]))
    if visual.kind == "face":
        # Each face its own corners: colours change from one to the next.
        corners = chunk.faces.reshape(-1)
        faces = np.arange(len(corners), dtype=np.int32).reshape(-1, 3)
        by_face = decode(np.asarray(visual.face_colors)[:, :3])
        return Chunk(chunk.names, chunk.vertices[corners], faces, np.repeat(by_face, 3, axis=0))
    if visual.kind != "texture":
        return chunk
    material = visual.material
    uv = None if visual.uv is None else np.asarray(visual.uv, dtype=np.float64)
    picture = getattr(material, "baseColorTexture", None) or getattr(material, "image", None)
    factor = _factor(material)
    own = visual.vertex_attributes.get("color")
    count = len(chunk.vertices)
    colour: Colours | None = None if factor is None else np.tile(factor, (count, 1))
    if own is not None and len(own) == count:
        told = np.asarray(own)[:, :3]
        shares = told / np.iinfo(told.dtype).max if told.dtype.kind == "u" else told
        by_vertex = from_linear(np.clip(shares * 255.0, 0.0, 255.0))
        colour = by_vertex if colour is None else colour * by_vertex
    if picture is not None and uv is not None and len(uv) == count:
        return Chunk(chunk.names, chunk.vertices, chunk.faces, colour, picture, uv)
    return _with(chunk, colour)


def _factor(material: Any) -> Colours | None:
    """The colour of a material without its texture (3,), where the file gives one."""
    base = getattr(material, "baseColorFactor", None)
    if base is not None:
        return from_linear(np.asarray(base, dtype=np.float64)[None, :3])[0]
    given = {key.lower() for key in getattr(material, "kwargs", {})}
    if "kd" in given and getattr(material, "image", None) is None:
        return from_screen(np.asarray(material.diffuse, dtype=np.float64)[None, :3])[0]
    return None


def _with(chunk: Chunk, colour: Colours | None) -> Chunk:
    return Chunk(chunk.names, chunk.vertices, chunk.faces, colour)
