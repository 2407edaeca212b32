"""Header: what a mesh file says of itself, read before the rest: its format, how much it holds, whether all is there."""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preview.faults import UserError

SUFFIXES = (".obj", ".ply", ".stl", ".gltf", ".glb", ".off")
FORMATS = "OBJ, PLY, STL, glTF and GLB"
GLTF = (".gltf", ".glb")
MOST_FACES = 20_000_000
BYTES_PER_FACE = 250
"""Of memory while a mesh is read and placed. Measured on a binary PLY of 1.9 million with colours: 240 at the peak."""
OBJ_BYTES_PER_FACE = 60
"""Of a text file: a face of three numbers and half a point. From memory, typical: 50 to 100."""
START = 1 << 16
"""Bytes in which a header ends."""
COMPRESSED = ("KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_mesh_quantization")
PLY_SIZES = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16"), 2),
    **dict.fromkeys(("int", "uint", "float", "int32", "uint32", "float32"), 4),
    **dict.fromkeys(("double", "float64", "int64", "uint64"), 8),
}


@dataclass(frozen=True)
class Header:
    """`suffix`: of SUFFIXES, what the file is; `faces`: how many it says or, of text, seems to hold."""

    suffix: str
    faces: int


def header_of(path: Path) -> Header:
    """UserError in words, without what it is about, for what is no mesh, is cut short, or is more than can be held."""
    suffix, size = path.suffix.lower(), path.stat().st_size
    with path.open("rb") as file:
        start = file.read(START)
    if not start:
        raise UserError(f"{path.name} is empty")
    is_a = _sniffed(start, size)
    if suffix not in SUFFIXES:
        hint = f"; it is {is_a[1:].upper()} inside: call it {path.stem}{is_a}" if is_a else ""
        raise UserError(f"{path.name} cannot be read as a mesh: {FORMATS} are{hint}")
    if is_a is not None and is_a != suffix:
        raise UserError(f"{path.name} is {is_a[1:].upper()} inside; call it {path.stem}{is_a}")
    if is_a is None and suffix in (".ply", ".glb", ".gltf"):
        raise UserError(
            f"{path.name} cannot be read as a mesh: it does not start as a file of its kind does; export it again"
        )
    read = {".ply": _of_ply, ".stl": _of_stl, ".glb": _of_glb, ".gltf": _of_gltf}.get(suffix, _of_text)
    header = Header(suffix, read(path, start, size))
    if header.faces > MOST_FACES:
        raise UserError(
            f"{path.name} holds about {header.faces / 1e6:,.0f} million triangles, which would take "
            f"{header.faces * BYTES_PER_FACE / 1e9:,.0f} GB of memory; {MOST_FACES // 10**6} million are the most: thin it "
            "out in the program that made it"
        )
    return header


def _sniffed(start: bytes, size: int) -> str | None:
    """The suffix that the first bytes of a file speak for."""
    if start[:4] == b"glTF":
        return ".glb"
    if start[:4] in (b"ply\n", b"ply\r"):
        return ".ply"
    if start.lstrip()[:1] == b"{" and b'"asset"' in start:
        return ".gltf"
    if len(start) >= 84 and size == 84 + 50 * struct.unpack_from("<I", start, 80)[0]:
        return ".stl"
    if start.lstrip()[:5] == b"solid" and b"facet" in start:
        return ".stl"
    if start.lstrip()[:3] == b"OFF":
        return ".off"
    return None


def cut_short(path: Path, expected: int, size: int) -> UserError:
    return UserError(
        f"{path.name} is cut short: it should be {expected:,} bytes and is {size:,}; copy or export it again"
    )


def _of_ply(path: Path, start: bytes, size: int) -> int:
    head, end, _ = start.partition(b"end_header")
    if not end:
        raise UserError(f"{path.name} cannot be read as a mesh: its header does not end; export it again")
    counts: dict[str, int] = {}
    rows: dict[str, int] = {}
    element = ""
    for line in head.decode("ascii", "replace").splitlines():
        words = line.split()
        if words[:1] == ["element"] and len(words) == 3 and words[2].isdigit():
            element = words[1]
            counts[element], rows[element] = int(words[2]), 0
        elif words[:1] == ["property"] and element in rows:
            if words[1] == "list":
                # A list of three, if it is of corners; of others at least how many there are.
                corners = 3 * PLY_SIZES.get(words[3], 4) if element == "face" and "ind" in words[-1] else 0
                rows[element] += PLY_SIZES.get(words[2], 1) + corners
            else:
                rows[element] += PLY_SIZES.get(words[1], 4)
    faces = counts.get("face", 0) + counts.get("tristrips", 0)
    if faces == 0:
        points = counts.get("vertex", 0)
        raise UserError(
            f"{path.name} is a cloud of {points:,} points and holds no faces, so there is nothing for light to fall on; "
            "make a mesh of it in the program that scanned it"
        )
    if b"format binary" in head:
        least = len(head) + len("end_header\n") + sum(counts[name] * rows[name] for name in counts)
        if size < least:
            raise cut_short(path, least, size)
    return faces


def _of_stl(path: Path, start: bytes, size: int) -> int:
    if start.lstrip()[:5] == b"solid" and b"facet" in start:
        return size // 200
    if len(start) < 84:
        raise UserError(f"{path.name} cannot be read as a mesh: it is too short to hold a triangle")
    faces: int = struct.unpack_from("<I", start, 80)[0]
    if start.lstrip()[:5] == b"solid" and size != 84 + 50 * faces:
        raise UserError(f"{path.name} cannot be read as a mesh: it holds no faces")
    if faces > MOST_FACES or size >= 84 + 50 * faces:
        return faces
    raise cut_short(path, 84 + 50 * faces, size)


def _of_glb(path: Path, start: bytes, size: int) -> int:
    if len(start) < 20:
        raise cut_short(path, 20, size)
    _, _, length, content, _ = struct.unpack_from("<4sIIII", start)
    if size < length:
        raise cut_short(path, length, size)
    with path.open("rb") as file:
        file.seek(20)
        return _of_gltf(path, file.read(content), size)


def _of_gltf(path: Path, start: bytes, size: int) -> int:
    try:
        told = json.loads(start if path.suffix.lower() == ".glb" else path.read_bytes())
        if not isinstance(told, dict):
            raise ValueError("no group of keys")
    except ValueError as problem:
        raise UserError(
            f"{path.name} cannot be read as a mesh: its description is broken ({problem})"
        ) from problem
    for name in told.get("extensionsRequired", ()):
        if name in COMPRESSED:
            raise UserError(
                f"{path.name} is compressed ({name}), which is not read; export it without compression"
            )
    _missing_buffers(path, told)
    accessors = told.get("accessors", [])
    corners = 0
    for mesh in told.get("meshes", ()):
        for primitive in mesh.get("primitives", ()):
            index = primitive.get("indices", primitive.get("attributes", {}).get("POSITION"))
            if isinstance(index, int) and index < len(accessors) and primitive.get("mode", 4) in (4, 5, 6):
                corners += int(accessors[index].get("count", 0))
    if corners == 0:
        raise UserError(f"{path.name} holds no faces, so there is nothing for light to fall on")
    return corners // 3


def _missing_buffers(path: Path, told: Mapping[str, Any]) -> None:
    for buffer in told.get("buffers", ()):
        uri = buffer.get("uri", "data:")
        if not uri.startswith("data:"):
            beside = path.parent / uri
            if not beside.is_file():
                raise UserError(
                    f"{path.name} names the file {uri}, which is not beside it; put it there, or export it as GLB, which "
                    "holds all of it"
                )
            if (size := beside.stat().st_size) < int(buffer.get("byteLength", 0)):
                raise cut_short(beside, int(buffer["byteLength"]), size)


def _of_text(path: Path, start: bytes, size: int) -> int:
    if b"\0" in start:
        raise UserError(f"{path.name} cannot be read as a mesh: it is not text; export it again")
    return size // OBJ_BYTES_PER_FACE if size > 50 * MOST_FACES else min(MOST_FACES, size // 10)


def is_readable(path: Path) -> bool:
    return path.is_file() and os.access(path, os.R_OK)
