"""Places of trees: where each tree of a piece stands, with its height, before any tree is grown."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.growth import Trees

Floats = NDArray[np.float64]


def tree_stands(model: Trees) -> list[tuple[float, float, float]]:
    """Each tree's x, y and height, metres, in the order of the script; the same for the same seed.

    Rows run east and further rows lie north; trees on a path keep equal distances along it, ends included.
    Places on rows and paths are scattered by up to `scatter`; places given as points are kept exactly.
    """
    places = _places(model)
    draws = np.random.default_rng([model.seed & 0xFFFFFFFF, 1]).random((len(places), 3))
    if model.at is None:
        # The square root makes the scatter even over its disc.
        reach = model.scatter * np.sqrt(draws[:, 0])
        turn = 2.0 * np.pi * draws[:, 1]
        places = places + np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
    low, high = sorted(model.height)
    heights = low + (high - low) * draws[:, 2]
    return [(float(x), float(y), float(height)) for (x, y), height in zip(places, heights, strict=True)]


def _places(model: Trees) -> Floats:
    """Places (n, 2) before the scatter."""
    if model.at is not None:
        return np.array(model.at, dtype=np.float64).reshape(-1, 2)
    if model.rows is not None:
        rows, in_row = model.rows
        north, east = np.meshgrid(np.arange(rows), np.arange(in_row), indexing="ij")
        start = np.array(model.from_ if model.from_ is not None else (0.0, 0.0))
        return start + model.spacing * np.stack([east.ravel(), north.ravel()], axis=1)
    if model.along is not None:
        path = np.array(model.along, dtype=np.float64)
        travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        count = model.count or max(2, 1 + int(travelled[-1] / model.spacing))
        # A single tree stands in the middle of its path.
        where = np.linspace(0.0, 1.0, count) if count > 1 else np.array([0.5])
        return np.stack(
            [np.interp(where * travelled[-1], travelled, path[:, axis]) for axis in range(2)], axis=1
        )
    return np.zeros((0, 2))
