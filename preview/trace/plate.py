"""Plate: what tracing a setup yields: one layer per light, each the whole frame's answer to that light alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.light import Light
from preview.trace.entry_file import Wanted
from preview.trace.haze import Haze
from preview.trace.keys import Keys, keys_of
from preview.trace.machine import may_open
from preview.trace.quality import Quality
from preview.trace.room import counts_of, groups_of, make_room, need_of, tiles_at_once
from preview.trace.stage import Stage
from preview.trace.store import AnyStore, Scratch, Store, set_aside
from preview.trace.tile import Tile, tiles

if TYPE_CHECKING:
    from preview.trace.layer import LayerWork
    from preview.trace.seen import Seen

Array = NDArray[np.float32]
Arrays = Mapping[str, NDArray[Any]]

AHEAD = 0.2
"""Share of the work, about, that is done before the first tile: bounce and haze."""


@dataclass(frozen=True)
class Plate:
    """layers: for each light (height, width, 3) cd/m2, linear ACEScg, at full level and white; errors: for each light
    (height, width) cd/m2, one standard deviation of what chance leaves in its luminance, the bounce and haze apart.

    depth (height, width) m along the ray to the nearest thing in a pixel, inf for sky; far (height, width) to the
    farthest; cover (height, width): the share of the pixel that is the nearest. part (height, width) int32: the solid
    world's part seen there, -1 for sky, -2 - k for part k of what is only shown.
    """

    lights: tuple[str, ...]
    layers: tuple[Array, ...]
    errors: tuple[Array, ...]
    depth: Array
    far: Array
    cover: Array
    part: NDArray[np.int32]


def trace(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    *,
    width: int,
    height: int,
    quality: Quality,
    haze: Haze | None = None,
    seed: int = 1,
    store: AnyStore | None = None,
    label: str = "",
    threads: int | None = None,
    progress: Callable[[float], None] = lambda share: None,
) -> Plate:
    """The plate of a view: what `store` has of it, the rest traced and kept there. `label` tells people whose it is.

    The same to the bit for a seed, whatever the number of threads, the other lights, and what came from the store.
    Raises MemoryError where the layers do not fit.
    """
    keep = store or Scratch()
    may_open(len(lights) + tiles_at_once())
    keys = keys_of(stage, lights, view, width=width, height=height, quality=quality, haze=haze, seed=seed)
    layers = {light.name: keep.load(keys.layers[light.name]) for light in lights}
    image = keep.load(keys.frame)
    missing = [light for light in lights if layers[light.name] is None]
    counts = counts_of(stage, len(lights), len(missing), width=width, height=height)
    make_room(need_of(counts, quality=quality, haze=haze is not None), counts, keep)
    if missing or image is None:
        with ExitStack() as made:
            if image is None:
                shape = height, width
                wanted: Wanted = {
                    **dict.fromkeys(("near", "far", "cover"), (shape, np.float32)),
                    "part": (shape, np.int32),
                }
                # The first that is opened is the last that is kept: every layer needs it.
                image = made.enter_context(keep.making(keys.frame, wanted, kind="frame", label=label))
                fresh = image
            else:
                fresh = {}
            for light in missing:
                wanted = {
                    "radiance": ((height, width, 3), np.float32),
                    "error": ((height, width), np.float32),
                }
                making = keep.making(
                    keys.layers[light.name], wanted, kind="layer", label=f"{label}: {light.name}"
                )
                layers[light.name] = made.enter_context(making)
            pool = made.enter_context(ThreadPoolExecutor(threads or tiles_at_once()))
            answers = {light.name: layers[light.name] or {} for light in missing}
            sizes = {"width": width, "height": height}
            groups = groups_of(missing, **sizes, quality=quality, haze=haze is not None)
            for number, group in enumerate(groups):
                told = partial(_part_of, progress, number, len(groups))
                # What a group's layers are worked out from is gone before the next group's is made.
                _all_tiles(
                    _works(stage, group, view, quality, haze, seed, pool, told, sizes),
                    *(answers, fresh, stage, view, quality, keys, keep, label, pool, told, sizes),
                )
                fresh = {}
    assert image is not None
    done = [layers[light.name] or {} for light in lights]
    return Plate(
        tuple(light.name for light in lights),
        tuple(layer["radiance"] for layer in done),
        tuple(layer["error"] for layer in done),
        image["near"],
        image["far"],
        image["cover"],
        image["part"],
    )


def _part_of(progress: Callable[[float], None], number: int, parts: int, share: float) -> None:
    """Tells how much of the whole is done, when `share` of its `number`-th part is."""
    progress((number + share) / parts)


def _works(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    quality: Quality,
    haze: Haze | None,
    seed: int,
    pool: ThreadPoolExecutor,
    progress: Callable[[float], None],
    sizes: dict[str, int],
) -> list[LayerWork]:
    """For each light what its layer is worked out from."""
    # Heavy, and idle where the store has every layer.
    from preview.trace.bounce import bounce_field
    from preview.trace.layer import LayerWork
    from preview.trace.scatter import scattered

    field = bounce_field(stage.solid, lights, view, **sizes, quality=quality, seed=seed, haze=haze, pool=pool)
    progress(0.5 * AHEAD)
    works = []
    for number, light in enumerate(lights):
        scatter = None
        if haze is not None:
            scatter = scattered(
                light,
                stage.solid.rays,
                view,
                haze,
                **sizes,
                step=quality.haze_step,
                samples=quality.haze_samples,
                seed=seed,
                pool=pool,
            ).smoothed()
        works.append(LayerWork(stage, light, quality, seed, haze, field, scatter, len(lights) == 1))
        progress(AHEAD * (0.5 + 0.5 * (number + 1) / len(lights)))
    return works


def _all_tiles(
    works: Sequence[LayerWork],
    answers: Mapping[str, Arrays],
    image: Arrays,
    stage: Stage,
    view: View,
    quality: Quality,
    keys: Keys,
    keep: AnyStore,
    label: str,
    pool: ThreadPoolExecutor,
    progress: Callable[[float], None],
    sizes: dict[str, int],
) -> None:
    """Fills the layers' and the image's arrays, tile by tile."""

    def work(job: tuple[int, Tile]) -> None:
        number, tile = job
        what = _visible(stage, view, tile, keys.tile(number), keep, label)
        shape = tile.rows, tile.columns
        for name, array in image.items():
            array[tile.place] = getattr(what, name).reshape(shape)
            set_aside(array)
        for task in works:
            layer, answer = task.tile(what), answers[task.light.name]
            answer["radiance"][tile.place] = layer.radiance.T.reshape(*shape, 3)
            answer["error"][tile.place] = layer.error.reshape(shape)
            set_aside(answer["error"])

    jobs = list(enumerate(tiles(sizes["width"], sizes["height"], quality.samples)))
    try:
        for done, _ in enumerate(pool.map(work, jobs)):
            progress(AHEAD + (1.0 - AHEAD) * (done + 1) / len(jobs))
    except BaseException:
        pool.shutdown(wait=True, cancel_futures=True)
        raise


def _visible(stage: Stage, view: View, tile: Tile, key: str, keep: AnyStore, label: str) -> Seen:
    """A tile's visible points, from the store or traced and kept there."""
    from preview.trace.seen import restored, seen, stored

    arrays = keep.load(key)
    if arrays is not None:
        return restored(tile, view, arrays)
    what = seen(stage, view, tile)
    if isinstance(keep, Store):
        keep.put(key, stored(what), kind="points", label=label)
    return what
