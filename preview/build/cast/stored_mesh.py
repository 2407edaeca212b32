"""Stored meshes: archives of arrays that are made offline, read once and asked by key."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray


def packed(rows: NDArray[Any]) -> NDArray[np.uint8]:
    """Rows (k, n) of 16 bit integers as what packs well: differences along each row, low bytes apart from high ones."""
    whole = rows.astype(np.int64)
    steps = np.ascontiguousarray(np.diff(whole, axis=1, prepend=0) % 65_536, "<u2")
    return np.ascontiguousarray(np.moveaxis(steps.view(np.uint8).reshape(*steps.shape, 2), 2, 0))


def unpacked(
    halves: NDArray[np.uint8], kind: type[np.signedinteger[Any] | np.unsignedinteger[Any]]
) -> NDArray[Any]:
    """The rows (k, n) again, of that 16 bit `kind`."""
    steps = np.ascontiguousarray(np.moveaxis(halves, 0, 2)).view("<u2")[..., 0]
    return np.cumsum(steps, axis=1, dtype=np.uint16).astype(np.uint16).view(kind)


class Archive:
    """Arrays by key, each unpacked when it is first asked for."""

    def __init__(self, path: Path, maker: str) -> None:
        self._path, self._maker = path, maker
        if not path.exists():
            raise FileNotFoundError(
                f"{path.name} is missing: make it with python -m preview.build.sculpt {maker}"
            )
        self._file = np.load(path)
        self._known: dict[str, NDArray[Any]] = {}

    def __contains__(self, key: str) -> bool:
        return key in self._file.files

    def __getitem__(self, key: str) -> NDArray[Any]:
        if key not in self._known:
            if key not in self:
                raise KeyError(
                    f"{self._path.name} holds no {key}: make it anew with python -m preview.build.sculpt {self._maker}"
                )
            self._known[key] = self._file[key]
        return self._known[key]


@cache
def archive(maker: str) -> Archive:
    """What `python -m preview.build.sculpt MAKER` wrote."""
    return Archive(Path(__file__).with_name(f"{maker}.npz"), maker)
