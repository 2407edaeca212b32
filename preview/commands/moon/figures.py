"""Moon figures: what each direction of the moon does to the frame: what it lifts out of the dark, how it rakes the ground,
whether it is in shot."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.develop import scene_linear
from preview.camera.display_table import sheet_picture
from preview.camera.framing import focus_distance
from preview.commands.moon.sweep import Sweep
from preview.commands.shot import seen, stops_of
from preview.light.emitters.distant import Distant
from preview.light.spaces import ACESCG
from preview.script.models.camera import Camera
from preview.script.models.pieces.buildings import Garage, House, Shed, Shelter, Shops
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.waters import WATERS
from preview.sheets.what_reads import BARELY
from preview.trace.mix import mixed, weights
from preview.trace.plate import Plate

Array = NDArray[np.float32]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

BUILDINGS: Final[tuple[type[Piece], ...]] = (House, Shed, Garage, Shops, Shelter)
TREES: Final[tuple[type[Piece], ...]] = (Trees, Hedge)
GROUND: Final[tuple[type[Piece], ...]] = (Ground, Street, Footpath, Grass)
LUMINANCE: Final = ACESCG.luminance.astype(np.float32)
BEHIND: Final = 1.0
"""Metres behind the figures where the background begins."""
READS: Final = BARELY
"""Stops under grey down to which something reads."""
WORTH: Final = 0.002
"""Share of the frame under which a group of pieces is not told of."""
WINDOW: Final = 1.0 / 24.0
"""Of the frame's width, either way: what is evener over it than this is fall-off, what is finer is texture."""
REAL_LUX: Final = 0.25
"""What the real moon gives, and so how bright its disc is drawn. Source: as of `Moon.lux`."""


@dataclass(frozen=True)
class Group:
    """Pixels (h, w) of the frame that belong together, with what they are called: `the tree line`, `the trees`."""

    called: str
    pixels: Mask

    @property
    def share(self) -> float:
        """Of the frame, 0 to 1."""
        return float(self.pixels.mean())


@dataclass(frozen=True)
class Groups:
    """What of the frame is told of; None for what is not in it, or too little of it."""

    trees: Group | None
    buildings: Group | None
    behind: Group | None
    ground: Group | None


@dataclass(frozen=True)
class Lifted:
    """Shares, 0 to 1, of a group's pixels: over the camera's noise floor; and bright enough that they read, less than
    READS stops under grey."""

    over_floor: float
    reads: float


@dataclass(frozen=True)
class Frame:
    """What one direction does to the frame, of all lights together; `texture` as of `texture_of`; None for what is not in
    frame. `moon_on_ground`: the moon's share, 0 to 1, of all light that the camera sees on the ground."""

    picture: NDArray[np.uint8]
    trees: Lifted | None
    buildings: Lifted | None
    behind: Lifted | None
    ground: Lifted | None
    texture: float | None
    moon_on_ground: float


def groups_of(sweep: Sweep) -> Groups:
    """The groups of a sweep's frame, by the families of the script's pieces."""
    ready, plate = sweep.ready, sweep.plate
    pieces = dict(ready.scene.set)
    owner = [name.partition(".")[0] for name in ready.world.names]

    def group(kinds: tuple[type[Piece], ...], many: str) -> Group | None:
        # Water mirrors the moon, and so has no texture by its rake.
        chosen = [
            i
            for i, name in enumerate(owner)
            if isinstance(pieces.get(name), kinds) and ready.world.materials[i] not in WATERS
        ]
        pixels = np.isin(plate.part, chosen)
        names = {owner[part] for part in np.unique(plate.part[pixels])}
        called = f"the {names.pop()}" if len(names) == 1 else many
        found = Group(called, pixels)
        return found if found.share > WORTH else None

    behind = Group("the background", (plate.part >= 0) & (plate.depth > _farthest(sweep) + BEHIND))
    return Groups(
        group(TREES, "the trees"),
        group(BUILDINGS, "the buildings"),
        behind if behind.share > WORTH else None,
        group(GROUND, "the ground"),
    )


def _farthest(sweep: Sweep) -> float:
    """Metres from the lens to the farthest figure before it; without any, to what is in focus."""
    scene, view = sweep.ready.scene, sweep.ready.view
    eyes = [np.array(scene.anchors[f"{figure.name}.eyes"].position) for figure in scene.cast]
    before = [
        float(np.linalg.norm(each - view.position))
        for each in eyes
        if (each - view.position) @ view.forward > 0.0
    ]
    return max(before) if before else focus_distance(scene)


def without(sweep: Sweep) -> Array:
    """Radiance (h, w, 3) of all lights but the moon, before the lens."""
    count = sweep.others
    plate = sweep.plate
    rest = replace(
        plate, lights=plate.lights[:count], layers=plate.layers[:count], errors=plate.errors[:count]
    )
    return mixed(rest, sweep.ready.lights[:count])


def lifted(stops: Array, group: Group | None, camera: Camera) -> Lifted | None:
    """How far a group is lifted by what lies at so many stops (h, w) from grey before the lens; None for no group."""
    if group is None:
        return None
    own, floor = stops[group.pixels], camera.latitude.under
    return Lifted(float(np.mean(own > -floor)), float(np.mean(own > -min(READS, floor))))


def frames(sweep: Sweep, groups: Groups, base: Array) -> tuple[Frame, ...]:
    """Each direction's figures and picture; `base` (h, w, 3) is all light but the moon's."""
    plate, ready = sweep.plate, sweep.ready
    by = weights(ready.lights[sweep.others :])
    open_sky = np.isinf(plate.far)
    ground = None if groups.ground is None else groups.ground.pixels
    patches = () if ground is None else patches_of(plate, ground)
    scene = ready.scene

    def one(number: int) -> Frame:
        light = ready.lights[sweep.others + number]
        layer = np.asarray(plate.layers[sweep.others + number])
        own = layer * by[number]
        if sweep.options.visible:
            _hold(own, open_sky, light.emitters[0], by[number], clear=ready.haze is None)
        radiance = base + own
        shown = sheet_picture(scene_linear(seen(ready, plate, radiance), scene.camera))
        stops = stops_of(radiance, scene.camera)
        return Frame(
            shown,
            lifted(stops, groups.trees, scene.camera),
            lifted(stops, groups.buildings, scene.camera),
            lifted(stops, groups.behind, scene.camera),
            lifted(stops, groups.ground, scene.camera),
            texture_of(layer @ LUMINANCE, patches),
            _share(own, radiance, ground),
        )

    with ThreadPoolExecutor() as pool:
        return tuple(pool.map(one, range(len(sweep.directions))))


def _share(own: Array, radiance: Array, pixels: Mask | None) -> float:
    """Of the light (h, w, 3) on some pixels, 0 where there are none."""
    if pixels is None:
        return 0.0
    part, whole = (float((each[pixels] @ LUMINANCE).sum(dtype=np.float64)) for each in (own, radiance))
    return part / whole if whole > 0.0 else 0.0


def _hold(own: Array, open_sky: Mask, emitter: object, by: Array, *, clear: bool) -> None:
    """Holds a moon's own light (h, w, 3) in the sky to what the real moon's disc shows: heads that play it may give
    hundreds of times its lux, and a disc so bright nobody has seen. In clear air nothing else of it is in the sky; in
    haze its glow stays."""
    lux = float(by @ ACESCG.luminance)
    if not isinstance(emitter, Distant) or lux <= REAL_LUX:
        return
    if clear:
        own[open_sky] *= np.float32(REAL_LUX / lux)
    else:
        own[open_sky] = np.minimum(own[open_sky], by * np.float32(REAL_LUX / lux * emitter.luminance))


@dataclass(frozen=True)
class Patch:
    """A part of the ground in the frame: the box that it lies in, its pixels there, and for each how many of them are about
    it, weighed by their distance."""

    box: tuple[slice, slice]
    pixels: Mask
    weight: Floats


def patches_of(plate: Plate, pixels: Mask) -> tuple[Patch, ...]:
    """Some pixels (h, w) of the frame by the part of the set that is seen there."""
    height, width = plate.part.shape
    reach = reach_of(width)
    found = []
    for part in np.unique(plate.part[pixels]):
        here = pixels & (plate.part == part)
        rows, columns = np.flatnonzero(here.any(axis=1)), np.flatnonzero(here.any(axis=0))
        box = (
            slice(max(0, int(rows[0]) - reach), min(height, int(rows[-1]) + reach + 1)),
            slice(max(0, int(columns[0]) - reach), min(width, int(columns[-1]) + reach + 1)),
        )
        mask = here[box]
        found.append(Patch(box, mask, np.maximum(about(mask, reach), 1.0)))
    return tuple(found)


def reach_of(width: int) -> int:
    """WINDOW in pixels."""
    return max(2, round(WINDOW * width))


def texture_of(luminance: Array, patches: Sequence[Patch]) -> float | None:
    """How strongly the moon rakes the ground: the RMS contrast of its own light over patches of the ground.

    It is how far, RMS, its luminance (h, w) lies from the mean of what is about it, over the RMS of those means: over
    the same part of the set, within twice WINDOW of the frame's width, the nearer the more, so that fall-off is out of it,
    and what is in shadow as a whole counts little. 0 for even light; a plane of ridges whose sides slope by a has
    tan a / tan h under a moon square to them at a height h > a; half in shadow and half lit evenly has 1. None where
    there is no ground, or no light of the moon on it.
    """
    away, whole = 0.0, 0.0
    reach = reach_of(luminance.shape[1])
    for patch in patches:
        own = np.where(patch.pixels, luminance[patch.box], 0.0)
        near = (about(own, reach) / patch.weight)[patch.pixels]
        away += float(np.square(own[patch.pixels] - near).sum())
        whole += float(np.square(near).sum())
    return float(np.sqrt(away / whole)) if whole > 0.0 else None


def about(values: NDArray[np.generic], reach: int) -> Floats:
    """Sums (h, w) of values (h, w) about each, twice over, so that a mean does not ripple with what repeats."""
    return around(around(values, reach), reach)


def around(values: NDArray[np.generic], reach: int) -> Floats:
    """Sums (h, w) of values (h, w) within `reach` pixels each way, along both axes."""
    sums = np.asarray(values, np.float64)
    for axis in (0, 1):
        size = sums.shape[axis]
        added = np.cumsum(np.pad(sums, [(1, 0) if a == axis else (0, 0) for a in (0, 1)]), axis=axis)
        last = np.minimum(np.arange(size) + reach + 1, size)
        first = np.maximum(np.arange(size) - reach, 0)
        sums = np.take(added, last, axis) - np.take(added, first, axis)
    return sums
