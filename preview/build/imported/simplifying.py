"""Simplifying: fewer triangles that keep the shape, by quadric error, with the colours of those that went into them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from preview.build.imported.reading import Chunk, Faces
from preview.build.imported.shading import together

KEPT = 0.5
"""Share of the triangles wanted that edges of holes may be: so many stay as they are, or else scans fray, parts gape."""
FEWEST = 4
"""Triangles that a chunk keeps at least."""


def simplified(chunks: Sequence[Chunk], wanted: int | float) -> list[Chunk]:
    """Chunks of `wanted` triangles in all, or of that share of them (a float below 1); each loses alike.

    Source of the method: M. Garland and P. Heckbert, Surface Simplification Using Quadric Error Metrics, 1997; the work is
    fast-simplification's. A vertex takes the mean colour of all that it stands for.
    """
    count = sum(len(chunk.faces) for chunk in chunks)
    share = wanted if isinstance(wanted, float) else wanted / max(count, 1)
    if share >= 1.0:
        return list(chunks)
    return [_of(chunk, max(FEWEST, round(share * len(chunk.faces)))) for chunk in chunks]


def _of(chunk: Chunk, wanted: int) -> Chunk:
    if len(chunk.faces) <= wanted:
        return chunk
    import fast_simplification

    joined = _welded(chunk)
    middle = joined.vertices.mean(axis=0)
    points = np.ascontiguousarray(joined.vertices - middle, np.float32)
    _, _, collapses = fast_simplification.simplify(
        points,
        joined.faces,
        target_count=wanted,
        return_collapses=True,
        preserve_border=_on_borders(joined.faces) < KEPT * wanted,
    )
    vertices, faces, stands_for = fast_simplification.replay_simplification(points, joined.faces, collapses)
    if len(faces) == 0:
        return chunk
    colour = None
    if joined.colour is not None:
        of = np.bincount(stands_for, minlength=len(vertices))
        summed = [np.bincount(stands_for, channel, minlength=len(vertices)) for channel in joined.colour.T]
        colour = (np.stack(summed, axis=1) / np.maximum(of, 1)[:, None]).astype(np.float32)
    return replace(
        chunk,
        vertices=vertices.astype(np.float64) + middle,
        faces=faces.astype(np.int32),
        colour=colour,
        picture=None,
        uv=None,
    )


def _on_borders(faces: Faces) -> int:
    """Edges that one face alone has."""
    low, high = np.sort(np.stack([faces, np.roll(faces, -1, axis=1)]).reshape(2, -1).astype(np.int64), axis=0)
    _, counts = np.unique(low << 32 | high, return_counts=True)
    return int((counts == 1).sum())


def _welded(chunk: Chunk) -> Chunk:
    """With one vertex in each place: a mesh of loose triangles has no edges to give up."""
    number = together(chunk.vertices)
    _, first = np.unique(number, return_index=True)
    colour = chunk.colour
    if colour is not None:
        of = np.bincount(number)
        summed = np.stack([np.bincount(number, channel) for channel in colour.T], axis=1)
        colour = (summed / of[:, None]).astype(np.float32)
    faces = number[chunk.faces]
    whole = (faces != np.roll(faces, 1, axis=1)).all(axis=1)
    return replace(
        chunk,
        vertices=chunk.vertices[first],
        faces=np.ascontiguousarray(faces[whole]),
        colour=colour,
        picture=None,
        uv=None,
    )
