"""Traces a scene with a store in processes that it kills at random moments; prints what it found wrong afterwards.

A process is forked for each: starting Python fifty times over would take longer than all the kills.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from pathlib import Path
from typing import NoReturn

import numpy as np

from preview.commands.prepare import prepare
from preview.script.read import read_scene
from preview.trace.digest import digest
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.store import AnyStore, Scratch, Store

KILLS = 50
QUALITY = Quality(bounce_rays=2, bounce_step=8)
SEEDS = (1, 2, 3)
"""Three frames take turns, so that some layers are found and others are made."""


def frame(file: Path, store: AnyStore, seed: int) -> str:
    """The digest of a frame's layers."""
    ready = prepare(read_scene(file))
    plate = trace(
        ready.stage, ready.lights, ready.view, width=96, height=54, quality=QUALITY, seed=seed, store=store
    )
    return digest([np.ascontiguousarray(layer) for layer in (*plate.layers, plate.depth, plate.part)])


def apart(work: object, *arguments: object) -> int:
    """The exit status, or minus the signal, of a function in a process of its own."""
    number = os.fork()
    if number == 0:
        os._exit(work(*arguments) or 0)  # type: ignore[operator]
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])


def for_ever(file: Path, store: Store) -> NoReturn:
    while True:
        for seed in SEEDS:
            store.clear() if seed == SEEDS[0] else None
            frame(file, store, seed)


def wrong(file: Path, store: Store, right: dict[int, str]) -> int:
    """How many of the frames differ from what they are without a store, twice: as found, and as then kept."""
    return sum(frame(file, store, seed) != right[seed] for seed in SEEDS for _ in range(2))


def write_right(file: Path, into: Path) -> None:
    into.write_text("\n".join(frame(file, Scratch(), seed) for seed in SEEDS))


def main(file: Path, folder: Path) -> None:
    # No ray is sent in this process itself: what is forked must have no threads.
    apart(write_right, file, folder / "right")
    right = dict(zip(SEEDS, (folder / "right").read_text().split(), strict=True))
    store = Store(folder / "layers", most_bytes=10**9)
    draw, bad, killed = random.Random(5), 0, 0
    for number in range(KILLS):
        child = os.fork()
        if child == 0:
            for_ever(file, store)
        time.sleep(draw.uniform(0.0, 0.5))
        os.kill(child, signal.SIGKILL)
        killed += os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
        if number % 5 == 4:
            bad += apart(wrong, file, store, right)
    parts = [path for path in (folder / "layers").iterdir() if not path.name.endswith(".layers")]
    print(killed, bad, len(store.entries()), len(parts))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
