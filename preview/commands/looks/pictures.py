"""Look pictures: many looks of one plate through the lens, with no more passes through it than they differ in.

The lens is linear in light. Where looks differ in a few fixtures only, those and the rest go through it once each, and
every look is a sum of what comes out.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from preview.commands.prepare import Ready
from preview.commands.shot import seen
from preview.trace.mix import mixed, weights
from preview.trace.plate import Plate

Array = NDArray[np.float32]
Made = TypeVar("Made")


def developed(
    readies: Sequence[Ready], plate: Plate, make: Callable[[int, Array], Made], meanwhile: Callable[[], None]
) -> list[Made]:
    """What `make` makes of each look's number and its radiance (h, w, 3) as the lens shows it, in their order.

    `readies` are of one set, camera place and fixtures. Looks are made side by side, and `meanwhile` is done beside them.
    """
    lenses: dict[Any, list[int]] = {}
    for number, ready in enumerate(readies):
        lenses.setdefault(ready.scene.camera.lens, []).append(number)
    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        jobs = {}
        for numbers in lenses.values():
            light = _through_lens(pool, [readies[number] for number in numbers], plate)
            for place, number in enumerate(numbers):
                jobs[number] = pool.submit(
                    lambda number, light, place: make(number, light(place)), number, light, place
                )
        meanwhile()
        return [jobs[number].result() for number in range(len(readies))]


def _through_lens(pool: ThreadPoolExecutor, readies: Sequence[Ready], plate: Plate) -> Callable[[int], Array]:
    """What gives the radiance (h, w, 3) of each of some looks of one lens."""
    sets = np.array([weights(ready.lights) for ready in readies])
    alike, which = np.unique(sets, axis=0, return_inverse=True)
    which = which.reshape(-1)
    varied = np.flatnonzero((sets != sets[0]).any(axis=(0, 2)))
    first = readies[0]
    if len(varied) + 1 >= len(alike):
        direct = [
            pool.submit(_seen, readies[int(np.argmax(which == number))], plate)
            for number in range(len(alike))
        ]
        return lambda place: direct[int(which[place])].result()
    rest = pool.submit(_seen, _only(first, [n for n in range(len(first.lights)) if n not in varied]), plate)
    each = {number: pool.submit(_seen, _white(first, number), plate) for number in map(int, varied)}

    def added(place: int) -> Array:
        total = rest.result().copy()
        for number, light in each.items():
            total += light.result() * sets[place, number]
        return total

    return added


def _seen(ready: Ready, plate: Plate) -> Array:
    return seen(ready, plate, mixed(plate, ready.lights))


def _only(ready: Ready, numbers: Sequence[int]) -> Ready:
    """Some lights as they are, the others off."""
    lights = [light if n in numbers else replace(light, gain=0.0) for n, light in enumerate(ready.lights)]
    return replace(ready, lights=tuple(lights))


def _white(ready: Ready, number: int) -> Ready:
    """One light alone, white and at full."""
    lights = [
        replace(light, gain=float(n == number), colour=(1.0, 1.0, 1.0))
        for n, light in enumerate(ready.lights)
    ]
    return replace(ready, lights=tuple(lights))
