"""Refining: triangles that a texture shows more on than at their corners, cut up until vertices can carry it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats

Indices = NDArray[np.int32]

MOST_FACES = 1_200_000
"""To which a mesh is cut up at most."""
MOST_CUTS = 256
"""Parts of a triangle's edge at most."""
FINEST = 2.0
"""Pixels of the texture along an edge that are fine enough."""


@dataclass(frozen=True)
class Refined:
    """Each new vertex (k,) lies in the face `owner` (k,) at `weights` (k, 3) of its corners; faces (m, 3) of them.

    pitch: pixels of the texture, about, from one vertex to the next.
    """

    owner: Indices
    weights: Floats
    faces: Indices
    pitch: float


def refined(texels: Floats, *, most: int = MOST_FACES) -> Refined | None:
    """How faces whose longest edge spans so many `texels` (m,) are cut up, all in alike pieces; None where none need be.

    The pieces lie on the triangle that they are of, so nothing moves and nothing gapes.
    """
    pitch = FINEST
    while _cuts(texels, pitch).astype(np.int64).__pow__(2).sum() > most:
        pitch *= 1.25
    cuts = _cuts(texels, pitch)
    if cuts.max(initial=1) == 1:
        return None
    owners, weights, faces = [], [], []
    count = 0
    for number in np.unique(cuts).tolist():
        which = np.flatnonzero(cuts == number).astype(np.int32)
        at, small = _lattice(number)
        owners.append(np.repeat(which, len(at)))
        weights.append(np.tile(at, (len(which), 1)))
        starts = count + len(at) * np.arange(len(which), dtype=np.int32)
        faces.append((small[None] + starts[:, None, None]).reshape(-1, 3))
        count += len(at) * len(which)
    return Refined(
        np.concatenate(owners), np.concatenate(weights), np.concatenate(faces).astype(np.int32), pitch
    )


def _cuts(texels: Floats, pitch: float) -> Indices:
    return np.clip(np.ceil(texels / pitch), 1, MOST_CUTS).astype(np.int32)


def _lattice(cuts: int) -> tuple[Floats, Indices]:
    """Weights (k, 3) of places in a triangle whose edges are cut in so many parts, and the pieces (cuts^2, 3) of them."""
    row, column = np.nonzero(np.tri(cuts + 1, dtype=bool))
    # Row by row from the first corner: `row` parts away from it, `column` of these towards the third.
    second, third = (row - column) / cuts, column / cuts
    at = np.stack([1.0 - second - third, second, third], axis=1)
    number = np.zeros((cuts + 1, cuts + 1), np.int32)
    number[row, column] = np.arange(len(row), dtype=np.int32)
    r, c = np.nonzero(np.tri(cuts, dtype=bool))
    down = np.stack([number[r, c], number[r + 1, c], number[r + 1, c + 1]], axis=1)
    r, c = np.nonzero(np.tri(cuts, k=-1, dtype=bool))
    up = np.stack([number[r, c], number[r + 1, c + 1], number[r, c + 1]], axis=1)
    return at, np.concatenate([down, up]).astype(np.int32)


def spread(values: NDArray[np.floating], corners: Indices, cut: Refined) -> Floats:
    """Values (n, d) at a mesh's vertices, at each of the new ones (k, d); corners (m, 3) of the faces."""
    answer = cut.weights[:, :1] * values[corners[cut.owner, 0]]
    for corner in (1, 2):
        answer += cut.weights[:, corner : corner + 1] * values[corners[cut.owner, corner]]
    return np.asarray(answer, np.float64)
