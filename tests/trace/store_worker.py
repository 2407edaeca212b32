"""A process that works in a store until it has done its rounds or is killed; imports only numpy and the store.

    python -m tests.trace.store_worker FOLDER SEED ROUNDS

It waits for a line to begin. First it loads every entry that lies in the folder and says how many there are, how many
of them are wrong, and how many parts were left by others; then it makes and loads entries whose content follows from
their keys.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.trace.store import Store

KEYS = [f"{number:032x}" for number in range(6)]
MOST_BYTES = 6_000_000
"""Less than all the entries together, so that there is something to evict."""


@cache
def content(key: str) -> dict[str, NDArray[Any]]:
    """What an entry of this key must hold; from 1 to 2 MB, no two places alike."""
    number = int(key, 16)
    shape = (100 + 20 * number, 800, 3)
    mixed = np.arange(np.prod(shape), dtype=np.uint32) * np.uint32(2654435761 + 2 * number)
    return {"layer": mixed.astype(np.float32).reshape(shape), "part": np.full((100, 7), number, np.int32)}


def same(found: Mapping[str, NDArray[Any]], wanted: Mapping[str, NDArray[Any]]) -> bool:
    """Equal to the bit."""
    return found.keys() == wanted.keys() and all(
        found[name].dtype == wanted[name].dtype
        and found[name].shape == wanted[name].shape
        and found[name].tobytes() == wanted[name].tobytes()
        for name in wanted
    )


def wrong(store: Store, key: str) -> bool:
    found = store.load(key)
    return found is None or not same(found, content(key))


def main(folder: Path, seed: int, rounds: int) -> None:
    sys.stdin.readline()
    store = Store(folder, most_bytes=MOST_BYTES)
    entries = store.entries()
    bad = sum(wrong(store, entry.key) for entry in entries)
    print(len(entries), bad, len(list(folder.glob("*.part"))), flush=True)
    wanted = {key: content(key) for key in KEYS}
    draw = random.Random(seed)
    for _ in range(rounds):
        key = draw.choice(KEYS)
        shapes = {name: (array.shape, array.dtype) for name, array in wanted[key].items()}
        with store.making(key, shapes, kind="layer", label=f"scene {seed}: {key}") as places:
            for name, array in wanted[key].items():
                for row in range(len(array)):  # by and by, as tiles are
                    places[name][row] = array[row]
        found = store.load(draw.choice(KEYS))  # perhaps None: evicted, or not made yet
        loaded = next((key for key in KEYS if found is not None and same(found, wanted[key])), None)
        if found is not None and loaded is None:
            raise AssertionError("loaded what nobody has made")
        if store.warning:
            raise AssertionError(store.warning)
    print("done", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
