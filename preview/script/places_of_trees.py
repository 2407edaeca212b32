"""Places of trees: where each plant of a piece stands, with its height, before any is grown."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.growth import Planted
from preview.script.scatter import strewn

Floats = NDArray[np.float64]


def tree_stands(model: Planted) -> list[tuple[float, float, float]]:
    """Each tree's x, y and height, metres, in the order of the script; the same for the same seed.

    Rows run east and further rows lie north; trees on a path keep equal distances along it, ends included.
    Places on rows and paths are scattered by up to `scatter`; places given as points are kept exactly. Over a belt or
    a polygon they are strewn, no two nearer than `spacing`, or than suits the `count`.
    """
    places = _places(model)
    draws = np.random.default_rng([model.seed & 0xFFFFFFFF, 1]).random((len(places), 3))
    if model.rows is not None or (model.along is not None and model.width == 0.0):
        # The square root makes the scatter even over its disc.
        reach = model.scatter * np.sqrt(draws[:, 0])
        turn = 2.0 * np.pi * draws[:, 1]
        places = places + np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
    low, high = sorted(model.height)
    heights = low + (high - low) * draws[:, 2]
    return [(float(x), float(y), float(height)) for (x, y), height in zip(places, heights, strict=True)]


def _places(model: Planted) -> Floats:
    """Places (n, 2) before the scatter."""
    if model.at is not None:
        return np.array(model.at, dtype=np.float64).reshape(-1, 2)
    if model.rows is not None:
        rows, in_row = model.rows
        north, east = np.meshgrid(np.arange(rows), np.arange(in_row), indexing="ij")
        start = np.array(model.from_ if model.from_ is not None else (0.0, 0.0))
        return start + model.spacing * np.stack([east.ravel(), north.ravel()], axis=1)
    apart = model.spacing if "spacing" in model.model_fields_set or model.count is None else None
    if model.in_ is not None:
        return strewn(tuple(model.in_), model.number, apart, model.seed)
    if model.along is not None:
        path = np.array(model.along, dtype=np.float64)
        travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        if model.width > 0.0:
            return _belt(
                path, travelled, strewn(_straight(travelled, model.width), model.number, apart, model.seed)
            )
        count = model.number
        # A single tree stands in the middle of its path.
        where = np.linspace(0.0, 1.0, count) if count > 1 else np.array([0.5])
        return np.stack(
            [np.interp(where * travelled[-1], travelled, path[:, axis]) for axis in range(2)], axis=1
        )
    return np.zeros((0, 2))


def _straight(travelled: Floats, width: float) -> tuple[tuple[float, float], ...]:
    """The belt of a path as if it ran straight: distance along it, and to the left."""
    end, half = float(travelled[-1]), width / 2
    return ((0.0, -half), (end, -half), (end, half), (0.0, half))


def _belt(path: Floats, travelled: Floats, places: Floats) -> Floats:
    """Places (n, 2) of a straight belt, bent round its path."""
    leg = np.clip(np.searchsorted(travelled, places[:, 0], side="right") - 1, 0, len(path) - 2)
    run = np.diff(path, axis=0)
    ahead = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-9)
    left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    return path[leg] + ahead[leg] * (places[:, :1] - travelled[leg, None]) + left[leg] * places[:, 1:]
