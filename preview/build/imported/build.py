"""Build: the parts of a mesh file as parts of the world, with their colours as tints."""

from __future__ import annotations

import numpy as np

from preview.build.imported.colours import sampled, texel_edges, to_acescg
from preview.build.imported.facts import parts_of
from preview.build.imported.naming import NamedPart
from preview.build.imported.reading import Chunk, Colours
from preview.build.imported.refining import refined, spread
from preview.build.imported.shading import shaded
from preview.build.imported.simplifying import simplified
from preview.build.mesh import Part
from preview.build.site import Site
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh
from preview.trade.catalogue import material

SCANNED = "scanned"
"""The material whose reflectance is that of a tint of 1."""
PLAIN = "grey card"
"""What has neither a colour nor a material."""


def build_imported(name: str, model: ImportedMesh, site: Site) -> list[Part]:
    """The mesh of `file`, which is relative to the script, with its own origin, or its middle, at `at`.

    UserError in words for a file that is missing, unreadable, empty, broken, or very likely in another unit.
    """
    try:
        parts = parts_of(model, site.folder)
    except UserError as error:
        raise UserError(*(f"{name}: {fault}" for fault in error.faults)) from error
    built: list[Part] = []
    share = _share(parts, model)
    for part in parts:
        label = name if len(parts) == 1 or not part.label else f"{name}.{part.label}"
        for chunk in part.chunks:
            made = _built(label, part, chunk, model, share)
            if made is not None:
                built.append(made)
    if not built:
        raise UserError(f"{name}: file: every face of the mesh is a sliver without area")
    return _merged(built)


def _share(parts: list[NamedPart], model: ImportedMesh) -> float:
    """Of triangles that are kept."""
    wanted = model.simplify
    if wanted is None:
        return 1.0
    count = sum(len(chunk.faces) for part in parts for chunk in part.chunks)
    return wanted if isinstance(wanted, float) else min(1.0, wanted / max(count, 1))


def _built(label: str, part: NamedPart, chunk: Chunk, model: ImportedMesh, share: float) -> Part | None:
    coloured = model.takes_colours and part.material is None
    own = part.material or model.material or PLAIN
    if share < 1.0:
        if coloured and chunk.picture is not None:
            chunk = _by_vertex(chunk)
        (chunk,) = simplified([chunk], share)
    coloured &= chunk.colour is not None or chunk.picture is not None
    look = shaded(chunk.vertices, chunk.faces, crease=model.smooth, alike=not coloured)
    if len(look.faces) == 0:
        return None
    vertices, normals, faces = chunk.vertices[look.source], look.normals, look.faces
    if not coloured:
        return Part(label, own, vertices, faces, normals)
    colour = None if chunk.colour is None else chunk.colour[look.source]
    if chunk.picture is not None:
        assert chunk.uv is not None
        uv = chunk.uv[look.source]
        cut = refined(texel_edges(chunk.picture, uv, faces))
        pitch = float(np.median(texel_edges(chunk.picture, uv, faces))) if cut is None else cut.pitch
        if cut is not None:
            vertices, uv = spread(vertices, faces, cut), spread(uv, faces, cut)
            normals = spread(normals, faces, cut)
            normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
            colour = None if colour is None else spread(colour, faces, cut).astype(np.float32)
            faces = cut.faces
        shown = sampled(chunk.picture, uv, pitch=pitch)
        colour = shown if colour is None else shown * colour
    assert colour is not None
    return Part(label, SCANNED, vertices, faces, normals, tint=_tint(colour))


def _by_vertex(chunk: Chunk) -> Chunk:
    """With its texture as seen at its vertices alone."""
    assert chunk.uv is not None
    pitch = float(np.median(texel_edges(chunk.picture, chunk.uv, chunk.faces)))
    shown = sampled(chunk.picture, chunk.uv, pitch=pitch)
    colour = shown if chunk.colour is None else shown * chunk.colour
    return Chunk(chunk.names, chunk.vertices, chunk.faces, colour)


def _tint(colour: Colours) -> Colours:
    """Factors, ACEScg, on what the material itself reflects, of linear Rec.709."""
    return np.clip(to_acescg(colour) / np.array(material(SCANNED).rgb, np.float32), 0.0, 1.0)


def _merged(parts: list[Part]) -> list[Part]:
    """Those of one name and material as one part."""
    groups: dict[tuple[str, str, bool], list[Part]] = {}
    for part in parts:
        groups.setdefault((part.name, part.material, part.tint is None), []).append(part)
    merged = []
    for (label, own, _), some in groups.items():
        if len(some) == 1:
            merged.append(some[0])
            continue
        starts = np.cumsum([0] + [len(part.vertices) for part in some])
        merged.append(
            Part(
                label,
                own,
                np.concatenate([part.vertices for part in some]),
                np.concatenate(
                    [part.faces + np.int32(start) for part, start in zip(some, starts, strict=False)]
                ),
                np.concatenate([part.normals for part in some]),
                tint=None
                if some[0].tint is None
                else np.concatenate([part.tint for part in some if part.tint is not None]),
            )
        )
    return merged
