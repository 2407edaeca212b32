"""What tests of the store put into it, and where it lies then."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.trace.store import AnyStore, Store

KEY, OTHER, THIRD = "0a" * 16, "0b" * 16, "0c" * 16
ONE = {"layer": np.arange(12.0, dtype=np.float32).reshape(2, 2, 3), "part": np.array([[3, -1]], np.int32)}
MEGABYTE = {"layer": np.ones(250_000, np.float32)}


def put(store: AnyStore, key: str, held: Mapping[str, NDArray[Any]] = ONE) -> None:
    store.put(key, held, kind="layer", label="gate main: moon")


def file_of(store: Store, key: str = KEY) -> Path:
    return store.folder / f"{key}.layers"


def parts(store: Store) -> list[str]:
    return sorted(path.name for path in store.folder.glob(".*"))


def aged(store: Store, key: str, seconds: float) -> None:
    """An entry used so long ago."""
    os.utime(file_of(store, key), times=(time.time() - seconds,) * 2)
